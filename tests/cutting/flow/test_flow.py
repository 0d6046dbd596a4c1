"""The compressed graph loses no plan and invents none, held against a general solver over all patterns one by one."""

from __future__ import annotations

import random
import time
from fractions import Fraction

import pytest
from tests.cutting.every_pattern import least_cost_of

from sawbill.cutting import Order, Piece, Stock
from sawbill.cutting.flow import paths
from sawbill.cutting.flow import programme as flow
from sawbill.cutting.linear import greedy, reduced
from sawbill.cutting.linear.relaxation import relax, settle
from sawbill.cutting.normalise import normalise
from sawbill.cutting.solver.answers import Effort, Outcome
from sawbill.cutting.solver.integer import solve

PINE = frozenset({"pine"})
THOROUGH = Effort(10**6, 20)


def order_of(seed: int, **more: object) -> Order:
    rng = random.Random(seed)
    stocks = tuple(
        Stock(f"s{n}", "pine", length, round(length * rng.uniform(0.6, 0.9)), rng.choice([None, None, 2]))
        for n, length in enumerate(rng.sample(range(60, 190), rng.randint(2, 4)))
    )
    longest = max(stock.length for stock in stocks)
    stocks += (Stock("most", "pine", longest, longest),)
    lengths = rng.sample(range(25, 70), rng.randint(3, 5))
    pieces = tuple(Piece(f"p{length}", length, rng.randint(1, 9), PINE) for length in lengths)
    return Order(stocks, pieces, kerf=rng.randint(0, 2), **more)  # type: ignore[arg-type]


def look(order: Order, level: int) -> tuple[paths.Graph, Outcome, int]:
    """The graph of plans up to a level, what the solver says of it, and the cost of the plan that is read from it."""
    (problem,) = normalise(order)
    fillers, end = greedy.knapsacks(problem), time.monotonic() + 60
    bound, relaxation = relax(problem, fillers, greedy.complete(problem, fillers, {}), end)
    relaxation = settle(problem, fillers, relaxation, end)
    duals = relaxation.duals
    slack = level * duals.scale - reduced.floor_cost(problem, duals)
    own = paths.graph(problem, relaxation.views, duals, slack, ())
    assert own is not None
    low = min(bound, level)
    answer = solve(flow.programme(problem, own, low, level), problem.step, low, THOROUGH)
    if not answer.counts:
        return own, answer.outcome, 0
    plan = flow.read(problem, own, answer.counts)
    assert greedy.residual(problem, plan) == [0] * len(problem.rows)
    assert all(problem.admits(pattern.bin, pattern.used) for pattern in plan)
    assert all(left is None or left >= 0 for left in greedy.boards_left(problem, plan))
    return own, answer.outcome, greedy.cost(plan)


WISHES = [{}, {"no_slivers": True}, {"keep": 20, "credit": Fraction(1, 5)}]


@pytest.mark.parametrize("wish", WISHES, ids=["plain", "no slivers", "credit"])
@pytest.mark.parametrize("seed", range(8))
def test_the_least_cost_is_in_the_graph_and_nothing_below_it(seed: int, wish: dict[str, object]) -> None:
    order = order_of(seed, **wish)
    least = least_cost_of(order)
    assert look(order, least)[1:] == (Outcome.BEST, least)
    assert look(order, least + 40)[1:] == (Outcome.BEST, least)
    assert look(order, least - 1)[1] is Outcome.IMPOSSIBLE


def test_one_graph_with_one_end_serves_all_lengths_of_board() -> None:
    own, _, _ = look(order_of(3), least_cost_of(order_of(3)) + 300)
    begun = [arc for _, arc in own.arcs if arc.bin >= 0]
    ended = {arc.head for _, arc in own.arcs if arc.head < arc.tail}
    lengths = {arc.head for arc in begun}
    assert len({arc.bin for arc in begun}) > 1
    assert len(ended) == 1
    assert len(lengths) > 1


@pytest.mark.parametrize("seed", range(6))
def test_a_tighter_level_needs_no_more_arcs(seed: int) -> None:
    order = order_of(seed)
    least = least_cost_of(order)
    sizes = [len(look(order, least + more)[0].arcs) for more in (0, 5, 20, 60)]
    assert sizes == sorted(sizes)
