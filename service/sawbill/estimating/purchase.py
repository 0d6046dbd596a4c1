"""The purchase: boards by the cheapest plan, hardware and supplies in whole packs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final, TypeVar

from sawbill.estimating.boards import Boards, Lacking, NothingFitsError, buy_boards
from sawbill.estimating.packs import Pack, buy_packs
from sawbill.estimating.pricebook import HardwareOffer, PriceBook, SupplyOffer
from sawbill.estimating.request import Request
from sawbill.estimating.takeoff import Need, TakeOff
from sawbill.trade.lengths import FOOT, METRE, System, format_length

ML_PER_GALLON: Final = Fraction("3785.411784")
GLUE_COVER: Final = Fraction(200 * FOOT**2, METRE**2) / ML_PER_GALLON
"""What wood glue covers [m2/ml]: 200 to 250 ft2 a US gallon, the safe end taken (common practice, no source)."""

Offer = TypeVar("Offer", HardwareOffer, SupplyOffer)


@dataclass(frozen=True, slots=True)
class BoughtHardware:
    """A need of hardware met by whole packs."""

    need: Need
    quantity: int
    packs: tuple[tuple[HardwareOffer, int], ...]

    @property
    def left_over(self) -> int:
        """How many are bought beyond the need."""
        return sum(offer.pack * count for offer, count in self.packs) - self.quantity

    @property
    def amount(self) -> int:
        """What the packs cost [minor units]."""
        return sum(offer.each * count for offer, count in self.packs)


@dataclass(frozen=True, slots=True)
class BoughtSupply:
    """A supply met by whole containers; quantity: what is needed [ml, g or pieces]."""

    item: str
    quantity: int
    packs: tuple[tuple[SupplyOffer, int], ...]

    @property
    def left_over(self) -> Fraction:
        """How much is bought beyond the need [ml, g or pieces]."""
        return sum((offer.amount * count for offer, count in self.packs), Fraction(0)) - self.quantity

    @property
    def amount(self) -> int:
        """What the containers cost [minor units]."""
        return sum(offer.each * count for offer, count in self.packs)


@dataclass(frozen=True, slots=True)
class Purchase:
    """Everything to buy, and how to cut the boards of it."""

    boards: Boards
    hardware: tuple[BoughtHardware, ...]
    supplies: tuple[BoughtSupply, ...]


def purchase(take_off: TakeOff, request: Request, book: PriceBook) -> Purchase:
    """Buy what a take-off needs from a price book, each at the least cost.

    Raises NothingFitsError: with everything the book lacks.
    """
    lacking: list[Lacking] = []
    boards = None
    try:
        boards = buy_boards(take_off.cut_list, request, book.lumber)
    except NothingFitsError as error:
        lacking += error.lacking
    hardware = [_hardware(need, quantity, book, request.units, lacking) for need, quantity in take_off.hardware]
    supplies = [_supply(item, quantity, book, lacking) for item, quantity in _supplies(take_off)]
    if lacking or boards is None:
        raise NothingFitsError(lacking)
    return Purchase(boards, tuple(filter(None, hardware)), tuple(filter(None, supplies)))


def _supplies(take_off: TakeOff) -> list[tuple[str, int]]:
    """What is used up in making: glue for every glued face, in whole millilitres."""
    glue = ceil(Fraction(take_off.glued, METRE**2) / GLUE_COVER)
    return [("wood glue", glue)] if glue else []


def _hardware(
    need: Need, quantity: int, book: PriceBook, units: System, lacking: list[Lacking]
) -> BoughtHardware | None:
    offers = [
        offer
        for offer in book.hardware
        if (offer.item, offer.size, offer.length) == (need.item, need.size, need.length)
    ]
    packs = _cheapest(quantity, offers, lambda offer: offer.pack)
    if packs is not None:
        return BoughtHardware(need, quantity, packs)
    length = "" if need.length is None else f" x {format_length(need.length, units)}"
    name = f"{need.item} {need.size}{length}".strip()
    lacking.append(_not_sold("hardware", name, quantity, offered=bool(offers)))
    return None


def _supply(item: str, quantity: int, book: PriceBook, lacking: list[Lacking]) -> BoughtSupply | None:
    offers = [offer for offer in book.supplies if offer.item == item and offer.amount >= 1]
    packs = _cheapest(quantity, offers, lambda offer: int(offer.amount))
    if packs is not None:
        return BoughtSupply(item, quantity, packs)
    lacking.append(_not_sold("supply", item, quantity, offered=bool(offers)))
    return None


def _cheapest(
    quantity: int, offers: Sequence[Offer], size: Callable[[Offer], int]
) -> tuple[tuple[Offer, int], ...] | None:
    """The cheapest whole packs from one supplier; the first supplier in the book where two cost the same."""
    choices = []
    for supplier in dict.fromkeys(offer.supplier for offer in offers):
        own = [offer for offer in offers if offer.supplier == supplier]
        packs = [Pack(size(offer), offer.each, offer.least_quantity, offer.in_stock, offer.item_code) for offer in own]
        if (counts := buy_packs(quantity, packs)) is not None:
            chosen = tuple((offer, count) for offer, count in zip(own, counts, strict=True) if count)
            choices.append((sum(offer.each * count for offer, count in chosen), chosen))
    return min(choices, key=lambda choice: choice[0])[1] if choices else None


def _not_sold(kind: str, name: str, quantity: int, *, offered: bool) -> Lacking:
    if offered:
        return Lacking(f"too-little-{kind}", f"The price book has too few in stock of {name}: {quantity} are needed.")
    return Lacking(f"{kind}-not-sold", f"The price book sells no {name}; {quantity} are needed. Add it to the book.")
