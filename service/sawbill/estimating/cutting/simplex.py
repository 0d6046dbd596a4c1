"""A linear programme in a handful of columns, solved for many bounds of the columns at once.

    least  sum c_k y_k   with   sum a_ik y_k >= 1   for each row i,     low_k <= y_k <= high_k,    c >= 0.

The dual simplex method on small tables side by side, one for each set of bounds: since every column has both, the
basis of any solution is one to go on from, whatever the new bounds are. A general solver takes longer to be called
than this takes to be done. In floats: counts and prices guide, and prove nothing by themselves (see choice.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

PIVOTS = 60  # after which counts and prices are taken as they are
_TINY = 1e-9
_HIGHEST = 1e100  # price, whatever rounding makes of it; any price not below 0 is sound


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """A basis: its columns, y and then each row's surplus, one for each row; which of all columns rest at the top."""

    basic: NDArray[np.intp]
    at_high: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """For each set of bounds: the counts, put between them, the price of each row, and the basis it ended with."""

    counts: Floats
    prices: Floats
    basic: NDArray[np.intp]
    at_high: NDArray[np.bool_]

    def start(self, n: int) -> Start:
        """The n-th basis, to go on from."""
        return Start(self.basic[n], self.at_high[n])


class Simplex:
    """The programme's rows, to which more may be added."""

    def __init__(self, costs: Sequence[int], dear: float) -> None:
        """dear: how far prices rise when nothing between the bounds satisfies the rows: above any cost of interest."""
        self.costs, self.dear = np.array(costs, float), dear
        self.rows = np.empty((0, len(costs)))

    def add(self, row: Sequence[float]) -> None:
        """One more row."""
        self.rows = np.vstack([self.rows, row])

    def start(self) -> Start:
        """The basis of all surpluses, every y at its lower bound."""
        count, size = self.rows.shape
        return Start(np.arange(size, size + count), np.zeros(size + count, bool))

    def solve(self, starts: Sequence[Start], lows: Sequence[Sequence[int]], highs: Sequence[Sequence[int]]) -> Solved:
        """Every set of bounds, each from its own basis, which rows added since join with their surplus."""
        count, size = self.rows.shape
        own = range(len(starts))
        basic = np.array([[*start.basic, *range(size + len(start.basic), size + count)] for start in starts], np.intp)
        at_high = np.zeros((len(starts), size + count), bool)
        for n, start in enumerate(starts):
            at_high[n, : len(start.at_high)] = start.at_high
        low = np.hstack([np.array(lows, float), np.zeros((len(own), count))])
        high = np.hstack([np.array(highs, float), np.full((len(own), count), np.inf)])
        tables = _Tables(self, basic.reshape(len(own), count), at_high, low, high)
        tables.run()
        counts = np.clip(np.nan_to_num(tables.counts()), low, high)[:, :size]
        prices = np.clip(np.nan_to_num(tables.reduced[:, size:], posinf=0.0), 0.0, _HIGHEST)
        return Solved(counts, prices, tables.basic, at_high)


class _Tables:
    """B^-1 (A, -I) and B^-1 1 for every set of bounds, and each column's cost beyond what the rows make good."""

    def __init__(
        self, programme: Simplex, basic: NDArray[np.intp], at_high: NDArray[np.bool_], low: Floats, high: Floats
    ) -> None:
        count = len(programme.rows)
        columns = np.hstack([programme.rows, -np.eye(count)])
        costs = np.concatenate([programme.costs, np.zeros(count)])
        self.basic, self.at_high, self.low, self.high, self.dear = basic, at_high, low, high, programme.dear
        inverse = self._inverse(columns)
        self.table = inverse @ columns
        self.sides = inverse.sum(axis=2)
        self.reduced = costs - (costs[self.basic][:, None, :] @ self.table)[:, 0]
        self.inside = np.zeros(at_high.shape, bool)
        np.put_along_axis(self.inside, self.basic, True, axis=1)

    def _inverse(self, columns: Floats) -> Floats:
        """Of every basis; where rounding has left one that has none, all begin anew with the surpluses."""
        try:
            found = np.linalg.inv(columns[:, self.basic].transpose(1, 0, 2))
        except np.linalg.LinAlgError:
            rows, size = columns.shape
            self.basic[:], self.at_high[:] = np.arange(size - rows, size), False
            found = np.linalg.inv(columns[:, self.basic].transpose(1, 0, 2))
        return np.asarray(found, np.float64)

    def run(self) -> None:
        """Pivot every table until its counts are between their bounds, or cannot be."""
        open_ = np.arange(len(self.basic))
        for _ in range(PIVOTS):
            place, out = self._worst(open_)
            open_, place, out = open_[out != 0], place[out != 0], out[out != 0]
            if not len(open_):
                break
            entering, none = self._entering(open_, place, out)
            stuck = open_[none]
            rise = np.where(out[none] < 0, self.dear, -self.dear)
            self.reduced[stuck] += rise[:, None] * self.table[stuck, place[none]]
            open_, place, entering, out = open_[~none], place[~none], entering[~none], out[~none]
            self._pivot(open_, place, entering, out > 0)

    def counts(self) -> Floats:
        """What every column stands at."""
        counts = self._resting(np.arange(len(self.basic)))
        np.put_along_axis(counts, self.basic, self._inside(np.arange(len(self.basic)), counts), axis=1)
        return counts

    def _resting(self, own: NDArray[np.intp]) -> Floats:
        """Every column at the bound it rests at, those of the basis at 0."""
        found: Floats = np.where(self.at_high[own], self.high[own], self.low[own])
        found[self.inside[own]] = 0.0
        return found

    def _inside(self, own: NDArray[np.intp], resting: Floats) -> Floats:
        """What the rows make of the basis."""
        found: Floats = self.sides[own] - (self.table[own] @ resting[:, :, None])[:, :, 0]
        return found

    def _worst(self, own: NDArray[np.intp]) -> tuple[NDArray[np.intp], Floats]:
        """The place in each basis furthest outside its bounds; by how much, below 0 if it is too small, 0 for none."""
        counts, basic = self._inside(own, self._resting(own)), self.basic[own]
        below = np.minimum(counts - np.take_along_axis(self.low[own], basic, axis=1), 0.0)
        above = np.maximum(counts - np.take_along_axis(self.high[own], basic, axis=1), 0.0)
        out = below + above
        out[np.abs(out) <= _TINY * np.maximum(1.0, np.abs(counts))] = 0.0
        if not out.shape[1]:
            return np.zeros(len(own), np.intp), np.zeros(len(own))
        place = np.abs(out).argmax(axis=1)
        return place, out[np.arange(len(own)), place]

    def _entering(
        self, own: NDArray[np.intp], place: NDArray[np.intp], out: Floats
    ) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
        """The columns whose reduced cost is used up first as the basic one moves to its bound; where there is none."""
        row = self.table[own, place]
        size = np.abs(row)
        helps = ((row > 0) == (self.at_high[own] == (out < 0)[:, None])) & (size >= _TINY) & ~self.inside[own]
        ratio = np.where(helps, np.abs(self.reduced[own]) / np.where(helps, size, 1.0), np.inf)
        least = ratio.min(axis=1)
        chosen = np.where(ratio <= least[:, None], size, -1.0).argmax(axis=1)
        return chosen, np.isinf(least)

    def _pivot(
        self, own: NDArray[np.intp], place: NDArray[np.intp], entering: NDArray[np.intp], to_high: NDArray[np.bool_]
    ) -> None:
        each = np.arange(len(own))
        table, sides = self.table[own], self.sides[own]
        row = table[each, place]
        by = 1.0 / row[each, entering]
        row, side = row * by[:, None], sides[each, place] * by
        times = table[each, :, entering]
        times[each, place] = 0.0
        table -= times[:, :, None] * row[:, None, :]
        sides -= times * side[:, None]
        table[each, place], sides[each, place] = row, side
        self.table[own], self.sides[own] = table, sides
        self.reduced[own] -= self.reduced[own, entering][:, None] * row
        self.reduced[own, entering] = 0.0
        leaving = self.basic[own, place]
        self.at_high[own, leaving] = to_high
        self.inside[own, leaving] = False
        self.inside[own, entering] = True
        self.basic[own, place] = entering
