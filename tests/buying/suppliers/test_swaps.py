"""Exchanges of suppliers: what is promised of one before it is reckoned through never exceeds what it comes to."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest
from tests.many_suppliers import book_of, line_of

from sawbill.asked.request import read_request
from sawbill.buying.suppliers import swaps
from sawbill.buying.suppliers.figures import Figures
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.timber import Clock
from sawbill.buying.takeoff import take_off
from sawbill.cutting import until
from sawbill.prices.forms.asjson import read_json


def figures_of(seed: int) -> Figures:
    """Of a random market of seven suppliers."""
    chance = random.Random(seed)
    book = read_json("many", book_of(chance, 7))
    request = read_request({"lines": [line_of(chance)]}, book, {})
    return Figures(Market(take_off(request.lines, request.shop.rounding_step), request, book, Clock(until(60))))


class Sets:
    """What sets of suppliers cost, without visits."""

    def __init__(self, figures: Figures) -> None:
        self.figures, self.told = figures, swaps.told_of(7, len(figures.needs), len(figures.rows))
        self.floors = np.zeros(len(figures.needs), np.int64)

    def swept(self, shut: Any, apart: Any) -> int:
        """Of those who are not shut."""
        own, none = self.figures, np.zeros(len(self.figures.rows), np.int64)
        return swaps.swept(
            own.needs, own.rows, own.packs, shut, self.floors, none, own._tables, own._origins, own._rests, own._ends,
            self.told.without, apart,
        )  # fmt: skip

    def least_change(self, s: int, shut: Any) -> int:
        """What is promised of exchanges for one who is shut."""
        own, none, nobody = self.figures, np.zeros(len(self.figures.rows), np.int64), np.zeros(7, np.int64)
        swaps.gains(own.needs, own.rows, own.packs, shut, none, own._tables, own._origins, self.told)
        return swaps._least_change(s, own.needs, own.rows, nobody, self.floors, shut, nobody, self.told)


@pytest.mark.parametrize("seed", range(4))
def test_no_exchange_changes_the_cost_by_less_than_is_promised(seed: int) -> None:
    own, alike = Sets(figures_of(seed)), 0
    for mine in (0b0010111, 0b1011011, 0b1111001):
        shut = np.array([1 - (mine >> who & 1) for who in range(7)], np.int64)
        for s in np.flatnonzero(shut).tolist():
            own.swept(shut, own.told.apart)
            promised = own.least_change(s, shut)
            with_s = shut.copy()
            with_s[s] = 0
            own.swept(with_s, own.told.rows)
            least = min(int(own.told.without[t]) for t in range(7) if not shut[t])
            assert promised <= least
            alike += promised == least
    assert alike, "promises that never come true spare nothing"
