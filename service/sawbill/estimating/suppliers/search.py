"""Which suppliers to buy from, exactly: branch and bound over who is visited, and how the goods come home.

A node says of some suppliers that they are visited, of others that they are not. Its bound is that of bound.py over
those that may be; boards, the dear part, are planned only where it leaves a node open. A delivery is a visit hoped
for: where the goods fall short of its minimum, the node parts into fetching them and buying enough.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from typing import Final

from sawbill.estimating.boards import Lacking, NothingFitsError
from sawbill.estimating.suppliers.bound import Asked, ascend
from sawbill.estimating.suppliers.market import Basket, Market
from sawbill.estimating.suppliers.minimums import Bought, enough_more, must_of
from sawbill.estimating.suppliers.timber import Clock
from sawbill.estimating.suppliers.wants import Met, Unmet, bits, members

MOST_NODES: Final = 5_000
"""How many nodes are looked at."""
MOST_PLANS: Final = 200
"""How many plans of boards are made for sets of suppliers."""


@dataclass(frozen=True, slots=True, order=True)
class Node:
    """A part of the search, sets as bits; bound: nothing in it costs less; number: in the order they were made.

    hoped: visited, by a delivery if there is one; fetched: by a trip; delivered: the goods must reach the minimum;
    closed: not visited; must: what is bought at least.
    """

    bound: int
    number: int
    hoped: int = 0
    fetched: int = 0
    delivered: int = 0
    closed: int = 0
    must: Bought = ()

    @property
    def visited(self) -> int:
        """Those whose visit is paid for."""
        return self.hoped | self.fetched | self.delivered


class Search:
    """Branch and bound over one market; best: the cheapest basket so far."""

    best: Basket

    def __init__(self, market: Market, clock: Clock) -> None:
        self.market, self._clock = market, clock
        self._asked: list[list[Asked]] | None = None
        self._open: list[Node] = []
        self._bounds: list[int] = []
        self._seen: set[tuple[object, ...]] = set()

    def run(self) -> int:
        """Find the best basket; a bound on any [units of the market].

        Raises NothingFitsError: with what all suppliers together lack.
        """
        self.best = self.market.basket(self._from_all())
        self._push(Node(0, 0, hoped=self._sure()))
        nodes = 0
        while self._open and self._open[0].bound < self.best.cost:
            if nodes == MOST_NODES or self._clock.plans >= MOST_PLANS or time.monotonic() > self._clock.end:
                break
            nodes += 1
            self._look(heappop(self._open))
        return min([self.best.cost, *self._bounds, *(node.bound for node in self._open)])

    def _from_all(self) -> list[Met]:
        """Everything bought from all suppliers, whatever the visits."""
        boards, everyone = self.market.boards, self.market.all
        found = [want.met_first(everyone, len(boards) - done) for done, want in enumerate(boards)]
        found += [want.met(everyone) for want in self.market.packs]
        lacking: list[Lacking] = [each for unmet in found if isinstance(unmet, Unmet) for each in unmet.lacking]
        if lacking:
            raise NothingFitsError(lacking)
        return [met for met in found if isinstance(met, Met)]

    def _sure(self) -> int:
        """Suppliers to be visited in any case, or at no cost: those who alone sell what must be bought."""
        sold = self.market.sold
        alone = [sold[j] for j, met in enumerate(self.best.mets) if met.bound > 0 and sold[j].bit_count() == 1]
        free = bits(i for i, seller in enumerate(self.market.sellers) if not seller.visit(0))
        return free | bits(who for each in alone for who in members(each))

    def _push(self, node: Node) -> None:
        state = (node.hoped, node.fetched, node.delivered, node.closed, node.must)
        if state not in self._seen and node.bound < self.best.cost:
            self._seen.add(state)
            heappush(self._open, replace(node, number=len(self._seen)))

    def _look(self, node: Node) -> None:
        """Bound a node, buy from all who may be visited in it, and part it unless that settles it."""
        may = self.market.all & ~node.closed
        musts = [must_of(node.must, j) for j in range(len(self.market.wants))]
        least = [want.least(may, must) for want, must in zip(self.market.wants, musts, strict=True)]
        node, _ = self._bounded(node, least)
        if node.bound >= self.best.cost:
            return
        mets: list[Met] = []
        for want, must in zip(self.market.wants, musts, strict=True):
            met = want.met(may, must)
            if isinstance(met, Unmet):
                if not met.proven:
                    self._bounds.append(node.bound)
                return
            mets.append(met)
        basket = self._better(mets)
        node, left = self._bounded(node, [met.bound for met in mets])
        if node.bound < self.best.cost and self._asked is None:
            self._asked = self.market.asked()
            node, left = self._bounded(node, [met.bound for met in mets])
        self._try(node.visited | bits(who for who, fee in left.items() if not fee))
        if node.bound < self.best.cost:
            dear = bits(who for who, fee in left.items() if fee and node.bound + fee >= self.best.cost)
            self._part(replace(node, closed=node.closed | dear), basket)

    def _better(self, mets: Sequence[Met]) -> Basket:
        """The basket, which is the best from now on if it is cheaper."""
        basket = self.market.basket(mets)
        if basket.cost < self.best.cost:
            self.best = basket
        return basket

    def _bounded(self, node: Node, least: Sequence[int]) -> tuple[Node, dict[int, int]]:
        """The node with a bound, and what is left of each fee; least: what every want costs at least [price]."""
        market, may = self.market, self.market.all & ~node.closed
        levels = [cost * market.per_price for cost in least]
        paid = market.fee(node.hoped | node.delivered) + market.trips(node.fetched)
        bound, left = sum(levels), dict[int, int]()
        if self._asked is not None:
            fees = {who: market.fee(1 << who & ~node.visited) for who in members(may)}
            asked = [[each for each in own if may >> each.supplier & 1] for own in self._asked]
            bound, left = ascend(levels, asked, fees)
        elsewhere = (
            market.least_for(who, market.sellers[who].minimum)
            + sum(level for level, sold in zip(levels, market.sold, strict=True) if not sold >> who & 1)
            for who in members(node.delivered)
        )
        bound = max(bound, *elsewhere, 0) + paid
        return replace(node, bound=max(node.bound, bound)), left

    def _try(self, sellers: int) -> None:
        """Buy from these alone, if that could be the best."""
        least = sum(want.least(sellers) for want in self.market.wants) * self.market.per_price
        if least >= self.best.cost:
            return
        mets = []
        for want in self.market.wants:
            met = want.met(sellers)
            if isinstance(met, Unmet):
                return
            mets.append(met)
        self._better(mets)

    def _part(self, node: Node, basket: Basket) -> None:
        """Part a node by a supplier who is bought from unvisited, else by a delivery whose minimum is not reached."""
        sellers = self.market.sellers
        if basket.used & node.closed:
            self._push(node)
            return
        if new := basket.used & ~node.visited:
            who = max(members(new), key=lambda each: (sellers[each].least, -each))
            self._push(replace(node, closed=node.closed | 1 << who))
            self._push(replace(node, hoped=node.hoped | 1 << who))
            return
        goods = basket.goods
        short = [w for w in members(basket.used & node.hoped) if sellers[w].visit(goods[w]) > sellers[w].least]
        if short:
            who = short[0]
            rest = node.hoped & ~(1 << who)
            self._push(replace(node, hoped=rest, fetched=node.fetched | 1 << who))
            self._push(replace(node, hoped=rest, delivered=node.delivered | 1 << who))
            return
        too_little = [w for w in members(node.delivered) if goods.get(w, 0) < sellers[w].minimum]
        if too_little:
            for must in enough_more(self.market, node.must, basket, too_little[0]):
                self._push(replace(node, must=must))
            return
        self._bounds.append(node.bound)
