"""Fewest set-ups: the least number of different boards that some plan of given boards' cost can be cut by.

Of columns a_j (ways to cut one board) with reduced costs r_j >= 0, wanted are as few as may be with whole counts
x_j >= 1,

    sum a_ij x_j = d_i  (>= d_i for small parts),   boards within what there are,   sum r_j x_j <= slack.

Sets of columns are tried by size, k upwards: on the uncovered row that fewest columns hold, each of these in turn, and
none again that was tried there before. Left out are sets that cost more than the slack with one board each, give more
than is asked, leave rows that k - 1, k - 2, .. columns cannot cover, or give too little with as many boards as there
may be. The counts of a set follow from its equations, or are tried where these leave some open (see counting.py).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part, inlined
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed.counting import (
    COUNTS,
    MET,
    Best,
    Columns,
    Equations,
    Floats,
    Wanted,
    complete,
    left_to,
    reduce,
)

DEEPEST = 24  # set-ups beyond which none are counted
AGAIN = 0.375  # of the steps, as many again to look for one set-up fewer, where it is not proven that there is none


class Fewest(NamedTuple):
    """Columns and counts of the best plan met, none where none was; least: no plan has fewer set-ups."""

    columns: tuple[int, ...]
    counts: tuple[int, ...]
    least: int


class Held(NamedTuple):
    """What tells at once that a set is none.

    masks: the rows that a column holds, as bits; by_row: of each row the columns that hold it, from starts[row] on;
    order: rows, those that fewest hold first; need: how many columns it takes at least to cover each set of rows;
    gives: the most that all boards of a column give of a row, and, last, count for; caps: of any column; asked: of all.
    """

    masks: Ints
    by_row: Ints
    starts: Ints
    order: Ints
    need: Ints
    gives: Floats
    caps: Floats
    asked: Floats


class Work(NamedTuple):
    """Room for the search, by depth.

    chosen: columns; covered: rows, as bits; spent: reduced costs; rows_at: the row branched on; next_: which of its
    columns comes next; banned: the depth, from 1, at which a column was tried before; one: of each row, with one board
    each; all: with as many as there may be; equations: of the set.
    """

    chosen: Ints
    covered: Ints
    spent: Ints
    rows_at: Ints
    next_: Ints
    banned: Ints
    one: Ints
    all: Floats
    equations: Equations


def fewest(own: Columns, wanted: Wanted, known: int, steps: int, least_rank: int = 0) -> Fewest:
    """The best plan of fewest set-ups; known: so many are had; steps: of the search, in all.

    Of as many set-ups that of least cost, then with the largest leftover, then the first in the columns' order.
    least_rank: no plan counts for less.
    """
    search, again = _Search(own, wanted, least_rank), int(AGAIN * steps)
    k = least = max(1, int(search.held.need[-1]))
    while k <= min(known, DEEPEST) and steps > 0:
        best, steps = search.level(k, steps)
        if best:
            return Fewest(*best, least)
        k += 1
        least = k if steps > 0 else least
    found, few = None, min(known, DEEPEST + 1)
    while few - 1 > least:  # not proven, but perhaps had
        best, _ = search.level(few - 1, again)
        if not best:
            break
        found, few = best, few - 1
    return Fewest(*found, least) if found else Fewest((), (), least)


class _Search:
    """What the levels of a search share."""

    def __init__(self, own: Columns, wanted: Wanted, least_rank: int) -> None:
        self.own, self.wanted = own, wanted
        held = own.given > 0
        masks, need = held @ (1 << np.arange(held.shape[1])), np.zeros(1 << held.shape[1], np.int64)
        _cover(np.unique(masks), need)
        gives = np.column_stack([own.given, own.costs]) * own.most[:, None].astype(float)
        self.held = Held(
            masks=masks,
            by_row=np.nonzero(held.T)[1],
            starts=np.concatenate([[0], np.cumsum(held.sum(axis=0))]),
            order=np.argsort(held.sum(axis=0), kind="stable"),
            need=need,
            gives=gives,
            caps=gives.max(axis=0),
            asked=np.array([*wanted.demand, least_rank]) * (1 - 1e-9),
        )

    def level(self, k: int, steps: int) -> tuple[tuple[tuple[int, ...], tuple[int, ...]] | None, int]:
        """The best plan of k columns that so many steps find, if any, and the steps left."""
        best = Best(np.zeros(k, np.int64), np.zeros(k, np.int64), np.zeros(3, np.int64))
        left = _level(self.own, self.wanted, self.held, k, steps, _work(self.own, self.wanted, k), best)
        return (tuple(best.columns.tolist()), tuple(best.counts.tolist())) if best.rank[MET] else None, int(left)


def _work(own: Columns, wanted: Wanted, k: int) -> Work:
    columns, rows = own.given.shape
    equations = len(wanted.sides)
    chosen, trial, pivots, free = np.zeros((4, k), np.int64)
    covered, spent, rows_at, next_ = np.zeros((4, k + 1), np.int64)
    return Work(
        chosen,
        covered,
        spent,
        rows_at,
        next_,
        banned=np.zeros(columns, np.int64),
        one=np.zeros((k + 1, rows), np.int64),
        all=np.zeros((k + 1, rows + 1)),
        equations=Equations(np.zeros((equations, k + equations + 1)), pivots, trial, free),
    )


@compiled
def _cover(masks: Ints, need: Ints) -> None:
    """How many columns it takes at least to cover each set of rows, as bits; masks: the rows that columns hold."""
    for rows in range(1, len(need)):
        need[rows] = len(need)
        for held in masks:
            if held & rows:
                need[rows] = min(need[rows], need[rows & ~held] + 1)


@compiled
def _level(own: Columns, wanted: Wanted, held: Held, k: int, steps: int, work: Work, best: Best) -> int:
    """All sets of k columns; the steps left. Once one is a plan, `best` holds the best."""
    chosen, banned, next_, rows_at, spent = work.chosen, work.banned, work.next_, work.rows_at, work.spent
    table, gives, most, reduced = work.equations.table, own.equations, own.most, own.reduced
    starts, by_row, covered = held.starts, held.by_row, work.covered
    depth, fresh, done = 0, True, 0
    while depth >= 0:
        if fresh:
            rows_at[depth], next_[depth], fresh = _to_branch_on(held.order, covered[depth]), 0, False
            if depth == k - 1:
                done = reduce(own, wanted, chosen, work.equations)
                steps -= k * len(wanted.sides)
        j = _column(by_row, starts, rows_at[depth], next_[depth], len(banned))
        if j < 0 or steps <= 0 or spent[depth] + reduced[j] > wanted.slack:  # the others cost still more
            for n in range(next_[depth]):
                j = _column(by_row, starts, rows_at[depth], n, len(banned))
                if banned[j] == depth + 1:
                    banned[j] = 0
            depth -= 1
            continue
        next_[depth] += 1
        steps -= 1
        if banned[j]:
            continue
        banned[j] = depth + 1
        covered[depth + 1], spent[depth + 1] = covered[depth] | held.masks[j], spent[depth] + reduced[j]
        if held.need[len(held.need) - 1 & ~covered[depth + 1]] > k - depth - 1:
            continue
        last = left_to(table, gives[j], most[j], k, done) if depth == k - 1 else 0
        if last < 0:
            continue
        steps -= 1
        if not _fits(own.given[j], work.one, wanted.demand, wanted.loose, depth):
            continue
        if not _is_enough(held.gives[j], work.all, held.caps, held.asked, depth, k - depth - 1):
            continue
        chosen[depth] = j
        if depth + 1 < k:
            depth, fresh = depth + 1, True
            continue
        tried = complete(own, wanted, chosen, work.equations, last, best)
        steps -= 3 * k * tried if tried < COUNTS else steps
    return steps


@inlined
def _to_branch_on(order: Ints, covered: int) -> int:
    """The uncovered row that fewest columns hold, -1 where all are covered."""
    found = -1
    for row in order:
        if not covered >> row & 1:
            found = row
            break
    return found


@compiled_part
def _column(by_row: Ints, starts: Ints, row: int, n: int, columns: int) -> int:
    """The n-th column that holds a row, or of all where it is -1; -1 after the last."""
    if row < 0:
        return n if n < columns else -1
    return by_row[starts[row] + n] if n < starts[row + 1] - starts[row] else -1


@inlined
def _fits(given: Ints, one: Ints, demand: Ints, loose: NDArray[np.bool_], depth: int) -> bool:
    """Whether one board of each column gives no more than may be, a column added to those before."""
    fits = True
    for n in range(len(given)):
        one[depth + 1, n] = one[depth, n] + given[n]
        fits = fits and (loose[n] or one[depth + 1, n] <= demand[n])
    return fits


@inlined
def _is_enough(gives: Floats, all_: Floats, caps: Floats, asked: Floats, depth: int, more: int) -> bool:
    """Whether all boards of the columns, with so many more columns, may give enough, a column added likewise."""
    enough = True
    for n in range(len(gives)):
        all_[depth + 1, n] = all_[depth, n] + gives[n]
        enough = enough and all_[depth + 1, n] + more * caps[n] >= asked[n]
    return enough
