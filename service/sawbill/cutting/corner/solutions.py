"""All plans within a slack, by what lies beside the basis: what is searched for in search.py, one after another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.corner.lattice import Ints
from sawbill.cutting.corner.search import KEPT, NUMBERS
from sawbill.cutting.corner.sums import Corner, Graph, graph, mending, moved, to_place, whole, within


@dataclass(frozen=True, slots=True)
class Solutions:
    """Solutions side by side, one row each; complete: whether these are all.

    columns: those beside the basis that occur; beside: their counts; basic: the basis's.
    """

    columns: Ints
    beside: Ints
    basic: Ints
    complete: bool


SPENT, NEXT = range(2)
DEEPEST = 1_000  # columns that are added up; beyond them the search is not complete


def solutions(corner: Corner, slack: int, work: int) -> Solutions:
    """All solutions within the slack; work: how many columns may be tried."""
    own, rows = graph(corner, slack), len(corner.target)
    if own is None:
        return Solutions(np.zeros(0, np.int64), np.zeros((0, 0), np.int64), np.zeros((0, rows), np.int64), False)
    size = len(own.costs)
    most = min(NUMBERS // (size + rows), work // KEPT + 2)
    room = Room(*(np.zeros((DEEPEST, width), np.int64) for width in (2, rows, rows, len(own.orders))))
    room.basics[0] = own.start
    counts, basics = np.empty((most, size), np.int64), np.empty((most, rows), np.int64)
    number, complete = _find_all(own, slack, work, room, np.zeros(size, np.int64), counts, basics)
    counts = counts[:number]
    used = np.flatnonzero(counts.any(axis=0))
    used = used[np.argsort(own.order[used])]
    return Solutions(own.order[used], counts[:, used], basics[:number] // corner.own.determinant, complete)


class Room(NamedTuple):
    """Room for the sums on the way to the one at hand, by depth: what each spends and the next column to add, what it
    gives every row, what it leaves to the basis, the coordinates of its class."""

    told: Ints
    totals: Ints
    basics: Ints
    places: Ints


@compiled
def _find_all(
    own: Graph, slack: int, work: int, room: Room, counts: Ints, found: Ints, basics: Ints
) -> tuple[int, bool]:  # fmt: skip
    """Tell every solution's counts of the columns, and what it leaves to the basis; how many, and whether that is all.

    Depth first: to each sum the columns from its last on are added in turn. counts: of the sum at hand.
    """
    number = depth = 0
    if own.goal == 0 and whole(own.start, own.fixed):
        number = _told(counts, own.start, found, basics, number)
    while depth >= 0 and work > 0 and number < len(found) and depth + 1 < len(room.told):
        told = room.told[depth]
        column = told[NEXT]
        told[NEXT] += 1
        if column == len(own.costs) or told[SPENT] + own.costs[column] > slack:
            depth -= 1
            if depth >= 0:
                counts[room.told[depth, NEXT] - 1] -= 1
            continue
        work -= 1
        reached = moved(room.places[depth], own.moves[column], own.orders, own.weights)
        cost = told[SPENT] + own.costs[column]
        if cost + own.ahead[reached] > slack:
            continue
        total, basic = room.totals[depth + 1], room.basics[depth + 1]
        for row in range(len(total)):
            total[row] = room.totals[depth, row] + own.given[column, row]
            basic[row] = room.basics[depth, row] - own.drawn[column, row]
        if cost + mending(basic, own.repair) > slack or not within(total, own.most):
            continue
        work -= KEPT
        depth += 1
        room.told[depth, SPENT], room.told[depth, NEXT] = cost, column
        to_place(reached, own.orders, own.weights, room.places[depth])
        counts[column] += 1
        if reached == own.goal and whole(basic, own.fixed):
            number = _told(counts, basic, found, basics, number)
    return number, depth < 0


@compiled_part
def _told(counts: Ints, basic: Ints, found: Ints, basics: Ints, number: int) -> int:
    """Keep a solution; how many there are then."""
    for column in range(len(counts)):
        found[number, column] = counts[column]
    for row in range(len(basic)):
        basics[number, row] = basic[row]
    return number + 1
