"""The small simplex method beside a general solver, on programmes made from a seed."""

from __future__ import annotations

import random

import highspy
import numpy as np
import pytest

from sawbill.estimating.cutting.quiet import QuietSolver
from sawbill.estimating.cutting.simplex import Simplex, Start

DEAR = 1e12


def solved(costs: list[int], rows: list[list[float]], lows: list[int], highs: list[int]) -> float | None:
    """The least cost by HiGHS; None where there is nothing between the bounds."""
    solver, size = QuietSolver(), len(costs)
    for cost, low, high in zip(costs, lows, highs, strict=True):
        solver.addCol(float(cost), float(low), float(high), 0, np.empty(0, np.int32), np.empty(0))
    for row in rows:
        solver.addRow(1.0, highspy.kHighsInf, size, np.arange(size, dtype=np.int32), np.array(row))
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return float(solver.getInfo().objective_function_value)


def promised(
    costs: list[int], rows: list[list[float]], prices: list[float], lows: list[int], highs: list[int]
) -> float:
    """What the prices prove that everything between the bounds costs at least."""
    rates = [c - sum(p * row[k] for p, row in zip(prices, rows, strict=True)) for k, c in enumerate(costs)]
    return sum(prices) + sum(min(r * a, r * b) for r, a, b in zip(rates, lows, highs, strict=True))


@pytest.mark.parametrize("seed", range(12))
def test_counts_and_prices_agree_with_a_general_solver_for_all_bounds_at_once_and_from_any_basis(seed: int) -> None:
    """Rows are nearly parallel to the costs and to each other, as needs are."""
    rng = random.Random(seed)
    costs = [rng.randint(300, 1500) for _ in range(rng.randint(1, 8))]
    rows = [[cost * rng.uniform(0.9, 1.1) / 30_000 for cost in costs] for _ in range(rng.randint(1, 5))]
    small = Simplex(costs, DEAR)
    for row in rows:
        small.add(row)
    starts = [small.start()] * 10
    for _ in range(4):
        lows = [[rng.choice([0, 0, 1, 3, rng.randint(0, 12)]) for _ in costs] for _ in starts]
        highs = [[low + rng.choice([0, 1, 5, 60, 60]) for low in own] for own in lows]
        found = small.solve(starts, lows, highs)
        starts = [found.start(n) for n in rng.sample(range(10), 10)]
        assert found.prices.min() >= 0
        assert (found.counts >= lows).all()
        assert (found.counts <= highs).all()
        for counts, prices, low, high in zip(found.counts, found.prices.tolist(), lows, highs, strict=True):
            least, proven = solved(costs, rows, low, high), promised(costs, rows, prices, low, high)
            if least is None:
                assert proven > np.dot(costs, high)
            else:
                assert proven == pytest.approx(least, rel=1e-7)
                assert np.dot(costs, counts) == pytest.approx(least, rel=1e-7)


def test_a_row_may_be_added_at_any_time_and_joins_the_bases_found_before() -> None:
    small = Simplex([2, 3], DEAR)
    small.add([1.0, 0.0])
    found = small.solve([small.start()], [[0, 0]], [[9, 9]])
    assert (found.counts.tolist(), found.prices.tolist()) == ([[1.0, 0.0]], [[2.0]])
    small.add([0.0, 0.5])
    found = small.solve([found.start(0)], [[0, 0]], [[9, 9]])
    assert (found.counts.tolist(), found.prices.tolist()) == ([[1.0, 2.0]], [[2.0, 6.0]])


def test_without_rows_nothing_is_bought_beyond_the_lower_bounds() -> None:
    small = Simplex([2, 3], DEAR)
    found = small.solve([small.start()], [[0, 4]], [[9, 9]])
    assert (found.counts.tolist(), found.prices.tolist()) == ([[0.0, 4.0]], [[]])


def test_a_basis_that_has_no_inverse_is_left_for_the_surpluses() -> None:
    small = Simplex([2, 3], DEAR)
    small.add([1.0, 0.5])
    small.add([1.0, 0.0])
    broken = Start(np.array([0, 0]), np.zeros(4, bool))
    for starts in ([broken], [small.start(), broken]):
        found = small.solve(starts, [[0, 0]] * len(starts), [[9, 9]] * len(starts))
        assert found.counts.tolist() == [[1.0, 0.0]] * len(starts)
