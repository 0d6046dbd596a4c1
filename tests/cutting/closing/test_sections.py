"""Sections that ripped parts tie together: section by section gives what all together give."""

from __future__ import annotations

import random
import time
from dataclasses import replace

import pytest
from tests.cutting.every_pattern import least_cost_of

from sawbill.cutting import CuttingPlan, Order, Piece, SmallPart, Stock, plan, verify
from sawbill.cutting.closing.sections import _Section, tied_rows, ways
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.relaxation import relax
from sawbill.cutting.normalise import normalise


def order_of(seed: int) -> Order:
    """Two sections of several lengths, a few pieces of each, and one or two parts that either gives."""
    rng = random.Random(seed)
    stocks = tuple(
        Stock(f"{material} {length}", material, length, round(length * rate * rng.uniform(0.85, 1.15)))
        for material, rate in (("narrow", 0.6), ("wide", 0.9))
        for length in rng.sample(range(60, 120), 2)
    )
    pieces = tuple(
        Piece(f"{material} {length}", length, rng.randint(1, 4), frozenset({material}))
        for material in ("narrow", "wide")
        for length in rng.sample(range(18, 55), 2)
    )
    parts = tuple(
        SmallPart(f"part {n}", rng.randint(4, 7), rng.randint(3, 14), {"narrow": rng.randint(1, 2), "wide": 3}, 15)
        for n in range(rng.randint(1, 2))
    )
    return Order(stocks, pieces, parts, kerf=rng.randint(0, 1))


@pytest.mark.parametrize("seed", range(30))
def test_the_plan_costs_what_a_general_solver_over_every_pattern_finds(seed: int) -> None:
    order = order_of(seed)
    found = plan(order, 60)
    assert isinstance(found, CuttingPlan)
    assert verify(order, found) == []
    assert found.cost == found.bound == least_cost_of(order)


def test_the_ways_to_share_a_part_are_those_that_no_other_makes_needless() -> None:
    """24 parts; a narrow blank gives 4, 5, 6, ... x 4, a wide one 4, 5, ... x 6: one blank of either is enough."""
    stocks = (Stock("n", "narrow", 900, 90), Stock("w", "wide", 900, 120))
    order = Order(stocks, (), (SmallPart("part", 59, 24, {"narrow": 4, "wide": 6}, 300),), kerf=3)
    (problem,) = normalise(order)
    (row,) = tied_rows(problem)
    assert problem.rows[row].demand == 24
    assert ways(problem, [row]) == [((0,), (24,)), ((24,), (0,))]


def alone(order: Order, material: str, amounts: tuple[int, ...]) -> Order:
    """What one section gives, as an order of its own; amounts: of the parts, in the order of their rows."""
    parts = sorted(order.small_parts, key=lambda part: (-part.length, part.key))
    return replace(
        order,
        stocks=tuple(stock for stock in order.stocks if stock.material == material),
        pieces=tuple(piece for piece in order.pieces if material in piece.materials),
        small_parts=tuple(replace(part, count=n) for part, n in zip(parts, amounts, strict=True) if n),
    )


@pytest.mark.parametrize("seed", range(10))
def test_what_the_prices_for_one_share_tell_of_another_is_never_more_than_its_least_cost(seed: int) -> None:
    order = order_of(seed)
    (problem,) = (each for each in normalise(order) if len(each.groups) > 1)
    tied, end = tied_rows(problem), time.monotonic() + 60
    all_ways = ways(problem, tied)
    assert all_ways is not None
    for n, group in enumerate(sorted({bin_.group for bin_ in problem.bins})):
        section, shares = _Section(problem, group, tied), {way[n] for way in all_ways}
        (material,) = {bin_.material for bin_ in problem.bins if bin_.group == group}
        for share in shares:
            own = section.part(section.asked(share))
            fillers = greedy.knapsacks(own.problem)
            _, relaxation = relax(own.problem, fillers, greedy.complete(own.problem, fillers, {}), end)
            section.learn(own.rows, relaxation.master.duals())
        for share in shares:
            assert 0 < section.least(share) <= least_cost_of(alone(order, material, share))
