"""How often each way to cut a board of a set is cut: the counts that a set's equations leave (see supports.py)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled
from sawbill.cutting.linear.places import Ints

Floats = NDArray[np.float64]

MET = 2  # in a rank, after cost and leftover: whether there is a plan
_NOTHING, _UNSURE, _WHOLE = 1e-9, 1e-7, 1e-4  # what counts as 0, what may, and how near to a whole number one is
COUNTS = 20_000  # counts that are tried of one set; beyond that the search ends


class Columns(NamedTuple):
    """Ways to cut a board, one row each, by their reduced costs, the least first.

    given: of each row; equations: the same of rows that allow no surplus, as floats, and of what else must add up;
    bins: the limited bin's number, or -1; reduced: r_j; costs: what a board counts for in the rank; leftovers: what is
    left of the board [nm].
    """

    given: Ints
    equations: Floats
    bins: Ints
    reduced: Ints
    costs: Ints
    leftovers: Ints


class Wanted(NamedTuple):
    """The rows' demands, and which allow a surplus; what the equations add up to; how many boards there are of each
    limited bin; slack and roof."""

    demand: Ints
    loose: NDArray[np.bool_]
    sides: Floats
    boards: Ints
    slack: int
    roof: int


@compiled
def across(own: Columns, wanted: Wanted, chosen: Ints, count: int, matrix: Floats, sides: Floats) -> int:
    """Combinations of the equations that are 0 for each of so many columns, one a row from matrix[0, count] on.

    What one of them makes of the right-hand sides, the next column alone must add up to.
    """
    rows, pivots = len(sides), 0
    for row in range(rows):
        for n in range(count):
            matrix[row, n] = own.equations[chosen[n], row]
        for n in range(rows):
            matrix[row, count + n] = 1.0 if n == row else 0.0
        sides[row] = wanted.sides[row]
    for n in range(count):
        at = pivots
        for row in range(pivots + 1, rows):
            if abs(matrix[row, n]) > abs(matrix[at, n]):
                at = row
        if pivots == rows or abs(matrix[at, n]) < _NOTHING:
            continue
        for m in range(count + rows):
            matrix[at, m], matrix[pivots, m] = matrix[pivots, m], matrix[at, m]
        sides[at], sides[pivots] = sides[pivots], sides[at]
        for row in range(pivots + 1, rows):
            if matrix[row, n]:
                factor = matrix[row, n] / matrix[pivots, n]
                for m in range(n, count + rows):
                    matrix[row, m] -= factor * matrix[pivots, m]
                sides[row] -= factor * sides[pivots]
        pivots += 1
    for row in range(pivots, rows):  # to the front
        sides[row - pivots] = sides[row]
        for m in range(count, count + rows):
            matrix[row - pivots, m] = matrix[row, m]
    return rows - pivots


@compiled
def may_complete(column: Floats, matrix: Floats, sides: Floats, count: int, across: int) -> bool:
    """Whether a whole number of a column may add up to all that the combinations say; where they are unsure, it may."""
    for row in range(across):
        gives = 0.0
        for n in range(len(column)):
            gives += matrix[row, count + n] * column[n]
        if abs(gives) < _UNSURE:
            if abs(sides[row]) > _WHOLE:
                return False
            continue
        number = sides[row] / gives
        if number < 1 - _WHOLE or abs(number - round(number)) > _WHOLE * max(1.0, number):
            return False
    return True


@compiled
def counted(
    own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, matrix: Floats, best: Ints, counts: Ints, rank: Ints
) -> int:  # fmt: skip
    """Try the counts of a set; how many were tried."""
    size, rows, pivots = len(chosen), len(wanted.sides), 0
    for row in range(rows):
        for n in range(size):
            matrix[row, n] = own.equations[chosen[n], row]
        matrix[row, size] = wanted.sides[row]
    for n in range(size):  # eliminate as far as the equations go
        at = pivots
        for row in range(pivots + 1, rows):
            if abs(matrix[row, n]) > abs(matrix[at, n]):
                at = row
        if pivots == rows or abs(matrix[at, n]) < _NOTHING:
            break
        for m in range(size + 1):
            matrix[at, m], matrix[pivots, m] = matrix[pivots, m], matrix[at, m]
        for row in range(rows):
            if row != pivots and matrix[row, n]:
                factor = matrix[row, n] / matrix[pivots, n]
                for m in range(n, size + 1):
                    matrix[row, m] -= factor * matrix[pivots, m]
        pivots += 1
    if pivots == size:
        for n in range(size):
            trial[n] = round(matrix[n, size] / matrix[n, n])
        _keep_better(own, wanted, chosen, trial, best, counts, rank)
        return 1
    return _one_by_one(own, wanted, chosen, trial, best, counts, rank)


@compiled
def _one_by_one(own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, best: Ints, counts: Ints, rank: Ints) -> int:
    """The same where the equations leave counts open: each from the most that may be down to 1, the last as it must."""
    size, rows, tried = len(chosen), len(wanted.demand), 0
    n = size - size  # a number of the same type as later on, for which all is compiled once
    trial[n] = _highest(own, wanted, chosen, trial, n)
    while n >= 0 and tried < COUNTS:
        if trial[n] < 1:
            n -= 1
            if n >= 0:
                trial[n] -= 1
            continue
        tried += 1
        if n < size - 1:
            n += 1
            trial[n] = _highest(own, wanted, chosen, trial, n)
            continue
        _keep_better(own, wanted, chosen, trial, best, counts, rank)
        short = False  # fewer of the last give still less
        for row in range(rows):
            total = 0
            for m in range(size):
                total += own.given[chosen[m], row] * trial[m]
            short = short or total < wanted.demand[row]
        trial[n] = 0 if short else trial[n] - 1
    return tried


@compiled
def _highest(own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, n: int) -> int:
    """How many of the n-th column there may be, those before it being settled and one of each after it."""
    most, spent = 1 << 30, 0
    for m in range(len(chosen)):
        if m != n:
            spent += own.reduced[chosen[m]] * (trial[m] if m < n else 1)
    if own.reduced[chosen[n]]:
        most = min(most, (wanted.slack - spent) // own.reduced[chosen[n]])
    enough = 0
    for row in range(len(wanted.demand)):
        gives = own.given[chosen[n], row]
        if not gives:
            continue
        left = wanted.demand[row]
        for m in range(len(chosen)):
            if m != n:
                left -= own.given[chosen[m], row] * (trial[m] if m < n else 1)
        if wanted.loose[row]:
            enough = max(enough, -(-left // gives))
        else:
            most = min(most, left // gives)
    if most == 1 << 30 or (most > enough > 0 and _only_loose(own, wanted, chosen[n])):
        most = max(1, enough)
    return most


@compiled
def _only_loose(own: Columns, wanted: Wanted, column: int) -> bool:
    """Whether a column gives nothing but small parts."""
    for row in range(len(wanted.demand)):  # noqa: SIM110  # no generator can be compiled
        if own.given[column, row] and not wanted.loose[row]:
            return False
    return True


@compiled
def _keep_better(own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, best: Ints, counts: Ints, rank: Ints) -> None:
    """Keep counts that are a plan, exactly, and better than the best so far, if there is one."""
    cost, leftover, size = 0, -1, len(chosen)
    for n in range(size):
        if trial[n] < 1 or trial[n] > 1 << 30:
            return
        cost += own.costs[chosen[n]] * trial[n]
        leftover = max(leftover, own.leftovers[chosen[n]])
    if cost > wanted.roof or (rank[MET] and (cost, -leftover) > (rank[0], rank[1])):
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
    if rank[MET] and (cost, -leftover) == (rank[0], rank[1]) and not _earlier(chosen, best):
        return
    rank[0], rank[1], rank[MET] = cost, -leftover, 1
    for n in range(size):
        best[n], counts[n] = chosen[n], trial[n]


@compiled
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
