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

from sawbill.compiled import compiled
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed.counting import COUNTS, MET, Columns, Floats, Wanted, across, counted, may_complete

DEEPEST = 24  # set-ups beyond which none are counted
AGAIN = 0.375  # of the steps, as many again to look for one set-up fewer, where it is not proven that there is none


class Fewest(NamedTuple):
    """Columns and counts of the best plan met, none where none was; least: no plan has fewer set-ups."""

    columns: tuple[int, ...]
    counts: tuple[int, ...]
    least: int


class Work(NamedTuple):
    """Room for the search, by depth.

    chosen: columns; trial: their counts; covered: rows, as bits; spent: reduced costs; held: of each row, one board
    each; rows_at: the row branched on; next_: which of its columns comes next; banned: the depth, from 1, at which a
    column was tried before; matrix, sides and solving: equations.
    """

    chosen: Ints
    trial: Ints
    covered: Ints
    spent: Ints
    rows_at: Ints
    next_: Ints
    banned: Ints
    held: Ints
    matrix: Floats
    sides: Floats
    solving: Floats


def _work(own: Columns, wanted: Wanted, k: int) -> Work:
    columns, rows = own.given.shape
    equations = len(wanted.sides)
    return Work(
        chosen=np.zeros(k, np.int64),
        trial=np.zeros(k, np.int64),
        covered=np.zeros(k + 1, np.int64),
        spent=np.zeros(k + 1, np.int64),
        rows_at=np.zeros(k + 1, np.int64),
        next_=np.zeros(k + 1, np.int64),
        banned=np.zeros(columns, np.int64),
        held=np.zeros((k + 1, rows), np.int64),
        matrix=np.zeros((equations, k + equations)),
        sides=np.zeros(equations),
        solving=np.zeros((equations, k + 1)),
    )


def fewest(own: Columns, wanted: Wanted, known: int, steps: int) -> Fewest:
    """The best plan of fewest set-ups; known: so many are had; steps: of the search, in all.

    Of as many set-ups that of least cost, then with the largest leftover, then the first in the columns' order.
    """
    search, again = _Search(own, wanted), int(AGAIN * steps)
    k = least = max(1, int(search.need[-1]))
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

    def __init__(self, own: Columns, wanted: Wanted) -> None:
        self.own, self.wanted = own, wanted
        held = own.given > 0
        self.need = np.zeros(1 << held.shape[1], np.int64)
        self.masks = held @ (1 << np.arange(held.shape[1]))
        self.starts = np.concatenate([[0], np.cumsum(held.sum(axis=0))])
        self.by_row = np.nonzero(held.T)[1]
        self.order = np.argsort(held.sum(axis=0), kind="stable")
        _cover(np.unique(self.masks), self.need)

    def level(self, k: int, steps: int) -> tuple[tuple[tuple[int, ...], tuple[int, ...]] | None, int]:
        """The best plan of k columns that so many steps find, if any, and the steps left."""
        best, counts, rank = np.zeros(k, np.int64), np.zeros(k, np.int64), np.zeros(3, np.int64)
        left = _level(
            self.own, self.wanted, self.masks, self.starts, self.by_row, self.order, self.need, k, steps,
            _work(self.own, self.wanted, k), best, counts, rank,
        )  # fmt: skip
        return (tuple(best.tolist()), tuple(counts.tolist())) if rank[MET] else None, int(left)


@compiled
def _cover(masks: Ints, need: Ints) -> None:
    """How many columns it takes at least to cover each set of rows, as bits; masks: the rows that columns hold."""
    for rows in range(1, len(need)):
        need[rows] = len(need)
        for held in masks:
            if held & rows:
                need[rows] = min(need[rows], need[rows & ~held] + 1)


@compiled
def _level(
    own: Columns, wanted: Wanted, masks: Ints, starts: Ints, by_row: Ints, order: Ints, need: Ints, k: int, steps: int,
    work: Work, best: Ints, counts: Ints, rank: Ints,
) -> int:  # fmt: skip
    """All sets of k columns; the steps left. Once one is a plan, `best`, `counts` and `rank` hold the best."""
    columns, rows = own.given.shape
    chosen, trial, banned, held, matrix = work.chosen, work.trial, work.banned, work.held, work.matrix
    covered, spent, rows_at, next_ = work.covered, work.spent, work.rows_at, work.next_
    sides, solving, combined, equations = work.sides, work.solving, 0, len(wanted.sides)
    whole = (1 << rows) - 1
    depth, fresh = 0, True
    while depth >= 0:
        if fresh:  # which row to branch on: the uncovered one that fewest columns hold
            rows_at[depth], next_[depth], fresh = -1, 0, False
            for n in range(rows):
                if not covered[depth] >> order[n] & 1:
                    rows_at[depth] = order[n]
                    break
            if depth == k - 1:
                combined = across(own, wanted, chosen, k - 1, matrix, sides)
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
            if not may_complete(own.equations[j], matrix, sides, k - 1, combined):
                continue
            tried = counted(own, wanted, chosen, trial, solving, best, counts, rank)
            steps -= 20 * k * k + 10 * k * tried if tried < COUNTS else steps
            continue
        spent[depth + 1], covered[depth + 1] = cost, mask
        depth, fresh = depth + 1, True
    return steps
