"""The small simplex method beside a general solver, on programmes made from a seed."""

from __future__ import annotations

import random

import highspy
import numpy as np
import pytest

from sawbill.cutting.linear import simplex
from sawbill.cutting.solver.quiet import QuietSolver

DEAR = 1e12


class Small:
    """A programme, and the basis that it was last left with."""

    def __init__(self, costs: list[int], rows: list[list[float]]) -> None:
        self.costs, self.rows = np.array(costs, float), np.array(rows, float).reshape(len(rows), len(costs))
        self.basic = np.arange(len(costs), len(costs) + len(rows))
        self.at_high = np.zeros(len(costs) + len(rows), bool)

    def solve(self, lows: list[int], highs: list[int]) -> tuple[list[float], list[float]]:
        """Counts and prices."""
        count, size = self.rows.shape
        low, high = np.zeros(size + count), np.full(size + count, np.inf)
        low[:size], high[:size] = lows, highs
        counts, prices = simplex.solved(self.rows, self.costs, DEAR, low, high, self.basic, self.at_high)
        return counts[:size].tolist(), prices.tolist()


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
def test_counts_and_prices_agree_with_a_general_solver_for_any_bounds_and_from_any_basis(seed: int) -> None:
    """Rows are nearly parallel to the costs and to each other, as needs are."""
    rng = random.Random(seed)
    costs = [rng.randint(300, 1500) for _ in range(rng.randint(1, 8))]
    rows = [[cost * rng.uniform(0.9, 1.1) / 30_000 for cost in costs] for _ in range(rng.randint(1, 5))]
    small = Small(costs, rows)
    for _ in range(40):
        low = [rng.choice([0, 0, 1, 3, rng.randint(0, 12)]) for _ in costs]
        high = [least + rng.choice([0, 1, 5, 60, 60]) for least in low]
        counts, prices = small.solve(low, high)
        assert min(prices) >= 0
        assert all(a <= n <= b for a, n, b in zip(low, counts, high, strict=True))
        least, proven = solved(costs, rows, low, high), promised(costs, rows, prices, low, high)
        if least is None:
            assert proven > np.dot(costs, high)
        else:
            assert proven == pytest.approx(least, rel=1e-7)
            assert np.dot(costs, counts) == pytest.approx(least, rel=1e-7)


def test_a_row_that_is_added_joins_the_basis_with_its_surplus() -> None:
    assert Small([2, 3], [[1.0, 0.0]]).solve([0, 0], [9, 9]) == ([1.0, 0.0], [2.0])
    small = Small([2, 3], [[1.0, 0.0], [0.0, 0.5]])
    small.basic[0] = 0
    assert small.solve([0, 0], [9, 9]) == ([1.0, 2.0], [2.0, 6.0])


def test_without_rows_nothing_is_bought_beyond_the_lower_bounds() -> None:
    assert Small([2, 3], []).solve([0, 4], [9, 9]) == ([0.0, 4.0], [])


def test_a_basis_that_has_no_inverse_is_left_for_the_surpluses() -> None:
    small = Small([2, 3], [[1.0, 0.5], [1.0, 0.0]])
    small.basic[:] = 0
    assert small.solve([0, 0], [9, 9])[0] == [1.0, 0.0]
