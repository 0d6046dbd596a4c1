"""Bounds of nodes, held against purchases from every set of suppliers that there is."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from tests.many_suppliers import book_of, line_of

from sawbill.asked.request import read_request
from sawbill.buying.suppliers.bounds import Bounds, Node
from sawbill.buying.suppliers.figures import Figures
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.timber import Clock
from sawbill.buying.suppliers.wants import NOTHING, Met
from sawbill.buying.takeoff import take_off
from sawbill.cutting import until
from sawbill.prices.forms.asjson import read_json


def market_of(seed: str, number: int) -> Market:
    """A random one; boards are planned from all suppliers, as is done before anything is bounded."""
    chance = random.Random(seed)
    book = read_json("many", book_of(chance, number))
    request = read_request({"lines": [line_of(chance)]}, book, {})
    market = Market(take_off(request.lines, request.shop.rounding_step), request, book, Clock(until(60)))
    for want in market.boards:
        want.met(market.all)
    return market


def least_of(market: Market) -> int:
    """The cheapest of what is bought from each set of suppliers, every want at its cheapest there."""
    costs = list[int]()
    for sellers in range(1, market.all + 1):
        mets = [want.met(sellers) for want in market.wants]
        found = [met for met in mets if isinstance(met, Met)]
        if len(found) == len(mets):
            costs.append(market.basket(found).cost)
    return min(costs)


@pytest.mark.parametrize("seed", ["3", "8", "11"])
def test_no_purchase_costs_less_than_the_bound_however_much_prices_are_lowered(seed: str) -> None:
    """A share of prices is taken off where goods must reach a minimum; of these six, all sell what is wanted."""
    market = market_of(seed, 6)
    bounds, least = Bounds(market, Figures(market)), least_of(market)
    nothing = [NOTHING] * len(market.wants)
    node = bounds.tuned(Node(0, 0), nothing, least)
    assert 0.8 * least < node.bound <= least
    most, chance = bounds.figures.most, np.random.default_rng(0)
    assert (most > 0).any(), "nobody delivers from a minimum on, so this shows nothing"
    for _ in range(20):
        off = (most * chance.choice([0, 0.3, 1], len(most))).astype(np.int64)
        node = replace(bounds.bounded(replace(node, off=off), nothing, least)[0], bound=0)
        again = bounds.bounded(node, nothing, least)[0]
        assert 0 < again.bound <= least


def test_prices_are_lowered_by_less_where_much_more_than_the_minimum_is_bought() -> None:
    """A trip of 10.96, delivered for 1.06 from 10.00 on: lowered by all that is spared, goods cost next to nothing."""
    market = market_of("7 40 4", 40)
    bounds = Bounds(market, Figures(market))
    nothing = [NOTHING] * len(market.wants)
    known = 324_215  # what the search comes to, within a fifth of a second
    plain, _ = bounds.bounded(Node(0, 0), nothing, known)
    assert plain.bound * 1.02 < bounds.tuned(Node(0, 0), nothing, known).bound <= known
