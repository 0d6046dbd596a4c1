"""The suppliers of a book before an order: what they sell of it, and what it takes to have the goods at home."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import lcm

from sawbill.asked.request import Request
from sawbill.buying.boards import parts_of
from sawbill.buying.purchase import pack_needs
from sawbill.buying.suppliers.timber import BoardWant, Clock
from sawbill.buying.suppliers.wants import Met, PackWant, Want, bits, members
from sawbill.buying.takeoff import TakeOff
from sawbill.prices.money import minor_units
from sawbill.prices.pricebook import LumberOffer, PriceBook


@dataclass(frozen=True, slots=True)
class Seller:
    """A supplier; trip, delivery, minimum [minor units]; weight: of a minor unit spent there, in prices compared.

    delivery: None where there is none, or it costs no less than the trip, so that nobody asks for it;
    minimum: the least that the goods must come to for a delivery.
    """

    name: str
    trip: int
    delivery: int | None
    minimum: int
    weight: int

    def visit(self, goods: int) -> int:
        """What it takes to have goods of this value at home [minor units]."""
        return self.trip if self.delivery is None or goods < self.minimum else self.delivery

    @property
    def least(self) -> int:
        """What it takes at least [minor units]."""
        return self.trip if self.delivery is None else self.delivery


@dataclass(frozen=True, slots=True)
class Basket:
    """Everything that is wanted, met; cost: with tax and visits, in units of the market; goods: by seller, untaxed."""

    mets: tuple[Met, ...]
    used: int
    goods: dict[int, int]
    cost: int


class Market:
    """Sellers by number, in the order of their names, and what is wanted of them.

    All costs are whole numbers of one unit, of which `per_minor` make a minor unit of money: the prices compared
    are weighed with unlike taxes, and `per_price` units each.
    """

    def __init__(self, off: TakeOff, request: Request, book: PriceBook, clock: Clock) -> None:
        self.sellers, factor = sellers_of(book)
        self.per_price, self.per_minor = factor.numerator, factor.denominator
        self.all = bits(range(len(self.sellers)))
        numbers = {seller.name: i for i, seller in enumerate(self.sellers)}
        weights = [seller.weight for seller in self.sellers]
        self.priced = _priced(book)
        self.boards = [
            BoardWant(wanted, [numbers[offer.supplier] for offer in wanted.usable], clock)
            for wanted in parts_of(off.cut_list, request, list(self.priced))
        ]
        self.packs = [PackWant(need, numbers, weights, request.units) for need in pack_needs(off, request, book)]
        self.wants: list[Want] = [*self.boards, *self.packs]
        self.sold = [bits(want.of) for want in self.wants]

    def fee(self, sellers: int) -> int:
        """What visiting these takes at least."""
        return self.per_minor * sum(self.sellers[who].least for who in members(sellers))

    def trips(self, sellers: int) -> int:
        """What going to these takes."""
        return self.per_minor * sum(self.sellers[who].trip for who in members(sellers))

    def basket(self, mets: Sequence[Met]) -> Basket:
        """Join what meets the wants, with the visits it takes."""
        goods: dict[int, int] = {}
        for want, met in zip(self.wants, mets, strict=True):
            for i, number in met.counts.items():
                who = want.of[i]
                goods[who] = goods.get(who, 0) + self.paid(want, i) * number
        visits = sum(self.sellers[who].visit(value) for who, value in goods.items())
        cost = self.per_price * sum(met.cost for met in mets) + self.per_minor * visits
        return Basket(tuple(mets), bits(goods), goods, cost)

    def paid(self, want: Want, i: int) -> int:
        """What one of an offer costs at its seller, untaxed unless the book's prices hold the tax [minor units]."""
        offer = want.offers[i]
        return offer.each // self.sellers[want.of[i]].weight if isinstance(want, BoardWant) else offer.each


@lru_cache(maxsize=2)  # a book may be large
def _priced(book: PriceBook) -> Mapping[LumberOffer, LumberOffer]:
    """The lumber of a book by the prices that suppliers are compared by."""
    weights = {seller.name: seller.weight for seller in sellers_of(book)[0]}
    return {replace(offer, each=offer.each * weights[offer.supplier]): offer for offer in book.lumber}


@lru_cache(maxsize=2)  # a book may be large
def sellers_of(book: PriceBook) -> tuple[tuple[Seller, ...], Fraction]:
    """The suppliers by name, and what one of the prices compared is in money with tax [minor units]."""
    taxed = {
        each.name: Fraction(1) if book.prices_include_tax else 1 + Fraction(book.tax_rate_at(each.name))
        for each in book.suppliers
    }
    unit = lcm(*(rate.denominator for rate in taxed.values()))
    alike = len(set(taxed.values())) == 1
    factor = next(iter(taxed.values())) if alike else Fraction(1, unit)

    def money(amount: Decimal) -> int:
        return minor_units(amount, book.decimals)

    sellers = []
    for each in sorted(book.suppliers, key=lambda each: each.name):
        trip, delivery = money(each.trip), None if each.delivery is None else money(each.delivery)
        if delivery is not None and delivery >= trip:
            delivery = None
        weight = 1 if alike else int(unit * taxed[each.name])
        sellers.append(Seller(each.name, trip, delivery, money(each.minimum_order), weight))
    return tuple(sellers), factor
