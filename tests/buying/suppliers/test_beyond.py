"""Boards beyond the need: which purchases are listed, against all of them one by one, and how many are looked at."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from itertools import product
from math import inf

import pytest
from tests.many_suppliers import book_of, line_of

from sawbill.asked.request import read_request
from sawbill.buying.suppliers import beyond
from sawbill.buying.suppliers.beyond import MOST, MOST_TRIED, Listing, Tier
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.timber import Clock
from sawbill.buying.suppliers.wants import Met
from sawbill.buying.takeoff import take_off
from sawbill.cutting import until
from sawbill.prices.forms.asjson import read_json

LOOKED_AT: list[int] = []


class Counted(Listing):
    """A listing that writes down how many purchases it looks at."""

    def _numbers(self, tiers: Sequence[Tier], left: float) -> Iterator[tuple[int, int]]:
        for each in super()._numbers(tiers, left):
            LOOKED_AT[0] += 1
            yield each


def listing(more: int) -> Counted:
    """Of the first boards of a random market of seven suppliers, all from one of them; more: what may be spent."""
    chance = random.Random(1)
    book = read_json("many", book_of(chance, 7))
    request = read_request({"lines": [line_of(chance)]}, book, {})
    market = Market(take_off(request.lines, request.shop.rounding_step), request, book, Clock(until(60)))
    want = market.boards[0]
    met = want.met(market.all)
    assert isinstance(met, Met)
    LOOKED_AT[:] = [0]
    return Counted(market, want, market.all, [want.of[0]], met.bound, more)


def test_what_costs_too_much_to_be_of_use_is_left_out_and_nothing_else() -> None:
    """By hand: what is paid, and the least price a worth among all for what the boards do not hold."""
    made = listing(600)
    musts = made.musts()
    assert musts is not None and len(musts) > 10
    want, most = made.want, made.base + made.beyond
    mine = [i for i, who in enumerate(want.of) if who == made.who[0]]
    rate = min((want.offers[i].each / want.worth_of(i) for i in range(len(want.of)) if i not in mine), default=inf)
    surely = set()
    for numbers in product(*(range(most // want.offers[i].each + 1) for i in mine)):
        paid = sum(n * want.offers[i].each for i, n in zip(mine, numbers, strict=True))
        short = want.worth - sum(n * want.worth_of(i) for i, n in zip(mine, numbers, strict=True))
        if paid + max(0.0, short) * rate < most * (1 - 1e-6):
            surely.add(tuple(sorted((i, n) for i, n in zip(mine, numbers, strict=True) if n)))
    assert surely <= {must for _, must in musts} and len(surely) >= len(musts) - 2


def test_where_very_many_may_be_of_use_no_more_is_looked_at_than_are_listed() -> None:
    made = listing(10**9)
    assert made.musts() is None
    assert LOOKED_AT[0] <= 2 * (MOST + 2)


def test_where_few_are_of_use_but_very_many_would_be_looked_at_that_ends_too(monkeypatch: pytest.MonkeyPatch) -> None:
    made = listing(600)
    assert made.musts() is not None and LOOKED_AT[0] <= MOST_TRIED
    needed = LOOKED_AT[0]
    monkeypatch.setattr(beyond, "MOST_TRIED", needed // 2)
    made = listing(600)
    assert made.musts() is None and LOOKED_AT[0] <= needed // 2 + 1
