"""One problem, from a quick plan to a proven optimum: each stage narrows what is known until plan meets bound."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sawbill.cutting.boards import Layouts, lay_out, worth
from sawbill.cutting.closing.known import ALL, Known
from sawbill.cutting.closing.search import at_first, closed
from sawbill.cutting.closing.sections import Sections, tied_rows, ways
from sawbill.cutting.linear import basis as exact
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.relaxation import Relaxation, settle
from sawbill.cutting.listed import listing, setups
from sawbill.cutting.order import Status
from sawbill.cutting.problem import MISSING, Problem
from sawbill.cutting.ties import best_of_equals

FEW_ROWS = 10  # different lengths, up to which a problem is soon closed as a whole, and need not be taken apart


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
    """The boards of a plan, and how far its cost is proven.

    few: no plan so cheap has fewer set-ups; late: whether a clock cut short the search, be it only among equal plans.
    """

    problem: Problem
    layouts: Layouts
    bound: int
    status: Status
    stage: str
    few: int = 1
    late: bool = False


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
    if len(problem.rows) <= FEW_ROWS:
        known, relaxation = closed(problem, fillers, known, relaxation, end)
    several = ways(problem, tied_rows(problem)) if known.open and known.cost < problem.penalty else None
    if several is None and len(problem.rows) > FEW_ROWS:
        known, relaxation = closed(problem, fillers, known, relaxation, end)
    elif several is not None and time.monotonic() < end:
        known = Sections(problem, several, known, end).run()
        known = replace(known, timed_out=known.open and (known.timed_out or time.monotonic() >= end))
    return Found(problem, known, known.bound, fillers, relaxation)


def finish(found: Found, extra_cost: Fraction, end: float, *, tidy: bool = True) -> Solution:
    """The best among plans of the cost found, or of little more if that is allowed, laid out.

    Very many different lengths, and plans that need not be tidy, are spared the tie-breaks.
    """
    problem, known = found.problem, found.known
    layouts, few, timed_out = _laid_out(problem, known.plan), 1, known.timed_out
    if tidy and not timed_out and found.relaxation is not None and len(problem.rows) <= exact.MOST_ROWS:
        relaxation = settle(problem, found.fillers, found.relaxation, end)
        if relaxation.settled:
            layouts, few, timed_out = _tidied(found, relaxation, extra_cost, end)
        else:
            timed_out = True
    status = Status.TIME_LIMIT if timed_out else Status.WITHIN_TOLERANCE
    spent = sum(problem.bins[own.bin].cost * n for own, n in layouts.items()) - worth(problem, layouts)
    if spent + _missing(known) <= found.bound:  # whatever the clock has cut short
        status = Status.PROVEN
    return Solution(problem, layouts, found.bound, status, known.stage, few, timed_out)


def _tidied(
    found: Found, relaxation: Relaxation, extra_cost: Fraction, end: float
) -> tuple[Layouts, int, bool]:  # fmt: skip
    """The best of equal plans, how few set-ups are proven, and whether the clock cut the search short."""
    problem, plan = found.problem, found.known.plan
    plan, timed_out = best_of_equals(problem, found.fillers, relaxation, plan, Fraction(0), end)
    layouts, few = _laid_out(problem, plan), 1
    listed = not timed_out and not _missing(found.known) and setups.suits(problem)
    if listed:
        most = found.known.cost + int(found.known.cost * extra_cost) + 1
        sizes, prices = listing.sizes(problem), setups.prices_of(problem, relaxation.duals, most)
        rank, least = setups.rank_of(problem, prices, layouts), found.bound * prices.per_cost
        layouts, few = setups.fewest(problem, sizes, prices, layouts, rank, len(layouts), least=least)
    if extra_cost and not timed_out:
        other, timed_out = best_of_equals(problem, found.fillers, relaxation, plan, extra_cost, end)
        layouts, few = min(layouts, _laid_out(problem, other), key=len), 1
        if listed:
            cost = found.known.cost
            layouts, few = setups.spending(problem, sizes, prices, layouts, cost, extra_cost, least=least)
    return layouts, few, timed_out


def _laid_out(problem: Problem, plan: Plan) -> Layouts:
    """The boards of a plan, without what cannot be had."""
    return lay_out(problem, {pattern: count for pattern, count in plan.items() if pattern.bin != MISSING})


def _missing(known: Known) -> int:
    """What a plan is charged with for pieces that cannot be had [minor units]."""
    return sum(pattern.cost * count for pattern, count in known.plan.items() if pattern.bin == MISSING)
