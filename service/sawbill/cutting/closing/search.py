"""One problem taken as it is: a plan at once, the bound, and a search for whatever is cheaper."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

from sawbill.cutting.closing import levels
from sawbill.cutting.closing.dive import dive
from sawbill.cutting.closing.known import Known
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.relaxation import Relaxation, relax, settle
from sawbill.cutting.linear.rough import rough
from sawbill.cutting.problem import Problem


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
        known = levels.close(problem, fillers, relaxation, known, end)
    cut_short = known.timed_out or time.monotonic() >= end
    return replace(known, timed_out=known.open and cut_short), relaxation
