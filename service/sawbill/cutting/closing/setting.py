"""What all stages of a problem work on."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

from sawbill.cutting.linear import reduced
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.relaxation import Relaxation
from sawbill.cutting.problem import Problem


@dataclass(frozen=True, slots=True)
class Setting:
    """A problem, its knapsacks and its linear programme, settled; end: the emergency stop."""

    problem: Problem
    fillers: Sequence[Knapsack]
    relaxation: Relaxation
    end: float

    def slack(self, cost: int) -> int:
        """What a plan of some cost may spend beyond what the linear programme's prices say, scaled."""
        duals = self.relaxation.duals
        return cost * duals.scale - reduced.floor_cost(self.problem, duals)

    @property
    def late(self) -> bool:
        """Whether time is up."""
        return time.monotonic() > self.end
