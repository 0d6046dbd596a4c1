"""Spare boards: those that the shop asks for beyond what is cut, and what they cost at least."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from sawbill.buying.lots import Wanted, carry_of, item_of, will_do
from sawbill.buying.takeoff import CutLine
from sawbill.prices.pricebook import LumberOffer


def spare_boards(wanted: Wanted, bought: Counter[LumberOffer], used: Counter[LumberOffer]) -> Counter[LumberOffer]:
    """Spare boards to buy beyond those bought: of each section the cheapest that its longest piece can be cut from.

    Boards bought and not used, to reach a lower price or a least order, are spare boards already.
    """
    number = wanted.request.shop.spare_boards
    prices, cut = {item_of(offer): offer for offer in bought}, Counter[tuple[str, ...]]()
    for offer, count in used.items():
        cut[item_of(offer)] += count
    spare: Counter[LumberOffer] = Counter()
    for offers in _spare_offers(wanted):
        paid = {item_of(offer): prices.get(item_of(offer), offer) for offer in offers}
        missing = max(0, number - sum(bought[offer] - cut[item] for item, offer in paid.items() if bought[offer]))
        fitting = [
            offer for offer in paid.values()
            if offer.least_quantity <= bought[offer] + missing
            and (offer.in_stock is None or offer.in_stock >= bought[offer] + missing)
        ]  # fmt: skip
        if fitting:
            spare[min(fitting, key=lambda offer: (offer.each, offer.usable_length))] += missing
    return spare


def asked_for(wanted: Wanted, spare: Counter[LumberOffer]) -> Counter[LumberOffer]:
    """Which of the boards that no cut is planned for are the spare ones asked for."""
    asked: Counter[LumberOffer] = Counter()
    for offers in _spare_offers(wanted):
        items, left = {item_of(offer) for offer in offers}, wanted.request.shop.spare_boards
        for offer in sorted(spare, key=item_of):
            if item_of(offer) in items:
                asked[offer] = min(left, spare[offer])
                left -= asked[offer]
    return asked


def spare_at_least(wanted: Wanted) -> int:
    """What spare boards add at least to the cost of any deal [minor units].

    Of a section, nothing is sure where they may bring a price that holds from a quantity: the deal may cost less then.
    """
    found = 0
    for offers in _spare_offers(wanted):
        if all(offer.least_quantity == 1 and offer.in_stock is None for offer in offers):
            found += wanted.request.shop.spare_boards * min((offer.each for offer in offers), default=0)
    return found


def _spare_offers(wanted: Wanted) -> Iterator[list[LumberOffer]]:
    """For each section of which spare boards are asked for, the offers that its longest piece can be cut from."""
    request = wanted.request
    longest: dict[str, CutLine] = {}
    for cut in sorted(wanted.cuts, key=lambda cut: cut.length):
        if cut.ripped is None:
            longest[cut.section.name] = cut
    for section, cut in longest.items() if request.shop.spare_boards else ():
        yield [
            offer for offer in wanted.usable
            if offer.section.name == section and will_do(offer, cut, request)
            and carry_of(offer, request) is None and offer.usable_length - request.shop.end_trim >= cut.length
        ]  # fmt: skip
