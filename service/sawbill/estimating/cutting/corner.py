"""The exact search: which few patterns beside the basis make every count whole.

The linear programme's basis B leaves, with columns N beside it counted by t,

    x_B = B^-1 (d - N t) >= 0 and whole,       cost >= floor cost + sum r_j t_j,      r_j >= 0.

Wholeness alone means that N t and d are of one class modulo B's lattice (see lattice.py), and the least
sum r_j t_j that reaches a class is a shortest path in a graph of |det B| nodes, however many boards are asked for.
That distance, exact, tells a best-first search over the sums N t how much must still be spent:
the first sum that is of d's class with x_B >= 0 is a cheapest plan, and the least promise on the
heap is a lower bound on every plan at any time.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.cutting.lattice import Ints, Lattice

FAR = 2**62


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


def distances(own: Lattice, classes: Ints, costs: Ints, slack: int) -> Ints:
    """The least cost of columns that add up to each class, FAR where that is over the slack."""
    best = np.full(own.determinant, FAR, np.int64)
    best[0] = 0
    coordinates, weights = own.coordinates(), own.weights
    cheapest: dict[int, int] = {}
    for column in np.argsort(costs, kind="stable"):
        if costs[column] <= slack and classes[column]:
            cheapest.setdefault(int(classes[column]), int(costs[column]))
    frontier = np.zeros(1, np.int64)
    while len(frontier):
        changed = []
        for klass, cost in cheapest.items():
            offered = best[frontier] + cost
            near = offered <= slack
            if not near.any():
                continue
            moved = (coordinates[:, frontier[near]] + coordinates[:, klass, None]) % own.orders[:, None]
            reached = weights @ moved
            better = offered[near] < best[reached]
            best[reached[better]] = offered[near][better]
            changed.append(reached[better])
        frontier = np.unique(np.concatenate(changed)) if changed else np.empty(0, np.int64)
    return best


@dataclass(frozen=True, slots=True)
class Found:
    """Counts of the columns beside the basis and of the basis, or none; and what no solution costs less than.

    least: the least sum of costs still possible; FAR when everything within the slack was searched.
    """

    beside: tuple[tuple[int, int], ...] | None
    basic: tuple[int, ...]
    least: int
    steps: int


def search(corner: Corner, slack: int, steps: int) -> Found:
    """The cheapest solution within the slack, by at most so many steps."""
    own = corner.own
    goal = own.classes(corner.target[:, None])[0]
    classes = own.classes(corner.columns)
    ways = distances(own, classes, corner.costs, slack)
    ahead = _ahead(own, int(goal), ways)
    places, moves = own.coordinates(), own.coordinates_of(classes)
    start = np.zeros(len(corner.target), np.int64)
    heap = [(int(ahead[0]), 0, 0, start, 0, ())]
    seen = {start.tobytes(): 0}
    number = done = 0
    while heap and heap[0][0] <= slack:
        promise, _, cost, total, klass, used = heapq.heappop(heap)
        if seen[total.tobytes()] < cost:
            continue
        if klass == goal:
            basic = own.adjugate @ (corner.target - total)
            if (basic >= 0).all() and not basic[corner.fixed].any():
                counts = tuple(int(n) // own.determinant for n in basic)
                return Found(_counted(used), counts, promise, done)
        if done == steps:
            return Found(None, (), promise, done)
        done += 1
        costs = cost + corner.costs
        reached = own.weights @ ((places[:, klass, None] + moves) % own.orders[:, None])
        promises = costs + ahead[reached]
        totals = total[:, None] + corner.columns
        fits = (promises <= slack) & (totals <= corner.most[:, None]).all(axis=0)
        for column in np.flatnonzero(fits):
            after = totals[:, column]
            key = after.tobytes()
            if seen.get(key, FAR) > costs[column]:
                seen[key] = int(costs[column])
                number += 1
                entry = (int(promises[column]), number, int(costs[column]), after, int(reached[column]), (column, used))
                heapq.heappush(heap, entry)
    return Found(None, (), FAR, done)


def _ahead(own: Lattice, goal: int, ways: Ints) -> Ints:
    """For each class, the least cost from it to the goal: the way to their difference."""
    coordinates = own.coordinates()
    differences = (coordinates[:, goal, None] - coordinates) % own.orders[:, None]
    found: Ints = np.minimum(ways[own.weights @ differences], FAR // 2)
    return found
