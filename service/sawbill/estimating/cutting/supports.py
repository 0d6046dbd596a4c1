"""Fewest set-ups: the least number of different boards that some plan of given boards' cost can be cut by.

Of columns a_j (ways to cut one board) with reduced costs r_j >= 0, wanted are as few as may be with whole counts
x_j >= 1,

    sum a_ij x_j = d_i  (>= d_i for small parts),   boards within what there are,   sum r_j x_j <= slack.

Sets of columns are tried by size, k upwards: on the uncovered row that fewest columns hold, each of these in turn, and
none again that was tried there before. Left out are sets that cost more than the slack with one board each, give more
than is asked, or leave rows that k - 1, k - 2, .. columns cannot cover. The counts of a set follow from its equations,
or are tried one by one where these leave some open.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled
from sawbill.estimating.cutting.places import Ints

Floats = NDArray[np.float64]
DEEPEST = 24  # set-ups beyond which none are counted
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


class Fewest(NamedTuple):
    """Columns and counts of the best plan met, none where none was; least: no plan has fewer set-ups."""

    columns: tuple[int, ...]
    counts: tuple[int, ...]
    least: int


def fewest(own: Columns, wanted: Wanted, known: int, steps: int) -> Fewest:
    """The best plan of fewest set-ups; known: so many are had; steps: of the search, in all.

    Of as many set-ups that of least cost, then with the largest leftover, then the first in the columns' order.
    """
    rows = len(wanted.demand)
    need = np.zeros(1 << rows, np.int64)
    masks, starts, by_row, fewest_first = _prepared(own.given, need)
    best, counts = np.zeros(DEEPEST, np.int64), np.zeros(DEEPEST, np.int64)
    rank = np.zeros(2, np.int64)
    k, least = max(1, int(need[-1])), max(1, int(need[-1]))
    while k <= min(known, DEEPEST):
        steps, any_ = _level(own, wanted, masks, starts, by_row, fewest_first, need, k, steps, best, counts, rank)
        if any_:
            return Fewest(tuple(best[:k].tolist()), tuple(counts[:k].tolist()), least)
        if steps <= 0:
            break
        k += 1
        least = k
    return Fewest((), (), min(least, known))


@compiled
def _prepared(given: Ints, need: Ints) -> tuple[Ints, Ints, Ints, Ints]:
    """Which rows each column holds, as bits; by row the columns that do; rows by how many do, fewest first."""
    columns, rows = given.shape
    masks, starts = np.zeros(columns, np.int64), np.zeros(rows + 1, np.int64)
    for row in range(rows):
        starts[row + 1] = starts[row]
        for j in range(columns):
            if given[j, row]:
                masks[j] |= 1 << row
                starts[row + 1] += 1
    by_row, at = np.zeros(starts[rows], np.int64), 0
    for row in range(rows):
        for j in range(columns):
            if given[j, row]:
                by_row[at] = j
                at += 1
    order = np.arange(rows)
    for n in range(1, rows):
        for m in range(n, 0, -1):
            if starts[order[m] + 1] - starts[order[m]] < starts[order[m - 1] + 1] - starts[order[m - 1]]:
                order[m], order[m - 1] = order[m - 1], order[m]
    seen = np.zeros(len(need), np.bool_)
    for j in range(columns):
        seen[masks[j]] = True
    for mask in range(1, len(need)):  # how many columns it takes at least to cover the rows
        need[mask] = rows + 1
        for held in range(1, len(need)):
            if seen[held] and held & mask:
                need[mask] = min(need[mask], need[mask & ~held] + 1)
    return masks, starts, by_row, order


@compiled
def _level(
    own: Columns, wanted: Wanted, masks: Ints, starts: Ints, by_row: Ints, order: Ints, need: Ints, k: int, steps: int,
    best: Ints, counts: Ints, rank: Ints,
) -> tuple[int, bool]:  # fmt: skip
    """All sets of k columns; the steps left, and whether one is a plan: then `best` and `counts` hold the best."""
    columns, rows = own.given.shape
    chosen, trial = np.zeros(k, np.int64), np.zeros(k, np.int64)
    banned = np.zeros(columns, np.int64)  # the depth, from 1, at which a column was tried before
    covered, spent = np.zeros(k + 1, np.int64), np.zeros(k + 1, np.int64)
    held = np.zeros((k + 1, rows), np.int64)
    rows_at, next_ = np.zeros(k + 1, np.int64), np.zeros(k + 1, np.int64)
    equations = len(wanted.sides)
    matrix, sides = np.zeros((equations, k + equations)), np.zeros(equations)
    solving, across = np.zeros((equations, k + 1)), 0
    whole = (1 << rows) - 1
    any_, depth, fresh = False, 0, True
    while depth >= 0:
        if fresh:  # which row to branch on: the uncovered one that fewest columns hold
            rows_at[depth], next_[depth], fresh = -1, 0, False
            for n in range(rows):
                if not covered[depth] >> order[n] & 1:
                    rows_at[depth] = order[n]
                    break
            if depth == k - 1:
                across = _across(own, wanted, chosen, depth, matrix, sides)
                steps -= k * equations
        row = rows_at[depth]
        first, last = (starts[row], starts[row + 1]) if row >= 0 else (0, columns)
        j = (by_row[first + next_[depth]] if row >= 0 else next_[depth]) if next_[depth] < last - first else -1
        if j < 0 or steps <= 0 or spent[depth] + own.reduced[j] > wanted.slack:  # the others cost still more
            for n in range(next_[depth]):
                j = by_row[first + n] if row >= 0 else n
                if banned[j] == depth + 1:
                    banned[j] = 0
            depth -= 1
            continue
        next_[depth] += 1
        steps -= 1
        if banned[j]:
            continue
        banned[j] = depth + 1
        cost, mask = spent[depth] + own.reduced[j], covered[depth] | masks[j]
        if need[whole & ~mask] > k - depth - 1:
            continue
        steps -= 1
        fits = True
        for n in range(rows):
            held[depth + 1, n] = held[depth, n] + own.given[j, n]
            fits = fits and (wanted.loose[n] or held[depth + 1, n] <= wanted.demand[n])
        if not fits:
            continue
        chosen[depth] = j
        if depth + 1 == k:
            if not _may_complete(own.equations[j], matrix, sides, k - 1, across):
                continue
            tried = _counted(own, wanted, chosen, trial, solving, best, counts, rank, any_)
            steps -= 4 * k * k + k * abs(tried) if abs(tried) < COUNTS else steps
            any_ = any_ or tried < 0
            continue
        spent[depth + 1], covered[depth + 1] = cost, mask
        depth, fresh = depth + 1, True
    return steps, any_


@compiled
def _across(own: Columns, wanted: Wanted, chosen: Ints, count: int, matrix: Floats, sides: Floats) -> int:
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
def _may_complete(column: Floats, matrix: Floats, sides: Floats, count: int, across: int) -> bool:
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
def _counted(
    own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, matrix: Floats, best: Ints, counts: Ints, rank: Ints,
    any_: bool,
) -> int:  # fmt: skip
    """Try the counts of a set; how many were tried, below 0 where a plan was the best so far."""
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
        return -1 if _better(own, wanted, chosen, trial, best, counts, rank, any_) else 1
    return _one_by_one(own, wanted, chosen, trial, best, counts, rank, any_)


@compiled
def _one_by_one(
    own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, best: Ints, counts: Ints, rank: Ints, any_: bool
) -> int:
    """The same where the equations leave counts open: each from the most that may be down to 1, the last as it must."""
    size, rows, tried, found, n = len(chosen), len(wanted.demand), 0, False, 0
    trial[0] = _highest(own, wanted, chosen, trial, 0)
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
        if _better(own, wanted, chosen, trial, best, counts, rank, any_ or found):
            found = True
        short = False  # fewer of the last give still less
        for row in range(rows):
            total = 0
            for m in range(size):
                total += own.given[chosen[m], row] * trial[m]
            short = short or total < wanted.demand[row]
        trial[n] = 0 if short else trial[n] - 1
    return -tried if found else tried


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
def _better(
    own: Columns, wanted: Wanted, chosen: Ints, trial: Ints, best: Ints, counts: Ints, rank: Ints, any_: bool
) -> bool:
    """Whether counts are a plan, exactly, and better than the best so far, if there is one; then they are kept."""
    cost, leftover, size = 0, -1, len(chosen)
    for n in range(size):
        if trial[n] < 1 or trial[n] > 1 << 30:
            return False
        cost += own.costs[chosen[n]] * trial[n]
        leftover = max(leftover, own.leftovers[chosen[n]])
    if cost > wanted.roof or (any_ and (cost, -leftover) > (rank[0], rank[1])):
        return False
    for row in range(len(wanted.demand)):
        total = 0
        for n in range(size):
            total += own.given[chosen[n], row] * trial[n]
        if total < wanted.demand[row] or (total > wanted.demand[row] and not wanted.loose[row]):
            return False
    for b in range(len(wanted.boards)):
        total = 0
        for n in range(size):
            total += trial[n] if own.bins[chosen[n]] == b else 0
        if total > wanted.boards[b]:
            return False
    if any_ and (cost, -leftover) == (rank[0], rank[1]) and not _earlier(chosen, best):
        return False
    rank[0], rank[1] = cost, -leftover
    for n in range(size):
        best[n], counts[n] = chosen[n], trial[n]
    return True


@compiled
def _earlier(chosen: Ints, best: Ints) -> bool:
    """Whether a set's columns come first in order."""
    own, other = np.sort(chosen), np.sort(best[: len(chosen)])
    for n in range(len(own)):
        if own[n] != other[n]:
            return bool(own[n] < other[n])
    return False
