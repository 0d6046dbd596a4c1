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

from sawbill.compiled import compiled, compiled_part, taller
from sawbill.cutting.linear.lattice import Ints
from sawbill.cutting.linear.sums import FAR, Corner, Graph, graph, mending, moved, to_place, whole, within

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


def search(corner: Corner, slack: int, work: int) -> Found:
    """The cheapest solution within the slack; work: how many columns may be tried."""
    own = graph(corner, slack)
    if own is None:
        return Found(False, {}, (), 0)
    most = NUMBERS // (6 + 2 * len(own.start))
    any_, least, counts, basic = _cheapest(own, _marks(own.given), slack, work, _empty(own.start), most)
    beside = {int(own.order[n]): int(counts[n]) for n in np.flatnonzero(counts)}
    return Found(any_, beside, tuple((basic // corner.own.determinant).tolist()), least)


SPENT, LAST, BEFORE, KLASS, EXTENDED, MARK = range(6)
"""What is kept of a sum: what it spends; the column added last, to the sum before it; its class; up to which promise
it was extended; and a number that nearly tells it from others."""
MARKS = 2**44 - 1  # marks are told apart by these bits, so that no sum of two needs more than a whole number has


class Sums(NamedTuple):
    """The sums that are kept, a row each: what is told of each, what it gives every row, what it leaves to the basis.

    table: where each is found by its mark, -1 for room; twice as long as there are rows at least.
    """

    kept: Ints
    totals: Ints
    basics: Ints
    table: Ints


@compiled
def _cheapest(own: Graph, marks: Ints, slack: int, work: int, sums: Sums, most: int) -> tuple[bool, int, Ints, Ints]:
    """Whether there is a solution; what none costs less than; how many of each column, and what the basis is left.

    sums: the empty one alone; most: that may be kept. Best first; of equal promises the sum nearest the goal that lacks
    least. A sum is extended by the columns from its last on, but at first only as far as a part of the slack that is
    left, and put back with what it promises beyond: most sums are never extended in full.
    """
    rows, place = len(own.start), np.zeros(len(own.orders), np.int64)
    total, basic = np.zeros(rows, np.int64), np.zeros(rows, np.int64)
    heap, count, best = [(own.ahead[0], 0, 0, 0)], 1, -1
    if own.goal == 0 and whole(own.start, own.fixed):
        best, slack = 0, -1
    while len(heap) and heap[0][0] <= slack and work > 0:
        promise, _, _, now = heappop(heap)
        up_to, later = promise + (slack - promise) // STRIDE, FAR
        to_place(sums.kept[now, KLASS], own.orders, own.weights, place)
        for column in range(sums.kept[now, LAST], len(own.costs)):
            spent = sums.kept[now, SPENT] + own.costs[column]
            if spent > slack:
                break
            work -= 1
            klass = moved(place, own.moves[column], own.orders, own.weights)
            promised = spent + own.ahead[klass]
            if promised > slack or promised <= sums.kept[now, EXTENDED]:
                continue
            if promised > up_to:
                later = min(later, promised)
                continue
            for row in range(rows):
                total[row] = sums.totals[now, row] + own.given[column, row]
                basic[row] = sums.basics[now, row] - own.drawn[column, row]
            promised = max(promised, spent + mending(basic, own.repair))
            if promised > slack or not within(total, own.most):
                continue
            mark = (sums.kept[now, MARK] + marks[column]) & MARKS
            slot = _slot(sums, mark, total)
            held = sums.table[slot]
            if held >= 0 and spent >= sums.kept[held, SPENT] and column >= sums.kept[held, LAST]:
                continue  # the sum is held already, no dearer, and may still add all that this may
            if count == most:  # here the search ends, and of this sum only so much is known as before
                up_to, later, work = sums.kept[now, EXTENDED], promise, 0
                break
            if held < 0 or (spent, column) < (sums.kept[held, SPENT], sums.kept[held, LAST]):
                sums.table[slot] = count
            sums = _with(sums, count, (spent, column, now, klass, -1, mark), total, basic)
            work -= KEPT
            if klass == own.goal and whole(basic, own.fixed):
                best, slack = count, spent - 1
            heappush(heap, (promised, -spent, _lack(basic), count))
            count += 1
        sums.kept[now, EXTENDED] = up_to
        if later <= slack:
            heappush(heap, (later, -sums.kept[now, SPENT], 0, now))
    least = slack + 1 if best >= 0 else FAR
    if len(heap) and heap[0][0] <= slack:
        least = heap[0][0]
    return best >= 0, least, _counts(sums.kept, best, len(own.costs)), sums.basics[max(best, 0)]


@compiled_part
def _with(
    sums: Sums, count: int, told: tuple[int, int, int, int, int, int], total: Ints, basic: Ints
) -> Sums:  # fmt: skip
    """The sums with one more, its place in the table chosen before."""
    if count == len(sums.kept):
        sums = Sums(taller(sums.kept), taller(sums.totals), taller(sums.basics), sums.table)
    for field in range(6):
        sums.kept[count, field] = told[field]
    for row in range(len(total)):
        sums.totals[count, row], sums.basics[count, row] = total[row], basic[row]
    if 2 * (count + 1) > len(sums.table):
        sums = Sums(sums.kept, sums.totals, sums.basics, _roomier(sums.table, sums.kept))
    return sums


@compiled_part
def _counts(kept: Ints, last: int, size: int) -> Ints:
    """How many of each column a sum is of, followed backwards."""
    counts, at = np.zeros(size, np.int64), max(last, 0)
    while kept[at, BEFORE] >= 0:
        counts[kept[at, LAST]] += 1
        at = kept[at, BEFORE]
    return counts


@compiled_part
def _lack(basic: Ints) -> int:
    """By how much the counts of the basis that are below 0 are so."""
    lack = 0
    for row in range(len(basic)):
        lack -= min(basic[row], 0)
    return lack


def _empty(start: Ints) -> Sums:
    """The empty sum alone, which leaves everything to the basis."""
    kept, basics = np.zeros((64, 6), np.int64), np.zeros((64, len(start)), np.int64)
    kept[0, BEFORE] = kept[0, EXTENDED] = -1
    basics[0] = start
    table = np.full(256, -1)
    table[0] = 0
    return Sums(kept, np.zeros((64, len(start)), np.int64), basics, table)


def _marks(given: Ints) -> Ints:
    """A number for each column, whose sums are seldom the same for different sums of columns."""
    salts = [pow(6_364_136_223_846_793_005, row + 1, 2**40) for row in range(given.shape[1])]  # Knuth's (MMIX)
    found: Ints = (given @ np.array(salts, np.int64)) & MARKS
    return found


@compiled_part
def _slot(sums: Sums, mark: int, total: Ints) -> int:
    """Where a sum is held in the table, or may be put."""
    last = len(sums.table) - 1
    slot = (mark ^ (mark >> 31)) & last
    while sums.table[slot] >= 0:
        held = sums.table[slot]
        if sums.kept[held, MARK] == mark:
            same = True
            for row in range(len(total)):
                same = same and sums.totals[held, row] == total[row]
            if same:
                break
        slot = (slot + 1) & last
    return slot


@compiled_part
def _roomier(table: Ints, kept: Ints) -> Ints:
    """The table with four times the room."""
    found = np.full(4 * len(table), -1)
    for held in table:
        if held >= 0:
            mark = kept[held, MARK]
            slot = (mark ^ (mark >> 31)) & (len(found) - 1)
            while found[slot] >= 0:
                slot = (slot + 1) & (len(found) - 1)
            found[slot] = held
    return found
