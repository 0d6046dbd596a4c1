"""One problem taken as it is: a plan at once, the bound, and a search for whatever is cheaper."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sawbill.cutting.closing import levels
from sawbill.cutting.closing.budgets import listed
from sawbill.cutting.closing.choice import need
from sawbill.cutting.closing.dive import dive, together
from sawbill.cutting.closing.known import Known
from sawbill.cutting.closing.portion import portion
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.bound import length_duals, safe_bound
from sawbill.cutting.linear.columns import price
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.laying import Laid, boards_of, lay
from sawbill.cutting.linear.relaxation import Relaxation, relax, settle
from sawbill.cutting.linear.rough import rough
from sawbill.cutting.problem import Problem

VERY_MANY = 200  # lengths from which the first plan is laid, and a gap may be left for closer searches
NEAR = 3e-4  # part of the cost that it may be
PART_NEAR = 1e-3  # the same of a part that is planned by itself
FEW = 100  # lengths that are left then
NEARLY = 1.02  # times the bound, up to which a plan shows that prices are nearly right
WASTE = 2_000  # part of a board's cost that it may waste and be kept


def at_first(
    problem: Problem, fillers: Sequence[Knapsack], end: float, near: float | None = None
) -> tuple[Known, Relaxation]:
    """A plan at once, the linear programme's bound, and a better plan where that leaves a gap.

    near: what part of the cost the gap may be for that; unless it is given, some of it where lengths are very many.
    """
    near = (NEAR if len(problem.rows) > VERY_MANY else 0.0) if near is None else near
    quick = rough(problem, fillers)
    plan = greedy.complete(problem, quick, _start(problem, fillers, end))
    known = Known(plan, greedy.cost(plan), 0, "quick start")
    bound, relaxation = relax(problem, fillers, plan, end, near)
    known = known.with_bound(bound, "linear programme")
    if known.cost - known.bound > near * known.cost:
        known = known.with_plan(dive(problem, quick, relaxation.master, known.plan, known.bound, end), "dive")
    return known, relaxation


def make_ready(problem: Problem) -> None:
    """Compile what only orders of many lengths take, with a small one."""
    fillers, duals = greedy.knapsacks(problem), length_duals(problem)
    left = [bin_.available for bin_ in problem.bins]
    lay(problem, fillers, duals, price(problem, fillers, duals, problem.demand), problem.demand, left)
    listed(problem, [need(problem, fillers, duals.rows)], max(bin_.cost for bin_ in problem.bins))


def _start(problem: Problem, fillers: Sequence[Knapsack], end: float) -> Plan:
    """Boards for the start where the greedy takes long: laid as if pieces were worth their lengths.

    Where that is nearly the truth, what wastes next to nothing is kept until few lengths are left, which are planned as
    an order of their own.
    """
    if len(problem.rows) <= VERY_MANY:
        return {}
    duals, left = length_duals(problem), [bin_.available for bin_ in problem.bins]
    fillings = price(problem, fillers, duals, problem.demand)
    laid = lay(problem, fillers, duals, fillings, problem.demand, left)
    plan = boards_of(laid)
    nearly = greedy.cost(plan) <= NEARLY * safe_bound(problem, duals, fillings)
    if any(greedy.residual(problem, plan)) or not nearly:
        return plan
    kept = _kept(problem, laid, duals.scale)
    if 2 * greedy.cost(kept) < greedy.cost(plan):
        return plan
    rest, left = greedy.residual(problem, kept), greedy.boards_left(problem, kept)
    part = portion(problem, rest, left, {bin_.group for bin_ in problem.bins})
    known, _ = at_first(part.problem, greedy.knapsacks(part.problem), end, PART_NEAR)
    return min(plan, together(kept, part.plan(known.plan)), key=greedy.cost)


def _kept(problem: Problem, laid: Sequence[Laid], scale: int) -> Plan:
    """The boards laid first that waste next to nothing, until few lengths are left."""
    kept: Plan = {}
    rest = np.array(problem.demand)
    for own in laid:
        if np.count_nonzero(rest > 0) <= FEW:
            break
        if own.reduced * WASTE <= own.pattern.cost * scale:
            kept[own.pattern] = kept.get(own.pattern, 0) + own.times
            for row, amount in own.pattern.rows:
                rest[row] -= amount * own.times
    return kept


def closed(
    problem: Problem, fillers: Sequence[Knapsack], known: Known, relaxation: Relaxation, end: float
) -> tuple[Known, Relaxation]:
    """The cheapest plan, as far as steps, the clock and what is enough allow."""
    if known.open and time.monotonic() < end:
        relaxation = settle(problem, fillers, relaxation, end)
        if relaxation.settled:
            known = levels.close(problem, fillers, relaxation, known, end)
    cut_short = known.timed_out or time.monotonic() >= end
    return replace(known, timed_out=known.open and cut_short), relaxation
