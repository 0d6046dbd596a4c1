"""Which boards a small order is cut from, where the exact search takes long: choice.py over listed ways.

A purchase that seems to do is put to the linear programme over the ways to cut its boards and no others. Where that has
no solution, what proves it is a need that the purchase does not meet. Where it has one, so few boards leave little
beside its basis, and the exact search tells whether they do.
"""

from __future__ import annotations

from dataclasses import replace
from math import gcd

import numpy as np
from numpy.typing import NDArray

from sawbill.cutting.closing.choice import Need, Purchases
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed.listing import Listed
from sawbill.cutting.listed.whole import Covering, View, view
from sawbill.cutting.problem import Problem

STEPS = 2_000  # of the search for purchases
OFFERS = 60  # purchases that are looked at
WORK = 60_000  # columns the exact search may try for one
DIVES = 8  # into one that this leaves open
HIGHEST = 10**11  # rank up to which what floats tell of purchases is exact
_FINEST = 2**20  # what weights of rows are made whole numbers of
_NEARLY = 1e-6  # a count so close to a whole number is one


def suits(problem: Problem) -> bool:
    """Whether a plan's cost depends on its boards alone."""
    return not problem.credited and not any(row.exact for row in problem.rows)


def best(problem: Problem, ways: Listed, seen: View, costs: Ints, start: Ints) -> Ints | None:
    """Counts of the ways in the best plan, the start if there is no better one; None where that is not found out.

    costs: what a board of each bin counts for in the rank.
    """
    step = gcd(*costs.tolist())
    level = int(seen.covering.ranks @ start) - step
    if level > HIGHEST:
        return None
    bins = tuple(replace(bin_, cost=cost) for bin_, cost in zip(problem.bins, costs.tolist(), strict=True))
    purchases = Purchases(replace(problem, bins=bins, step=step), level)
    own = _Boards(problem, ways, seen.covering)
    for worths in own.first(problem, seen.prices):
        purchases.learn(own.need(worths))
    steps = STEPS
    for _ in range(OFFERS):
        offer, steps = purchases.next(steps)
        if offer is None:
            return start if purchases.least > level else None
        bought = np.array(offer.counts, np.int64)
        covering, able = own.from_(bought)
        basic, weights = covering.solved()
        if basic is not None:
            found, ended = _cut(covering, basic, offer.cost)
            if found is not None:
                counts = np.zeros(len(ways.bins), np.int64)
                counts[able] = found
                return counts
            if not ended:
                return None
            purchases.rule_out(offer)
            continue
        unmet = None if weights is None else own.need(_whole(weights[: covering.rows]))
        if unmet is None or unmet.met(offer.counts):
            return None
        purchases.learn(unmet)
        purchases.put_back(offer)
    return None


class _Boards:
    """The ways by the boards they take."""

    def __init__(self, problem: Problem, ways: Listed, whole: Covering) -> None:
        rows, bins = whole.rows, len(problem.bins)
        self.bins, self.given, self.ranks = ways.bins, whole.columns[:, :rows], whole.ranks
        self.demand, self.kinds = whole.target[:rows], np.arange(bins)
        self.signs = np.array([-1] * rows + [1] * bins, np.int64)

    def first(self, problem: Problem, prices: Ints) -> list[Ints]:
        """Worths of the rows for the needs to begin with: by prices, by lengths, and by the pieces of at least each."""
        lengths = np.array([row.length + problem.kerf for row in problem.rows], np.int64)
        long = [(lengths >= least).astype(np.int64) for least in sorted(set(lengths.tolist()))]
        return [prices[: len(lengths)], lengths, *long]

    def need(self, worths: Ints) -> Need:
        """What follows from whole worths of the rows, none below 0, for every purchase (see choice.py)."""
        rooms = np.zeros(len(self.kinds), np.int64)
        np.maximum.at(rooms, self.bins, self.given @ worths)
        return Need(tuple(rooms.tolist()), int(worths @ self.demand))

    def from_(self, bought: Ints) -> tuple[Covering, Ints]:
        """The programme over the ways to cut boards bought, of which there are so many, and which ways these are."""
        able = np.flatnonzero(bought[self.bins] > 0)
        boards = (self.bins[able, None] == self.kinds[None, :]).astype(np.int64)
        columns = np.hstack([self.given[able], boards])
        none = np.zeros(len(self.signs), np.bool_)
        return Covering(columns, self.ranks[able], np.concatenate([self.demand, bought]), none, self.signs), able


def _whole(weights: NDArray[np.float64]) -> Ints:
    """The same in whole numbers, none below 0."""
    above = np.maximum(weights, 0)
    found: Ints = np.rint(above * (_FINEST / max(above.max(), 1e-300))).astype(np.int64)
    return found


def _cut(covering: Covering, basic: Ints, roof: int) -> tuple[Ints | None, bool]:
    """Counts of the ways in a plan from these boards, of a rank up to the roof; or whether there is none for sure."""
    seen = view(covering, basic)
    if seen is None:
        return None, False
    found, ended = seen.at_once(), False
    if found is None:
        found, ended = seen.best(roof, WORK)
    return (dived(seen), False) if found is None and not ended else (found, ended)


def dived(seen: View) -> Ints | None:
    """Counts of a plan, from the first of several dives that finds one."""
    return next((plan for plan in (_dived(seen, turn) for turn in range(DIVES)) if plan is not None), None)


def _dived(seen: View, turn: int) -> Ints | None:
    """Counts of a plan by fixing what is whole in the programme's, or rounding one up, and solving the rest again.

    turn: which, counted from the largest part, is rounded up where there is the first choice.
    """
    covering, columns = seen.covering, seen.covering.columns
    counts, left = np.zeros(len(covering.ranks), np.int64), covering.target.copy()
    while True:
        basic, _ = covering._replace(target=left).solved()
        if basic is None:
            return None
        values = np.linalg.solve(seen.beside[basic].T.astype(float), left.astype(float))
        own = [(value, n) for value, n in zip(values.tolist(), basic.tolist(), strict=True) if n < len(counts)]
        fixed = [(int(value + _NEARLY), n) for value, n in own if value >= 1 - _NEARLY]
        if not fixed:
            parts = sorted((-value, n) for value, n in own)
            fixed, turn = [(1, parts[min(turn, len(parts) - 1)][1])], 0
        for count, n in fixed:
            counts[n] += count
            left -= count * columns[n]
        if (left[covering.rows :] < 0).any():
            return None
        plan = seen.filled(counts)
        if plan is not None:
            return plan
        left[: covering.rows] = np.maximum(left[: covering.rows], 0)
