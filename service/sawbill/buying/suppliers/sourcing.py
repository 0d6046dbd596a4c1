"""Where to buy: the suppliers whose goods, tax, trips and deliveries together cost the least, exactly."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from math import ceil, floor

from sawbill import cutting, first_start
from sawbill.asked.lines import Need
from sawbill.asked.request import Request
from sawbill.buying.boards import Boards, joined, share_of
from sawbill.buying.purchase import BoughtHardware, BoughtSupply, Purchase, size_of
from sawbill.buying.suppliers import figures
from sawbill.buying.suppliers.market import Basket, Market
from sawbill.buying.suppliers.search import Search
from sawbill.buying.suppliers.timber import Clock, Planned
from sawbill.buying.suppliers.wants import members
from sawbill.buying.takeoff import TakeOff
from sawbill.checks import statics
from sawbill.first_start import Part
from sawbill.prices.money import tax_by_rate
from sawbill.prices.pricebook import HardwareOffer, PriceBook, SupplyOffer


@dataclass(frozen=True, slots=True)
class Visit:
    """How the goods of one supplier come home: a trip, or a delivery where that is cheaper; amount [minor units].

    goods: what is bought there, as the book has its prices; minimum: what it must come to for the delivery;
    beyond: what of it is bought beyond the need, to reach that [minor units].
    """

    supplier: str
    delivered: bool
    amount: int
    goods: int = 0
    minimum: int = 0
    beyond: int = 0


@dataclass(frozen=True, slots=True)
class Sourcing:
    """The purchase chosen, and the visits it takes.

    cost: with tax and visits, what leftovers are worth taken off [minor units];
    gap: what another choice might save, 0 for nothing [minor units]; late: whether a clock ended the search.
    """

    purchase: Purchase
    visits: tuple[Visit, ...]
    cost: Fraction
    gap: int
    late: bool


def cheapest_sourcing(off: TakeOff, request: Request, book: PriceBook, end: float | None = None) -> Sourcing:
    """Buy a take-off as `sourcing_within`, however much it costs."""
    found = sourcing_within(off, request, book, end, None)
    assert isinstance(found, Sourcing)
    return found


def sourcing_within(
    off: TakeOff, request: Request, book: PriceBook, end: float | None, most: Fraction | None
) -> Sourcing | Fraction:  # fmt: skip
    """Buy a take-off from the suppliers that cost least in all, tax and visits counted.

    What costs more than it may at most [minor units] is not planned to its end: then a bound on what it costs is told.

    Of purchases that cost the same, the first found stays: suppliers and offers are taken in the order of the book,
    which is that of their names whatever the order of its rows.
    end: when the emergency clock stops the search (time.monotonic [s]); cutting.EMERGENCY from now unless given.
    Raises NothingFitsError: with what all suppliers together lack.
    """
    clock = Clock(until(cutting.EMERGENCY) if end is None else end)
    market = Market(off, request, book, clock)
    search = Search(market, clock, None if most is None else floor(most * market.per_minor))
    bound = search.run()
    if most is not None and (least := Fraction(bound, market.per_minor)) > most:
        return least
    searched_late = bound < search.best.cost and time.monotonic() > clock.end
    basket, boards = _settled(market, search.best, request, clock.end)
    bought = Purchase(joined(list(_as_priced(market, search.best, boards))), *_packed(market, basket))
    gap = ceil(Fraction(max(0, basket.cost - bound), market.per_minor))
    visits = tuple(_visits(market, basket, bought))
    cost = Fraction(basket.cost, market.per_minor)
    return Sourcing(bought, visits, cost, gap, late=searched_late or bought.boards.late)


@cache
def make_ready() -> None:
    """Compile all loops that a quote takes, or load them."""
    large, small = cutting.PARTS
    buying, bearing = Part("where to buy", figures.make_ready), Part("how frames bear loads", statics.make_ready)
    first_start.make_ready((large, buying, small, bearing))


def until(seconds: float) -> float:
    """When so many seconds are over, once all compiled loops are ready (time.monotonic [s])."""
    make_ready()
    return time.monotonic() + seconds


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


def _settled(market: Market, best: Basket, request: Request, end: float) -> tuple[Basket, list[Boards]]:
    """The basket with the best of equal plans for its boards, as far as that keeps to its suppliers and its cost."""
    parts: list[Planned] = [met.goods for met in best.mets[: len(market.boards)]]
    boards = [
        _tidy(want.of, part, best.used, share_of(end, len(parts) - done))
        for done, (want, part) in enumerate(zip(market.boards, parts, strict=True))
    ]
    extra = Fraction(request.shop.extra_for_fewer_setups) * market.per_price * sum(part.deal.cost for part in parts)
    basket = _with_boards(market, best, boards)
    if basket.cost <= best.cost + extra:
        return basket, boards
    boards = [part.told(end, tidy=False) for part in parts]
    return _with_boards(market, best, boards), boards


def _tidy(of: Sequence[int], part: Planned, used: int, end: float) -> Boards:
    """The boards of a part, from the suppliers used alone."""
    boards = part.told(end)
    if all(used >> of[part.number[each.offer]] & 1 for each in boards.bought):
        return boards
    narrowed = part.narrowed([i for i, who in enumerate(of) if used >> who & 1], end)
    return part.told(end, tidy=False) if narrowed is None else narrowed.told(end)


def _with_boards(market: Market, basket: Basket, boards: Sequence[Boards]) -> Basket:
    """The basket with boards as they are told."""
    mets = list(basket.mets)
    for j, each in enumerate(boards):
        counts = {mets[j].goods.number[line.offer]: line.quantity for line in each.bought}
        mets[j] = replace(mets[j], cost=each.cost - each.credited, counts=counts)
    return market.basket(mets)


def _packed(market: Market, basket: Basket) -> tuple[tuple[BoughtHardware, ...], tuple[BoughtSupply, ...]]:
    """Hardware and supplies in the packs of a basket."""
    hardware, supplies = list[BoughtHardware](), list[BoughtSupply]()
    for want, met in zip(market.packs, basket.mets[len(market.boards) :], strict=True):
        need, packs = want.need, [(want.offers[i], n) for i, n in sorted(met.counts.items())]
        if isinstance(need.what, Need):
            own = tuple((offer, n) for offer, n in packs if isinstance(offer, HardwareOffer))
            hardware.append(BoughtHardware(need.what, need.quantity, own, need.owned))
        else:
            held = tuple((offer, n) for offer, n in packs if isinstance(offer, SupplyOffer))
            supplies.append(BoughtSupply(need.what, need.quantity, held, need.owned))
    return tuple(hardware), tuple(supplies)


def _as_priced(market: Market, best: Basket, boards: Sequence[Boards]) -> Iterator[Boards]:
    """The boards at the prices of the book."""
    rate = Fraction(market.per_price, market.per_minor)
    for want, met, each in zip(market.boards, best.mets, boards, strict=False):
        own = {offer: market.priced[want.offers[i]] for offer, i in met.goods.number.items()}
        bought = tuple(replace(line, offer=own[line.offer]) for line in each.bought)
        cut = tuple(
            replace(line, wood=replace(line.wood, offer=own[line.wood.offer])) if line.wood.offer else line
            for line in each.cut
        )
        cost = sum(line.amount for line in bought)
        alike = cost == each.cost
        credited = each.credited if alike else floor(rate * each.credited)
        doubt = each.cost - each.credited - each.bound
        bound = cost - credited - (doubt if alike else ceil(rate * doubt))
        yield replace(each, bought=bought, cut=cut, cost=cost, bound=bound, credited=credited)


def _visits(market: Market, basket: Basket, bought: Purchase) -> Iterator[Visit]:
    for who in members(basket.used):
        seller, goods = market.sellers[who], basket.goods[who]
        delivered = seller.delivery is not None and goods >= seller.minimum
        beyond = _beyond(bought, seller.name) if delivered and seller.minimum else 0
        needed = beyond if goods - beyond < seller.minimum else 0
        yield Visit(seller.name, delivered, seller.visit(goods), goods, seller.minimum if delivered else 0, needed)


def _beyond(bought: Purchase, supplier: str) -> int:
    """What of a supplier's goods could be left out, and the need still be met [minor units]."""
    beyond = sum(
        line.offer.each * max(0, line.spare - line.asked)
        for line in bought.boards.bought
        if line.offer.supplier == supplier
    )
    packed: tuple[BoughtHardware | BoughtSupply, ...] = (*bought.hardware, *bought.supplies)
    for goods in packed:
        over = goods.left_over
        for offer, count in goods.packs:
            if offer.supplier == supplier:
                spare = min(count, int(over // size_of(offer)))
                over -= spare * size_of(offer)
                beyond += spare * offer.each
    return beyond
