"""The edges of boxes, each line once: where an edge is an outline, and where only a seam between flush faces.

Lines are followed in whole nanometres. Around a point of a line space has four quarters, each of them wood or air;
what the wood fills there says what is to be drawn.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from sawbill.trade.boxes import Box, meetings, point

Kind = Literal["outline", "seam"]
_ACROSS: Final = ((1, 2), (0, 2), (0, 1))
"""By the axis a line runs along: the other two."""
_CORNERS: Final = (1, 2, 4, 8)
_FLUSH: Final = (0b0011, 0b1100, 0b0101, 0b1010)
"""Two quarters beside each other: a flat face on either side of the line."""


@dataclass(frozen=True, slots=True)
class Edge:
    """A stretch of a line along an axis (0 to 2), from a point, so long [nm]."""

    axis: int
    start: tuple[int, int, int]
    length: int
    kind: Kind


def edges(boxes: Sequence[Box]) -> list[Edge]:
    """All edges of boxes; what lies inside of the wood is left out.

    Where two claim the same space, one is let into the other: what they share has edges of its own.
    """
    boxes = [*boxes, *_shared(boxes)]
    flat = np.array([(*box.low, *box.high) for box in boxes], np.int64).reshape(-1, 2, 3)
    found = []
    for axis in range(3):
        first, second = _ACROSS[axis]
        lines = _lines(flat, first, second)
        touched = _touching(flat[:, :, (first, second)], lines)
        for (a, b), near in zip(lines.tolist(), touched, strict=True):
            ends = [(*flat[i, :, axis].tolist(), _quarters(flat[i], first, second, a, b)) for i in near]
            for start, end, kind in _stretches(ends):
                at = [0, 0, 0]
                at[axis], at[first], at[second] = start, a, b
                found.append(Edge(axis, (at[0], at[1], at[2]), end - start, kind))
    return found


def standing_out(boxes: Sequence[Box]) -> list[Box]:
    """The same boxes, any that is let into another without the end that is in there."""
    found = list(boxes)
    for i, places in enumerate(meetings(boxes, boxes)):
        for j in (place for place in places if place != i):
            whole, both = found[i], boxes[i].common(boxes[j])
            differ = [k for k in range(3) if (boxes[i].low[k], boxes[i].high[k]) != (both.low[k], both.high[k])]
            if len(differ) == 1:
                (k,) = differ
                at_low = both.low[k] == boxes[i].low[k]
                low = point(both.high[k] if at_low and n == k else at for n, at in enumerate(whole.low))
                high = point(both.low[k] if not at_low and n == k else at for n, at in enumerate(whole.high))
                found[i] = Box(low, high)
    return found


def _shared(boxes: Sequence[Box]) -> list[Box]:
    """The space that two boxes claim, of any that do."""
    return [boxes[i].common(boxes[j]) for i, places in enumerate(meetings(boxes, boxes)) for j in places if i < j]


def _lines(flat: NDArray[np.int64], first: int, second: int) -> NDArray[np.int64]:
    """Where lines along one axis cross the plane of the other two: the corners of all boxes, each once and in order."""
    pairs = [flat[:, (i, j), (first, second)] for i in (0, 1) for j in (0, 1)]
    return np.unique(np.concatenate(pairs), axis=0)


def _touching(rectangles: NDArray[np.int64], lines: NDArray[np.int64]) -> list[list[int]]:
    """By line, the boxes it passes through or along."""
    low, high = rectangles[None, :, 0], rectangles[None, :, 1]
    inside = ((low <= lines[:, None]) & (lines[:, None] <= high)).all(axis=2)
    found: dict[int, list[int]] = defaultdict(list)
    for line, box in np.argwhere(inside).tolist():
        found[line].append(box)
    return [found[line] for line in range(len(lines))]


def _quarters(box: NDArray[np.int64], first: int, second: int, a: int, b: int) -> int:
    """Which of the four quarters around a line a box fills, as bits: 1 below both, 2 beyond the first, 4 the second."""
    below = (1 if box[0, first] < a else 0) | (2 if box[1, first] > a else 0)
    return (below if box[0, second] < b else 0) | (below << 2 if box[1, second] > b else 0)


def _stretches(ends: list[tuple[int, int, int]]) -> Iterator[tuple[int, int, Kind]]:
    """Follow a line past the boxes it touches (start, end, quarters): what is to be drawn, neighbours joined."""
    cuts = sorted({at for start, end, _ in ends for at in (start, end)})
    open_: tuple[int, int, Kind] | None = None
    for start, end in pairwise(cuts):
        here = [quarters for low, high, quarters in ends if low <= start and end <= high]
        kind = _kind(here)
        if open_ and kind == open_[2] and open_[1] == start:
            open_ = (open_[0], end, open_[2])
            continue
        if open_:
            yield open_
        open_ = (start, end, kind) if kind else None
    if open_:
        yield open_


def _kind(here: list[int]) -> Kind | None:
    """An edge is where some box has a corner, and the wood around it is no whole."""
    if not any(quarters in _CORNERS for quarters in here):
        return None
    filled = 0
    for quarters in here:
        filled |= quarters
    if filled == 0b1111:
        return None
    return "seam" if filled in _FLUSH else "outline"
