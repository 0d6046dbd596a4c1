"""The exact search: which few patterns beside the basis make every count whole.

The linear programme's basis B leaves, with columns N beside it counted by t,

    x_B = B^-1 (d - N t) >= 0 and whole,       cost >= floor cost + sum r_j t_j,      r_j >= 0.

Wholeness alone means that N t and d are of one class modulo B's lattice (see lattice.py), and the least
sum r_j t_j that reaches a class is a shortest path in a graph of |det B| nodes, however many boards are asked for.
That distance, exact, tells a best-first search over the sums N t how much must still be spent:
the cheapest sum that is of d's class with x_B >= 0 is a cheapest plan once no other promises less, and
the least promise left is a lower bound on every plan at any time.
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush
from typing import NamedTuple

import numpy as np

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.corner.lattice import Ints
from sawbill.cutting.corner.sums import FAR, Corner, Graph, graph, mending, moved, to_place, whole, within

KEPT = 20  # columns whose trial takes as long as to keep one sum
STRIDE = 8  # what part of the slack that is left a sum is extended by at a time
NUMBERS = 4_000_000  # in the sums that are kept, or in a table of solutions, at most; it bounds the memory


@dataclass(frozen=True, slots=True)
class Found:
    """Whether there is a solution, counts of the columns beside the basis, and of the basis.

    least: what no solution's columns cost less than; FAR when everything within the slack was searched.
    """

    any: bool
    beside: dict[int, int]
    basic: tuple[int, ...]
    least: int


def cheapest(corner: Corner, slack: int, work: int) -> Found:
    """The cheapest solution within the slack; work: how many columns may be tried."""
    own = graph(corner, slack)
    if own is None:
        return Found(False, {}, (), 0)
    sums = _empty(own, work)
    best, least = _cheapest(own, _marks(own.given), slack, work, sums)
    beside: dict[int, int] = {}
    at = max(best, 0)
    while sums.kept[at, BEFORE] >= 0:
        column = int(own.order[sums.kept[at, LAST]])
        beside[column] = beside.get(column, 0) + 1
        at = sums.kept[at, BEFORE]
    basic = sums.basics[max(best, 0)] // corner.own.determinant
    return Found(best >= 0, beside, tuple(basic.tolist()), least)


SPENT, LAST, BEFORE, KLASS, EXTENDED, MARK = range(6)
"""What is kept of a sum: what it spends; the column added last, to the sum before it; its class; up to which promise
it was extended; and a number that nearly tells it from others."""
MARKS = 2**44 - 1  # marks are told apart by these bits, so that no sum of two needs more than a whole number has


class Sums(NamedTuple):
    """Room for the sums that are kept, a row each: what is told of each, what it gives every row, what it leaves to the
    basis.

    table: where each is found by its mark, its row and 1, 0 for room; twice as long as there are rows at least;
    size: how many are kept; place: the coordinates of the class of the sum at hand.
    """

    kept: Ints
    totals: Ints
    basics: Ints
    table: Ints
    size: Ints
    place: Ints


def _empty(own: Graph, work: int) -> Sums:
    """The empty sum alone, which leaves everything to the basis, and room for as many as so much work keeps."""
    rows = len(own.start)
    most = min(NUMBERS // (6 + 2 * rows), work // KEPT + 2)
    sums = Sums(
        np.empty((most, 6), np.int64),
        np.empty((most, rows), np.int64),
        np.empty((most, rows), np.int64),
        np.zeros(1 << (2 * most).bit_length(), np.int64),
        np.ones(1, np.int64),
        np.empty(len(own.orders), np.int64),
    )
    sums.kept[0] = 0
    sums.kept[0, BEFORE] = sums.kept[0, EXTENDED] = -1
    sums.totals[0], sums.basics[0], sums.table[0] = 0, own.start, 1
    return sums


def _marks(given: Ints) -> Ints:
    """A number for each column, whose sums are seldom the same for different sums of columns."""
    salts = [pow(6_364_136_223_846_793_005, row + 1, 2**40) for row in range(given.shape[1])]  # Knuth's (MMIX)
    found: Ints = (given @ np.array(salts, np.int64)) & MARKS
    return found


@compiled
def _cheapest(own: Graph, marks: Ints, slack: int, work: int, sums: Sums) -> tuple[int, int]:
    """The row of the cheapest solution, -1 where none is found; what none costs less than.

    Best first; of equal promises the sum nearest the goal that lacks least. A sum is extended at first only as far as a
    part of the slack that is left, and put back with what it promises beyond: most sums are never extended in full.
    """
    heap, best = [(own.ahead[0], 0, 0, 0)], -1
    if own.goal == 0 and whole(own.start, own.fixed):
        best, slack = 0, -1
    while len(heap) and heap[0][0] <= slack and work > 0:
        promise, _, _, now = heappop(heap)
        spent = sums.kept[now, SPENT]
        later, found, slack, work = _extended(own, marks, slack, work, sums, heap, now, promise)
        best = found if found >= 0 else best
        if later <= slack:
            heappush(heap, (later, -spent, 0, now))
    least = slack + 1 if best >= 0 else FAR
    if len(heap) and heap[0][0] <= slack:
        least = heap[0][0]
    return best, least


@compiled_part
def _extended(
    own: Graph, marks: Ints, slack: int, work: int, sums: Sums, heap: list[tuple[int, int, int, int]], now: int,
    promise: int,
) -> tuple[int, int, int, int]:  # fmt: skip
    """Extend a sum by the columns from its last on: what is left of it promises, a row of a solution, slack, work"""
    kept, found, later, up_to = sums.kept[now], -1, FAR, promise + (slack - promise) // STRIDE
    to_place(kept[KLASS], own.orders, own.weights, sums.place)
    for column in range(kept[LAST], len(own.costs)):
        spent = kept[SPENT] + own.costs[column]
        if spent > slack:
            break
        work -= 1
        klass = moved(sums.place, own.moves[column], own.orders, own.weights)
        promised = spent + own.ahead[klass]
        if promised > slack or promised <= kept[EXTENDED]:
            continue
        if promised > up_to:
            later = min(later, promised)
            continue
        row = sums.size[0]
        if row == len(sums.kept):  # here the search ends, and of this sum only so much is known as before
            return promise, found, slack, 0
        promised = _kept(own, (kept[MARK] + marks[column]) & MARKS, slack, sums, now, (column, klass, spent, promised))
        if promised == FAR:
            continue
        work -= KEPT
        if klass == own.goal and whole(sums.basics[row], own.fixed):
            found, slack = row, spent - 1
        heappush(heap, (promised, -spent, _lack(sums.basics[row]), row))
    kept[EXTENDED] = up_to
    return later, found, slack, work


@compiled_part
def _kept(own: Graph, mark: int, slack: int, sums: Sums, now: int, told: tuple[int, int, int, int]) -> int:
    """Keep a sum with one column more, if it is wanted; what it promises, or FAR.

    told: the column, the class it leads to, what is spent then, and what that promises.
    """
    row, kept, (column, klass, spent, promised) = sums.size[0], sums.kept, told
    total, basic = sums.totals[row], sums.basics[row]
    for n in range(len(total)):
        total[n] = sums.totals[now, n] + own.given[column, n]
        basic[n] = sums.basics[now, n] - own.drawn[column, n]
    promised = max(promised, spent + mending(basic, own.repair))
    if promised > slack or not within(total, own.most):
        return FAR
    slot = _slot(sums, mark, total)
    held = sums.table[slot] - 1
    if held >= 0 and spent >= kept[held, SPENT] and column >= kept[held, LAST]:
        return FAR  # the sum is held already, no dearer, and may still add all that this may
    if held < 0 or (spent, column) < (kept[held, SPENT], kept[held, LAST]):
        sums.table[slot] = row + 1
    kept[row, SPENT], kept[row, LAST], kept[row, BEFORE] = spent, column, now
    kept[row, KLASS], kept[row, EXTENDED], kept[row, MARK] = klass, -1, mark
    sums.size[0] = row + 1
    return promised


@compiled_part
def _lack(basic: Ints) -> int:
    """By how much the counts of the basis that are below 0 are so."""
    lack = 0
    for row in range(len(basic)):
        lack -= min(basic[row], 0)
    return lack


@compiled_part
def _slot(sums: Sums, mark: int, total: Ints) -> int:
    """Where a sum is held in the table, or may be put."""
    last = len(sums.table) - 1
    slot = (mark ^ (mark >> 31)) & last
    while sums.table[slot]:
        held = sums.table[slot] - 1
        if sums.kept[held, MARK] == mark:
            same = True
            for row in range(len(total)):
                same = same and sums.totals[held, row] == total[row]
            if same:
                break
        slot = (slot + 1) & last
    return slot
