"""Boards bought beyond the need, so that a delivery's minimum is reached: every purchase that may be of use.

What boards for a want are bought from those who deliver is listed by number: few of them cost little more than the
least. A purchase costs at least what is paid, and for what its boards cannot hold the best price among the others,

    paid + (total - sum w_k n_k) min c_j / w_j,      w from the linear programme's prices of pieces (valuing.py).

It is planned only once it would be the best so far as that tells; what the plan tells of it, and of all with more of
the same boards, takes the place of that bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from math import inf
from typing import Final

import numpy as np

from sawbill.buying.suppliers.levels import Ints
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.timber import BoardWant
from sawbill.buying.suppliers.wants import Met, Must, Unmet, tier_of
from sawbill.buying.suppliers.ways import Ways, items

MOST: Final = 5_000
"""How many purchases of one want are listed; beyond, boards are bought in another way (see minimums.py)."""
MOST_TRIED: Final = 200_000
"""How many purchases of one want are looked at for that, a fraction of a second; beyond, as with too many."""
_ROUNDING: Final = 1 - 1e-9
"""What is left of a bound reckoned in floats, to be surely below it."""


Bought = tuple[float, float, Must]
"""What a purchase's boards do not hold, what is paid for them, and which they are."""


Tier = tuple[int, int, int | None]
"""An offer, from how many on its price is the one that is charged, and up to how many."""


@dataclass(frozen=True, slots=True)
class Listing:
    """What to list: the want's boards, by whom all is sold, who delivers; base: the least that the want costs.

    beyond: no purchase that costs as much beyond that is of use [price].
    """

    market: Market
    want: BoardWant
    visited: int
    who: Sequence[int]
    base: int
    beyond: int

    def musts(self) -> list[tuple[int, Must]] | None:
        """Every purchase that may be of use, with what it costs at least [price]; None where they are too many."""
        want, own = self.want, [item for who in self.who for item in items(self.want, who)]
        rates = self._rates(own)
        found: list[Bought] = [(want.worth, 0.0, ())]
        tries = iter(range(MOST_TRIED))
        for item, rate in zip(own, rates[1:], strict=True):
            more = list(islice(self._with(found, item, rate, tries), MOST + 1))
            if len(more) > MOST or next(tries, None) is None:
                return None
            found = more
        return [(int(self._cost(short, paid, rates[-1])), tuple(sorted(must))) for short, paid, must in found]

    def _with(
        self, found: Sequence[Bought], item: Sequence[int], rate: float, tries: Iterator[int]
    ) -> Iterator[Bought]:
        """Every purchase with each number of an item that may be of use; it ends when no tries are left."""
        most, want = self.base + self.beyond, self.want
        tiers = [(i, *tier_of(want.offers[i], want.offers)) for i in item]
        for short, paid, must in found:
            for _, (i, n) in zip(tries, self._numbers(tiers, most - paid), strict=False):
                left, cost = short - want.worth_of(i) * n, paid + want.offers[i].each * n
                if self._cost(left, cost, rate) < most:
                    yield left, cost, (*must, (i, n)) if n else must

    def _cost(self, short: float, paid: float, rate: float) -> float:
        """What a purchase costs at least; short: what its boards do not hold, which costs so much at least."""
        return (paid + short * rate if short > self.want.worth * 1e-9 else paid) * _ROUNDING

    def _numbers(self, tiers: Sequence[Tier], left: float) -> Iterator[tuple[int, int]]:
        """At which of its prices how many of an item may be bought, for no more than is left."""
        yield tiers[0][0], 0
        for i, least, limit in tiers:
            most = int(left // self.want.offers[i].each) if self.want.offers[i].each else least
            yield from ((i, n) for n in range(least, (most if limit is None else min(most, limit)) + 1))

    def _rates(self, own: Sequence[Sequence[int]]) -> list[float]:
        """The best price a worth: of all that may be bought, then without the first item, and so on."""
        want, mine = self.want, {i for item in own for i in item}
        others = [i for i, who in enumerate(want.of) if self.visited >> who & 1 and i not in mine]
        found = [self._best(others)]
        for item in reversed(own):
            found.append(min(found[-1], self._best(item)))
        return found[::-1]

    def _best(self, offers: Sequence[int]) -> float:
        priced = ((self.want.offers[i].each, self.want.worth_of(i)) for i in offers)
        return min((price / worth for price, worth in priced if worth > 0), default=inf)


class Purchases:
    """The purchases listed of one want, and what is known of each: a bound, or how it is met."""

    def __init__(self, listing: Listing, found: Sequence[tuple[int, Must]], needed: Ints) -> None:
        self._listing, self._needed = listing, needed
        self._musts = [must for _, must in found]
        self._mets: dict[Must, Met | Unmet] = {}
        self._cost = np.array([max(0, cost - listing.base) for cost, _ in found], np.int64)
        self._counts = np.zeros((len(found), len(listing.want.offers)), np.int64)
        for n, must in enumerate(self._musts):
            for i, number in must:
                self._counts[n, i] = number
        market, want = listing.market, listing.want
        prices = np.array([market.paid(want, i) for i in range(len(want.offers))], np.int64)
        paid_to = np.array([[who == each for each in listing.who] for who in want.of]).reshape(-1, len(listing.who))
        self._paid = prices[:, None] * paid_to
        self._goods = np.minimum(self._counts @ self._paid, needed)

    def ways(self) -> Ways:
        """Those that may be of use, as far as is known."""
        kept = np.flatnonzero(self._cost < self._listing.beyond)
        return Ways(self._goods[kept], self._cost[kept], [(self._musts[n],) for n in kept.tolist()])

    def met(self, must: Must) -> Met | Unmet | None:
        """How a purchase is met, once that is known."""
        return self._mets.get(must)

    def plan(self, must: Must, others: int) -> None:
        """Find how a purchase is met: those boards at least, and what others sell."""
        found = self._listing.want.met(others, must)
        self._mets[must] = found
        n = self._musts.index(must)
        if isinstance(found, Unmet):
            if found.proven:
                self._cost[n] = self._listing.beyond
            return
        mine = self._counts[n]
        more = (self._counts >= mine).all(axis=1) & ((self._counts > 0) == (mine > 0)).all(axis=1)
        self._cost[more] = np.maximum(self._cost[more], found.bound - self._listing.base)
        bought = np.zeros(len(mine), np.int64)
        bought[list(found.counts)] = list(found.counts.values())
        self._goods[n] = np.minimum(bought @ self._paid, self._needed)
