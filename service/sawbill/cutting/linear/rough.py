"""Good fillings of boards quickly where the exact grid is fine: lengths rounded up to a coarse one, boards down.

What fits on the coarse grid fits on the exact one, so that any filling is a pattern; the best may be missed, and
nothing is proven.
"""

from __future__ import annotations

from collections.abc import Sequence

from sawbill.cutting.linear.grid import coarser
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.problem import Problem

WORK = 8_000_000  # places in a board times items from which the exact knapsack is worth sparing
COARSE = 2_000  # positions of the coarse grid


def rough(problem: Problem, fillers: Sequence[Knapsack]) -> Sequence[Knapsack]:
    """Knapsacks for the same items and bins on a coarse grid; the exact ones where those are quick, or needed.

    They are needed where it matters what is left over.
    """
    work = max(len(filler.positions) * len(filler.items) for filler in fillers)
    if work < WORK or problem.no_slivers or problem.keep is not None:
        return fillers
    coarse = coarser(problem, -(-max(bin_.room for bin_ in problem.bins) // COARSE))
    return [Knapsack(coarse, problem.bins[filler.bins[0]].group) for filler in fillers]
