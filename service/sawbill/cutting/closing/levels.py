"""Closing the gap between plan and bound: up to ever higher costs, each stage where it takes least."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sawbill.cutting.closing.buying import suits
from sawbill.cutting.closing.known import Known
from sawbill.cutting.closing.setting import Setting
from sawbill.cutting.closing.stages import ChoiceOfBoards, CompressedFlow, ExactSearch, FewPatterns, MoreDives
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.relaxation import Relaxation
from sawbill.cutting.problem import Problem

FIRST_LEVEL, NARROWER = 6, 3  # what part of the gap the first level takes in; of one not settled, the next


Stage = Callable[[int, Known], Known]
"""From a level and what is known to what is known then: a better plan, or a bound as far as above the level."""


def close(
    problem: Problem, fillers: Sequence[Knapsack], relaxation: Relaxation, known: Known, end: float
) -> Known:  # fmt: skip
    """Search up to ever higher costs: below each level there is a cheapest plan, or the bound rises above it.

    The stages come in turn until one has accounted for all plans up to the level, or found a better plan, so that a
    lower level will do.
    """
    setting = Setting(problem, fillers, relaxation, end)
    stages = _stages(setting, known)
    width = _part(problem, known, FIRST_LEVEL)
    while known.open and not setting.late:
        highest = (min(known.cost, known.enough or known.cost) - 1) // problem.step * problem.step
        level = highest if known.bound + 2 * width >= highest else known.bound + width
        before = known
        for stage in stages:
            known = stage(level, known)
            if known.settled(level) or known.cost < before.cost or setting.late:
                break
        if known.settled(level):
            width *= 2
        elif (known.cost, known.bound) == (before.cost, before.bound):
            if level <= known.bound or not known.effort:
                break
            width = (level - known.bound) // NARROWER // problem.step * problem.step
    return known


def _part(problem: Problem, known: Known, part: int) -> int:
    """A part of the gap, in whole steps of the cost."""
    return max(problem.step, (known.cost - known.bound) // part // problem.step * problem.step)


def _stages(setting: Setting, known: Known) -> list[Stage]:
    """Those that suit the problem, in the order of what they take.

    Without an exact basis lengths are many, and the solver takes longer than many steps of the choice. A small order
    that comes here has left the exact search open before (see listed/small.py); most others the choice closes as soon.
    """
    few, flow = FewPatterns(setting), CompressedFlow(setting)
    choice = ChoiceOfBoards(setting) if suits(setting.problem) else None
    if setting.relaxation.basis is None:
        first = [] if choice is None else [choice.some, choice.listed, choice.more][: 2 + bool(known.effort)]
        last = [few.go, flow.go] if choice is not None else [flow.go, few.go]
        return [*first, MoreDives(setting).go, *(last if known.effort else [few.go])]
    exact = ExactSearch(setting, setting.relaxation.basis)
    if choice is None:
        return [exact.go, few.go, flow.go] if known.effort else [exact.go, few.go]
    if not known.effort:
        return [choice.some, choice.listed, exact.go, few.go]
    return [choice.some, choice.listed, exact.go, choice.several, few.go, flow.soon, choice.more, flow.go]
