"""All plans within a slack, by what lies beside the basis: what is searched for in corner.py, one after another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sawbill.compiled import compiled, taller
from sawbill.cutting.closing.corner import KEPT, LAST, NUMBERS, SPENT
from sawbill.cutting.linear.lattice import Ints
from sawbill.cutting.linear.sums import Corner, Graph, graph, mending, moved, to_place, whole, within


@dataclass(frozen=True, slots=True)
class Solutions:
    """Solutions side by side, one row each; complete: whether these are all.

    columns: those beside the basis that occur; beside: their counts; basic: the basis's.
    """

    columns: Ints
    beside: Ints
    basic: Ints
    complete: bool


def solutions(corner: Corner, slack: int, work: int) -> Solutions:
    """All solutions within the slack; work: how many columns may be tried."""
    own, rows = graph(corner, slack), len(corner.target)
    if own is None:
        return Solutions(np.zeros(0, np.int64), np.zeros((0, 0), np.int64), np.zeros((0, rows), np.int64), False)
    counts, basics, complete = _all(own, slack, work, NUMBERS // (len(own.costs) + rows))
    used = np.flatnonzero(counts.any(axis=0))
    used = used[np.argsort(own.order[used])]
    return Solutions(own.order[used], counts[:, used], basics // corner.own.determinant, complete)


@compiled
def _all(own: Graph, slack: int, work: int, most: int) -> tuple[Ints, Ints, bool]:
    """The counts of every solution's columns, what it leaves to the basis, and whether these are all.

    Depth first: to each sum the columns from its last on are added in turn; LAST is the next of them.
    """
    rows, parts = len(own.start), len(own.orders)
    found, lefts = [np.zeros(len(own.costs), np.int64)][:0], [own.start][:0]
    kept, totals, basics = np.zeros((64, 6), np.int64), np.zeros((64, rows), np.int64), np.zeros((64, rows), np.int64)
    places = np.zeros((64, parts), np.int64)
    for row in range(rows):
        basics[0, row] = own.start[row]
    counts, depth = np.zeros(len(own.costs), np.int64), 0
    if own.goal == 0 and whole(own.start, own.fixed):
        found.append(counts.copy())
        lefts.append(own.start.copy())
    while depth >= 0 and work > 0 and len(found) < most:
        column = kept[depth, LAST]
        kept[depth, LAST] += 1
        if column == len(own.costs) or kept[depth, SPENT] + own.costs[column] > slack:
            depth -= 1
            if depth >= 0:
                counts[kept[depth, LAST] - 1] -= 1
            continue
        work -= 1
        reached = moved(places[depth], own.moves[column], own.orders, own.weights)
        cost = kept[depth, SPENT] + own.costs[column]
        if cost + own.ahead[reached] > slack:
            continue
        if depth + 1 == len(totals):
            kept, totals, basics, places = taller(kept), taller(totals), taller(basics), taller(places)
        for row in range(rows):
            totals[depth + 1, row] = totals[depth, row] + own.given[column, row]
            basics[depth + 1, row] = basics[depth, row] - own.drawn[column, row]
        basic = basics[depth + 1]
        if cost + mending(basic, own.repair) > slack or not within(totals[depth + 1], own.most):
            continue
        work -= KEPT
        depth += 1
        kept[depth, SPENT], kept[depth, LAST] = cost, column
        to_place(reached, own.orders, own.weights, places[depth])
        counts[column] += 1
        if reached == own.goal and whole(basic, own.fixed):
            found.append(counts.copy())
            lefts.append(basic.copy())
    beside, left = np.zeros((len(found), len(counts)), np.int64), np.zeros((len(found), rows), np.int64)
    for n in range(len(found)):
        for column in range(len(counts)):
            beside[n, column] = found[n][column]
        for row in range(rows):
            left[n, row] = lefts[n][row]
    return beside, left, depth < 0
