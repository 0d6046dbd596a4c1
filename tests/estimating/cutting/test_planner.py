"""Plans against brute force, textbook optima and what a shop asks for."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sawbill.estimating.cutting import (
    CuttingPlan,
    Infeasible,
    Order,
    Piece,
    SmallPart,
    Status,
    Stock,
    plan,
    verify,
)

PINE = frozenset({"pine"})
BOTH = frozenset({"pine", "fir"})

# READ: V. Chvatal, Linear Programming (1983) ch. 13; R. Fourer et al., AMPL, ch. on cutting; text exercises.
# The optimum of each is proven by the bound of its linear programme equal to an integer plan.
TEXTBOOK = {
    "Chvatal 1983 ch. 13": (100, {45: 97, 36: 610, 31: 395, 14: 211}, 453),
    "AMPL book": (110, {20: 48, 45: 35, 50: 24, 55: 10, 75: 8}, 47),
    "exercise, 25 ft, short of stock": (25, {7: 700, 9: 1200, 10: 300}, 775),
    "exercise, 25 ft, many": (25, {7: 5000, 9: 1200, 11: 300}, 2167),
    "exercise, 20 ft": (20, {3: 50, 4: 25, 8: 15, 10: 70}, 54),
}


@pytest.mark.parametrize("name", TEXTBOOK)
def test_a_textbook_order_needs_the_printed_number_of_boards(name: str) -> None:
    length, demand, boards = TEXTBOOK[name]
    pieces = tuple(Piece(f"p{size}", size, count, PINE) for size, count in demand.items())
    found = plan(Order((Stock("board", "pine", length, 1),), pieces))
    assert isinstance(found, CuttingPlan)
    assert (found.cost, found.bound, found.status) == (boards, boards, Status.PROVEN)
    assert sum(board.count for board in found.boards) == boards


def lengths(least: int, most: int) -> st.SearchStrategy[int]:
    return st.integers(least, most)


@st.composite
def small_orders(draw: st.DrawFn, *, credit: bool = False, small_parts: bool = False) -> Order:
    """A few stocks and at most six pieces, with every limit a shop may have."""
    stocks = tuple(
        Stock(
            key=f"s{n}",
            material=draw(st.sampled_from(["pine", "fir"])),
            length=draw(lengths(10, 40)),
            price=draw(st.sampled_from([0, 7, 11, 20, 31, 32])),
            available=draw(st.sampled_from([None, None, 1, 2])),
            trim=draw(st.sampled_from([0, 0, 1, 3])),
        )
        for n in range(draw(st.integers(1, 3)))
    )
    pieces, total = [], 0
    for n in range(draw(st.integers(1, 4))):
        count = draw(st.integers(1, 3))
        if total + count <= 6:
            pieces.append(Piece(f"p{n}", draw(lengths(3, 25)), count, draw(st.sampled_from([PINE, BOTH]))))
            total += count
    parts: tuple[SmallPart, ...] = ()
    if small_parts:
        strips = {"pine": draw(st.integers(1, 3)), "fir": draw(st.integers(0, 2))}
        parts = (
            SmallPart("block", draw(lengths(2, 6)), draw(st.integers(1, 7)), strips, draw(lengths(1, 15))),
        )
    order = Order(stocks, tuple(pieces), parts, kerf=draw(st.integers(0, 2)), no_slivers=draw(st.booleans()))
    if credit:
        dearest = [Fraction(stock.price, 2 * stock.length) for stock in stocks if stock.price]
        share = Fraction(draw(st.integers(1, 4)), 4)
        order = replace(order, keep=draw(lengths(1, 12)), credit=share * min(dearest, default=Fraction(1)))
    return order


def _agrees(order: Order, least: int | None) -> None:
    found = plan(order)
    if least is None:
        assert isinstance(found, Infeasible)
        assert found.proven
    else:
        assert isinstance(found, CuttingPlan)
        assert verify(order, found) == []
        assert found.status is Status.PROVEN
        assert found.cost - found.credited == found.bound == least


SMALL = settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@SMALL
@given(order=small_orders())
def test_every_small_order_costs_what_brute_force_finds(
    least_cost: Callable[[Order], int | None], order: Order
) -> None:
    _agrees(order, least_cost(order))


@SMALL
@given(order=small_orders(small_parts=True))
def test_every_small_order_with_blanks_costs_what_brute_force_finds(
    least_cost: Callable[[Order], int | None], order: Order
) -> None:
    _agrees(order, least_cost(order))


@SMALL
@given(order=small_orders(credit=True))
def test_every_small_order_with_credit_costs_what_brute_force_finds(
    least_cost: Callable[[Order], int | None], order: Order
) -> None:
    _agrees(order, least_cost(order))


def test_reordered_input_gives_the_same_plan() -> None:
    stocks = tuple(Stock(f"s{n}", "pine", 96 + 24 * n, 300 + 90 * n, trim=1) for n in range(4))
    pieces = tuple(Piece(f"p{n}", 11 + 7 * n, 3 + 2 * n, PINE) for n in range(6))
    first = plan(Order(stocks, pieces, kerf=1))
    shuffler = random.Random(7)
    for _ in range(3):
        other = Order(tuple(shuffler.sample(stocks, 4)), tuple(shuffler.sample(pieces, 6)), kerf=1)
        assert plan(other) == first
