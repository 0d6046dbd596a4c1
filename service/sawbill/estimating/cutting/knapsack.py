"""The best way to fill boards, for every length of board at once: one bounded knapsack in exact integers.

f[p] is the best value of items that take up exactly p. Items come in at most b copies, split in binary
(1, 2, 4, ..., rest), and each split is one step f'[p] = max(f[p], f[p - c l] + c v). What a board of
room R is worth is then the best f[p] + worth(p) over the ends p <= R it may be cut to.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.cutting.problem import Problem

Ints = NDArray[np.int64]
Index = slice | Ints
Items = tuple[tuple[int, int], ...]
_Taken = tuple[int, int, Index, Index, NDArray[np.bool_]]
"""An item, how many copies, from which positions to which, and to which of them they lead best."""

NEVER = -(2**62)  # a value no filling has: the position cannot be reached
DENSE = 0.2  # share of reachable positions from which plain slices beat index arrays


class Filling:
    """The best filling of one bin: its value, and the items as (index, count), traced only when they are asked for."""

    __slots__ = ("_items", "_trace", "value")

    def __init__(self, value: int, trace: Callable[[], Items] = tuple) -> None:
        self.value, self._trace = value, trace
        self._items: Items | None = None

    @property
    def items(self) -> Items:
        """What lies in it."""
        if self._items is None:
            self._items = self._trace()
        return self._items


def reachable(lengths: Sequence[int], most: Sequence[int], room: int) -> Ints:
    """Every total of items, each at most so often, that is no more than the room; ascending."""
    bits, mask = 1, (1 << (room + 1)) - 1
    for length, count in zip(lengths, most, strict=True):
        for copies in splits(count):
            bits |= (bits << (copies * length)) & mask
    raw = np.frombuffer(bits.to_bytes(room // 8 + 1, "little"), np.uint8)
    return np.flatnonzero(np.unpackbits(raw, bitorder="little")).astype(np.int64)


@lru_cache(maxsize=4_096)
def splits(count: int) -> tuple[int, ...]:
    """Copies whose sums are exactly 0 .. count: 1, 2, 4, ..., rest."""
    found, copies = [], 1
    while count > 0:
        found.append(min(copies, count))
        count -= copies
        copies *= 2
    return tuple(found)


class Knapsack:
    """Fills the boards of one group. Holds the reachable positions and where each item leads from them."""

    def __init__(self, problem: Problem, group: int) -> None:
        self.problem = problem
        self.items = problem.groups[group]
        self.bins = [b for b, bin_ in enumerate(problem.bins) if bin_.group == group]
        room = max(problem.bins[b].room for b in self.bins)
        longest = next(b for b in self.bins if problem.bins[b].room == room)
        self.most = [problem.most(longest, item) for item in self.items]
        self.positions = reachable([item.length for item in self.items], self.most, room)
        if len(self.positions) > DENSE * (room + 1):
            self.positions = np.arange(room + 1, dtype=np.int64)
        self.dense = len(self.positions) == room + 1
        self._steps: dict[tuple[int, int], tuple[Index, Index]] = {}
        self.ends = {b: self._ends(b) for b in self.bins}
        self.lasts = [len(ends) - 1 for ends in self.ends.values()]
        self.worths = {b: self._worths(b, ends) for b, ends in self.ends.items()}

    def _ends(self, bin_index: int) -> Ints:
        """The positions at which a board of that bin may end, as indices."""
        positions, bin_ = self.positions, self.problem.bins[bin_index]
        last = int(np.searchsorted(positions, bin_.room, side="right"))
        if not self.problem.no_slivers:
            return np.arange(last, dtype=np.int64)
        return np.array([i for i in range(last) if self.problem.admits(bin_index, int(positions[i]))], dtype=np.int64)

    def _worths(self, bin_index: int, ends: Ints) -> Ints | None:
        """What the leftover is worth at each end; None when leftovers are worth nothing."""
        problem = self.problem
        if problem.keep is None or not problem.credit:
            return None
        leftovers = [problem.leftover(bin_index, int(self.positions[i])) for i in ends]
        return np.array([problem.worth(bin_index, leftover) for leftover in leftovers], dtype=np.int64)

    def step(self, item: int, copies: int) -> tuple[Index, Index]:
        """From which positions to which so many copies of an item lead."""
        known = self._steps.get((item, copies))
        if known is None:
            known = self._steps[item, copies] = self._find_step(self.items[item].length * copies)
        return known

    def _find_step(self, length: int) -> tuple[Index, Index]:
        positions = self.positions
        if self.dense:
            return slice(0, max(0, len(positions) - length)), slice(length, None)
        sums = positions + length
        targets = np.searchsorted(positions, sums)
        sources = np.flatnonzero(positions[np.minimum(targets, len(positions) - 1)] == sums)
        return sources, targets[sources]

    def best(self, values: Sequence[int], most: Sequence[int], scale: int = 1) -> dict[int, Filling]:
        """The most valuable filling of each bin, with no more of an item than is said.

        values: of one of each item, any integers; scale: by which worths are multiplied to compare with them.
        Of equal fillings the one with the shortest total is taken.
        """
        best = np.full(len(self.positions), NEVER, dtype=np.int64)
        best[0] = 0
        taken = []
        for item, value in enumerate(values):
            if value <= 0 and self.problem.keep is None and not self.problem.no_slivers:
                continue
            for copies in splits(min(most[item], self.most[item])):
                source, target = self.step(item, copies)
                offered, kept = best[source] + value * copies, best[target]
                better = offered > kept
                if self.dense:  # kept is best itself, seen through a slice
                    np.maximum(kept, offered, out=kept)
                else:
                    best[target] = np.maximum(kept, offered)
                taken.append((item, copies, source, target, better))
        if self.problem.no_slivers or any(worths is not None for worths in self.worths.values()):
            return {b: self._filling(best, taken, b, scale) for b in self.bins}
        upto = np.maximum.accumulate(best)
        tops = upto[self.lasts].tolist()
        return {
            b: Filling(top, partial(self._trace_first, taken, upto, top))
            for b, top in zip(self.bins, tops, strict=True)
        }

    def longest_first(self, most: Sequence[int]) -> dict[int, Filling]:
        """A filling of each bin at once, the longest items that still fit in turn; its value is the length it takes."""
        order = [i for i in sorted(range(len(most)), key=lambda i: -self.items[i].length) if most[i] > 0]
        return {b: self._longest_first(b, order, most) for b in self.bins}

    def _longest_first(self, bin_index: int, order: Sequence[int], most: Sequence[int]) -> Filling:
        room = left = self.problem.bins[bin_index].room
        items = []
        for item in order:
            length = self.items[item].length
            if length <= left and (count := min(most[item], self.most[item], left // length)):
                items.append((item, count))
                left -= count * length
        if not self.problem.admits(bin_index, room - left):
            return Filling(NEVER)
        return Filling(room - left, lambda: tuple(sorted(items)))

    def _filling(self, best: Ints, taken: Sequence[_Taken], bin_index: int, scale: int) -> Filling:
        """The best end of a bin's boards, where they may not end everywhere or their leftovers are worth something."""
        ends, worths = self.ends[bin_index], self.worths[bin_index]
        values = best[ends]
        if worths is not None:
            values = values + worths * scale
        if not len(values):
            return Filling(NEVER)
        at = int(values.argmax())
        return Filling(int(values[at]), partial(self._trace, taken, int(ends[at])))

    def _trace_first(self, taken: Sequence[_Taken], upto: Ints, top: int) -> Items:
        return self._trace(taken, int(upto.searchsorted(top)))

    def _trace(self, taken: Sequence[_Taken], at: int) -> Items:
        """The items that led to a position, given as its index, followed backwards."""
        counts: dict[int, int] = {}
        for item, copies, source, target, better in reversed(taken):
            if isinstance(target, slice):
                slot, took = at - target.start, at >= target.start and bool(better[at - target.start])
            else:
                slot = int(target.searchsorted(at))
                took = slot < len(target) and int(target[slot]) == at and bool(better[slot])
            if took:
                counts[item] = counts.get(item, 0) + copies
                at = slot if isinstance(source, slice) else int(source[slot])
        return tuple(sorted(counts.items()))
