"""One problem, from a quick plan to a proven optimum: each stage narrows what is known until plan meets bound."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sawbill.estimating.cutting import basis as exact
from sawbill.estimating.cutting import closing, greedy
from sawbill.estimating.cutting.boards import Layouts, lay_out
from sawbill.estimating.cutting.dive import dive
from sawbill.estimating.cutting.knapsack import Knapsack
from sawbill.estimating.cutting.known import Known
from sawbill.estimating.cutting.order import Status
from sawbill.estimating.cutting.problem import MISSING, Problem
from sawbill.estimating.cutting.relaxation import Relaxation, relax, settle
from sawbill.estimating.cutting.rough import rough
from sawbill.estimating.cutting.ties import best_of_equals

DIVES = 4  # more of them, where the exact search has no basis to start from


@dataclass(frozen=True, slots=True)
class Found:
    """The cheapest plan of a problem as far as it was searched for; bound: no plan costs less [minor units].

    fillers and relaxation: what a search among plans of that cost goes on from; None where there is none.
    """

    problem: Problem
    known: Known
    bound: int
    fillers: Sequence[Knapsack]
    relaxation: Relaxation | None

    @property
    def proven(self) -> bool:
        """Whether no plan is cheaper."""
        return self.known.cost <= self.bound


@dataclass(frozen=True, slots=True)
class Solution:
    """The boards of a plan, and how far its cost is proven; few: no plan so cheap has fewer set-ups."""

    problem: Problem
    layouts: Layouts
    bound: int
    status: Status
    stage: str
    few: int = 1


def find(
    problem: Problem, end: float, enough: int | None = None, *, brief: bool = False, begun: Found | None = None
) -> Found:
    """A plan of least cost; begun: what was found of the same problem, to go on from."""
    if begun is None or begun.relaxation is None:
        fillers: Sequence[Knapsack] = greedy.knapsacks(problem)
        known, relaxation = at_first(problem, fillers, end)
    else:
        fillers, known, relaxation = begun.fillers, begun.known, begun.relaxation
    known = replace(known, enough=enough, brief=brief, timed_out=False)
    known, relaxation = closed(problem, fillers, known, relaxation, end)
    return Found(problem, known, known.bound, fillers, relaxation)


def finish(found: Found, extra_cost: Fraction, end: float, *, tidy: bool = True) -> Solution:
    """The best among plans of the cost found, or of little more if that is allowed, laid out.

    Very many different lengths, and plans that need not be tidy, are spared the tie-breaks.
    """
    problem, known = found.problem, found.known
    plan, timed_out = known.plan, known.timed_out
    if tidy and not timed_out and found.relaxation is not None and len(problem.rows) <= exact.MOST_ROWS:
        relaxation = settle(problem, found.fillers, found.relaxation, end)
        plan, timed_out = best_of_equals(problem, found.fillers, relaxation, plan, extra_cost, end)
    status = Status.TIME_LIMIT if timed_out else Status.WITHIN_TOLERANCE
    if greedy.cost(plan) <= found.bound:  # whatever the clock has cut short
        status = Status.PROVEN
    cut = {pattern: count for pattern, count in plan.items() if pattern.bin != MISSING}
    return Solution(problem, lay_out(problem, cut), found.bound, status, known.stage)


def at_first(problem: Problem, fillers: Sequence[Knapsack], end: float) -> tuple[Known, Relaxation]:
    """A plan at once, the linear programme's bound, and a better plan where that leaves a gap."""
    plan = greedy.complete(problem, fillers, {})
    known = Known(plan, greedy.cost(plan), 0, "quick start")
    bound, relaxation = relax(problem, fillers, plan, end)
    known = known.with_bound(bound, "linear programme")
    if known.open:
        quick = rough(problem, fillers)
        known = known.with_plan(dive(problem, quick, relaxation.master, known.plan, known.bound, end), "dive")
    return known, relaxation


def closed(
    problem: Problem, fillers: Sequence[Knapsack], known: Known, relaxation: Relaxation, end: float
) -> tuple[Known, Relaxation]:
    """The cheapest plan, as far as steps, the clock and what is enough allow."""
    if known.open and time.monotonic() < end:
        relaxation = settle(problem, fillers, relaxation, end)
        for turn in range(DIVES) if relaxation.basis is None else ():
            if known.open and time.monotonic() < end:
                plan = dive(problem, fillers, relaxation.master, known.plan, known.bound, end, turn)
                known = known.with_plan(plan, "dive")
    if known.open and time.monotonic() < end:
        known = closing.close(problem, fillers, relaxation, known, end)
    cut_short = known.timed_out or time.monotonic() >= end
    return replace(known, timed_out=known.open and cut_short), relaxation
