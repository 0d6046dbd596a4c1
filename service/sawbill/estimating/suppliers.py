"""Where to buy: the set of suppliers whose goods, tax, trips and deliveries together cost the least, exactly."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from math import ceil, lcm
from typing import Final, TypeVar

from sawbill.estimating import cutting
from sawbill.estimating.boards import Boards, NothingFitsError, buy_boards
from sawbill.estimating.money import minor_units, tax_by_rate
from sawbill.estimating.pricebook import HardwareOffer, LumberOffer, PriceBook, Supplier, SupplyOffer
from sawbill.estimating.purchase import Offers, Owned, Purchase, met_by, needed_supplies, purchase
from sawbill.estimating.request import Request
from sawbill.estimating.takeoff import CutLine, TakeOff

MOST_SETS: Final = 63
"""How many sets of suppliers are bought from, those that look cheapest first: all there are of six."""

Offer = TypeVar("Offer", LumberOffer, HardwareOffer, SupplyOffer)


@dataclass(frozen=True, slots=True)
class Visit:
    """How the goods of one supplier come home: a trip, or a delivery where that is cheaper; amount [minor units]."""

    supplier: str
    delivered: bool
    amount: int


@dataclass(frozen=True, slots=True)
class Sourcing:
    """The purchase chosen, and the visits it takes; cost: with tax and visits [minor units].

    gap: what another choice might save, 0 for nothing [minor units]; late: whether a clock ended the search.
    """

    purchase: Purchase
    visits: tuple[Visit, ...]
    cost: Fraction
    gap: int
    late: bool


@dataclass(frozen=True, slots=True)
class _Tried:
    """A purchase from some suppliers: its cost with tax and visits, and a bound on any from them without visits."""

    purchase: Purchase
    visits: tuple[Visit, ...]
    cost: Fraction
    least_goods: Fraction


def cheapest_sourcing(off: TakeOff, request: Request, book: PriceBook) -> Sourcing:
    """Buy a take-off from the set of suppliers that costs least in all, tax and visits counted.

    Bought from every supplier, with visits left out, goods cost as little as they can from any set. So a set
    costs at least that and its own visits. Sets are bought from in the order of this bound, until the next could
    not be cheaper than the best.
    Raises NothingFitsError: with what all suppliers together lack.
    """
    market = _Market(off, request, book)
    best = market.buy(tuple(market.visits))
    goods, bounds = best.least_goods, []
    for tried, names in enumerate(market.sets()):
        visits = market.visit_cost(names)
        if goods + visits >= best.cost or tried == MOST_SETS or market.late:
            bounds.append(goods + visits)
            break
        try:
            found = market.buy(names)
        except NothingFitsError:
            continue
        bounds.append(found.least_goods + visits)
        best = min(best, found, key=lambda each: each.cost)
    gap = max(0, ceil(best.cost - min(bounds, default=best.cost)))
    return Sourcing(best.purchase, best.visits, best.cost, gap, late=market.late or best.purchase.boards.late)


class _Market:
    """The suppliers of a book, and their offers; those of suppliers taxed unlike are compared with their tax.

    factor: from the prices compared to money with tax [minor units].
    """

    def __init__(self, off: TakeOff, request: Request, book: PriceBook) -> None:
        self._off, self._request, self._book = off, request, book
        taxed = {
            supplier.name: 1 if book.prices_include_tax else 1 + Fraction(book.tax_rate_at(supplier.name))
            for supplier in book.suppliers
        }
        unit = lcm(*(Fraction(rate).denominator for rate in taxed.values()))
        self._alike = len(set(taxed.values())) == 1
        self._weights = {name: int(unit * rate) for name, rate in taxed.items()}
        self._factor = Fraction(next(iter(taxed.values()))) if self._alike else Fraction(1, unit)
        self._boards: dict[frozenset[str], Boards] = {}
        self._end = cutting.until(cutting.EMERGENCY)
        self.visits = {supplier.name: _visit(supplier, book.decimals) for supplier in book.suppliers}

    @property
    def late(self) -> bool:
        """Whether the emergency clock has run out."""
        return time.monotonic() > self._end

    def sets(self) -> list[tuple[str, ...]]:
        """Every set of suppliers that sells all that is needed, those with the least visits first."""
        sold = self._sold()
        needed = set[object]().union(*sold.values())
        sets = [
            names
            for size in range(1, len(self.visits) + 1)
            for names in combinations(self.visits, size)
            if needed <= set[object]().union(*(sold[name] for name in names))
        ]
        return sorted(sets, key=lambda names: (self.visit_cost(names), len(names)))

    def visit_cost(self, names: Iterable[str]) -> int:
        """What visiting these suppliers costs [minor units]."""
        return sum(self.visits[name].amount for name in names)

    def buy(self, names: Sequence[str]) -> _Tried:
        """Buy everything from these suppliers. Raises NothingFitsError."""
        offers = Offers(
            self._from(names, self._book.lumber),
            self._from(names, self._book.hardware),
            self._from(names, self._book.supplies),
        )
        bought = purchase(self._off, self._request, offers, self._buy_boards)
        used = {supplier for supplier, _ in bought.lines}
        visits = tuple(visit for name, visit in self.visits.items() if name in used)
        goods = self._factor * sum(amount for _, amount in bought.lines)
        doubt = self._factor * (bought.boards.cost - bought.boards.bound)
        return _Tried(self._as_priced(bought), visits, goods + self.visit_cost(used), goods - doubt)

    def _sold(self) -> dict[str, set[object]]:
        """Of what is to be bought, what each supplier sells."""
        owned = Owned.of(self._request)
        off, sold = self._off, {name: set[object]() for name in self.visits}
        sections = {cut.section for cut in off.cut_list}
        supplies = {item for item, quantity in needed_supplies(off) if quantity > owned.supplies.get(item, 0)}
        needs = {need for need, quantity in off.hardware if quantity > owned.hardware.get(need, 0)}
        for lumber in self._book.lumber:
            if lumber.section in sections:
                sold[lumber.supplier].add(lumber.section)
        for hardware in self._book.hardware:
            if (need := met_by(hardware)) in needs:
                sold[hardware.supplier].add(need)
        for supply in self._book.supplies:
            if supply.item in supplies:
                sold[supply.supplier].add(supply.item)
        return sold

    def _from(self, names: Sequence[str], offers: Sequence[Offer]) -> tuple[Offer, ...]:
        """The offers of these suppliers, at the prices they are compared by."""
        own = (offer for offer in offers if offer.supplier in names)
        if self._alike:
            return tuple(own)
        return tuple(replace(offer, each=offer.each * self._weights[offer.supplier]) for offer in own)

    def _buy_boards(self, cuts: Sequence[CutLine], request: Request, offers: Sequence[LumberOffer]) -> Boards:
        """Buy boards, once only for sets of suppliers that offer the same ones."""
        key = frozenset(offer.supplier for offer in offers)
        if key not in self._boards:
            self._boards[key] = buy_boards(cuts, request, offers, self._end)
        return self._boards[key]

    def _as_priced(self, bought: Purchase) -> Purchase:
        """The purchase at the prices of the book."""
        if self._alike:
            return bought

        def priced(offer: Offer) -> Offer:
            return replace(offer, each=offer.each // self._weights[offer.supplier])

        boards = bought.boards
        lines = tuple(replace(each, offer=priced(each.offer)) for each in boards.bought)
        cut = tuple(
            replace(each, wood=replace(each.wood, offer=priced(each.wood.offer))) if each.wood.offer else each
            for each in boards.cut
        )
        cost = sum(each.amount for each in lines)
        doubt = ceil(self._factor * (boards.cost - boards.bound))
        return Purchase(
            replace(boards, bought=lines, cut=cut, cost=cost, bound=cost - doubt),
            tuple(replace(x, packs=tuple((priced(o), n) for o, n in x.packs)) for x in bought.hardware),
            tuple(replace(x, packs=tuple((priced(o), n) for o, n in x.packs)) for x in bought.supplies),
        )


def tax_of(bought: Purchase, book: PriceBook) -> int:
    """The tax on a purchase, or in it where prices hold it [minor units]."""
    taxed: defaultdict[Decimal, int] = defaultdict(int)
    for supplier, amount in bought.lines:
        taxed[book.tax_rate_at(supplier)] += amount
    return sum(tax_by_rate(taxed, included=book.prices_include_tax).values())


def total_of(sourcing: Sourcing, book: PriceBook) -> int:
    """What is spent in all, the tax rounded as it is charged [minor units]."""
    goods = sum(amount for _, amount in sourcing.purchase.lines)
    spend = goods + sum(visit.amount for visit in sourcing.visits)
    return spend if book.prices_include_tax else spend + tax_of(sourcing.purchase, book)


def _visit(supplier: Supplier, decimals: int) -> Visit:
    """A trip, unless a delivery is offered and costs less."""
    delivered = supplier.delivery is not None and supplier.delivery < supplier.trip
    cost = supplier.delivery if delivered and supplier.delivery is not None else supplier.trip
    return Visit(supplier.name, delivered, minor_units(cost, decimals))
