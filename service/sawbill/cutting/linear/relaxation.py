"""The linear programme at its optimum: the bound's prices, and the basis the exact search starts from."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from sawbill.cutting.linear import basis as exact
from sawbill.cutting.linear import columns
from sawbill.cutting.linear.bound import safe_bound, sound_duals
from sawbill.cutting.linear.columns import Duals, Master
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
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


def relax(problem: Problem, fillers: Sequence[Knapsack], plan: Plan, end: float) -> tuple[int, Relaxation]:
    """Column generation, starting from a plan's patterns, until the safe bound can rise no more.

    The optimum over the patterns at hand is never below the optimum over all: once both, rounded up to the step of
    the costs, agree, the bound is final, though the programme may not be at its optimum yet.
    """
    master = Master(problem, plan)
    bound = _generate(problem, fillers, master, end, early=True)
    if time.monotonic() > end:
        bound = max(bound, _by_length(problem, fillers))
    return bound, Relaxation(master, master.duals())


def _by_length(problem: Problem, fillers: Sequence[Knapsack]) -> int:
    """The bound when a piece is worth its length: at once, and near where boards can nearly be filled."""
    rates = [Fraction(bin_.cost, bin_.room) for bin_ in problem.bins if bin_.cost and bin_.room]
    rate, dearest = min(rates, default=Fraction(0)), max(bin_.cost for bin_ in problem.bins) + 1
    scale = columns.fine_scale(float(dearest), columns.fullest(problem), dearest)
    rows = tuple(int((row.length + problem.kerf) * rate * scale) // problem.unit for row in problem.rows)
    duals = Duals(rows, (0,) * len(problem.bins), scale)
    return safe_bound(problem, duals, columns.price(problem, fillers, duals, problem.demand))


def settle(problem: Problem, fillers: Sequence[Knapsack], relaxation: Relaxation, end: float) -> Relaxation:
    """At the optimum over all patterns, with exact prices from the basis or rounded ones made sound."""
    if relaxation.settled:
        return relaxation
    _generate(problem, fillers, relaxation.master, end, early=False)
    basis = exact.exact_basis(problem, fillers, relaxation.master)
    duals = sound_duals(problem, fillers, relaxation.master.duals()) if basis is None else basis.duals
    views = tuple(prospect(problem, filler, duals) for filler in fillers)
    return replace(relaxation, duals=duals, basis=basis, views=views)


def _generate(problem: Problem, fillers: Sequence[Knapsack], master: Master, end: float, *, early: bool) -> int:
    """Rounds of column generation; the best bound met."""
    bound, quick = 0, rough(problem, fillers)
    for _ in range(ROUNDS):
        value, _ = master.solve()
        duals = master.duals()
        if quick is not fillers and time.monotonic() < end and _quickly(problem, quick, master, duals):
            continue
        fillings = columns.price(problem, fillers, duals, problem.demand)
        bound = max(bound, safe_bound(problem, duals, fillings))
        if early and bound >= math.ceil(value / problem.step - 1e-6) * problem.step:
            break
        found = columns.improving(problem, duals, fillings)
        if len(problem.rows) > MANY:
            found += _others(problem, fillers, duals, found, OTHERS)
        if time.monotonic() > end or not master.add(found):
            break
    return bound


def _quickly(problem: Problem, quick: Sequence[Knapsack], master: Master, duals: Duals) -> int:
    """Add what the rough knapsacks find; how many patterns that is."""
    found = columns.improving(problem, duals, columns.price(problem, quick, duals, problem.demand))
    return master.add(found + _others(problem, quick, duals, found, QUICK_OTHERS))


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
