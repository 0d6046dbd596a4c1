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
import time
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.cutting.lattice import Ints, Lattice

FAR = 2**62
MOST_ARCS = 200_000_000  # of the graph of classes, beyond which it is not searched
OVERHEAD = 1_000  # columns whose trial takes as long as the rest of a step
TRIED = 10  # columns whose trial takes as long as to look up one sum
KEPT = 100  # columns whose trial takes as long as to keep one sum; it bounds the memory too

_Way = tuple[int, Any]  # the column added last, and the way before it
# promise, distance to the goal, what the basis lacks, depth, number, promise up to which it was extended;
# sum, class, cost, the column added last, the way to it
_Entry = tuple[int, int, int, int, int, int, Ints, int, int, int, _Way | None]


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


def distances(own: Lattice, classes: Ints, costs: Ints, slack: int, end: float) -> Ints | None:
    """The least cost of columns that add up to each class, FAR where over the slack; None if it is too much work."""
    if len(np.unique(classes)) * own.determinant > MOST_ARCS:
        return None
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
            if time.monotonic() > end:
                return None
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
    """Whether there is a solution, counts of the columns beside the basis, and of the basis.

    least: what no solution's columns cost less than; FAR when everything within the slack was searched.
    """

    any: bool
    beside: dict[int, int]
    basic: tuple[int, ...]
    least: int


def search(corner: Corner, slack: int, work: int, end: float) -> Found:
    """The cheapest solution within the slack; work: how many columns may be tried; end: the emergency stop.

    Of sums that promise the same the one nearest the goal goes first, then the one of fewest columns. Columns are
    added in their order only, so that no sum is made up twice of the same ones; of two ways to a sum, one that is no
    dearer and may still add all that the other may stands for both.
    """
    own = corner.own
    goal = int(own.classes(corner.target[:, None])[0])
    classes = own.classes(corner.columns)
    ways = distances(own, classes, corner.costs, slack, end)
    if ways is None:
        return Found(False, {}, (), 0)
    ahead = _ahead(own, goal, ways)
    places, moves = own.coordinates(), own.coordinates_of(classes)
    drawn = own.adjugate @ corner.columns
    repair = _repair(drawn, corner.costs)
    start = np.zeros(len(corner.target), np.int64)
    first = own.adjugate @ corner.target
    lack = -int(np.minimum(first, 0).sum())
    heap: list[_Entry] = [(int(ahead[0]), 0, lack, 0, 0, -1, start, 0, 0, 0, None)]
    seen = {start.tobytes(): (0, 0)}
    number = 0
    weights, orders = own.weights, own.orders[:, None]
    while heap and heap[0][0] <= slack:
        promise, _, short, depth, _, before, total, klass, cost, last, way = heapq.heappop(heap)
        known = seen[total.tobytes()]
        if known != (cost, last) and known[0] <= cost and known[1] <= last:
            continue
        basic = first - own.adjugate @ total
        if klass == goal and not short and not basic[corner.fixed].any():
            counts = tuple(int(n) // own.determinant for n in basic)
            return Found(True, _counted(way), counts, promise)
        if work <= 0 or time.monotonic() > end:
            return Found(False, {}, (), promise)
        work -= len(corner.costs) - last + OVERHEAD
        reached = weights @ ((places[:, klass, None] + moves[:, last:]) % orders)
        promises = cost + corner.costs[last:] + ahead[reached]
        near = np.flatnonzero(promises <= slack)
        fits = total[:, None] + corner.columns[:, last + near] <= corner.most[:, None]
        near = near[fits.all(axis=0)]
        basics = basic[:, None] - drawn[:, last + near]
        promises = np.maximum(promises[near], cost + corner.costs[last + near] + _mending(repair, basics))
        later = promises[promises > promise]
        if len(later) and (again := int(later.min())) <= slack:
            number += 1
            entry = (again, again - cost, short, depth, number, promise)
            heapq.heappush(heap, (*entry, total, klass, cost, last, way))
        for place in np.flatnonzero((promises > before) & (promises <= promise)).tolist():
            work -= TRIED
            column = last + int(near[place])
            after, spent = total + corner.columns[:, column], cost + int(corner.costs[column])
            key = after.tobytes()
            held = seen.get(key)
            if held is None or spent < held[0] or column < held[1]:
                if held is None or (spent, column) < held:
                    seen[key] = spent, column
                number, work = number + 1, work - KEPT
                lack = -int(np.minimum(basics[:, place], 0).sum())
                entry = (promise, promise - spent, lack, depth + 1, number, -1)
                heapq.heappush(heap, (*entry, after, int(reached[near[place]]), spent, column, (column, way)))
    return Found(False, {}, (), FAR)


def _repair(drawn: Ints, costs: Ints) -> NDArray[np.float64]:
    """What it costs at least, per unit, to raise each count of the basis by columns beside it; a little less."""
    rates = np.where(drawn < 0, costs / np.maximum(-drawn, 1), float(FAR // 4))
    found: NDArray[np.float64] = rates.min(axis=1, initial=float(FAR // 4)) * (1 - 1e-9)
    return found


def _mending(repair: NDArray[np.float64], basics: Ints) -> Ints:
    """The least that must still be spent to lift every count of the basis that is below 0, for each column."""
    needs = np.minimum(repair[:, None] * np.maximum(-basics, 0), float(FAR // 4))
    return np.asarray(needs.max(axis=0), np.int64)


def _basic(corner: Corner, total: Ints) -> tuple[int, ...] | None:
    """The whole counts of the basis beside a sum of the goal's class; None when one would be below 0."""
    scaled = corner.own.adjugate @ (corner.target - total)
    if (scaled < 0).any() or scaled[corner.fixed].any():
        return None
    return tuple(int(n) // corner.own.determinant for n in scaled)


def _counted(way: _Way | None) -> dict[int, int]:
    """How often each column was added on the way."""
    counts: dict[int, int] = {}
    while way is not None:
        column, way = way
        counts[column] = counts.get(column, 0) + 1
    return counts


def _ahead(own: Lattice, goal: int, ways: Ints) -> Ints:
    """For each class, the least cost from it to the goal: the way to their difference."""
    coordinates = own.coordinates()
    differences = (coordinates[:, goal, None] - coordinates) % own.orders[:, None]
    found: Ints = np.minimum(ways[own.weights @ differences], FAR // 2)
    return found


def solutions(
    corner: Corner, slack: int, steps: int, end: float
) -> tuple[list[tuple[dict[int, int], tuple[int, ...]]], bool]:
    """All solutions within the slack as (beside, basic), and whether that is all; columns in ascending order."""
    own = corner.own
    goal = int(own.classes(corner.target[:, None])[0])
    classes = own.classes(corner.columns)
    ways = distances(own, classes, corner.costs, slack, end)
    if ways is None:
        return [], False
    ahead = _ahead(own, goal, ways)
    places, moves = own.coordinates(), own.coordinates_of(classes)
    found = []
    stack: list[tuple[int, Ints, int, int, _Way | None]] = [(0, np.zeros(len(corner.target), np.int64), 0, 0, None)]
    while stack and steps:
        steps -= 1
        first, total, klass, cost, way = stack.pop()
        if klass == goal and (basic := _basic(corner, total)) is not None:
            found.append((_counted(way), basic))
        reached = own.weights @ ((places[:, klass, None] + moves[:, first:]) % own.orders[:, None])
        costs = cost + corner.costs[first:]
        near = np.flatnonzero(costs + ahead[reached] <= slack)
        totals = total[:, None] + corner.columns[:, first + near]
        fits = (totals <= corner.most[:, None]).all(axis=0)
        for offset, after in zip(near[fits].tolist(), totals[:, fits].T, strict=True):
            column = first + offset
            stack.append((column, after, int(reached[offset]), int(costs[offset]), (column, way)))
    return found, not stack
