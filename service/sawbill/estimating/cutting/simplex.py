"""A linear programme in a handful of columns, solved for many bounds of the columns at once.

    least  sum c_k y_k   with   sum a_ik y_k >= 1   for each row i,     low_k <= y_k <= high_k,    c >= 0.

The dual simplex method on a small table for each set of bounds: since every column has both, the basis of any
solution is one to go on from, whatever the new bounds are. A general solver takes longer to be called than this
takes to be done. In floats: counts and prices guide, and prove nothing by themselves (see choice.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled

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
        basic = basic.reshape(len(own), count)
        at_high = np.zeros((len(starts), size + count), bool)
        for n, start in enumerate(starts):
            at_high[n, : len(start.at_high)] = start.at_high
        low = np.hstack([np.array(lows, float), np.zeros((len(own), count))])
        high = np.hstack([np.array(highs, float), np.full((len(own), count), np.inf)])
        counts, prices = solved(self.rows, self.costs, self.dear, low, high, basic, at_high)
        return Solved(counts[:, :size], prices, basic, at_high)


@compiled
def solved(
    rows: Floats,
    costs: Floats,
    dear: float,
    low: Floats,
    high: Floats,
    basic: NDArray[np.intp],
    at_high: NDArray[np.bool_],
) -> tuple[Floats, Floats]:
    """Counts and prices for every set of bounds; the bases given become those it ends with."""
    count, size = rows.shape
    counts, prices = np.zeros(low.shape), np.zeros((len(low), count))
    for n in range(len(low)):
        table = _table(rows, basic[n])
        if not len(table):  # rounding has left a basis that is none: begin anew with the surpluses
            for row in range(count):
                basic[n, row] = size + row
            for column in range(size + count):
                at_high[n, column] = False
            table = _table(rows, basic[n])
        reduced, inside = np.zeros(size + count), np.zeros(size + count, np.bool_)
        for column in range(size + count):
            reduced[column] = costs[column] if column < size else 0.0
            for row in range(count):
                if basic[n, row] < size:
                    reduced[column] -= costs[basic[n, row]] * table[row, column]
        for row in range(count):
            inside[basic[n, row]] = True
        _run(table, reduced, inside, dear, low[n], high[n], basic[n], at_high[n])
        found = _counts(table, inside, low[n], high[n], basic[n], at_high[n])
        for column in range(size + count):
            value = 0.0 if np.isnan(found[column]) else found[column]
            counts[n, column] = min(max(value, low[n, column]), high[n, column])
        for row in range(count):
            price = reduced[size + row]
            prices[n, row] = 0.0 if np.isnan(price) or price == np.inf else min(max(price, 0.0), _HIGHEST)
    return counts, prices


@compiled
def _table(rows: Floats, basic: NDArray[np.intp]) -> Floats:
    """B^-1 (A, -I, 1), row by row in the order of the basis; none where rounding finds no inverse."""
    count, size = rows.shape
    table = np.zeros((count, size + count + 1))
    for row in range(count):
        for column in range(size):
            table[row, column] = rows[row, column]
        table[row, size + row], table[row, -1] = -1.0, 1.0
    for row in range(count):
        pivot = row
        for other in range(row + 1, count):
            if abs(table[other, basic[row]]) > abs(table[pivot, basic[row]]):
                pivot = other
        if not abs(table[pivot, basic[row]]) > 0.0:
            return table[:0]
        for column in range(table.shape[1]):
            table[row, column], table[pivot, column] = table[pivot, column], table[row, column]
        _clear(table, row, basic[row])
    return table


@compiled
def _clear(table: Floats, row: int, column: int) -> None:
    """Make a column of the table 1 in a row and 0 in all others."""
    by = table[row, column]
    for at in range(table.shape[1]):
        table[row, at] /= by
    for other in range(len(table)):
        times = table[other, column]
        if other != row and times != 0.0:
            for at in range(table.shape[1]):
                table[other, at] -= times * table[row, at]


@compiled
def _counts(
    table: Floats,
    inside: NDArray[np.bool_],
    low: Floats,
    high: Floats,
    basic: NDArray[np.intp],
    at_high: NDArray[np.bool_],
) -> Floats:
    """What every column stands at: at the bound it rests at, or in the basis what the rows make of it."""
    counts = np.zeros(len(inside))
    for column in range(len(inside)):
        if not inside[column]:
            counts[column] = high[column] if at_high[column] else low[column]
    for row in range(len(basic)):
        value = table[row, -1]
        for column in range(len(inside)):
            if not inside[column] and counts[column] != 0.0:
                value -= table[row, column] * counts[column]
        counts[basic[row]] = value
    return counts


@compiled
def _run(
    table: Floats,
    reduced: Floats,
    inside: NDArray[np.bool_],
    dear: float,
    low: Floats,
    high: Floats,
    basic: NDArray[np.intp],
    at_high: NDArray[np.bool_],
) -> None:
    """Pivot until the counts are between their bounds, or cannot be: then the row that fails is dear."""
    for _ in range(PIVOTS):
        counts = _counts(table, inside, low, high, basic, at_high)
        place, worst = -1, 0.0
        for row in range(len(basic)):
            value = counts[basic[row]]
            out = min(value - low[basic[row]], 0.0) + max(value - high[basic[row]], 0.0)
            if abs(out) > _TINY * max(1.0, abs(value)) and abs(out) > abs(worst):
                place, worst = row, out
        if place < 0:
            return
        entering = _entering(table[place], reduced, inside, at_high, worst)
        if entering >= 0:
            _clear(table, place, entering)
        rise = -reduced[entering] if entering >= 0 else dear if worst < 0 else -dear
        for column in range(len(reduced)):
            reduced[column] += rise * table[place, column]
        if entering < 0:
            return
        reduced[entering] = 0.0
        leaving = basic[place]
        at_high[leaving], inside[leaving], inside[entering] = worst > 0, False, True
        basic[place] = entering


@compiled
def _entering(row: Floats, reduced: Floats, inside: NDArray[np.bool_], at_high: NDArray[np.bool_], out: float) -> int:
    """The column whose reduced cost is used up first as the basic one moves to its bound; -1 where there is none."""
    chosen, least = -1, np.inf
    for column in range(len(inside)):
        size = abs(row[column])
        if inside[column] or size < _TINY or (row[column] > 0) != (at_high[column] == (out < 0)):
            continue
        ratio = abs(reduced[column]) / size
        if ratio < least or (ratio == least and size > abs(row[chosen])):
            chosen, least = column, ratio
    return chosen
