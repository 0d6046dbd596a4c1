"""Part of a problem: its plan, told in patterns of the whole, cuts what was asked and costs the same."""

from __future__ import annotations

import random

import pytest

from sawbill.cutting import Order, Piece, SmallPart, Stock
from sawbill.cutting.closing.portion import portion
from sawbill.cutting.linear import greedy
from sawbill.cutting.normalise import normalise

ORDER = Order(
    (Stock("a", "pine", 60, 21), Stock("b", "fir", 80, 30), Stock("c", "fir", 45, 14, 2)),
    (
        Piece("p", 31, 4, frozenset({"pine"})),
        Piece("q", 22, 5, frozenset({"pine", "fir"})),
        Piece("r", 17, 6, frozenset({"fir"})),
    ),
    (SmallPart("block", 4, 11, {"pine": 2, "fir": 3}, 10),),
    kerf=1,
)


@pytest.mark.parametrize("seed", range(20))
def test_a_plan_of_a_part_is_one_of_the_whole_at_the_same_cost(seed: int) -> None:
    rng = random.Random(seed)
    (problem,) = normalise(ORDER)
    demand = [rng.randint(0, row.demand) for row in problem.rows]
    left = [rng.choice([None, 9]) if bin_.available is None else rng.randint(0, 2) for bin_ in problem.bins]
    own = portion(problem, demand, left, {bin_.group for bin_ in problem.bins})
    assert [row.demand for row in own.problem.rows] == [amount for amount in demand if amount]
    plan = greedy.complete(own.problem, greedy.knapsacks(own.problem), {}) if any(demand) else {}
    told = own.plan(plan)
    assert greedy.cost(told) == greedy.cost(plan)
    given = [sum(dict(p.rows).get(row, 0) * n for p, n in told.items()) for row in range(len(demand))]
    assert all(had >= amount for had, amount in zip(given, demand, strict=True))
    for pattern in told:
        if pattern.bin >= 0:
            bin_ = problem.bins[pattern.bin]
            assert left[pattern.bin] != 0
            assert sum(problem.groups[bin_.group][item].length * n for item, n in pattern.items) <= bin_.room
