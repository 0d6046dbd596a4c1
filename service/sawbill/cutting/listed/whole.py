"""The best plan of whole boards from the basis of a programme over listed ways, in exact numbers (see small.py)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled
from sawbill.cutting.corner.lattice import Lattice, lattice
from sawbill.cutting.corner.search import cheapest
from sawbill.cutting.corner.sums import Corner
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed import dual

MOST_CLASSES = 20_000  # of the basis's lattice
ARCS = 15  # of the graph of classes, which take as long as it takes to try a column
_LARGEST = 2**61
_ANY = 2**40


class Covering(NamedTuple):
    """How listed ways cover what is asked, one row of `columns` each.

    columns: what a board gives of the rows, then the board it takes of limited bins; ranks: what it counts for;
    target: what is asked, and how many boards there are; exact: rows that allow no surplus; signs: -1 of rows, 1 of
    boards.
    """

    columns: Ints
    ranks: Ints
    target: Ints
    exact: NDArray[np.bool_]
    signs: Ints

    @property
    def rows(self) -> int:
        """How many rows are asked for; the others are limited bins."""
        return int((self.signs < 0).sum())

    def solved(self) -> tuple[Ints | None, NDArray[np.float64] | None]:
        """The basis of the programme's optimum, or what no boards cover (see dual.py)."""
        columns, target = self.columns * self.signs, self.target * self.signs
        return dual.basis(columns.astype(float), self.ranks.astype(float), target.astype(float), self.exact)


@dataclass(frozen=True, slots=True)
class View:
    """A programme as seen from its basis, in exact numbers times the determinant.

    basic: numbers of its columns, those from len(ranks) on being surpluses and boards left; beside: all of them, one
    row each; free: which of them are not in it and need not be 0.
    """

    covering: Covering
    basic: Ints
    own: Lattice
    prices: Ints
    reduced: Ints
    beside: Ints
    free: NDArray[np.bool_]

    def slack(self, roof: int) -> int:
        """What plans of a rank up to the roof spend beyond what the prices prove, at most."""
        return roof * self.own.determinant - int(self.prices @ self.covering.target)

    def corner(self, slack: int) -> tuple[Corner, Ints]:
        """What lies beside the basis within a slack, and the numbers of these columns."""
        covering, prices = self.covering, self.prices
        near = np.flatnonzero(self.free & (self.reduced <= slack))
        surplus = np.where(prices > 0, np.minimum(slack // np.maximum(prices, 1), _ANY), _ANY)
        most = covering.target + np.where((covering.signs < 0) & ~covering.exact, surplus, 0)
        ways = len(covering.ranks)
        held = np.array([n >= ways and covering.exact[n - ways] for n in self.basic.tolist()])
        columns = np.ascontiguousarray(self.beside[near].T)
        return Corner(self.own, columns, self.reduced[near], covering.target, most, held), near

    def best(self, roof: int, work: int) -> tuple[Ints | None, bool]:
        """Counts of the ways in the best plan of a rank up to the roof; whether the search ended, so that there is none
        where none was found. work: columns it may try."""
        slack = self.slack(roof)
        corner, near = self.corner(slack)
        if len(near) * self.own.determinant > ARCS * work:
            return None, False
        found = cheapest(corner, slack, work)
        if not found.any:
            return None, found.least > slack
        counts = np.zeros(len(self.beside), np.int64)
        for n, count in found.beside.items():
            counts[near[n]] = count
        if found.least < int(self.reduced @ counts):
            return None, False
        counts[self.basic] += np.array(found.basic, np.int64)
        return counts[: len(self.covering.ranks)], True

    def at_once(self) -> Ints | None:
        """Counts of a plan: whole boards of the basis, and the rest by what gives most for its cost; None if none."""
        ranks = self.covering.ranks
        counts = np.zeros(len(self.beside), np.int64)
        counts[self.basic] = np.maximum(self.own.adjugate @ self.covering.target // self.own.determinant, 0)
        starts = counts[: len(ranks)], np.zeros(len(ranks), np.int64)
        plans = [plan for plan in map(self.filled, starts) if plan is not None]
        return min(plans, key=lambda plan: int(ranks @ plan)) if plans else None

    def filled(self, counts: Ints) -> Ints | None:
        """Counts of a plan that has these boards, and for the rest what gives most for its cost; None if none."""
        given, found = self.covering, counts.copy()
        any_ = _filled(given.columns, given.ranks, given.target, given.exact, self.prices, given.rows, found)
        return found if any_ else None


def view(covering: Covering, basic: Ints) -> View | None:
    """The programme from a basis; None where that is not exactly optimal, or numbers are too large."""
    size, ways, target = len(covering.target), len(covering.ranks), covering.target
    beside = np.vstack([covering.columns, np.diag(covering.signs)])  # surplus takes from a row, a board left gives
    costs = np.concatenate([covering.ranks, np.zeros(size, np.int64)])
    own = lattice(beside[basic].T, MOST_CLASSES)
    if own is None:
        return None
    sums = float(abs(costs[basic]).max()) * float(abs(own.adjugate).max()) * size
    if sums * size * max(1.0, float(covering.columns.max()), float(target.max())) >= _LARGEST:
        return None
    prices = costs[basic] @ own.adjugate
    reduced = costs * own.determinant - beside @ prices
    free = np.concatenate([np.ones(ways, bool), ~covering.exact])
    free[basic] = False
    if (reduced[free] < 0).any():
        return None
    return View(covering, basic, own, prices, reduced, beside, free)


@compiled
def _filled(
    columns: Ints, ranks: Ints, target: Ints, exact: NDArray[np.bool_], prices: Ints, rows: int, counts: Ints
) -> bool:  # fmt: skip
    """Add boards until nothing is left to be cut; whether that succeeds."""
    left = target.copy()
    for j in range(len(counts)):
        for i in range(len(left)):
            left[i] -= columns[j, i] * counts[j]
    for _ in range(10_000):
        rest = 0
        for i in range(rows):
            rest = max(rest, left[i])
            if exact[i] and left[i] < 0:
                return False
        if rest == 0:
            return True
        chosen, most = -1, 0.0
        for j in range(len(counts)):
            given, fits = 0.0, True
            for i in range(len(left)):
                if i < rows:
                    given += max(0, min(left[i], columns[j, i])) * (prices[i] + 1e-3)
                    fits = fits and not (exact[i] and columns[j, i] > left[i])
                else:
                    fits = fits and columns[j, i] <= left[i]
            if fits and given > 0 and (chosen < 0 or given * (ranks[chosen] + 1e-3) > most * (ranks[j] + 1e-3)):
                chosen, most = j, given
        if chosen < 0:
            return False
        times = 1 << 40
        for i in range(len(left)):
            if columns[chosen, i] and (i >= rows or left[i] > 0):
                times = min(times, left[i] // columns[chosen, i])
        times = max(1, times)
        counts[chosen] += times
        for i in range(len(left)):
            left[i] -= columns[chosen, i] * times
    return False
