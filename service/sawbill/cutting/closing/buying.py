"""From a purchase to a plan: what is offered is put to the linear programme over patterns, then dived into.

Where the programme cannot cut the order from the boards, even in parts of patterns, its prices give the need that
they do not meet (see choice.py). Where it can, a dive nearly always cuts it from whole ones, and else the pattern
master over its patterns.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

from sawbill.cutting.closing import model
from sawbill.cutting.closing.budgets import listed, that_meet
from sawbill.cutting.closing.choice import Counts, Need, Offer, Purchases, need
from sawbill.cutting.closing.dive import dive
from sawbill.cutting.linear import columns, greedy
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.relaxation import Relaxation
from sawbill.cutting.linear.rough import rough
from sawbill.cutting.problem import MISSING, Problem

ROUNDS = 200  # of column generation for one offer
ASIDE = 8  # offers that may be left undecided before the search ends
COUNTED = 15  # lengths up to which the pieces of at least each length are counted, as needs of their own
TURNS = 3  # dives into an offer, each rounding another part up first
TRIED = 100  # purchases that are tried of a list
AT_ONCE = 1_000  # steps of the search between two looks at the clock
NODES = 300  # of branch and bound after them


def suits(problem: Problem) -> bool:
    """Whether a plan's cost depends on its boards alone, and there are several bins to choose from."""
    credited = problem.keep is not None and problem.credit > 0
    return len(problem.bins) > 1 and not credited and not any(row.exact for row in problem.rows)


def limited_to(problem: Problem, counts: Counts) -> Problem:
    """The same order with these boards and no others."""
    bins = tuple(replace(bin_, available=n) for bin_, n in zip(problem.bins, counts, strict=True))
    return replace(problem, bins=bins)


def _by_material(problem: Problem, worths: Sequence[int]) -> list[list[int]]:
    """The worths of the rows that come from the same materials, those of all others left out.

    What boards of one material lack, no surplus of another makes good: each has needs of its own.
    """
    kinds = sorted({row.materials for row in problem.rows}, key=sorted)
    if len(kinds) == 1:
        return []
    rows = [(u, row.materials) for u, row in zip(worths, problem.rows, strict=True)]
    return [[u if materials == kind else 0 for u, materials in rows] for kind in kinds]


class Buyer:
    """The search for the boards to buy, which can be gone on with; every piece must be had."""

    def __init__(self, problem: Problem, fillers: Sequence[Knapsack], relaxation: Relaxation, level: int) -> None:
        """level: what a plan may cost to be wanted [minor units], below the cost of a missing piece."""
        self.problem, self.fillers, self.quick = problem, fillers, rough(problem, fillers)
        self.purchases, self.needs = Purchases(problem, level), list[Need]()
        self.aside: list[Offer] = []
        self.timed_out = False
        lengths = [row.length + problem.kerf for row in problem.rows]
        for worths in (relaxation.duals.rows, lengths):
            for own in (worths, *_by_material(problem, worths)):
                self._learn(need(problem, fillers, own))
        for least in sorted(set(lengths)) if len(lengths) <= COUNTED else ():
            self._learn(need(problem, fillers, [int(length >= least) for length in lengths]))
        none = limited_to(problem, (0,) * len(problem.bins))
        self.master = columns.Master(none, [p for p in relaxation.master.patterns if p.bin >= 0])

    @property
    def least(self) -> int:
        """No plan costs less, or else none is as cheap as is wanted."""
        return min([self.purchases.least, *(offer.cost for offer in self.aside)])

    def go_on(self, level: int, steps: int, end: float) -> Plan | None:
        """A plan within the level, from the first offer that one is found for; None if there is none in so many steps.

        level: as at the start, or lower; end: the emergency stop.
        """
        self.purchases.level = level
        while len(self.aside) < ASIDE and time.monotonic() < end:
            offer, left = self.purchases.next(min(steps, AT_ONCE))
            steps -= min(steps, AT_ONCE) - left
            if offer is None:
                if left or not steps:
                    break
                continue
            unmet = self._unmet(offer, end)
            if unmet is not None:
                self._learn(unmet)
                self.purchases.put_back(offer)
                continue
            plan = self._cut(offer, end)
            if plan is not None:
                self.purchases.put_back(offer)
                return plan
            self.aside.append(offer)
            self.purchases.rule_out(offer)
        return None

    def listed(self, level: int, end: float) -> tuple[Plan | None, int]:
        """A plan from the first purchase within a level that one is found for, and what no plan costs less than.

        No plan and 0 where the purchases are too many to be listed.
        """
        left = listed(self.problem, self.needs, level)
        if left is None:
            return None, 0
        aside: list[int] = []
        for _ in range(TRIED):
            if not len(left) or time.monotonic() > end:
                break
            offer = Offer(tuple(left[0].tolist()), int(left[0] @ self.purchases.costs), -1)
            unmet = self._unmet(offer, end)
            if unmet is not None:
                self._learn(unmet)
                left = that_meet(unmet, left)
                continue
            plan = self._cut(offer, end)
            if plan is not None:
                return plan, min([offer.cost, *aside])
            aside.append(offer.cost)
            left = left[1:]
        beyond = level + self.problem.step
        return None, min([beyond, *aside, *(left[:1] @ self.purchases.costs).tolist()])

    def _learn(self, need: Need) -> None:
        """Ask this of every purchase as well."""
        self.needs.append(need)
        self.purchases.learn(need)

    def _unmet(self, offer: Offer, end: float) -> Need | None:
        """A need that an offer does not meet; None when the programme cuts the order from it, or cannot tell."""
        own = limited_to(self.problem, offer.counts)
        self.master.want(own.demand, offer.counts)
        for _ in range(ROUNDS):
            value, _ = self.master.solve(end)
            if value <= offer.cost + 1e-6 or time.monotonic() > end:
                break
            duals = self.master.duals()
            found = need(own, self.fillers, duals.rows)
            if not found.met(offer.counts):
                return found
            fillings = columns.price(own, self.fillers, duals, own.demand)
            if not self.master.add(columns.improving(own, duals, fillings)):
                break
        return None

    def _cut(self, offer: Offer, end: float) -> Plan | None:
        """A plan that cuts the order from an offer, if one is found."""
        own = limited_to(self.problem, offer.counts)
        start = greedy.complete(own, self.quick, {})
        for turn in range(TURNS):
            plan = dive(own, self.fillers, self.master, start, offer.cost, end, turn)
            if greedy.cost(plan) <= offer.cost:
                return plan
        given = [p for p in self.master.patterns if p.bin == MISSING or offer.counts[p.bin]]
        answer = model.ask(own, given, offer.cost, NODES, end)
        self.timed_out |= answer is None or answer.timed_out
        whole = model.counted(given, answer)
        return whole if whole is not None and greedy.cost(whole) <= offer.cost else None
