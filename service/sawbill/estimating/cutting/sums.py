"""Sums of columns beside a basis, many side by side: what each spends, lacks and may still become.

Columns are added in their order only, so that no sum is made up twice of the same ones.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.cutting.lattice import Ints, Lattice

FAR = 2**62
MOST_ARCS = 200_000_000  # of the graph of classes, beyond which it is not searched


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


class Sums(NamedTuple):
    """One row a sum.

    promises: what a solution made of it costs at least; extended: up to which promise columns were added to it;
    spent; klass; last: the column added last; way: its number in the ways, or that of the one it comes from;
    totals: the sum itself; basic: what it leaves to the basis, scaled by the determinant.
    """

    promises: Ints
    extended: Ints
    spent: Ints
    klass: Ints
    last: Ints
    way: Ints
    totals: Ints
    basic: Ints

    def only(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Sums:
        """Some of them."""
        return Sums(*(each[chosen] for each in self))

    def with_(self, *others: Sums) -> Sums:
        """Others after them."""
        return Sums(*map(np.concatenate, zip(self, *others, strict=True)))

    def parted(self, most: int) -> tuple[Sums, Sums]:
        """So many that promise least, of equal ones those nearest the goal that lack least; and the rest."""
        chosen = np.ones(len(self.promises), bool)
        if len(self.promises) > most:
            last = np.partition(self.promises, most - 1)[most - 1]
            chosen = self.promises < last
            equal = np.flatnonzero(self.promises == last)
            lack = -np.minimum(self.basic[equal], 0).sum(axis=1)
            nearest = np.lexsort((lack, -self.spent[equal]))
            chosen[equal[nearest[: most - int(chosen.sum())]]] = True
        return self.only(chosen), self.only(~chosen)


@dataclass(slots=True)
class Ways:
    """How sums came about: of each the one before it, -1 for the first, and the column that was added to it."""

    before: list[int] = field(default_factory=list)
    column: list[int] = field(default_factory=list)

    def kept(self, sums: Sums) -> Sums:
        """The same sums, each with a number of its own."""
        first = len(self.before)
        self.before += sums.way.tolist()
        self.column += sums.last.tolist()
        return sums._replace(way=np.arange(first, len(self.before)))

    def counts(self, way: int) -> dict[int, int]:
        """How often each column was added."""
        counts: dict[int, int] = {}
        while self.before[way] >= 0:
            counts[self.column[way]] = counts.get(self.column[way], 0) + 1
            way = self.before[way]
        return counts

    def table(self, ends: Ints) -> tuple[Ints, Ints]:
        """The same for several: the columns that occur, ascending, and the counts, one row a way."""
        before, column = np.array(self.before, np.int64), np.array(self.column, np.int64)
        place, way = np.arange(len(ends)), ends
        places, added = [], []
        while len(place):
            more = before[way] >= 0
            place, way = place[more], way[more]
            places.append(place)
            added.append(column[way])
            way = before[way]
        columns, at = np.unique(np.concatenate([*added, np.zeros(0, np.int64)]), return_inverse=True)
        counts = np.zeros((len(ends), len(columns)), np.int64)
        np.add.at(counts, (np.concatenate([*places, np.zeros(0, np.int64)]), at), 1)
        return columns, counts


@dataclass(frozen=True, slots=True)
class Graph:
    """A corner prepared for its sums: the coordinates of classes and columns, and what is still to be spent from each.

    drawn: what one of each column takes from the basis, one row a column, scaled; repair: what it costs at least,
    per unit, to raise each count of the basis.
    """

    corner: Corner
    goal: int
    places: Ints
    moves: Ints
    ahead: Ints
    drawn: Ints
    repair: NDArray[np.float64]

    def start(self) -> Sums:
        """The sum of no columns."""
        target = self.corner.target
        one, nothing = np.zeros(1, np.int64), np.zeros((1, len(target)), np.int64)
        basic = (self.corner.own.adjugate @ target)[None, :]
        return Sums(self.ahead[:1], one - 1, one, one, one, one - 1, nothing, basic)

    def reaches(self, sums: Sums) -> NDArray[np.bool_]:
        """Which sums are solutions: of the goal's class, and no count of the basis is below 0."""
        whole = (sums.klass == self.goal) & (sums.basic >= 0).all(axis=1)
        return np.asarray(whole & ~sums.basic[:, self.corner.fixed].any(axis=1))

    def counts(self, basic: Ints) -> tuple[int, ...]:
        """The basis's counts."""
        return tuple(int(n) // self.corner.own.determinant for n in basic)

    def extended(self, sums: Sums, up_to: int, slack: int) -> tuple[Sums, Sums]:
        """Sums with a column more that promise no more than so much, and those that have others within the slack."""
        corner, own = self.corner, self.corner.own
        moved = (self.places[:, sums.klass, None] + self.moves[:, None, :]) % own.orders[:, None, None]
        reached = np.tensordot(own.weights, moved, 1)
        promises = sums.spent[:, None] + corner.costs + self.ahead[reached]
        allowed = (np.arange(len(corner.costs)) >= sums.last[:, None]) & (promises <= slack)
        allowed &= promises > sums.extended[:, None]
        now = promises <= up_to
        later = np.where(allowed & ~now, promises, FAR).min(axis=1, initial=FAR)
        place, column = np.nonzero(allowed & now)
        totals = sums.totals[place] + corner.columns.T[column]
        fits = (totals <= corner.most).all(axis=1)
        place, column, totals = place[fits], column[fits], totals[fits]
        basic = sums.basic[place] - self.drawn[column]
        spent = sums.spent[place] + corner.costs[column]
        promised = np.maximum(promises[place, column], spent + self._mending(basic))
        none = np.full(len(place), -1)
        grown = Sums(promised, none, spent, reached[place, column], column, sums.way[place], totals, basic)
        again = sums._replace(promises=later, extended=np.full(len(later), up_to))
        return grown.only(promised <= slack), again.only(later <= slack)

    def _mending(self, basic: Ints) -> Ints:
        """The least that must still be spent to lift every count of the basis that is below 0."""
        needs = np.minimum(self.repair * np.maximum(-basic, 0), float(FAR // 4))
        return np.asarray(needs.max(axis=1, initial=0.0), np.int64)


def graph(corner: Corner, slack: int, end: float) -> Graph | None:
    """The corner's graph; None when it is too much work. end: the emergency stop."""
    own = corner.own
    goal = int(own.classes(corner.target[:, None])[0])
    classes = own.classes(corner.columns)
    ways = distances(own, classes, corner.costs, slack, end)
    if ways is None:
        return None
    drawn = own.adjugate @ corner.columns
    return Graph(
        corner=corner,
        goal=goal,
        places=own.coordinates(),
        moves=own.coordinates_of(classes),
        ahead=_ahead(own, goal, ways),
        drawn=drawn.T,
        repair=_repair(drawn, corner.costs),
    )


def distances(own: Lattice, classes: Ints, costs: Ints, slack: int, end: float) -> Ints | None:
    """The least cost of columns that add up to each class, FAR where over the slack; None if it is too much work.

    Column by column, the cheapest first: after it may be added up to once, twice more, four times more and so on.
    """
    if len(np.unique(classes)) * own.determinant > MOST_ARCS:
        return None
    best = np.full(own.determinant, FAR, np.int64)
    best[0] = 0
    coordinates, orders, weights = own.coordinates(), own.orders[:, None], own.weights
    for column in np.argsort(costs, kind="stable").tolist():
        cost, move = int(costs[column]), int(classes[column])
        if cost > slack or time.monotonic() > end:
            break
        if best[move] <= cost:
            continue
        copies, most = 1, own.determinant - 1 if cost == 0 else min(own.determinant - 1, slack // cost)
        while most > 0:
            copies = min(copies, most)
            origin = weights @ ((coordinates - copies * coordinates[:, move, None]) % orders)
            np.minimum(best, best[origin] + copies * cost, out=best)
            most -= copies
            copies *= 2
    if time.monotonic() > end:
        return None
    best[best > slack] = FAR
    return best


def _ahead(own: Lattice, goal: int, ways: Ints) -> Ints:
    """For each class, the least cost from it to the goal: the way to their difference."""
    coordinates = own.coordinates()
    differences = (coordinates[:, goal, None] - coordinates) % own.orders[:, None]
    found: Ints = np.minimum(ways[own.weights @ differences], FAR // 2)
    return found


def _repair(drawn: Ints, costs: Ints) -> NDArray[np.float64]:
    """What it costs at least, per unit, to raise each count of the basis by columns beside it; a little less."""
    rates = np.where(drawn < 0, costs / np.maximum(-drawn, 1), float(FAR // 4))
    found: NDArray[np.float64] = rates.min(axis=1, initial=float(FAR // 4)) * (1 - 1e-9)
    return found
