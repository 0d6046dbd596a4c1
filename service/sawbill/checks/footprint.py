"""The footprint of furniture: the outline around all of it that stands on the floor. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from sawbill.trade.boxes import Box
from sawbill.trade.lengths import MM

Place = tuple[float, float]
"""Where something is along x and y, or a direction of length 1."""


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge of a footprint: a point on it, its direction outward, of length 1."""

    at: Place
    outward: Place

    def beyond(self, x: float, y: float) -> float:
        """How far a place is outside of it [mm]; inside it is negative."""
        return (x - self.at[0]) * self.outward[0] + (y - self.at[1]) * self.outward[1]


def footprint(boxes: Iterable[Box]) -> list[Edge]:
    """The edges of the outline around all that stands on the floor, left about."""
    boxes = list(boxes)
    floor = min(box.low[2] for box in boxes)
    corners = sorted({
        (x, y) for box in boxes if box.low[2] == floor
        for x in (box.low[0], box.high[0]) for y in (box.low[1], box.high[1])
    })  # fmt: skip
    outline = [*_half(corners), *_half(corners[::-1]), corners[0]]
    edges = []
    for (ax, ay), (bx, by) in pairwise(outline):
        long = hypot(bx - ax, by - ay)
        edges.append(Edge((ax / MM, ay / MM), ((by - ay) / long, (ax - bx) / long)))
    return edges


def _half(corners: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Half of the outline around sorted corners, without its last (monotone chain, Andrew 1979)."""
    found: list[tuple[int, int]] = []
    for x, y in corners:
        while len(found) > 1 and (found[-1][0] - found[-2][0]) * (y - found[-2][1]) <= (found[-1][1] - found[-2][1]) * (
            x - found[-2][0]
        ):
            found.pop()
        found.append((x, y))
    return found[:-1]
