"""Exact boxes in space: where wood is, where it touches, where it would overlap.

x runs along the length of a piece of furniture, y across it, z up from the floor. All coordinates are whole
nanometres, so touching is equality and never a tolerance.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

Axis = Literal["x", "y", "z"]
AXES: Final[tuple[Axis, ...]] = ("x", "y", "z")
Point = tuple[int, int, int]


def point(coordinates: Iterable[int]) -> Point:
    """A point from its three coordinates, or a size from its three sides [nm]."""
    x, y, z = coordinates
    return x, y, z


class Box(NamedTuple):
    """A box between two corners [nm]; `low` is the least of every axis, `high` the greatest."""

    low: Point
    high: Point

    @property
    def size(self) -> Point:
        """The extent along x, y and z [nm]."""
        (ax, ay, az), (bx, by, bz) = self.low, self.high
        return bx - ax, by - ay, bz - az

    def span(self, axis: Axis) -> tuple[int, int]:
        """Where the box begins and ends along an axis [nm]."""
        i = AXES.index(axis)
        return self.low[i], self.high[i]

    def shared(self, other: Box) -> Point:
        """How far two boxes share each axis [nm]; negative is the distance that parts them on it."""
        (ax, ay, az), (bx, by, bz) = self.low, self.high
        (cx, cy, cz), (dx, dy, dz) = other.low, other.high
        return min(bx, dx) - max(ax, cx), min(by, dy) - max(ay, cy), min(bz, dz) - max(az, cz)

    def common(self, other: Box) -> Box:
        """The space both boxes claim; flat on an axis where they only touch."""
        low = point(max(a, b) for a, b in zip(self.low, other.low, strict=True))
        high = point(min(a, b) for a, b in zip(self.high, other.high, strict=True))
        return Box(low, high)

    def overlaps(self, other: Box) -> bool:
        """Whether both boxes claim some of the same space; faces that touch do not overlap."""
        (ax, ay, az), (bx, by, bz) = self.low, self.high
        (cx, cy, cz), (dx, dy, dz) = other.low, other.high
        return ax < dx and cx < bx and ay < dy and cy < by and az < dz and cz < bz

    def contact(self, other: Box, gap: int = 0) -> int:
        """The area over which two faces lie against each other, no further apart than `gap` [nm2]."""
        (ax, ay, az), (bx, by, bz) = self.low, self.high
        (cx, cy, cz), (dx, dy, dz) = other.low, other.high
        x = (bx if bx < dx else dx) - (ax if ax > cx else cx)  # a frame asks a hundred times: most are far apart
        if x < -gap:
            return 0
        y, z = (by if by < dy else dy) - (ay if ay > cy else cy), (bz if bz < dz else dz) - (az if az > cz else cz)
        x, y, z = sorted((x, y, z))
        return y * z if -gap <= x <= 0 and y > 0 else 0


def meetings(boxes: Sequence[Box], among: Sequence[Box]) -> list[list[int]]:
    """Which of many boxes each box overlaps, by their place in the list: `Box.overlaps`, quick for a whole frame."""
    low, high = _corners(boxes)
    others_low, others_high = _corners(among)
    overlap = np.ones((len(boxes), len(among)), np.bool_)
    for axis in range(3):
        overlap &= low[axis][:, None] < others_high[axis]
        overlap &= high[axis][:, None] > others_low[axis]
    found: list[list[int]] = [[] for _ in boxes]
    for one, other in np.argwhere(overlap).tolist():
        found[one].append(other)
    return found


def _corners(boxes: Sequence[Box]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The least and the greatest corners of boxes, one row for each axis [nm]."""
    flat = np.array([(*box.low, *box.high) for box in boxes], np.int64).reshape(-1, 6).T
    return flat[:3], flat[3:]


def bounds(boxes: Iterable[Box]) -> Box:
    """The smallest box around all of them."""
    first, *others = boxes
    (ax, ay, az), (bx, by, bz) = first.low, first.high
    for box in others:  # a check asks this a hundred times: comparing one by one takes a fifth of min and max
        (cx, cy, cz), (dx, dy, dz) = box.low, box.high
        ax, ay, az = cx if cx < ax else ax, cy if cy < ay else ay, cz if cz < az else az
        bx, by, bz = dx if dx > bx else bx, dy if dy > by else by, dz if dz > bz else bz
    return Box((ax, ay, az), (bx, by, bz))
