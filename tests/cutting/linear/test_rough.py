"""Fillings on a coarse grid: every one a pattern of the exact problem, and used only where that is fine."""

from __future__ import annotations

import random

import pytest

from sawbill.cutting import CuttingPlan, Order, Piece, Status, Stock, plan
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.rough import COARSE, rough
from sawbill.cutting.normalise import normalise
from sawbill.cutting.problem import Problem

PINE = frozenset({"pine"})


def fine(seed: int, count: int, least: int = 20_000) -> Order:
    """Pieces of a third to a fifth of a board, or from less, on a grid of 100 000."""
    rng = random.Random(seed)
    pieces = tuple(Piece(f"p{n}", rng.randint(least, 35_000), 1, PINE) for n in range(count))
    return Order((Stock("a", "pine", 100_000, 1), Stock("b", "pine", 60_000, 1)), pieces)


def made(order: Order) -> Problem:
    (problem,) = normalise(order)
    return problem


@pytest.mark.parametrize("seed", range(5))
def test_what_fits_on_the_coarse_grid_fits_on_the_exact_one(seed: int) -> None:
    problem = made(fine(seed, 120, least=3_000))
    exact = greedy.knapsacks(problem)
    quick = rough(problem, exact)
    rng = random.Random(seed)
    for _ in range(20):
        values = [rng.randint(0, item.length) for item in problem.groups[0]]
        most = [1] * len(values)
        best = exact[0].best(values, most)
        for bin_index, filling in quick[0].best(values, most).items():
            pattern = problem.pattern(bin_index, filling.items)
            assert problem.admits(bin_index, pattern.used)
            assert 0.9 * best[bin_index].value <= filling.value <= best[bin_index].value
    assert all(len(filler.positions) <= COARSE + 1 for filler in quick)


def test_where_the_exact_knapsack_is_quick_it_is_used() -> None:
    problem = made(fine(0, 5))
    fillers = greedy.knapsacks(problem)
    assert rough(problem, fillers) is fillers


def test_where_slivers_are_forbidden_the_exact_knapsack_is_used() -> None:
    order = fine(0, 120)
    problem = made(Order(order.stocks, order.pieces, kerf=3, no_slivers=True))
    fillers = greedy.knapsacks(problem)
    assert rough(problem, fillers) is fillers


def test_a_fine_grid_with_many_lengths_is_planned_to_the_optimum() -> None:
    order = fine(1, 60)
    order = Order(order.stocks[:1], order.pieces)
    found = plan(order, 20.0)
    assert isinstance(found, CuttingPlan)
    assert found.status is Status.PROVEN
    assert found.cost == found.bound >= -(-sum(piece.length for piece in order.pieces) // 100_000)
