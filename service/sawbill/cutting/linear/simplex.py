"""A linear programme in a handful of columns, solved for one set of bounds of the columns after another.

    least  sum c_k y_k   with   sum a_ik y_k >= 1   for each row i,     low_k <= y_k <= high_k,    c >= 0.

The dual simplex method on a small table: since every column has both bounds, the basis of any solution is one to go on
from, whatever the new bounds are. A general solver takes longer to be called than this takes to be done. In floats:
counts and prices guide, and prove nothing by themselves (see choice.py).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled_part

Floats = NDArray[np.float64]

PIVOTS = 60  # after which counts and prices are taken as they are
_TINY = 1e-9
_HIGHEST = 1e100  # price, whatever rounding makes of it; any price not below 0 is sound


@compiled_part
def solved(
    rows: Floats,
    costs: Floats,
    dear: float,
    low: Floats,
    high: Floats,
    basic: NDArray[np.intp],
    at_high: NDArray[np.bool_],
) -> tuple[Floats, Floats]:
    """The count of every column, put between its bounds, and the price of every row.

    Columns are y and then each row's surplus, with bounds of their own; basic: one column for each row, at_high: which
    of all others rest at the top; both become those it ends with. dear: how far prices rise when nothing between the
    bounds satisfies the rows: above any cost of interest.
    """
    count, size = rows.shape
    table = _table(rows, basic)
    if not len(table):  # rounding has left a basis that is none: begin anew with the surpluses
        for row in range(count):
            basic[row] = size + row
        for column in range(size + count):
            at_high[column] = False
        table = _table(rows, basic)
    reduced, inside = np.zeros(size + count), np.zeros(size + count, np.bool_)
    for column in range(size + count):
        reduced[column] = costs[column] if column < size else 0.0
        for row in range(count):
            if basic[row] < size:
                reduced[column] -= costs[basic[row]] * table[row, column]
    for row in range(count):
        inside[basic[row]] = True
    _run(table, reduced, inside, dear, low, high, basic, at_high)
    counts, prices = _counts(table, inside, low, high, basic, at_high), np.zeros(count)
    for column in range(size + count):
        value = 0.0 if np.isnan(counts[column]) else counts[column]
        counts[column] = min(max(value, low[column]), high[column])
    for row in range(count):
        price = reduced[size + row]
        prices[row] = 0.0 if np.isnan(price) or price == np.inf else min(max(price, 0.0), _HIGHEST)
    return counts, prices


@compiled_part
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


@compiled_part
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


@compiled_part
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


@compiled_part
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


@compiled_part
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
