"""The linear programme at its optimum: the bound's prices, and the basis the exact search starts from."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sawbill.cutting.linear import basis as exact
from sawbill.cutting.linear import columns
from sawbill.cutting.linear.bound import length_bound, safe_bound, sound_duals
from sawbill.cutting.linear.columns import Duals, Master
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Filling, Knapsack
from sawbill.cutting.linear.laying import lay
from sawbill.cutting.linear.reduced import Prospect, prospect
from sawbill.cutting.linear.rough import rough
from sawbill.cutting.problem import Pattern, Problem

ROUNDS = 3_000  # of column generation
MANY = 25  # rows from which a round looks for more patterns
OTHERS = 3  # times that it does
QUICK_OTHERS = 12  # times that it does where that is quick


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The programme, and prices that satisfy the bound's inequality once settled.

    basis: the exact one, if there is; views: what lies ahead of every place at these prices, once settled.
    """

    master: Master
    duals: Duals
    basis: exact.Basis | None = None
    views: tuple[Prospect, ...] = ()

    @property
    def settled(self) -> bool:
        """Whether it is at its optimum, as far as the clock allowed."""
        return bool(self.views)


def relax(
    problem: Problem, fillers: Sequence[Knapsack], plan: Plan, end: float, near: float = 0.0
) -> tuple[int, Relaxation]:
    """Column generation, starting from a plan's patterns, until the safe bound can rise no more, or by little.

    near: what part of the cost it may still rise by.

    The optimum over the patterns at hand is never below the optimum over all: once both, rounded up to the step of
    the costs, agree, the bound is final, though the programme may not be at its optimum yet.
    """
    master = Master(problem, plan)
    bound = length_bound(problem, fillers) if near or time.monotonic() > end else 0
    bound = _generate(problem, fillers, master, end, bound, early=True, near=near)
    if time.monotonic() > end:  # cut short, it may know of no bound at all
        bound = max(bound, length_bound(problem, fillers))
    return bound, Relaxation(master, master.duals())


def settle(problem: Problem, fillers: Sequence[Knapsack], relaxation: Relaxation, end: float) -> Relaxation:
    """At the optimum over all patterns, with exact prices from the basis or rounded ones made sound.

    Without them where time is up before.
    """
    if relaxation.settled:
        return relaxation
    _generate(problem, fillers, relaxation.master, end, 0, early=False)
    if time.monotonic() > end:
        return relaxation
    basis = exact.exact_basis(problem, fillers, relaxation.master)
    duals = sound_duals(problem, fillers, relaxation.master.duals()) if basis is None else basis.duals
    views = tuple(prospect(problem, filler, duals) for filler in fillers)
    return replace(relaxation, duals=duals, basis=basis, views=views)


def _generate(
    problem: Problem, fillers: Sequence[Knapsack], master: Master, end: float, bound: int, *, early: bool,
    near: float = 0.0,
) -> int:  # fmt: skip
    """Rounds of column generation; the best bound met, or the one given."""
    quick = rough(problem, fillers)
    for _ in range(ROUNDS):
        value, _ = master.solve(end)
        duals = master.duals()
        if near and value - bound <= near * value:
            break
        if quick is not fillers and time.monotonic() < end and _quickly(problem, quick, master, duals):
            continue
        fillings = columns.price(problem, fillers, duals, problem.demand)
        bound = max(bound, safe_bound(problem, duals, fillings))
        if early and bound >= math.ceil(value / problem.step - 1e-6) * problem.step:
            break
        found = columns.improving(problem, duals, fillings)
        if len(problem.rows) > MANY:
            found += _laid(problem, fillers, duals, fillings) or _others(problem, fillers, duals, found, OTHERS)
        if time.monotonic() > end or not master.add(found):
            break
    return bound


def _quickly(problem: Problem, quick: Sequence[Knapsack], master: Master, duals: Duals) -> int:
    """Add what the rough knapsacks find; how many patterns that is."""
    fillings = columns.price(problem, quick, duals, problem.demand)
    found, laid = columns.improving(problem, duals, fillings), _laid(problem, quick, duals, fillings)
    return master.add(found + (laid or _others(problem, quick, duals, found, QUICK_OTHERS)))


def _laid(
    problem: Problem, fillers: Sequence[Knapsack], duals: Duals, fillings: Mapping[int, Filling]
) -> list[Pattern]:  # fmt: skip
    """Of boards laid at these prices, those that would lower the optimum."""
    left, least = [bin_.available for bin_ in problem.bins], -int(1e-7 * duals.scale)
    return [own.pattern for own in lay(problem, fillers, duals, fillings, problem.demand, left, least)]


def _others(
    problem: Problem, fillers: Sequence[Knapsack], duals: Duals, found: Sequence[Pattern], times: int
) -> list[Pattern]:
    """More patterns that would lower the optimum, of rows that the ones found do without: rounds are saved."""
    others: list[Pattern] = []
    rest = list(problem.demand)
    for _ in range(times):
        for pattern in found:
            for row, _ in pattern.rows:
                rest[row] = 0
        found = columns.improving(problem, duals, columns.price(problem, fillers, duals, rest))
        others += found
        if not found:
            break
    return others
