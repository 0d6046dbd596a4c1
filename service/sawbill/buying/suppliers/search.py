"""Which suppliers to buy from, exactly: branch and bound over who is visited, and how the goods come home.

A node says of some suppliers that they are visited, of others that they are not. Its bound is that of levels.py over
those that may be, and closes or opens all whose contrary could not be the best; boards, the dear part, are planned
only where it leaves a node open. A delivery is a visit hoped for: once all is decided, and the goods fall short of its
minimum, the node parts into fetching them and buying enough.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from heapq import heappop, heappush
from typing import Final

import numpy as np

from sawbill.buying.boards import Lacking, NothingFitsError
from sawbill.buying.suppliers.bounds import Bounds, Node
from sawbill.buying.suppliers.figures import Case, Figures
from sawbill.buying.suppliers.levels import Ints
from sawbill.buying.suppliers.market import Basket, Market
from sawbill.buying.suppliers.minimums import Minimums, must_of
from sawbill.buying.suppliers.timber import Clock
from sawbill.buying.suppliers.wants import NOTHING, Met, Must, Unmet, bits, members
from sawbill.buying.suppliers.ways import FEW, MOST

MOST_NODES: Final = 5_000
"""How many nodes are looked at."""
SEARCHED: Final = 0.1
"""What is kept of the time for the search, beside what each part of the cut list is given at first."""
MOVES: Final = 60
"""By how many exchanges at most a set of suppliers is made cheaper."""


class Search:
    """Branch and bound over one market; best: the cheapest basket so far; most: what costs more is of no use [units of
    the market]."""

    best: Basket

    def __init__(self, market: Market, clock: Clock, most: int | None = None) -> None:
        self.market, self._clock, self._most = market, clock, most
        self._open: list[Node] = []
        self._aside: list[int] = []
        self._seen: set[tuple[object, ...]] = set()
        self._tried: set[int] = set()
        self._bought: set[int] = set()

    def run(self) -> int:
        """Find the best basket, unless all cost more than they may; a bound on any [units of the market].

        Raises NothingFitsError: with what all suppliers together lack.
        """
        least = self._plan_from_all()
        if self._most is not None and least > self._most:
            return least
        self.figures = Figures(self.market)
        self.bounds = Bounds(self.market, self.figures)
        root = Node(0, 0, hoped=self._sure())
        self.best = self._begun(root)
        nothing = [NOTHING] * len(self.market.wants)
        self._push(self.bounds.tuned(root, nothing, self.best.cost))  # known even where time is over by now
        nodes = 0
        while self._open and self._open[0].bound < self.best.cost:
            if nodes == MOST_NODES or self._clock.is_over:
                break
            nodes += 1
            self._look(heappop(self._open))
        return min([self.best.cost, *self._aside, *(node.bound for node in self._open)])

    def _plan_from_all(self) -> int:
        """Plan the boards from all suppliers, whatever the visits, and see that all else is sold; what all costs at
        least [units of the market]. Once that is more than it may, what is left is not planned."""
        market, found, least = self.market, list[Met | Unmet](), self._least_of_all_else()
        for done, want in enumerate(market.boards):
            found.append(met := want.met_first(market.all, len(market.boards) - done + SEARCHED))
            least += market.per_price * met.bound if isinstance(met, Met) else 0
            if self._most is not None and least > self._most:
                break
        lacking: list[Lacking] = [each for unmet in found if isinstance(unmet, Unmet) for each in unmet.lacking]
        lacking += [each for want in market.packs for each in want.lacking()]
        if lacking:
            raise NothingFitsError(lacking)
        return least

    def _least_of_all_else(self) -> int:
        """What packs and visits cost at least: to whoever alone sells something [units of the market]."""
        market = self.market
        sold = [who for want in market.boards for who in want.sold] + [
            bits(want.of) for want in market.packs if want.need.short > 0
        ]  # fmt: skip
        alone = {each for each in sold if each.bit_count() == 1}
        cheapest = min((seller.least for seller in market.sellers), default=0) if sold else 0
        packs = sum(want.least(market.all) for want in market.packs)
        return market.per_price * packs + max(market.fee(sum(alone)), market.per_minor * cheapest)

    def _sure(self) -> int:
        """Suppliers to be visited in any case, or at no cost: those who alone sell what must be bought."""
        market = self.market
        needed = [want.least(market.all) > 0 for want in market.boards] + [w.need.short > 0 for w in market.packs]
        alone = [sold for sold, must in zip(market.sold, needed, strict=True) if must and sold.bit_count() == 1]
        free = bits(i for i, seller in enumerate(market.sellers) if not seller.visit(0))
        return free | bits(who for each in alone for who in members(each))

    def _begun(self, root: Node) -> Basket:
        """A good basket to begin with."""
        figures, everyone = self.figures, self.market.all
        case = self.bounds.case(root, everyone, [NOTHING] * len(self.market.wants), self.bounds.off(root))
        none = np.zeros(len(figures.rows))
        least, _ = figures.raised(case, none, 0, 1)
        _, shares = figures.raised(case, none, least + least // 4, 12)
        sellers, _ = figures.used(case, shares)
        sellers, _ = figures.improved(case, sellers | root.hoped, root.hoped, MOVES, swaps=True)
        mets = self._bought_from(sellers) or self._bought_from(everyone)
        assert mets is not None
        return self.market.basket(mets)

    def _bought_from(self, sellers: int) -> list[Met] | None:
        """Everything bought from these, None where it cannot be."""
        mets = []
        for want in self.market.wants:
            met = want.met(sellers)
            if isinstance(met, Unmet):
                return None
            mets.append(met)
        return mets

    def _push(self, node: Node) -> None:
        state = (node.hoped, node.fetched, node.delivered, node.closed, node.must)
        if state not in self._seen and node.bound < self.best.cost:
            self._seen.add(state)
            heappush(self._open, replace(node, number=len(self._seen)))

    def _look(self, node: Node) -> None:
        """Bound a node, and part it unless that settles it."""
        wants = range(len(self.market.wants))
        musts = [must_of(node.must, j) for j in wants] if node.must else [NOTHING for _ in wants]
        while True:
            may = self.market.all & ~node.closed
            if may == node.visited:
                self._settle(node, musts)
                return
            node, case = self.bounds.bounded(node, musts, self.best.cost)
            planned = self._clock.plans
            if node.bound >= self.best.cost or not self._planned(node, may, musts):
                return
            if self._clock.plans > planned:
                node, case = self.bounds.bounded(node, musts, self.best.cost)
            if node.bound >= self.best.cost:
                return
            assert node.shares is not None
            self._improve(node, case)
            bound, without, beyond = self.figures.swept(case, node.shares)
            bound += self.bounds.paid(node, self.bounds.off(node))
            open_ = may & ~node.visited
            closed = bits(who for who in members(open_) if bound + beyond[who] >= self.best.cost)
            opened = bits(who for who in members(open_) if bound + without[who] >= self.best.cost)
            if closed & opened:
                return
            node = replace(node, closed=node.closed | closed, hoped=node.hoped | opened)
            rest = open_ & ~closed & ~opened
            if rest and not (closed | opened):
                self._branch(node, bound, rest, without, beyond)
                return

    def _branch(self, node: Node, bound: int, undecided: int, without: Ints, beyond: Ints) -> None:
        """Part a node by the supplier who tells the most, visited or not; without, beyond: what either adds to it."""

        def told(who: int) -> float:
            least, most = sorted((int(without[who]), int(beyond[who])))
            return least + most / 8

        who = max(members(undecided), key=lambda who: (told(who), -who))
        self._push(replace(node, closed=node.closed | 1 << who, bound=max(node.bound, bound + int(without[who]))))
        self._push(replace(node, hoped=node.hoped | 1 << who, bound=max(node.bound, bound + int(beyond[who]))))

    def _planned(self, node: Node, may: int, musts: Sequence[Must]) -> bool:
        """Plan the boards of a node; whether that can be done."""
        for want, must in zip(self.market.boards, musts, strict=False):
            met = want.met(may, must)
            if isinstance(met, Unmet):
                if not met.proven:
                    self._aside.append(node.bound)
                return False
        return True

    def _improve(self, node: Node, case: Case) -> None:
        """Look for a better basket near what the shares of a node use."""
        assert node.shares is not None
        sellers, _ = self.figures.used(case, node.shares)
        if sellers | node.visited in self._tried:
            return
        self._tried.add(sellers | node.visited)
        sellers, cost = self.figures.improved(case, sellers | node.visited, node.visited, MOVES, swaps=not node.number)
        if cost + self.bounds.paid(node, self.bounds.off(node)) < self.best.cost and sellers not in self._bought:
            self._bought.add(sellers)
            boards = sum(want.least(sellers) for want in self.market.boards)
            if boards * self.market.per_price < self.best.cost and (mets := self._bought_from(sellers)):
                self._better(mets)

    def _better(self, mets: Sequence[Met]) -> Basket:
        """The basket, which is the best from now on if it is cheaper."""
        basket = self.market.basket(mets)
        if basket.cost < self.best.cost:
            self.best = basket
        return basket

    def _settle(self, node: Node, musts: Sequence[Must]) -> None:
        """Buy from those who are visited, and part the node by a delivery whose minimum is not reached."""
        node = replace(node, bound=max(node.bound, self.bounds.lifted(node, musts, self.best.cost)))
        if node.bound >= self.best.cost:
            return
        mets: list[Met] = []
        for want, must in zip(self.market.wants, musts, strict=True):
            met = want.met(node.visited, must)
            if isinstance(met, Unmet):
                if not met.proven:
                    self._aside.append(node.bound)
                return
            mets.append(met)
        basket = self._better(mets)
        goods = sum(met.bound for met in mets) * self.market.per_price
        node = replace(node, bound=max(node.bound, goods + self._visits(node)))
        if node.bound < self.best.cost and not self._parted(node, basket):
            self._deliver(node, basket)

    def _visits(self, node: Node) -> int:
        """What the visits of a settled node cost at least."""
        return self.market.fee(node.hoped | node.delivered) + self.market.trips(node.fetched)

    def _parted(self, node: Node, basket: Basket) -> bool:
        """Part a node by a delivery that is hoped for, but that the goods are too few for; whether there is one."""
        sellers, goods = self.market.sellers, basket.goods
        short = [w for w in members(node.hoped) if sellers[w].visit(goods.get(w, 0)) > sellers[w].least]
        if short:
            rest = node.hoped & ~(1 << short[0])
            self._push(replace(node, hoped=rest, fetched=node.fetched | 1 << short[0]))
            self._push(replace(node, hoped=rest, delivered=node.delivered | 1 << short[0]))
        return bool(short)

    def _deliver(self, node: Node, basket: Basket) -> None:
        """Buy enough for the deliveries of a node, where more boards must be bought for that as nodes of their own."""
        market, sellers = self.market, self.market.sellers
        if all(basket.goods.get(who, 0) >= sellers[who].minimum for who in members(node.delivered)):
            self._aside.append(node.bound)
            return
        boards = sum(met.bound for met in basket.mets[: len(market.boards)])
        packs = sum(want.least(node.visited) for want in market.packs)
        least = self._visits(node) + market.per_price * (boards + packs)
        met, bound = None, self.best.cost
        for most, sure in ((FEW, False), (MOST, True), (4 * MOST, True)):
            best = self.best.cost
            beyond = -(-(best - least) // market.per_price)
            enough = Minimums(market, node.visited, node.delivered, basket.mets, beyond, self._clock, most, sure)
            if enough.late:
                self._aside.append(node.bound)
                return
            found = enough.cheapest()
            met = self._better(found.mets) if found.mets else None
            bound = best if found.cost is None else max(node.bound, least + market.per_price * found.cost)
            if found.exact or (sure and bound >= self.best.cost):
                break
        if bound < self.best.cost:
            if met and self._parted(node, met):
                return
            self._aside.append(bound)
        for must in () if enough.lists_boards else enough.more_boards(node.must):
            self._push(replace(node, must=must))
