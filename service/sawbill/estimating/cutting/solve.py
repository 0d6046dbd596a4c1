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
from sawbill.estimating.cutting.greedy import Plan
from sawbill.estimating.cutting.knapsack import Knapsack
from sawbill.estimating.cutting.known import Known
from sawbill.estimating.cutting.order import Status
from sawbill.estimating.cutting.problem import MISSING, Problem
from sawbill.estimating.cutting.relaxation import Relaxation, relax, settle
from sawbill.estimating.cutting.rough import rough
from sawbill.estimating.cutting.ties import best_of_equals

DIVES = 4  # more of them, where the exact search has no basis to start from


@dataclass(frozen=True, slots=True)
class Solution:
    """Counted patterns, the boards they make, and how far the cost is proven."""

    plan: Plan
    layouts: Layouts
    bound: int
    status: Status
    stage: str


def solve(
    problem: Problem, extra_cost: Fraction, end: float, enough: int | None = None, *, brief: bool = False
) -> Solution:
    """The cheapest plan of a problem, and among those of its cost, or little more if that is allowed, the best.

    Very many different lengths, and plans that may not be needed, are spared the tie-breaks.
    """
    fillers = greedy.knapsacks(problem)
    known, relaxation = least_cost(problem, fillers, end, enough, brief=brief)
    plan, timed_out, bound = known.plan, known.timed_out, known.bound
    wanted = enough is None or known.cost < enough
    if not timed_out and wanted and len(problem.rows) <= exact.MOST_ROWS:
        relaxation = settle(problem, fillers, relaxation, end)
        plan, timed_out = best_of_equals(problem, fillers, relaxation, plan, extra_cost, end)
    if problem.twin is not None:
        twin = greedy.knapsacks(problem.twin)
        bound = min(known.bound, relax(problem.twin, twin, greedy.complete(problem.twin, twin, {}), end)[0])
    status = Status.PROVEN if greedy.cost(plan) <= bound else Status.WITHIN_TOLERANCE
    if timed_out:
        status = Status.TIME_LIMIT
    cut = {pattern: count for pattern, count in plan.items() if pattern.bin != MISSING}
    return Solution(plan, lay_out(problem, cut), bound, status, known.stage)


def least_cost(
    problem: Problem, fillers: Sequence[Knapsack], end: float, enough: int | None = None, *, brief: bool = False
) -> tuple[Known, Relaxation]:
    """The cheapest plan, as far as steps, the clock and what is enough allow."""
    plan = greedy.complete(problem, fillers, {})
    known = Known(plan, greedy.cost(plan), 0, "quick start", enough=enough, brief=brief)
    bound, relaxation = relax(problem, fillers, plan, end)
    known = known.with_bound(bound, "linear programme")
    if known.open:
        quick = rough(problem, fillers)
        known = known.with_plan(dive(problem, quick, relaxation.master, known.plan, known.bound, end), "dive")
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
