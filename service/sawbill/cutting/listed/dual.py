"""The linear programme over a list of patterns, by the dual simplex: from no boards at all, which is dual feasible.

    least  sum c_j x_j   with   sum g_ij x_j + s_i = b_i,   x, s >= 0,   s_i = 0 where a row is exact,

a demand being written  -sum a_ij x_j + s_i = -d_i,  so that with all s in the basis no price is broken. Its basis is
nearly all that is read from it; what it proves is reckoned from that in whole numbers.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.linear.places import Ints

Floats = NDArray[np.float64]

PIVOTS = 300
_NOTHING = 1e-9


def basis(
    given: Floats, costs: Floats, target: Floats, exact: NDArray[np.bool_]
) -> tuple[Ints | None, Floats | None]:  # fmt: skip
    """Numbers of the columns in the optimum's basis, those from len(costs) on being the s; None where there is none.

    Where nothing satisfies all rows, weights of them are told instead, by which no column and no s gives less than
    nothing, and b is less. given: one column g_j each row; costs, none below 0; exact: the rows whose s stays 0.
    """
    size = len(target)
    inverse, reduced, row = np.eye(size), costs.copy(), np.empty(len(costs))
    basic, values, prices = np.arange(size) + len(costs), target.copy(), np.zeros(size)
    failing = _solved(given, reduced, inverse, basic, values, prices, row, exact)
    if failing < 0:
        return basic, None
    return None, inverse[failing] if failing < size else None


@compiled
def _solved(
    given: Floats, reduced: Floats, inverse: Floats, basic: Ints, values: Floats, prices: Floats, row: Floats,
    exact: NDArray[np.bool_],
) -> int:  # fmt: skip
    """Pivot until no value is below 0, nor other than 0 where it must be; prices: what the s cost outside the basis.

    -1 when that is done; the row that cannot be mended, or the number after the last when it takes too long.
    """
    size, columns = len(values), len(reduced)
    largest = 1.0
    for i in range(size):
        largest = max(largest, abs(values[i]))
    for _ in range(PIVOTS):
        leaving, most = size, _NOTHING * largest
        for i in range(size):
            held = basic[i] >= columns and exact[basic[i] - columns]
            wrong = abs(values[i]) if held else -values[i]
            if wrong > most:
                leaving, most = i, wrong
        if leaving == size:
            return -1
        sign = 1.0 if values[leaving] < 0 else -1.0
        entering, least, steepest = columns + size, np.inf, 0.0
        for j in range(columns + size):
            if j < columns:
                moved = 0.0
                for i in range(size):
                    moved += inverse[leaving, i] * given[j, i]
                row[j] = moved
                cost = reduced[j]
            else:
                moved, cost = inverse[leaving, j - columns], prices[j - columns]
                if exact[j - columns]:
                    continue
            slope = -sign * moved
            if slope > _NOTHING:
                ratio = max(cost, 0.0) / slope
                if ratio < least * (1 - 1e-12) or (ratio <= least * (1 + 1e-12) and slope > steepest):
                    entering, least, steepest = j, ratio, slope
        if entering == columns + size:
            return leaving
        _pivot(given, reduced, inverse, basic, values, prices, row, leaving, entering)
    return size


@compiled_part
def _pivot(
    given: Floats, reduced: Floats, inverse: Floats, basic: Ints, values: Floats, prices: Floats, row: Floats,
    leaving: int, entering: int,
) -> None:  # fmt: skip
    """Exchange one column of the basis for another; what is basic has a reduced cost of 0."""
    size, columns = len(values), len(reduced)
    pivot = row[entering] if entering < columns else inverse[leaving, entering - columns]
    step = (reduced[entering] if entering < columns else prices[entering - columns]) / pivot
    for j in range(columns):
        reduced[j] -= step * row[j]
    for i in range(size):
        prices[i] -= step * inverse[leaving, i]
    for i in range(size):
        inverse[leaving, i] /= pivot
    values[leaving] /= pivot
    for other in range(size):
        if other == leaving:
            continue
        factor = 0.0
        if entering < columns:
            for i in range(size):
                factor += inverse[other, i] * given[entering, i]
        else:
            factor = inverse[other, entering - columns]
        if factor:
            for i in range(size):
                inverse[other, i] -= factor * inverse[leaving, i]
            values[other] -= factor * values[leaving]
    basic[leaving] = entering
