"""How often each way to cut a board of a set is cut: the counts that a set's equations leave (see supports.py).

The equations of all columns of a set but the last are brought into reduced form once: a column with a pivot is counted
by one equation alone, from the counts of the columns without. Then each last column is tried: it may have to make up
for equations that are left over, which settles its count. Columns that no equation settles are free: all their counts
are tried, of the innermost those only that leave at least one of every other column.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled_part, inlined
from sawbill.cutting.linear.places import Ints

Floats = NDArray[np.float64]

MET = 2  # in a rank, after cost and leftover: whether there is a plan
_NOTHING, _UNSURE, _WHOLE = 1e-9, 1e-7, 1e-4  # what counts as 0, what may, and how near to a whole number one is
COUNTS = 20_000  # counts that are tried of one set; beyond that the search ends


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


class Best(NamedTuple):
    """The best plan so far: its columns, their counts, and its rank, of which MET says whether there is one."""

    columns: Ints
    counts: Ints
    rank: Ints


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
        if done == rows or abs(table[at, n]) < _NOTHING:
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


@compiled_part
def complete(own: Columns, wanted: Wanted, chosen: Ints, equations: Equations, known: int, best: Best) -> int:
    """Try the counts of a set, of whose last column there are so many, 0 if that is open; how many were tried."""
    last, tried = len(chosen) - 1, 0
    _bring_in(own, chosen[last], equations)
    free = _freed(own, chosen, equations, known)
    inner = equations.free[free - 1] if free else last
    while tried < COUNTS:
        low, high = known, known
        if free:
            low, high = _between(equations, inner, own.most[chosen[inner]])
        for count in range(high, low - 1, -1):
            equations.trial[inner] = count
            tried += 1
            if _settled(equations):
                _keep_better(own, wanted, chosen, equations.trial, best)
        tried += 1
        n = free - 2
        while n >= 0 and equations.trial[equations.free[n]] == 1:
            equations.trial[equations.free[n]] = own.most[chosen[equations.free[n]]]
            n -= 1
        if n < 0:
            return tried
        equations.trial[equations.free[n]] -= 1
    return tried


@inlined
def may_be(own: float, side: float, most: int) -> bool:
    """Whether a whole number of a column, at least one, may give an equation all that it asks; where unsure, it may.

    own: what one gives; side: what is asked; most: how many there may be.
    """
    if abs(own) < _UNSURE:
        return abs(side) <= max(_WHOLE, _UNSURE * most)
    number = side / own
    return number >= 1 - _WHOLE and abs(number - np.rint(number)) <= _WHOLE * max(1.0, number)


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
def _bring_in(own: Columns, column: int, equations: Equations) -> None:
    """Do to the last column what was done to the equations."""
    table, rows, last = equations.table, len(equations.table), len(equations.pivots) - 1
    for row in range(rows):
        gives = 0.0
        for n in range(rows):
            gives += table[row, last + 1 + n] * own.equations[column, n]
        table[row, last] = gives


@compiled_part
def _freed(own: Columns, chosen: Ints, equations: Equations, known: int) -> int:
    """How many columns are free, which are told with their most; known: how many there are of the last, or 0."""
    last, free = len(chosen) - 1, 0
    equations.pivots[last] = -1
    for n in range(last + 1):
        if equations.pivots[n] < 0 and not (n == last and known):
            equations.free[free], equations.trial[n] = n, own.most[chosen[n]]
            free += 1
    if known:
        equations.trial[last] = known
    return free


@compiled_part
def _between(equations: Equations, inner: int, most: int) -> tuple[int, int]:
    """The least and most of a column that leave at least one of each that has a pivot, as far as the others go."""
    table, size, low, high = equations.table, len(equations.pivots), 1.0, float(most)
    for n in range(size):
        row = equations.pivots[n]
        if row < 0:
            continue
        spare = table[row, size + len(table)] - 0.5
        for m in range(size):
            if equations.pivots[m] < 0 and m != inner:
                spare -= table[row, m] * equations.trial[m]
        slope = table[row, inner]
        if slope > _NOTHING:
            high = min(high, spare / slope + _WHOLE)
        elif slope < -_NOTHING:
            low = max(low, spare / slope - _WHOLE)
        elif spare < 0:
            return 1, 0
    return (int(low) if int(low) == low else int(low) + 1), int(max(high, 0.0))


@compiled_part
def _settled(equations: Equations) -> bool:
    """Count the columns that have a pivot from those that have none; whether all are whole and there is one of each."""
    table, size = equations.table, len(equations.pivots)
    for n in range(size):
        row = equations.pivots[n]
        if row < 0:
            continue
        count = table[row, size + len(table)]
        for m in range(size):
            if equations.pivots[m] < 0:
                count -= table[row, m] * equations.trial[m]
        if count < 0.5 or abs(count - round(count)) > _WHOLE * max(1.0, count):
            return False
        equations.trial[n] = round(count)
    return True


@compiled_part
def _keep_better(own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, best: Best) -> None:
    """Keep counts that are a plan, exactly, and better than the best so far, if there is one."""
    cost, leftover, size, rank = 0, -1, len(chosen), best.rank
    for n in range(size):
        if trial[n] > own.most[chosen[n]]:
            return
        cost += own.costs[chosen[n]] * trial[n]
        leftover = max(leftover, own.leftovers[chosen[n]])
    if cost > wanted.roof or (rank[MET] and (cost > rank[0] or (cost == rank[0] and -leftover > rank[1]))):
        return
    for row in range(len(wanted.demand)):
        total = 0
        for n in range(size):
            total += own.given[chosen[n], row] * trial[n]
        if total < wanted.demand[row] or (total > wanted.demand[row] and not wanted.loose[row]):
            return
    for b in range(len(wanted.boards)):
        total = 0
        for n in range(size):
            total += trial[n] if own.bins[chosen[n]] == b else 0
        if total > wanted.boards[b]:
            return
    if rank[MET] and cost == rank[0] and -leftover == rank[1] and not _earlier(chosen, best.columns):
        return
    rank[0], rank[1], rank[MET] = cost, -leftover, 1
    for n in range(size):
        best.columns[n], best.counts[n] = chosen[n], trial[n]


@compiled_part
def _earlier(chosen: Ints, best: Ints) -> bool:
    """Whether a set's columns come first in order: the first column that only one of them has is this one's."""
    first, other = 1 << 30, 1 << 30
    for n in range(len(chosen)):
        mine = theirs = True
        for m in range(len(chosen)):
            mine = mine and chosen[n] != best[m]
            theirs = theirs and best[n] != chosen[m]
        first = min(first, chosen[n]) if mine else first
        other = min(other, best[n]) if theirs else other
    return first < other
