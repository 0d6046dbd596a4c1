"""Ways to meet wants of packs, by what they cost and what is spent at those who deliver: joined, and narrowed.

A way is kept where no other costs less and spends as much everywhere (see unbeaten.py), and where prices on
what is spent do not show that it comes to nothing better, whatever way each other want is met (Lagrangian bounds).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from sawbill.buying.purchase import size_of
from sawbill.buying.suppliers import sold
from sawbill.buying.suppliers.levels import Ints
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.unbeaten import unbeaten
from sawbill.buying.suppliers.wants import NOTHING, Must, PackWant, Want, item_key, tier_of

WHOLE: Final = 1 << 16
"""What prices on goods are parts of."""
HALVINGS: Final = 12
"""How often the range of each such price is halved."""
NUMBERS: Final = 100
"""How many numbers of one item are told apart."""
STEPS: Final = 30
"""How many such prices are tried to bound what is spent, each three quarters of the last."""
SORTED: Final = 100_000
"""How many are looked at to tell which are beaten, of no more than two who deliver."""
FEW: Final = 100
"""How many ways are kept when they are joined for a good purchase, before as many are that one is the best."""
MOST: Final = 1_000
"""How many are then."""
PARTS: Final = 512
"""Into how many parts what is needed is parted where ways are more than that, or fewer."""
Taken = tuple[int, tuple[int, ...], int, Must]
"""What a way takes of one want from those who deliver: the steps it holds, what is spent at each, its cost, what."""


@dataclass(frozen=True, slots=True)
class Ways:
    """Ways to meet wants; goods: what is spent at each who delivers, as far as needed [way, seller; minor units].

    cost: of each, beyond the least that the wants cost from anybody [price];
    musts: by want, what each way takes at least of those who deliver; exact: whether the goods are no more than that.
    """

    goods: Ints
    cost: Ints
    musts: Sequence[tuple[Must, ...]]
    exact: bool = True

    def those(self, kept: Ints) -> Ways:
        """Some of them."""
        return Ways(self.goods[kept], self.cost[kept], [self.musts[i] for i in kept.tolist()], self.exact)


class Bounds:
    """What wants cost at least where goods have prices, of all their ways at once."""

    def __init__(self, wants: Sequence[Ways]) -> None:
        self._goods = np.concatenate([ways.goods for ways in wants])
        self._cost = WHOLE * np.concatenate([ways.cost for ways in wants])
        self._first = np.cumsum([0, *(len(ways.cost) for ways in wants[:-1])])

    def least(self, prices: Ints) -> Ints:
        """What each want costs at least, less what its goods are worth [WHOLE a price]."""
        least: Ints = np.minimum.reduceat(self._cost - self._goods @ prices, self._first)
        return least

    def spent(self, prices: Ints) -> Ints:
        """What is spent at each who delivers where every want is met by its best way at prices [minor units]."""
        reduced = self._cost - self._goods @ prices
        order = np.lexsort((reduced, self._of))
        spent: Ints = self._goods[order[self._first]].sum(axis=0)
        return spent

    @cached_property
    def _of(self) -> Ints:
        return np.repeat(np.arange(len(self._first)), np.diff([*self._first, len(self._cost)]))


@dataclass(frozen=True, slots=True)
class Reach:
    """What must be reached: needed: what is to be spent at each of who [minor units]; visited: by whom all is sold.

    beyond: no way that costs as much is of use [price]; many: how many ways are kept when they are joined; sure:
    whether the goods of each are reckoned to be some more than they are where ways are more, so that none is lost.
    """

    market: Market
    visited: int
    who: Sequence[int]
    needed: Ints
    beyond: int
    many: int
    sure: bool

    def cheapest(self, wants: Sequence[Ways]) -> Ways:
        """The cheapest way to meet all wants and to reach what is needed, if there is one of use."""
        found = self.together(wants)
        return found.those(np.flatnonzero((found.goods >= self.needed).all(axis=1))[:1])

    def together(self, wants: Sequence[Ways], later: Sequence[Ways] = ()) -> Ways:
        """The ways to meet all wants that may be of use, whatever way of those is taken that are joined later."""
        found = Ways(np.zeros((1, len(self.who)), np.int64), np.zeros(1, np.int64), [()])
        if wants:
            bounds = Bounds([*wants, *later])
            prices = self._prices(bounds)
            least = bounds.least(prices)
            for k, ways in enumerate(wants):
                found = self._joined(found, ways, prices, int(least[k + 1 :].sum()))
        return found

    def most(self, wants: Sequence[Ways], at: int) -> int:
        """More than this is not spent on packs at one of those who deliver, by any way of use [minor units]."""
        if not wants:
            return 0
        most, bounds = int(self.needed[at]), Bounds(wants)
        for step in range(1, STEPS):
            prices = np.zeros(len(self.who), np.int64)
            prices[at] = max(1, self._dearest(at) * 3**step // 4**step)
            left = self.beyond * WHOLE - int(bounds.least(prices).sum())
            most = min(most, max(0, left) // int(prices[at]))
        return most

    def ways_of(self, want: PackWant) -> Ways:
        """The ways to meet one want."""
        if want.need.short <= 0:
            return Ways(np.zeros((1, len(self.who)), np.int64), np.zeros(1, np.int64), [(NOTHING,)])
        mine = [i for i, who in enumerate(want.of) if self.visited >> who & 1]
        unit, steps = sold.steps_of(want.need.short, [size_of(want.offers[i]) for i in mine])
        rest = sold.table([want.pack(i) for i in mine if want.of[i] not in self.who], unit, steps)
        taken, all_told = self._taken(want, unit, sold.table([want.pack(i) for i in mine], unit, steps))
        held, goods = (np.array([each[at] for each in taken], np.int64) for at in (0, 1))
        cost = np.array([each[2] for each in taken], np.int64) + rest[np.maximum(0, steps - held)]
        cost -= want.least(self.visited)
        kept, goods, exact = self._kept(goods, cost, np.zeros(len(taken), np.int64))
        return Ways(goods, cost[kept], [(taken[i][3],) for i in kept.tolist()], exact and all_told)

    def _taken(self, want: PackWant, unit: int, rest: Ints) -> tuple[list[Taken], bool]:
        """What may be taken of a want from those who deliver, and whether it is what it is reckoned to be.

        rest: what so many steps cost at least from anybody.
        """
        steps, most, exact = len(rest) - 1, self.beyond + want.least(self.visited), True
        found: list[Taken] = [(0, (0,) * len(self.who), 0, NOTHING)]
        for at, item in ((at, item) for at, who in enumerate(self.who) for item in items(want, who)):
            more = dict[tuple[int, tuple[int, ...]], Taken]()
            for held, goods, cost, must in found:
                for n, to, i in _numbers(want, item, most - cost):
                    own = min(goods[at] + self.market.paid(want, i) * to, int(self.needed[at]))
                    state = (
                        min(held + -(-size_of(want.offers[i]) // unit) * to, steps),
                        (*goods[:at], own, *goods[at + 1 :]),
                    )
                    paid, known, exact = cost + want.price(i) * n, more.get(state), exact and n == to
                    if paid + rest[steps - state[0]] < most and (known is None or paid < known[2]):
                        more[state] = (*state, paid, tuple(sorted((*must, (i, n)))) if n else must)
            found = list(more.values())
            if len(found) > self.many:
                exact = False
                states = np.array([(each[0], *each[1]) for each in found], np.int64)
                paid_for = np.array([each[2] for each in found], np.int64)
                kept, states = self._thinned(states, paid_for, np.array([steps, *self.needed]))
                found = [
                    (held, tuple(goods), *found[i][2:])
                    for i, (held, *goods) in zip(kept.tolist(), states.tolist(), strict=True)
                ]
        return found, exact

    def _joined(self, one: Ways, other: Ways, prices: Ints, least: int) -> Ways:
        """Each way of one with each of the other; least: what the wants that follow cost at least, at prices."""
        goods = np.minimum((one.goods[:, None] + other.goods[None]).reshape(-1, len(self.who)), self.needed)
        cost = (one.cost[:, None] + other.cost[None]).reshape(-1)
        width = len(other.cost)
        kept, goods, exact = self._kept(goods, cost, least + (self.needed - goods) @ prices)
        musts = [one.musts[i // width] + other.musts[i % width] for i in kept.tolist()]
        return Ways(goods, cost[kept], musts, exact and one.exact and other.exact)

    def _kept(self, goods: Ints, cost: Ints, yet: Ints) -> tuple[Ints, Ints, bool]:
        """Which ways may be of use, the cheap ones first, their goods, and whether these are what they are.

        yet: the least to come [WHOLE a price].
        """
        of_use = np.flatnonzero(cost < self.beyond)  # what is not sold costs too much to be multiplied
        of_use = of_use[WHOLE * cost[of_use] + yet[of_use] < WHOLE * self.beyond]
        order = np.lexsort((*-goods[of_use].T, cost[of_use]))
        if goods.shape[1] <= 2 and len(order) <= SORTED:
            order = order[unbeaten(goods[of_use[order]])]
        of_use = of_use[order]
        own, exact = goods[of_use], len(of_use) <= self.many
        if not exact:
            fewer, own = self._thinned(own, cost[of_use], self.needed)
            order = np.lexsort((*-own.T, cost[of_use[fewer]]))
            of_use, own = of_use[fewer[order]], own[order]
        kept = unbeaten(own)
        return of_use[kept], own[kept], exact

    def _thinned(self, goods: Ints, cost: Ints, needed: Ints) -> tuple[Ints, Ints]:
        """Of ways whose goods are alike once they are rounded up the cheapest, and these goods, or its own."""
        parts = PARTS
        while True:
            part = np.maximum(1, -(-needed // parts))
            rounded = np.minimum(-(-goods // part) * part, needed)
            order = np.lexsort((cost, *rounded.T))
            own = rounded[order]
            first = np.concatenate(([True], (own[1:] != own[:-1]).any(axis=1)))
            if parts == 1 or int(first.sum()) <= self.many:
                return order[first], own[first] if self.sure else goods[order[first]]
            parts //= 2

    def _prices(self, bounds: Bounds) -> Ints:
        """Prices on goods at which ways bound the cost well: one after the other, where as much is spent as needed."""
        prices = np.zeros(len(self.who), np.int64)
        for at in (*range(len(self.who)), *range(len(self.who) if len(self.who) > 1 else 0)):
            low, high = 0, self._dearest(at)
            for _ in range(HALVINGS):
                prices[at] = (low + high) // 2
                if bounds.spent(prices)[at] < self.needed[at]:
                    low = int(prices[at])
                else:
                    high = int(prices[at])
            prices[at] = low
        return prices

    def _dearest(self, at: int) -> int:
        """A price on goods at which they cost nothing [WHOLE a price]."""
        return 2 * WHOLE * self.market.sellers[self.who[at]].weight


def items(want: Want, who: int) -> list[list[int]]:
    """The offers that a supplier makes for a want, an item after the other."""
    found: dict[tuple[str, ...], list[int]] = {}
    for i, offer in enumerate(want.offers):
        if want.of[i] == who:
            found.setdefault(item_key(offer), []).append(i)
    return list(found.values())


def _numbers(want: PackWant, item: Sequence[int], most: int) -> Iterator[tuple[int, int, int]]:
    """How many of an item may be taken at which of its prices, for no more than this: (from, to, offer).

    Where they are very many, some go together, as the fewest of them in cost and the most in what they come to.
    """
    yield 0, 0, item[0]
    for i in item:
        least, limit = tier_of(want.offers[i], want.offers)
        reached = most // want.price(i) if want.price(i) else want.need.short
        last = min(reached, reached if limit is None else limit)
        step = max(1, -(-(last + 1 - least) // NUMBERS))
        for n in range(least, last + 1, step):
            yield n, min(n + step - 1, last), i
