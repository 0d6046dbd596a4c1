"""Whatever the prices, the safe bound never passes the optimum; the programmes agree with brute force."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.cutting import Order, Piece, Stock
from sawbill.cutting.closing import model
from sawbill.cutting.flow import paths
from sawbill.cutting.flow import programme as flow
from sawbill.cutting.linear import greedy, patterns, reduced
from sawbill.cutting.linear.bound import safe_bound, sound_duals
from sawbill.cutting.linear.columns import Duals, price
from sawbill.cutting.normalise import normalise
from sawbill.cutting.problem import Problem
from sawbill.cutting.solver.answers import Effort, Outcome
from sawbill.cutting.solver.integer import solve as solve_integer

PINE = frozenset({"pine"})
ORDER = Order(
    (Stock("a", "pine", 30, 20), Stock("b", "pine", 44, 27, 2), Stock("c", "pine", 17, 0, 1, on_hand=True)),
    (Piece("p", 9, 3, PINE), Piece("q", 13, 2, PINE), Piece("r", 16, 1, PINE)),
    kerf=1,
)


def problem_of(order: Order) -> Problem:
    (problem,) = normalise(order)
    return problem


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    rows=st.lists(st.integers(0, 40_000), min_size=3, max_size=3),
    bins=st.lists(st.integers(0, 9_000), min_size=3, max_size=3),
)
def test_any_prices_give_a_bound_that_is_no_more_than_the_optimum(
    least_cost: Callable[[Order], int | None], rows: list[int], bins: list[int]
) -> None:
    problem = problem_of(ORDER)
    fillers = greedy.knapsacks(problem)
    limited = [m if bin_.available is not None else 0 for m, bin_ in zip(bins, problem.bins, strict=False)]
    duals = Duals(tuple(rows), tuple(limited), 1_000)
    optimum = least_cost(ORDER)
    assert optimum is not None
    assert safe_bound(problem, duals, price(problem, fillers, duals, problem.demand)) <= optimum
    sound = sound_duals(problem, fillers, duals)
    assert reduced.floor_cost(problem, sound) <= optimum * sound.scale


@pytest.mark.parametrize("seed", range(8))
def test_the_pattern_master_and_the_flow_model_find_what_brute_force_finds(
    seed: int, least_cost: Callable[[Order], int | None]
) -> None:
    rng = random.Random(seed)
    stocks = tuple(Stock(f"s{n}", "pine", 20 + 9 * n, 30 + 13 * n + rng.randint(0, 5), 4) for n in range(3))
    pieces = tuple(Piece(f"p{n}", rng.randint(4, 17) * 2 + n % 2, rng.randint(1, 2), PINE) for n in range(3))
    order = Order(stocks, pieces, kerf=1, no_slivers=seed % 2 == 0)
    optimum, problem = least_cost(order), problem_of(order)
    assert optimum is not None
    nothing = Duals((0,) * len(problem.rows), (0,) * len(problem.bins), 1)
    views = [reduced.prospect(problem, filler, nothing) for filler in greedy.knapsacks(problem)]
    sheaves = patterns.promising(problem, views, 10**6, 10**5)
    assert sheaves is not None
    given_patterns = patterns.one_by_one(problem, sheaves)
    costs = [pattern.cost for pattern in given_patterns]
    answer = solve_integer(model.programme(problem, given_patterns), 1, 0, Effort(10**6, 60))
    assert answer.outcome is Outcome.BEST
    assert sum(cost * n for cost, n in zip(costs, answer.counts, strict=True)) == optimum
    own = paths.graph(problem, views, nothing, 10**6, ())
    assert own is not None
    programme = flow.programme(problem, own, 0, 10**6)
    found = solve_integer(programme, 1, 0, Effort(10**6, 60))
    assert found.outcome is Outcome.BEST
    assert greedy.cost(flow.read(problem, own, found.counts)) == optimum
    below = flow.programme(problem, own, 0, optimum - 1)
    assert solve_integer(below, 1, 0, Effort(10**6, 60)).outcome is Outcome.IMPOSSIBLE


def test_the_master_stopped_by_its_nodes_says_so() -> None:
    rng = random.Random(2)
    pieces = tuple(Piece(f"p{n}", 11 + 4 * n + rng.randint(0, 3), rng.randint(3, 20), PINE) for n in range(10))
    order = Order(tuple(Stock(f"s{n}", "pine", 90 + 21 * n, 300 + 77 * n) for n in range(3)), pieces)
    problem = problem_of(order)
    nothing = Duals((0,) * len(problem.rows), (0,) * len(problem.bins), 1)
    views = [reduced.prospect(problem, filler, nothing) for filler in greedy.knapsacks(problem)]
    sheaves = patterns.promising(problem, views, 10**9, 10**6)
    assert sheaves is not None
    few = patterns.one_by_one(problem, sheaves)[::3] + [problem.missing(row) for row in range(len(problem.rows))]
    costs = [pattern.cost for pattern in few]
    answer = solve_integer(model.programme(problem, few, costs, 1000), 1, 0, Effort(1, 60))
    assert answer.outcome in (Outcome.STOPPED, Outcome.UNKNOWN)
