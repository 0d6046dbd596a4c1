"""The exact search: which few patterns beside the basis make every count whole.

The linear programme's basis B leaves, with columns N beside it counted by t,

    x_B = B^-1 (d - N t) >= 0 and whole,       cost >= floor cost + sum r_j t_j,      r_j >= 0.

Wholeness alone means that N t and d are of one class modulo B's lattice (see lattice.py), and the least
sum r_j t_j that reaches a class is a shortest path in a graph of |det B| nodes, however many boards are asked for.
That distance, exact, tells a best-first search over the sums N t how much must still be spent:
the cheapest sum that is of d's class with x_B >= 0 is a cheapest plan once no other promises less, and
the least promise left is a lower bound on every plan at any time. Many sums are extended at a time.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.cutting.lattice import Ints
from sawbill.estimating.cutting.sums import FAR, Corner, Sums, Ways, graph

FEWEST, MOST = 8, 256  # sums that are extended together: few at first, as the goal may be near
NEAR = 2_000  # sums that are kept at hand
OVERHEAD = 2_000  # columns whose trial takes as long as to begin with some sums
CELLS = 1_000_000  # numbers in the sums that come of them at most; it bounds the memory
KEPT = 100  # columns whose trial takes as long as to keep one sum; it bounds the memory too
LAYER = 100  # sums that take as long as to begin with those of one column more


@dataclass(frozen=True, slots=True)
class Found:
    """Whether there is a solution, counts of the columns beside the basis, and of the basis.

    least: what no solution's columns cost less than; FAR when everything within the slack was searched.
    """

    any: bool
    beside: dict[int, int]
    basic: tuple[int, ...]
    least: int


def search(corner: Corner, slack: int, work: int, end: float) -> Found:
    """The cheapest solution within the slack; work: how many columns may be tried; end: the emergency stop.

    Of two ways to a sum, one that is no dearer and may still add all that the other may stands for both.
    """
    own = graph(corner, slack, end)
    if own is None:
        return Found(False, {}, (), 0)
    best, ways, grown, waiting = Found(False, {}, (), FAR), Ways(), own.start(), _Waiting()
    seen: dict[bytes, tuple[int, int]] = {}
    at_once, most = FEWEST, max(1, min(MOST, CELLS // max(1, corner.columns.size)))
    while True:
        grown = ways.kept(grown.only(_new(grown, seen)))
        work -= KEPT * len(grown.promises)
        reached = np.flatnonzero(own.reaches(grown))
        if len(reached) and int(grown.spent[reached].min()) <= slack:
            n = int(reached[grown.spent[reached].argmin()])
            slack = int(grown.spent[n]) - 1
            best = Found(True, ways.counts(int(grown.way[n])), own.counts(grown.basic[n]), slack + 1)
        waiting.put(grown)
        least = waiting.least()
        if least > slack:
            return best
        if work <= 0 or time.monotonic() > end:
            return Found(best.any, best.beside, best.basic, least)
        now = waiting.take(min(at_once, most))
        at_once += at_once // FEWEST
        work -= OVERHEAD + len(now.promises) * len(corner.costs)
        grown, again = own.extended(now, int(now.promises.max()), slack)
        waiting.put(again)


class _Waiting:
    """Sums to be extended: those within a horizon at hand, those beyond it put aside until it is moved."""

    def __init__(self) -> None:
        self._near: list[Sums] = []
        self._far: list[Sums] = []
        self._horizon = -1

    def put(self, sums: Sums) -> None:
        """Some more."""
        near = sums.promises <= self._horizon
        self._near.append(sums.only(near))
        self._far.append(sums.only(~near))

    def least(self) -> int:
        """The least promise; FAR when none is left."""
        if not any(len(each.promises) for each in self._near):
            self._move_on()
        return min((int(each.promises.min(initial=FAR)) for each in self._near), default=FAR)

    def take(self, most: int) -> Sums:
        """So many that promise least."""
        taken, rest = self._near[0].with_(*self._near[1:]).parted(most)
        self._near = [rest]
        return taken

    def _move_on(self) -> None:
        far = self._far[0].with_(*self._far[1:])
        last = min(NEAR, len(far.promises)) - 1
        if last >= 0:
            self._horizon = int(np.partition(far.promises, last)[last])
        self._near, self._far = [], []
        self.put(far)


def _new(sums: Sums, seen: dict[bytes, tuple[int, int]]) -> NDArray[np.bool_]:
    """Which sums were not seen before as cheap and with as many columns still to add."""
    new = np.ones(len(sums.promises), bool)
    for n, (total, spent, last) in enumerate(zip(sums.totals, sums.spent.tolist(), sums.last.tolist(), strict=True)):
        key = total.tobytes()
        held = seen.get(key)
        if held is None or (spent, last) < held:
            seen[key] = spent, last
        new[n] = held is None or spent < held[0] or last < held[1]
    return new


@dataclass(frozen=True, slots=True)
class Solutions:
    """Solutions side by side, one row each; complete: whether these are all.

    columns: those beside the basis that occur; beside: their counts; basic: the basis's.
    """

    columns: Ints
    beside: Ints
    basic: Ints
    complete: bool


def solutions(corner: Corner, slack: int, most: int, end: float) -> Solutions:
    """All solutions within the slack; most: sums that may be looked at; end: the emergency stop."""
    own, ways = graph(corner, slack, end), Ways()
    ends, basics = [np.zeros(0, np.int64)], [np.zeros((0, len(corner.target)), np.int64)]
    complete = False
    now = None if own is None else ways.kept(own.start())
    while own is not None and now is not None:
        reached = own.reaches(now)
        ends.append(now.way[reached])
        basics.append(now.basic[reached] // corner.own.determinant)
        most -= LAYER + len(now.promises)
        complete = not len(now.promises)
        if complete or most <= 0 or len(now.promises) * corner.columns.size > CELLS or time.monotonic() > end:
            break
        now = ways.kept(own.extended(now, slack, slack)[0])
    columns, beside = ways.table(np.concatenate(ends))
    return Solutions(columns, beside, np.concatenate(basics), complete)
