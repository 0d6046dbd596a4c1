"""The best way to fill boards, for every length of board at once: one bounded knapsack in exact integers.

f[p] is the best value of items that take up exactly p. Items come in at most b copies, split in binary
(1, 2, 4, ..., rest), and each split is one step f'[p] = max(f[p], f[p - c l] + c v). What a board of
room R is worth is then the best f[p] + worth(p) over the ends p <= R it may be cut to.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.linear.places import MOST_PLACES, Ints, place, reachable
from sawbill.cutting.problem import Problem

Flags = NDArray[np.bool_]
Items = tuple[tuple[int, int], ...]

NEVER = -(2**62)  # a value no filling has: the position cannot be reached
DENSE = 0.2  # share of reachable positions from which it is quicker to hold all positions


class Taken(NamedTuple):
    """Which copies of which items each split stands for, and at which positions it was worth taking."""

    items: Ints
    copies: Ints
    where: Flags


class Filling:
    """The best filling of one bin: its value, and the items as (index, count), traced only when they are asked for.

    upto: the best value of what takes up no more than each position, where a board may end anywhere.
    """

    __slots__ = ("_items", "_trace", "upto", "value")

    def __init__(self, value: int, trace: Callable[[], Items] = tuple, upto: Ints | None = None) -> None:
        self.value, self._trace, self.upto = value, trace, upto
        self._items: Items | None = None

    @property
    def items(self) -> Items:
        """What lies in it."""
        if self._items is None:
            self._items = self._trace()
        return self._items


class Knapsack:
    """Fills the boards of one group. Holds the reachable positions, or all where most can be reached.

    Raises TooManyPlacesError (see places.py).
    """

    def __init__(self, problem: Problem, group: int) -> None:
        self.problem = problem
        self.items = problem.groups[group]
        self.bins = [b for b, bin_ in enumerate(problem.bins) if bin_.group == group]
        room = max(problem.bins[b].room for b in self.bins)
        longest = next(b for b in self.bins if problem.bins[b].room == room)
        self.most = [problem.most(longest, item) for item in self.items]
        strides = [problem.stride(item) for item in self.items]
        self.lengths = np.array(strides, np.int64)
        self.positions = reachable(strides, self.most, room, problem.storey, problem.borrowed)
        if room < MOST_PLACES and len(self.positions) > DENSE * (room + 1) and not problem.borrowed:
            self.positions = np.arange(room + 1, dtype=np.int64)
        self.dense = int(self.positions[-1]) == len(self.positions) - 1
        self._most = np.array(self.most, np.int64)
        self._splits = sum(most.bit_length() for most in self.most)
        self._longest = sorted(range(len(self.items)), key=lambda i: (-self.items[i].length, -self.items[i].lends))
        self.any_end = not problem.no_slivers and (problem.keep is None or not problem.credit)
        self.ends = {b: self._ends(b) for b in self.bins}
        self.lasts = [len(ends) - 1 for ends in self.ends.values()]
        self.worths = {b: self._worths(b, ends) for b, ends in self.ends.items()}

    def _ends(self, bin_index: int) -> Ints:
        """The positions at which a board of that bin may end, as indices."""
        positions, problem = self.positions, self.problem
        if not problem.no_slivers:
            return np.arange(np.searchsorted(positions, problem.bins[bin_index].room, side="right"), dtype=np.int64)
        admitted = [problem.admits(bin_index, *problem.at(place)) for place in positions.tolist()]
        return np.flatnonzero(admitted).astype(np.int64)

    def _worths(self, bin_index: int, ends: Ints) -> Ints | None:
        """What the leftover is worth at each end; None when leftovers are worth nothing."""
        problem = self.problem
        if problem.keep is None or not problem.credit:
            return None
        leftovers = [problem.leftover(bin_index, problem.at(place)[0]) for place in self.positions[ends].tolist()]
        return np.array([problem.worth(bin_index, leftover) for leftover in leftovers], dtype=np.int64)

    def steps(self, item: int) -> tuple[Ints, Ints]:
        """From which positions one of an item leads to which, as indices."""
        sums = self.positions + self.lengths[item]
        targets = np.searchsorted(self.positions, sums)
        sources = np.flatnonzero(self.positions[np.minimum(targets, len(self.positions) - 1)] == sums)
        return sources, targets[sources]

    def best(self, values: Sequence[int], most: Sequence[int], scale: int = 1) -> dict[int, Filling]:
        """The most valuable filling of each bin, with no more of an item than is said.

        values: of one of each item, any integers; scale: by which worths are multiplied to compare with them.
        Of equal fillings the one with the shortest total is taken.
        """
        allowed, worths = np.array(most, np.int64), np.array(values, np.int64)
        items, copies = np.zeros((2, self._splits), np.int64)
        taken = Taken(items, copies, np.zeros((self._splits, len(self.positions)), np.bool_))
        best, upto = np.empty((2, len(self.positions)), np.int64)
        _fill(self.positions, self.dense, self.lengths, worths, allowed, self._most, self.any_end, best, upto, taken)
        if not self.any_end:
            return {b: self._filling(best, taken, b, scale) for b in self.bins}
        tops = upto[self.lasts].tolist()
        return {
            b: Filling(top, partial(self._trace_first, taken, upto, top), upto)
            for b, top in zip(self.bins, tops, strict=True)
        }

    def longest_first(self, most: Sequence[int]) -> dict[int, Filling]:
        """A filling of each bin at once, the longest items that still fit in turn; its value is the length it takes."""
        order = [i for i in self._longest if most[i] > 0]
        return {b: self._longest_first(b, order, most) for b in self.bins}

    def _longest_first(self, bin_index: int, order: Sequence[int], most: Sequence[int]) -> Filling:
        room = left = self.problem.bins[bin_index].room
        items, lends = [], 0
        shortest = self.items[order[-1]].length if order else 0
        for item in order:
            length = self.items[item].length
            if left < shortest:
                break
            if length <= left and (count := min(most[item], self.most[item], left // length)):
                items.append((item, count))
                left -= count * length
                lends += count * self.items[item].lends
        if not self.problem.admits(bin_index, room - left, lends):
            return Filling(NEVER)
        return Filling(room - left, lambda: tuple(sorted(items)))

    def _filling(self, best: Ints, taken: Taken, bin_index: int, scale: int) -> Filling:
        """The best end of a bin's boards, where they may not end everywhere or their leftovers are worth something."""
        ends, worths = self.ends[bin_index], self.worths[bin_index]
        values = best[ends]
        if worths is not None:
            values = values + worths * scale
        if not len(values):
            return Filling(NEVER)
        at = int(values.argmax())
        return Filling(int(values[at]), partial(self._trace, taken, int(ends[at])))

    def _trace_first(self, taken: Taken, upto: Ints, top: int) -> Items:
        return self._trace(taken, int(upto.searchsorted(top)))

    def _trace(self, taken: Taken, at: int) -> Items:
        """The items that led to a position, given as its index."""
        counts = np.zeros(len(self.items), np.int64)
        _count(self.positions, self.lengths, taken, at, counts)
        return tuple((item, count) for item, count in enumerate(counts.tolist()) if count)


@compiled_part
def split(most: Ints, items: Ints, copies: Ints) -> int:
    """Items and copies, such that sums of an item's copies are exactly 0 .. its most: 1, 2, 4, ..., rest; how many."""
    found = 0
    for item in range(len(most)):
        left, next_ = most[item], 1
        while left > 0:
            items[found], copies[found] = item, min(next_, left)
            left -= next_
            next_ *= 2
            found += 1
    return found


@compiled
def _fill(
    positions: Ints, dense: bool, lengths: Ints, values: Ints, most: Ints, ever: Ints, any_end: bool, best: Ints,
    upto: Ints, taken: Taken,
) -> None:  # fmt: skip
    """Find the best value at every position, the same up to every position, and where each split was worth taking.

    most: lowered to what is ever worth taking of an item; of one worth nothing that is none, where a board may end
    anywhere and what is left over is worth nothing.
    """
    for item in range(len(most)):
        most[item] = 0 if any_end and values[item] <= 0 else min(most[item], ever[item])
    last, reached = len(positions) - 1, 0
    for at in range(last + 1):
        best[at] = NEVER
    best[0] = 0
    for n in range(split(most, taken.items, taken.copies)):
        copies = taken.copies[n]
        length, value, took = lengths[taken.items[n]] * copies, values[taken.items[n]] * copies, taken.where[n]
        if dense:
            reached = min(last, reached + length)
            for at in range(reached, length - 1, -1):
                offered, kept = best[at - length] + value, best[at]
                took[at] = offered > kept
                best[at] = max(offered, kept)
            continue
        source = last
        for at in range(last, 0, -1):
            while source > 0 and positions[source] > positions[at] - length:
                source -= 1
            if positions[source] == positions[at] - length and best[source] + value > best[at]:
                best[at], took[at] = best[source] + value, True
    upto[0] = best[0]
    for at in range(1, last + 1):
        upto[at] = max(best[at], upto[at - 1])


@compiled
def _count(positions: Ints, lengths: Ints, taken: Taken, at: int, counts: Ints) -> None:
    """Count how many of each item led to a position, followed backwards."""
    for n in range(len(taken.items) - 1, -1, -1):
        if taken.where[n, at]:
            item, copies = taken.items[n], taken.copies[n]
            counts[item] += copies
            at = place(positions, positions[at] - copies * lengths[item])
