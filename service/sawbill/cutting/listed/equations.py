"""The equations of a set of ways to cut a board: how often each is cut, as far as they tell (see counting.py).

Those of all columns of a set but the last are brought into reduced form once: a column with a pivot is counted by one
equation alone, from the counts of the columns without. Each last column is then brought in: it may have to make up for
equations that are left over, which settles its count.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled_part, inlined
from sawbill.cutting.linear.places import Ints

Floats = NDArray[np.float64]

NOTHING, _UNSURE, WHOLE = 1e-9, 1e-7, 1e-4  # what counts as 0, what may, and how near to a whole number one is


class Columns(NamedTuple):
    """Ways to cut a board, one row each, by their reduced costs, the least first.

    given: of each row; equations: the same of rows that allow no surplus, as floats, and of what else must add up;
    bins: the limited bin's number, or -1; reduced: r_j; costs: what a board counts for in the rank; leftovers: what is
    left of the board [nm]; most: how many there may be.
    """

    given: Ints
    equations: Floats
    bins: Ints
    reduced: Ints
    costs: Ints
    leftovers: Ints
    most: Ints


class Wanted(NamedTuple):
    """The rows' demands, and which allow a surplus; what the equations add up to; how many boards there are of each
    limited bin; slack and roof."""

    demand: Ints
    loose: NDArray[np.bool_]
    sides: Floats
    boards: Ints
    slack: int
    roof: int


class Equations(NamedTuple):
    """The equations of a set of k columns in reduced form.

    table: one equation a row: of k columns, of what was done to the equations, and its right-hand side; pivots: of each
    column the equation that counts it, or -1; trial: counts; free: the columns whose counts are tried.
    """

    table: Floats
    pivots: Ints
    trial: Ints
    free: Ints


@compiled_part
def reduce(own: Columns, wanted: Wanted, chosen: Ints, equations: Equations) -> int:
    """Bring the equations of all columns of a set but the last into reduced form; how many pivots there are."""
    table, size, rows, done = equations.table, len(chosen), len(wanted.sides), 0
    width = size + rows + 1
    for row in range(rows):
        for n in range(size - 1):
            table[row, n] = own.equations[chosen[n], row]
        for n in range(rows):
            table[row, size + n] = 1.0 if n == row else 0.0
        table[row, width - 1] = wanted.sides[row]
    for n in range(size - 1):
        equations.pivots[n], at = -1, done
        for row in range(done + 1, rows):
            if abs(table[row, n]) > abs(table[at, n]):
                at = row
        if done == rows or abs(table[at, n]) < NOTHING:
            continue
        factor = 1 / table[at, n]
        for m in range(n, width):
            table[at, m], table[done, m] = table[done, m], table[at, m] * factor
        for row in range(rows):
            factor = table[row, n]
            if row != done and factor:
                for m in range(n, width):
                    table[row, m] -= factor * table[done, m]
        equations.pivots[n] = done
        done += 1
    return done


@inlined
def bring_in(own: Columns, column: int, equations: Equations) -> None:
    """Do to the last column what was done to the equations."""
    table, rows, last = equations.table, len(equations.table), len(equations.pivots) - 1
    for row in range(rows):
        gives = 0.0
        for n in range(rows):
            gives += table[row, last + 1 + n] * own.equations[column, n]
        table[row, last] = gives


@compiled_part
def left_to(table: Floats, gives: Floats, most: int, size: int, done: int) -> int:
    """How many of the last column the equations without a pivot ask for; 0 where that is open, -1 where it cannot be.

    gives: of the last column in each equation; most: how many of it there may be.
    """
    rows, known, strongest = len(gives), 0, _UNSURE
    for row in range(done, rows):
        own, side = 0.0, table[row, size + rows]
        for n in range(rows):
            own += table[row, size + n] * gives[n]
        if not may_be(own, side, most):
            return -1
        if abs(own) > strongest:
            known, strongest = round(side / own), abs(own)
    return known


@inlined
def may_be(own: float, side: float, most: int) -> bool:
    """Whether a whole number of a column, at least one, may give an equation all that it asks; where unsure, it may.

    own: what one gives; side: what is asked; most: how many there may be.
    """
    if abs(own) < _UNSURE:
        return abs(side) <= max(WHOLE, _UNSURE * most)
    number = side / own
    return number >= 1 - WHOLE and abs(number - np.rint(number)) <= WHOLE * max(1.0, number)
