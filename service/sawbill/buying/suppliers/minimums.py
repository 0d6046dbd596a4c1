"""Buying enough for deliveries, once it is decided who is visited: the cheapest packs that reach the minimums.

Packs are settled exactly (see ways.py). Boards stay as they are planned, or more of them is bought, of one kind after
the other.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np

from sawbill.buying.suppliers.levels import Ints
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.wants import Met, Must, Unmet, bits, item_key, members, tier_of
from sawbill.buying.suppliers.ways import Reach, Ways, items

Bought = tuple[tuple[int, int, int], ...]
"""What must be bought, as (want, offer, how many), in that order."""


def must_of(must: Bought, want: int) -> Must:
    """What of it is of one want."""
    return tuple((offer, number) for j, offer, number in must if j == want)


class Minimums:
    """The deliveries of a settled purchase: visited, by whom it is delivered, and how everything is met so far.

    beyond: what may be spent beyond the least that the packs cost, for it to be better than the best [price].
    late: whether time was over before all was reckoned; nothing is told then (end: when it is, time.monotonic [s]).
    """

    def __init__(
        self, market: Market, visited: int, delivered: int, mets: Sequence[Met], beyond: int, end: float
    ) -> None:
        self._end = end
        self.market, self._boards = market, mets[: len(market.boards)]
        self._who = [who for who in members(delivered) if market.sellers[who].minimum > 0]
        least = np.array([market.sellers[who].minimum for who in self._who], np.int64)
        self._reach = Reach(market, visited, self._who, np.maximum(0, least - self._spent), beyond)

    def cheapest(self) -> tuple[int, list[Met]] | None:
        """What packs cost at least beyond their least [price], and a purchase that may do, if one is found.

        None where none is better. The boards are those that they are met by so far.
        """
        if not all(len(ways.cost) for ways in self._ways):
            return None
        found = self._reach.cheapest(self._ways)
        if not len(found.cost):
            return None
        others, mets = self._reach.visited & ~bits(self._who), list(self._boards)
        for want, must in zip(self.market.packs, found.musts[0], strict=True):
            met = want.met(others, must)
            if isinstance(met, Unmet):  # what was reckoned to hold more than it does
                return int(found.cost[0]), []
            mets.append(met)
        return int(found.cost[0]), mets

    def more_boards(self, must: Bought) -> Iterator[Bought]:
        """Every way to buy more boards of those whose goods fall short without; together they leave none out.

        Of m kinds that a supplier sells, what is spent on one at least must rise by the m-th part of what is missing.
        An item is paid at the lowest price that its number reaches.
        """
        if not all(len(ways.cost) for ways in self._ways):
            return
        for at, who in enumerate(self._who):
            if needed := int(self._reach.needed[at]):
                yield from self._more(who, max(1, needed - self._reach.most(self._ways, at)), must)

    def _more(self, who: int, short: int, must: Bought) -> Iterator[Bought]:
        own = [(j, item) for j, want in enumerate(self.market.boards) for item in items(want, who)]
        fixed = {(j, item_key(self.market.wants[j].offers[i])): i for j, i, _ in must}
        for j, offers in own:
            want, counts = self.market.boards[j], self._boards[j].counts
            spent = sum(self.market.paid(want, i) * counts.get(i, 0) for i in offers)
            for i in offers:
                price, (least, limit) = self.market.paid(want, i), tier_of(want.offers[i], want.offers)
                if not price or fixed.get((j, item_key(want.offers[i])), i) != i:
                    continue
                number = max(least, -(-(spent * len(own) + short) // (len(own) * price)))
                if limit is None or number <= limit:
                    rest = (each for each in must if each[:2] != (j, i))
                    yield tuple(sorted((*rest, (j, i, number))))

    @cached_property
    def _spent(self) -> Ints:
        """What the boards come to at each who delivers [minor units]."""
        spent = dict.fromkeys(self._who, 0)
        for want, met in zip(self.market.boards, self._boards, strict=True):
            for i, number in met.counts.items():
                if want.of[i] in spent:
                    spent[want.of[i]] += self.market.paid(want, i) * number
        return np.array(list(spent.values()), np.int64)

    @cached_property
    def _ways(self) -> list[Ways]:
        found = list[Ways]()
        for want in self.market.packs:
            if time.monotonic() > self._end:
                break
            found.append(self._reach.ways_of(want))
        return found

    @property
    def late(self) -> bool:
        """Whether time was over before the ways of all packs were found."""
        return len(self._ways) < len(self.market.packs)
