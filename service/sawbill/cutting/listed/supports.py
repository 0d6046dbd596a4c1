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

from sawbill.cutting.listed.counting import MET, Best
from sawbill.cutting.listed.equations import Columns, Equations, Wanted
from sawbill.cutting.listed.sets import Held, Work, cover, sets_of

DEEPEST = 24  # set-ups beyond which none are counted
AGAIN = 0.375  # of the steps, as many again to look for one set-up fewer, where it is not proven that there is none


class Fewest(NamedTuple):
    """Columns and counts of the best plan met, none where none was; least: no plan has fewer set-ups."""

    columns: tuple[int, ...]
    counts: tuple[int, ...]
    least: int


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
        cover(np.unique(masks), need)
        gives = np.column_stack([own.given, own.costs]) * own.most[:, None].astype(float)
        by_row = np.concatenate([np.nonzero(held.T)[1], np.arange(len(held))])
        self.held = Held(
            masks=masks,
            by_row=by_row,
            starts=np.concatenate([[0], np.cumsum(held.sum(axis=0)), [len(by_row)]]),
            across=np.ascontiguousarray(own.equations[by_row].T),
            order=np.argsort(held.sum(axis=0), kind="stable"),
            need=need,
            gives=gives,
            caps=gives.max(axis=0),
            asked=np.array([*wanted.demand, least_rank]) * (1 - 1e-9),
        )

    def level(self, k: int, steps: int) -> tuple[tuple[tuple[int, ...], tuple[int, ...]] | None, int]:
        """The best plan of k columns that so many steps find, if any, and the steps left."""
        best = Best(np.zeros(k, np.int64), np.zeros(k, np.int64), np.zeros(3, np.int64))
        left = sets_of(self.own, self.wanted, self.held, k, steps, _work(self.own, self.wanted, k), best)
        return (tuple(best.columns.tolist()), tuple(best.counts.tolist())) if best.rank[MET] else None, int(left)


def _work(own: Columns, wanted: Wanted, k: int) -> Work:
    columns, rows = own.given.shape
    equations = len(wanted.sides)
    chosen, trial, pivots, free = np.zeros((4, k), np.int64)
    covered, spent, first, ends, next_ = np.zeros((5, k + 1), np.int64)
    return Work(
        chosen,
        covered,
        spent,
        first,
        ends,
        next_,
        banned=np.zeros(columns, np.int64),
        one=np.zeros((k + 1, rows), np.int64),
        all=np.zeros((k + 1, rows + 1)),
        equations=Equations(np.zeros((equations, k + equations + 1)), pivots, trial, free),
        left=np.zeros(columns),
    )
