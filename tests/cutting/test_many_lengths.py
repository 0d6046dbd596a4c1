"""Orders of dozens and hundreds of lengths: optima known by how they were made, or bounded by another solver."""

from __future__ import annotations

import math
import random
import time
from collections import Counter
from collections.abc import Iterator

import pytest
from ortools.linear_solver import pywraplp

from sawbill.cutting import CuttingPlan, Draft, Order, Piece, Status, Stock, draft, finished, plan, verify

PINE = frozenset({"pine"})
MM = 1_000_000


def packing(capacity: int, sizes: Counter[int]) -> Order:
    """One stock length at price 1: the fewest boards."""
    pieces = tuple(Piece(f"p{size}", size, count, PINE) for size, count in sorted(sizes.items()))
    return Order((Stock("board", "pine", capacity, 1),), pieces)


def planned(order: Order, limit: float = 60.0) -> CuttingPlan:
    """A plan that the checker finds no fault with."""
    found = plan(order, limit)
    assert isinstance(found, CuttingPlan)
    assert verify(order, found) == []
    return found


@pytest.mark.parametrize("pieces", [60, 249])
def test_triplets_that_fill_boards_take_a_board_for_each_three(pieces: int) -> None:
    rng, sizes = random.Random(pieces), Counter[int]()
    for _ in range(pieces // 3):  # as Falkenauer (1996) makes them; the rule is from memory
        first = rng.randint(380, 490)
        second = rng.randint(250, (1000 - first) // 2)
        sizes.update([first, second, 1000 - first - second])
    found = planned(packing(1000, sizes))
    assert (found.cost, found.bound, found.status) == (pieces // 3, pieces // 3, Status.PROVEN)


def ways(sizes: list[int], room: int) -> Iterator[list[int]]:
    """Every way to fill a board, by plain recursion."""
    yield []
    for n, size in enumerate(sizes):
        if size <= room:
            for others in ways(sizes[n:], room - size):
                yield [size, *others]


def least_in_parts(capacity: int, sizes: Counter[int]) -> float:
    """The least number of boards if parts of boards could be bought, over all ways to cut one, by GLOP."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    rows = {size: solver.Constraint(count, solver.infinity()) for size, count in sizes.items()}
    for way in ways(sorted(sizes), capacity):
        times = solver.NumVar(0, solver.infinity(), "")
        solver.Objective().SetCoefficient(times, 1)
        for size, count in Counter(way).items():
            rows[size].SetCoefficient(times, count)
    assert solver.Solve() == pywraplp.Solver.OPTIMAL
    return float(solver.Objective().Value())


@pytest.mark.parametrize("seed", range(3))
def test_dozens_of_lengths_take_the_boards_that_another_solver_bounds(seed: int) -> None:
    rng = random.Random(seed)
    sizes = Counter(rng.randint(40, 100) for _ in range(150))
    found, least = planned(packing(150, sizes)), least_in_parts(150, sizes)
    assert found.cost == found.bound
    assert 0 <= found.cost - math.ceil(least - 1e-6) <= 1  # nearly always none, never known to be two


def many(count: int, seed: int) -> Order:
    """So many lengths, in whole millimetres, out of six boards."""
    rng = random.Random(seed)
    stocks = tuple(
        Stock(f"s{length}", "pine", length * MM, round(length * rng.uniform(0.3, 0.4)), trim=10 * MM)
        for length in range(3000, 6001, 600)
    )
    pieces = tuple(Piece(f"p{n}", n * MM, rng.randint(1, 20), PINE) for n in rng.sample(range(150, 2900), count))
    return Order(stocks, pieces, kerf=3 * MM)


@pytest.mark.parametrize("count", [120, 260])
def test_hundreds_of_lengths_are_soon_within_half_a_per_cent_of_their_bound(count: int) -> None:
    order, end = many(count, count), time.monotonic() + 600
    begun = draft(order, end, brief=True)
    assert isinstance(begun, Draft)
    found = finished(begun, end, tidy=False)
    assert verify(order, found) == []
    rate = min(stock.price / (stock.length - stock.trim + order.kerf) for stock in order.stocks)
    by_length = rate * sum((piece.length + order.kerf) * piece.count for piece in order.pieces)
    assert by_length - 1 <= found.bound <= found.cost <= 1.005 * found.bound


def test_an_order_without_time_gets_a_plan_and_a_bound_at_once() -> None:
    found = planned(many(260, 1), 0.0)
    assert 0 < found.bound <= found.cost
    assert found.status is Status.TIME_LIMIT
