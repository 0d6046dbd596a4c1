"""The first plan: boards filled by the knapsack, or longest first where lengths are many or fine."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

import pytest

from sawbill.cutting import CuttingPlan, Order, Piece, Stock, plan, verify
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.knapsack import Filling, Knapsack
from sawbill.cutting.normalise import normalise

PINE = frozenset({"pine"})


@pytest.mark.parametrize("seed", range(4))
def test_either_side_of_what_is_fine_the_plan_in_the_end_costs_the_same(
    monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    """FINE is put just on and just under what the order comes to; both first plans cut all of it."""
    rng = random.Random(seed)
    pieces = tuple(Piece(f"p{n}", rng.randint(300, 900), rng.randint(1, 4), PINE) for n in range(6))
    order = Order((Stock("a", "pine", 2_400, 7), Stock("b", "pine", 1_800, 5)), pieces)
    (problem,) = normalise(order)
    (filler,) = greedy.knapsacks(problem)
    work, longest, costs = len(pieces) * len(filler.positions), list[bool](), list[int]()
    how = Knapsack.longest_first

    def noted(own: Knapsack, most: Sequence[int]) -> Mapping[int, Filling]:
        longest.append(True)
        return how(own, most)

    monkeypatch.setattr(Knapsack, "longest_first", noted)
    for limit in (work, work - 1):
        monkeypatch.setattr(greedy, "FINE", limit)
        first = greedy.complete(problem, [filler], {})
        assert greedy.residual(problem, first) == [0] * len(problem.demand)
        assert bool(longest) is (limit < work)
        found = plan(order, 20.0)
        assert isinstance(found, CuttingPlan)
        verify(order, found)
        assert greedy.cost(first) >= found.cost == found.bound
        costs.append(found.cost)
    assert costs[0] == costs[1]
