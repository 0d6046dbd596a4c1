"""Openings between pieces seen square on, and the outline of their tops: whole nanometres, no tolerance.

What passes: a rigid block with a square face of side s, held square, passes through an opening just when a free
rectangle has both sides of at least s; so does a sphere of diameter s. So the shorter side of a maximal free
rectangle is its gap, and nothing turned askew does better in a rectangular opening. Pieces that touch leave none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle in a plane [nm]: how far it reaches along, and from its bottom to its top."""

    left: int
    bottom: int
    right: int
    top: int

    @property
    def gap(self) -> int:
        """The shorter side, and so the widest block that passes [nm]."""
        return min(self.right - self.left, self.top - self.bottom)

    def within(self, window: Rect) -> Rect:
        """What of it lies in a window; without area where nothing does."""
        left, bottom = max(self.left, window.left), max(self.bottom, window.bottom)
        right, top = min(self.right, window.right), min(self.top, window.top)
        return Rect(left, bottom, max(left, right), max(bottom, top))


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of a length, and how high what stands there reaches [nm]."""

    start: int
    end: int
    top: int

    @property
    def width(self) -> int:
        """How long it is [nm]."""
        return self.end - self.start


def openings(window: Rect, blocks: Iterable[Rect]) -> list[Rect]:
    """Every maximal free rectangle of a window: none can grow to any side without meeting a block or the edge.

    Ordered by bottom, top and left.
    """
    solid = [part for block in blocks if (part := block.within(window)).gap > 0]
    xs = sorted({window.left, window.right, *(x for part in solid for x in (part.left, part.right))})
    ys = sorted({window.bottom, window.top, *(y for part in solid for y in (part.bottom, part.top))})
    if window.gap <= 0:
        return []
    return [Rect(xs[a], ys[low], xs[b], ys[high]) for low, high, a, b in _maximal(_free_rows(xs, ys, solid))]


def _free_rows(xs: Sequence[int], ys: Sequence[int], solid: Iterable[Rect]) -> list[int]:
    """For each row between cuts the free columns, as the bits of a number."""
    column, row = ({at: i for i, at in enumerate(cuts)} for cuts in (xs, ys))
    rows = [(1 << (len(xs) - 1)) - 1] * (len(ys) - 1)
    for part in solid:
        taken = (1 << column[part.right]) - (1 << column[part.left])
        for i in range(row[part.bottom], row[part.top]):
            rows[i] &= ~taken
    return rows


def _maximal(rows: Sequence[int]) -> Iterator[tuple[int, int, int, int]]:
    """The first row and the one after the last, the first column and the one after the last, of each."""
    edged = (0, *rows, 0)
    for low in range(1, len(edged) - 1):
        free = edged[low]
        for high in range(low, len(edged) - 1):
            free &= edged[high]
            if not free:
                break
            for run in _runs(free):
                if run & ~edged[low - 1] and run & ~edged[high + 1]:
                    yield low - 1, high, (run & -run).bit_length() - 1, run.bit_length()


def _runs(bits: int) -> Iterator[int]:
    """The unbroken runs of set bits, each as a number of its own: adding the lowest bit carries through a run."""
    while bits:
        run = bits & ~(bits + (bits & -bits))
        yield run
        bits ^= run


def skyline(start: int, end: int, blocks: Iterable[Rect], ground: int) -> list[Stretch]:
    """How high the blocks reach over a length, stretch by stretch; the ground where none stands."""
    standing = [block for block in blocks if block.left < end and start < block.right and block.top > ground]
    edges = (x for block in standing for x in (block.left, block.right) if start < x < end)
    cuts = sorted({start, end, *edges})
    return [
        Stretch(a, b, max((block.top for block in standing if block.left <= a and b <= block.right), default=ground))
        for a, b in pairwise(cuts)
    ]


def not_above(outline: Iterable[Stretch], level: int) -> list[Stretch]:
    """The unbroken stretches of an outline that do not rise above a level, each with the highest top in it."""
    low: list[Stretch] = []
    for each in outline:
        if each.top > level:
            continue
        if low and low[-1].end == each.start:
            low[-1] = Stretch(low[-1].start, each.end, max(low[-1].top, each.top))
        else:
            low.append(each)
    return low
