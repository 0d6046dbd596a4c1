"""One problem, from greedy plan to proven optimum."""

from __future__ import annotations

import time
from dataclasses import dataclass
from fractions import Fraction

from sawbill.estimating.cutting import greedy
from sawbill.estimating.cutting.answers import Effort, Outcome
from sawbill.estimating.cutting.boards import Layouts, lay_out
from sawbill.estimating.cutting.greedy import Plan
from sawbill.estimating.cutting.helper import HELPER
from sawbill.estimating.cutting.order import Status
from sawbill.estimating.cutting.patterns import all_patterns
from sawbill.estimating.cutting.problem import MISSING, Problem


@dataclass(frozen=True, slots=True)
class Solution:
    """Counted patterns, the boards they make, and how far the cost is proven."""

    plan: Plan
    layouts: Layouts
    bound: int
    status: Status
    stage: str


def solve(problem: Problem, extra_cost: Fraction, end: float) -> Solution:
    """The cheapest plan for a problem."""
    fillers = greedy.knapsacks(problem)
    plan = greedy.complete(problem, fillers, {})
    patterns = all_patterns(problem, 1500)
    if patterns is None:
        return _solution(problem, plan, 0, Status.TIME_LIMIT, "quick start")
    patterns += [problem.missing(row) for row in range(len(problem.rows))]
    costs = [pattern.cost for pattern in patterns]
    seconds = end - time.monotonic()
    answer = HELPER.ask(
        "fewest", problem, patterns, costs, [], problem.step, Effort(10_000, 0.8 * seconds), seconds=seconds
    )
    if answer is None or answer.outcome is not Outcome.BEST:
        return _solution(problem, plan, 0, Status.TIME_LIMIT, "quick start")
    found = {pattern: n for pattern, n in zip(patterns, answer.counts, strict=True) if n}
    best = greedy.cost(found)
    weights = [0 if p.bin == MISSING else 1 for p in patterns]
    answer2 = HELPER.ask(
        "fewest",
        problem,
        patterns,
        weights,
        [(costs, best)],
        1,
        Effort(1000, 1),
        seconds=end - time.monotonic(),
    )
    if answer2 and answer2.counts:
        found = {pattern: n for pattern, n in zip(patterns, answer2.counts, strict=True) if n}
    few = sum(w * found.get(p, 0) for w, p in zip(weights, patterns, strict=True))
    answer3 = HELPER.ask(
        "fewest_setups",
        problem,
        patterns,
        [(costs, best), (weights, few)],
        Effort(1000, 1),
        seconds=end - time.monotonic(),
    )
    if answer3 and answer3.counts:
        found = {pattern: n for pattern, n in zip(patterns, answer3.counts, strict=True) if n}
    return _solution(problem, found, best, Status.PROVEN, "all patterns")


def _solution(problem: Problem, plan: Plan, bound: int, status: Status, stage: str) -> Solution:
    real = {pattern: count for pattern, count in plan.items() if pattern.bin != MISSING}
    return Solution(plan, lay_out(problem, real), bound, status, stage)
