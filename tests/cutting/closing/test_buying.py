"""Plans from purchases: offers put to the test, one after the other."""

from __future__ import annotations

import random
import time
from dataclasses import replace
from fractions import Fraction

import pytest

from sawbill.cutting import CuttingPlan, Order, Piece, Stock, plan
from sawbill.cutting.closing import buying
from sawbill.cutting.closing.buying import Buyer
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.relaxation import relax
from sawbill.cutting.normalise import normalise
from sawbill.cutting.problem import Problem

PINE = frozenset({"pine"})
STOCKS = (Stock("a", "pine", 120, 81), Stock("b", "pine", 168, 117), Stock("c", "pine", 240, 166))


def pieces(seed: int, count: int) -> tuple[Piece, ...]:
    rng = random.Random(seed)
    return tuple(Piece(f"p{n}", n, rng.randint(1, 9), PINE) for n in rng.sample(range(15, 110), count))


def made(seed: int, count: int = 9) -> Problem:
    (problem,) = normalise(Order(STOCKS, pieces(seed, count), kerf=1))
    return problem


def bought(problem: Problem, level: int | None = None, seconds: float = 600) -> tuple[Buyer, greedy.Plan | None, int]:
    """The search, the plan that it came to, and the linear programme's bound."""
    fillers = greedy.knapsacks(problem)
    start = greedy.complete(problem, fillers, {})
    bound, relaxation = relax(problem, fillers, start, time.monotonic() + 60)
    buyer = Buyer(problem, fillers, relaxation, 2 * greedy.cost(start) if level is None else level)
    return buyer, buyer.go_on(buyer.purchases.level, 100_000, time.monotonic() + seconds), bound


@pytest.mark.parametrize("seed", range(10))
def test_the_plan_keeps_to_the_offer_and_the_bound_lies_between_the_programme_and_the_plan(seed: int) -> None:
    problem = made(seed)
    buyer, found, bound = bought(problem)
    assert found is not None
    assert greedy.residual(problem, found) == [0] * len(problem.rows)
    assert bound <= buyer.least <= greedy.cost(found)


def test_whole_boards_cost_more_than_the_linear_programme_knows() -> None:
    """Four of 70: two boards of 168 for 234; the programme buys 4 / 3 of a board of 240 for 222."""
    (problem,) = normalise(Order(STOCKS[1:], (Piece("p", 70, 4, PINE),), kerf=1))
    buyer, found, bound = bought(problem)
    assert found is not None
    assert bound == 222
    assert buyer.least == greedy.cost(found) == 234


def test_nothing_is_found_below_the_least_cost_and_the_bound_says_so() -> None:
    problem = made(1)
    least = greedy.cost(bought(problem)[1] or {})
    buyer, found, _ = bought(problem, level=least - 1)
    assert found is None
    assert buyer.least == least


@pytest.mark.parametrize(("seed", "count"), [(12, 9), (58, 10)])
def test_boards_that_no_dive_cuts_the_order_from_are_cut_by_the_pattern_master(seed: int, count: int) -> None:
    problem = made(seed, count)
    buyer, planned, _ = bought(problem)
    assert planned is not None
    assert not buyer.aside
    assert buyer.least == greedy.cost(planned)


@pytest.mark.parametrize(("seed", "count"), [(48, 6), (154, 10)])
def test_boards_that_nothing_cuts_the_order_from_stay_undecided(seed: int, count: int) -> None:
    """Dearer boards give a plan, and the bound stays with the cheaper ones until the planner decides."""
    problem = made(seed, count)
    buyer, planned, _ = bought(problem)
    assert planned is not None
    assert buyer.aside
    assert buyer.least == min(offer.cost for offer in buyer.aside) < greedy.cost(planned)
    found = plan(Order(STOCKS, pieces(seed, count), kerf=1))
    assert isinstance(found, CuttingPlan)
    assert buyer.least <= found.cost == found.bound <= greedy.cost(planned)


@pytest.mark.parametrize("seed", range(4))
def test_equal_searches_end_alike_however_often_they_are_gone_on_with(seed: int) -> None:
    problem = made(seed, 12)
    whole, found, _ = bought(problem)
    stepwise, other, _ = bought(problem, seconds=0)
    assert other is None
    level = stepwise.purchases.level
    while other is None:
        other = stepwise.go_on(level, 3, time.monotonic() + 60)
    assert other == found
    assert stepwise.least == whole.least


def test_boards_that_cost_nothing_are_used_as_far_as_there_are() -> None:
    order = Order((*STOCKS, Stock("d", "pine", 100, 0, 2)), pieces(3, 8), kerf=1)
    (problem,) = normalise(order)
    buyer, found, _ = bought(problem)
    assert found is not None
    assert buyer.least == greedy.cost(found)
    free = next(b for b, bin_ in enumerate(problem.bins) if not bin_.cost)
    assert sum(n for pattern, n in found.items() if pattern.bin == free) == 2


def test_the_search_suits_orders_whose_cost_depends_on_the_boards_alone() -> None:
    (one,) = normalise(Order(STOCKS[:1], pieces(0, 4), kerf=1))
    (credited,) = normalise(Order(STOCKS, pieces(0, 4), kerf=1, keep=20, credit=Fraction(1, 10)))
    assert buying.suits(made(0))
    assert not buying.suits(one)
    assert not buying.suits(credited)


OAK = frozenset({"oak"})
OAK_STOCKS = (Stock("d", "oak", 132, 140), Stock("e", "oak", 200, 219))


@pytest.mark.parametrize("seed", range(5))
def test_where_pieces_may_come_from_two_materials_no_way_to_share_them_out_is_cheaper(seed: int) -> None:
    """Beside every number of them out of pine, the rest out of oak, each material by itself."""
    rng = random.Random(seed)
    pine, oak = pieces(seed, 4), tuple(replace(p, key=f"o{p.key}", materials=OAK) for p in pieces(seed + 50, 4))
    either = Piece("x", 47, rng.randint(2, 5), PINE | OAK)

    def least(stocks: tuple[Stock, ...], wanted: tuple[Piece, ...]) -> int:
        found = plan(Order(stocks, wanted, kerf=1))
        assert isinstance(found, CuttingPlan) and found.cost == found.bound
        return found.cost

    def shared(number: int) -> int:
        sides = ((STOCKS, pine, PINE, number), (OAK_STOCKS, oak, OAK, either.count - number))
        return sum(
            least(stocks, (*own, *((replace(either, count=n, materials=kind),) if n else ())))
            for stocks, own, kind, n in sides
        )

    assert least(STOCKS + OAK_STOCKS, (*pine, *oak, either)) == min(map(shared, range(either.count + 1)))
