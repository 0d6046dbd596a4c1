"""One problem, from a quick plan to a proven optimum: each stage narrows what is known until plan meets bound."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sawbill.estimating.cutting import basis as exact
from sawbill.estimating.cutting import greedy
from sawbill.estimating.cutting.boards import Layouts, lay_out
from sawbill.estimating.cutting.knapsack import Knapsack
from sawbill.estimating.cutting.known import ALL, Known
from sawbill.estimating.cutting.order import Status
from sawbill.estimating.cutting.problem import MISSING, Problem
from sawbill.estimating.cutting.relaxation import Relaxation, settle
from sawbill.estimating.cutting.search import at_first, closed
from sawbill.estimating.cutting.sections import Sections, tied_rows, ways
from sawbill.estimating.cutting.ties import best_of_equals


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
    known = replace(known, enough=enough, effort=0 if brief else ALL, timed_out=False)
    several = ways(problem, tied_rows(problem)) if known.open and known.cost < problem.penalty else None
    if several is None:
        known, relaxation = closed(problem, fillers, known, relaxation, end)
    else:
        known = Sections(problem, several, known, end).run()
        known = replace(known, timed_out=known.open and (known.timed_out or time.monotonic() >= end))
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
