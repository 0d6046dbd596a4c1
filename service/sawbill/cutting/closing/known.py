"""What is known of a problem's least cost while the search for it goes on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.greedy import Plan

ALL = 2  # the most effort


@dataclass(frozen=True, slots=True)
class Known:
    """The best plan so far, the proven bound, and which stage moved them last; timed_out: a clock cut a stage.

    enough: from this bound on no plan is wanted; None for always; effort: how much may be
    spent on what takes long, from none to all (see stages.py).
    """

    plan: Plan
    cost: int
    bound: int
    stage: str
    timed_out: bool = False
    enough: int | None = None
    effort: int = ALL

    @property
    def needless(self) -> bool:
        """Whether no plan can be as cheap as is wanted."""
        return self.enough is not None and self.bound >= self.enough

    @property
    def open(self) -> bool:
        """Whether a cheaper plan may exist, and is wanted."""
        return self.bound < self.cost and not self.needless

    def settled(self, level: int) -> bool:
        """Whether all plans up to a cost are accounted for, as far as is wanted."""
        return not self.open or self.bound > level

    def with_plan(self, plan: Plan, stage: str) -> Known:
        """The same, or the given plan if it is cheaper."""
        cost = greedy.cost(plan)
        return replace(self, plan=plan, cost=cost, stage=stage) if cost < self.cost else self

    def with_bound(self, bound: int, stage: str) -> Known:
        """The same, or with the given bound if it is higher; a bound never passes the plan's cost."""
        bound = min(bound, self.cost)
        return replace(self, bound=bound, stage=stage) if bound > self.bound else self
