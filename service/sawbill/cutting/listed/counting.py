"""How often each way to cut a board of a set is cut: the counts that a set's equations leave (see supports.py).

Columns that no equation settles are free: all their counts are tried, of the innermost those only that leave at least
one of every other column.
"""

from __future__ import annotations

from typing import NamedTuple

from sawbill.compiled import compiled_part
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed.equations import NOTHING, WHOLE, Columns, Equations, Wanted, bring_in

MET = 2  # in a rank, after cost and leftover: whether there is a plan
COUNTS = 20_000  # counts that are tried of one set; beyond that the search ends


class Best(NamedTuple):
    """The best plan so far: its columns, their counts, and its rank, of which MET says whether there is one."""

    columns: Ints
    counts: Ints
    rank: Ints


@compiled_part
def complete(own: Columns, wanted: Wanted, chosen: Ints, equations: Equations, known: int, best: Best) -> int:
    """Try the counts of a set, of whose last column there are so many, 0 if that is open; how many were tried."""
    last, tried = len(chosen) - 1, 0
    bring_in(own, chosen[last], equations)
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
        if slope > NOTHING:
            high = min(high, spare / slope + WHOLE)
        elif slope < -NOTHING:
            low = max(low, spare / slope - WHOLE)
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
        if count < 0.5 or abs(count - round(count)) > WHOLE * max(1.0, count):
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
