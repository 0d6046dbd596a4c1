"""Buying enough for deliveries, once it is decided who is visited: the cheapest goods that reach the minimums.

Ways to buy packs and boards are listed and joined, exactly (see ways.py, beyond.py). Where boards may be bought in too
many ways for that, they stay as they are planned, or more of them is bought, of one kind after the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

import numpy as np

from sawbill.buying.suppliers.beyond import Listing, Purchases
from sawbill.buying.suppliers.levels import Ints
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.timber import Clock
from sawbill.buying.suppliers.wants import Met, Must, bits, item_key, members, tier_of
from sawbill.buying.suppliers.ways import MOST, Reach, Ways, items

Bought = tuple[tuple[int, int, int], ...]
"""What must be bought, as (want, offer, how many), in that order."""


def must_of(must: Bought, want: int) -> Must:
    """What of it is of one want."""
    return tuple((offer, number) for j, offer, number in must if j == want)


class Found(NamedTuple):
    """What boards and packs cost at least beyond their least [price], None where nothing is better than the best.

    mets: a purchase that may do, if one is found; exact: whether all ways were told apart.
    """

    cost: int | None
    mets: Sequence[Met]
    exact: bool


class Minimums:
    """The deliveries of a settled purchase: visited, by whom it is delivered, and how everything is met so far.

    beyond: what may be spent beyond the least that boards and packs cost, for it to be better than the best [price].
    most, sure: how ways are told apart (see ways.py); late: whether time was over before all was reckoned; nothing is
    told then.
    """

    def __init__(
        self,
        market: Market,
        visited: int,
        delivered: int,
        mets: Sequence[Met],
        beyond: int,
        clock: Clock,
        most: int = MOST,
        sure: bool = True,
    ) -> None:
        self._clock, self._most, self._sure = clock, most, sure
        self.market, self._boards = market, mets[: len(market.boards)]
        self._who = [who for who in members(delivered) if market.sellers[who].minimum > 0]
        self._least = np.array([market.sellers[who].minimum for who in self._who], np.int64)
        self._visited, self._beyond = visited, beyond

    def cheapest(self) -> Found:
        """The cheapest goods; where boards may be bought in too many ways, they are those that are met so far."""
        boards = [own.ways() for own in self._purchases]
        if not all(len(ways.cost) for ways in (*self._ways, *boards)):
            return Found(None, (), all(ways.exact for ways in self._ways))
        packs, exact = self._reach.together(self._ways, boards), True
        while all(len(ways.cost) for ways in (packs, *boards)):
            found = self._reach.cheapest([packs, *boards])
            exact = found.exact
            if not len(found.cost):
                break
            cost, musts = int(found.cost[0]), found.musts[0]
            if not self._planned(musts[len(self.market.packs) :]):
                return Found(cost, self._met(musts), exact)
            if self._clock.is_over:
                return Found(cost, (), exact)
            boards = [own.ways() for own in self._purchases]
        return Found(None, (), exact and packs.exact)

    def _planned(self, musts: Sequence[Must]) -> bool:
        """Plan the boards of these purchases that were not; whether there were any."""
        unknown = [(own, must) for own, must in zip(self._purchases, musts, strict=True) if own.met(must) is None]
        for own, must in unknown:
            own.plan(must, self._others)
        return bool(unknown)

    def _met(self, musts: Sequence[Must]) -> list[Met]:
        """A purchase by what is taken of those who deliver, none where that is not found."""
        packs, boards = musts[: len(self.market.packs)], musts[len(self.market.packs) :]
        mets = [own.met(must) for own, must in zip(self._purchases, boards, strict=True)] or [*self._boards]
        mets += [want.met(self._others, must) for want, must in zip(self.market.packs, packs, strict=True)]
        found = [met for met in mets if isinstance(met, Met)]
        return found if len(found) == len(mets) else []  # less may be held than was reckoned

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

    @property
    def lists_boards(self) -> bool:
        """Whether every purchase of boards that may be of use was looked at."""
        return bool(self._purchases)

    @cached_property
    def _others(self) -> int:
        return self._visited & ~bits(self._who)

    @cached_property
    def _purchases(self) -> list[Purchases]:
        """Of boards, none where they are too many or leftovers are worth something."""
        found, boards = list[Purchases](), self.market.boards
        if any(want.credited for want in boards):
            return []
        for want, met in zip(boards, self._boards, strict=True):
            listing = Listing(self.market, want, self._visited, self._who, met.bound, self._beyond)
            musts = listing.musts()
            if musts is None:
                return []
            found.append(Purchases(listing, musts, self._least))
        return found

    @cached_property
    def _reach(self) -> Reach:
        """What is to be reached, by packs alone where purchases of boards are not listed."""
        needed = self._least if self._purchases else np.maximum(0, self._least - self._spent)
        return Reach(self.market, self._visited, self._who, needed, self._beyond, self._most, self._sure)

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
            if self._clock.is_over:
                break
            found.append(self._reach.ways_of(want))
        return found

    @property
    def late(self) -> bool:
        """Whether time was over before the ways of all packs were found."""
        return len(self._ways) < len(self.market.packs)
