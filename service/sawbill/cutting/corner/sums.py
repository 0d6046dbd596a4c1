"""Sums of columns beside a basis: what of a corner tells how far each is from being a solution.

Columns are added in their order only, the cheapest first, so that no sum is made up twice of the same ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.corner.lattice import Ints, Lattice

FAR = 2**62
MOST_ARCS = 100_000_000  # of the graph of classes, beyond which it is not searched


@dataclass(frozen=True, slots=True)
class Corner:
    """The programme seen from its basis.

    columns and costs: what lies beside the basis, one column each; target: the right-hand side;
    most: what the columns beside the basis may add up to in each row at most; fixed: basic columns that must stay 0.
    """

    own: Lattice
    columns: Ints
    costs: Ints
    target: Ints
    most: Ints
    fixed: NDArray[np.bool_]


class Graph(NamedTuple):
    """A corner prepared for its sums; columns are one row each, the cheapest first.

    order: the corner's number of each column; given: the columns; moves: the coordinates of their classes, in orders
    of such weights; drawn: what one of each takes from the basis, scaled by the determinant;
    ahead: what must still be spent from each class, that of nothing being 0; goal: the target's class;
    start: what no columns leave to the basis, scaled; repair: what it costs at least, per unit, to raise each count.
    """

    order: Ints
    costs: Ints
    given: Ints
    moves: Ints
    drawn: Ints
    orders: Ints
    weights: Ints
    ahead: Ints
    goal: int
    start: Ints
    most: Ints
    fixed: NDArray[np.bool_]
    repair: NDArray[np.float64]


def graph(corner: Corner, slack: int) -> Graph | None:
    """The corner's graph, for sums within the slack; None when it is too much work."""
    own = corner.own
    order = np.argsort(corner.costs, kind="stable")
    costs, columns = corner.costs[order], np.ascontiguousarray(corner.columns.T[order])
    classes = own.classes(columns.T)
    ways = distances(own, classes, costs, slack)
    if ways is None:
        return None
    goal = int(own.classes(corner.target[:, None])[0])
    drawn = columns @ own.adjugate.T
    return Graph(
        order=order,
        costs=costs,
        given=columns,
        moves=np.ascontiguousarray(own.coordinates_of(classes).T),
        drawn=drawn,
        orders=own.orders,
        weights=own.weights,
        ahead=_ahead(own.orders, own.weights, goal, ways),
        goal=goal,
        start=own.adjugate @ corner.target,
        most=corner.most,
        fixed=corner.fixed,
        repair=_repair(drawn, costs),
    )


def distances(own: Lattice, classes: Ints, costs: Ints, slack: int) -> Ints | None:
    """The least cost of columns that add up to each class, FAR where over the slack; None if it is too much work."""
    if len(np.unique(classes)) * own.determinant > MOST_ARCS:
        return None
    best = np.full(own.determinant, FAR, np.int64)
    best[0] = 0
    order = np.argsort(costs, kind="stable")
    order = order[costs[order] <= slack]
    _reach(best, own.orders, own.weights, classes[order], costs[order])
    best[best > slack] = FAR
    return best


@compiled
def _reach(best: Ints, orders: Ints, weights: Ints, classes: Ints, costs: Ints) -> None:
    """Lower each class to what it costs with any number of a column more, column by column.

    Copies of one column lead from a class around a circle; twice around it, every class has had its best start.
    """
    for column in range(len(classes)):
        move, cost = classes[column], costs[column]
        if best[move] <= cost:
            continue
        seen = np.zeros(len(best), np.bool_)
        for first in range(len(best)):
            klass, rounds = first, 0
            while not seen[first] and rounds < 2:
                after = 0
                for part in range(len(orders)):
                    step = klass // weights[part] % orders[part] + move // weights[part] % orders[part]
                    after += weights[part] * (step - orders[part] if step >= orders[part] else step)
                best[after] = min(best[after], best[klass] + cost)
                klass = after
                rounds += klass == first
                seen[klass] = rounds == 2 or (rounds == 1 and klass != first)


@compiled
def _ahead(orders: Ints, weights: Ints, goal: int, ways: Ints) -> Ints:
    """For each class, the least cost from it to the goal: the way to their difference."""
    found = np.empty(len(ways), np.int64)
    for klass in range(len(ways)):
        difference = 0
        for part in range(len(orders)):
            step = goal // weights[part] % orders[part] - klass // weights[part] % orders[part]
            difference += weights[part] * (step + orders[part] if step < 0 else step)
        found[klass] = min(ways[difference], FAR // 2)
    return found


def _repair(drawn: Ints, costs: Ints) -> NDArray[np.float64]:
    """What it costs at least, per unit, to raise each count of the basis by columns beside it; a little less."""
    rates = np.where(drawn < 0, costs[:, None] / np.maximum(-drawn, 1), float(FAR // 4))
    found: NDArray[np.float64] = rates.min(axis=0, initial=float(FAR // 4)) * (1 - 1e-9)
    return found


@compiled_part
def to_place(klass: int, orders: Ints, weights: Ints, place: Ints) -> None:
    """The coordinates of a class."""
    for part in range(len(orders)):
        place[part] = klass // weights[part] % orders[part]


@compiled_part
def moved(place: Ints, move: Ints, orders: Ints, weights: Ints) -> int:
    """The class at a place moved on by so much in each coordinate."""
    klass = 0
    for part in range(len(orders)):
        step = place[part] + move[part]
        klass += weights[part] * (step - orders[part] if step >= orders[part] else step)
    return klass


@compiled_part
def whole(basic: Ints, fixed: NDArray[np.bool_]) -> bool:
    """Whether no count of the basis is below 0, nor other than 0 where it must be."""
    for row in range(len(basic)):  # noqa: SIM110  # no generator can be compiled
        if basic[row] < 0 or (fixed[row] and basic[row]):
            return False
    return True


@compiled_part
def within(total: Ints, most: Ints) -> bool:
    """Whether a sum gives no row more than it may have."""
    for row in range(len(total)):  # noqa: SIM110  # no generator can be compiled
        if total[row] > most[row]:
            return False
    return True


@compiled_part
def mending(basic: Ints, repair: NDArray[np.float64]) -> int:
    """The least that must still be spent to lift every count of the basis that is below 0."""
    most = 0.0
    for row in range(len(basic)):
        if basic[row] < 0:
            most = max(most, min(-basic[row] * repair[row], float(FAR // 4)))
    return int(most)
