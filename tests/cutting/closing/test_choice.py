"""The search over which boards to buy, beside trying every purchase."""

from __future__ import annotations

import random
from itertools import product

import pytest

from sawbill.cutting import Order, Piece, Stock
from sawbill.cutting.closing import budgets
from sawbill.cutting.closing.budgets import listed
from sawbill.cutting.closing.choice import Need, Purchases, need
from sawbill.cutting.linear import greedy
from sawbill.cutting.normalise import normalise
from sawbill.cutting.problem import Problem

PINE = frozenset({"pine"})


def made(seed: int) -> Problem:
    """Three stock lengths, one of them sometimes few, and pieces of up to six lengths."""
    rng = random.Random(seed)
    few = rng.choice([None, 1, 3])
    stocks = (
        Stock("a", "pine", 100, rng.randint(80, 99)),
        Stock("b", "pine", 140, rng.randint(120, 135), few),
        Stock("c", "pine", 220, rng.randint(180, 230)),
    )
    lengths = rng.sample(range(20, 90), 6)
    (problem,) = normalise(Order(stocks, tuple(Piece(f"p{n}", n, rng.randint(1, 3), PINE) for n in lengths), kerf=1))
    return problem


def needs(problem: Problem, seed: int) -> list[Need]:
    """What follows from worths near the lengths, as prices are."""
    rng, fillers = random.Random(seed), greedy.knapsacks(problem)
    return [need(problem, fillers, [row.length * rng.randint(70, 100) for row in problem.rows]) for _ in range(3)]


def all_within(problem: Problem, asked: list[Need], level: int) -> list[tuple[int, tuple[int, ...]]]:
    """(cost, counts) of every purchase that meets the needs."""
    ranges = [range(min(level // b.cost, level if b.available is None else b.available) + 1) for b in problem.bins]
    costed = ((sum(b.cost * n for b, n in zip(problem.bins, y, strict=True)), y) for y in product(*ranges))
    return sorted((cost, y) for cost, y in costed if cost <= level and all(each.met(y) for each in asked))


@pytest.mark.parametrize("seed", range(20))
def test_the_first_offer_is_the_cheapest_purchase_and_ruling_out_leads_to_the_next(seed: int) -> None:
    """Ruled out goes with an offer whatever buys no more of any bin."""
    problem = made(seed)
    asked = needs(problem, seed)
    level = 2 * all_within(problem, asked, 2_000)[0][0]
    left = all_within(problem, asked, level)
    search = Purchases(problem, level)
    for each in asked:
        search.learn(each)
    for _ in range(12):
        offer, _ = search.next(100_000)
        assert (offer is None) == (not left)
        if offer is None:
            break
        assert (offer.cost, offer.counts) in left
        assert offer.cost == left[0][0]
        search.rule_out(offer)
        left = [(cost, y) for cost, y in left if any(n > m for n, m in zip(y, offer.counts, strict=True))]
        assert search.least <= (left[0][0] if left else level + 1)


@pytest.mark.parametrize("seed", range(5))
def test_a_need_learnt_later_is_asked_of_boxes_searched_before(seed: int) -> None:
    problem = made(seed)
    first, second, third = needs(problem, seed)
    search = Purchases(problem, 2_000)
    search.learn(first)
    offer, _ = search.next(100_000)
    assert offer is not None
    search.learn(second)
    search.learn(third)
    search.put_back(offer)
    offer, _ = search.next(100_000)
    assert offer is not None
    assert offer.cost == all_within(problem, [first, second, third], 2_000)[0][0]


def test_no_purchase_within_the_level_is_offered_when_none_meets_the_needs() -> None:
    problem = made(0)
    least = all_within(problem, needs(problem, 0), 2_000)[0][0]
    search = Purchases(problem, least - 1)
    for each in needs(problem, 0):
        search.learn(each)
    assert search.next(100_000)[0] is None
    assert search.least == least


def test_steps_run_out_and_the_search_goes_on_from_where_it_was() -> None:
    problem = made(3)
    searches = [Purchases(problem, 2_000) for _ in range(2)]
    for search in searches:
        for each in needs(problem, 3):
            search.learn(each)
    whole, _ = searches[0].next(1_000)
    found, turns = None, 0
    while found is None:
        found, _ = searches[1].next(1)
        turns += 1
    assert found == whole
    assert turns > 1


def test_a_need_holds_what_one_board_can_give_and_what_all_pieces_are_worth() -> None:
    """At a kerf of 1, 141 hold 71 + 51, or 2 * 51, or 41 * 3: worth 70 + 50, 100, 120 at their lengths."""
    pieces = (Piece("p", 70, 2, PINE), Piece("q", 50, 3, PINE), Piece("r", 40, 4, PINE))
    stocks = (Stock("a", "pine", 100, 9), Stock("b", "pine", 140, 11))
    (problem,) = normalise(Order(stocks, pieces, kerf=1))
    worths = [row.length for row in problem.rows]
    found = need(problem, greedy.knapsacks(problem), worths)
    by_room = dict(zip([b.room for b in problem.bins], found.rooms, strict=True))
    assert by_room == {101: 90, 141: 130}
    assert found.amount == 2 * 70 + 3 * 50 + 4 * 40


@pytest.mark.parametrize("numbers", [budgets.NUMBERS, 1_200])
@pytest.mark.parametrize("seed", range(20))
def test_the_list_of_purchases_is_that_of_trying_each(seed: int, numbers: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same where the table has room for the first need alone or for none, when nothing is listed."""
    monkeypatch.setattr(budgets, "NUMBERS", numbers)
    problem = made(seed)
    asked = needs(problem, seed)
    level = 2 * all_within(problem, asked, 2_000)[0][0]
    found = listed(problem, asked, level)
    assert (found is None) == (4 * (level + 1) > numbers)
    if found is not None:
        costs = [bin_.cost for bin_ in problem.bins]
        rows = [(sum(c * n for c, n in zip(costs, y, strict=True)), tuple(y)) for y in found.tolist()]
        assert rows == all_within(problem, asked, level)
