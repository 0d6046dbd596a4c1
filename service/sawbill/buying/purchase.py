"""The purchase: boards by the cheapest plan, hardware and supplies in whole packs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import ceil
from typing import Final, Self

from sawbill.asked.lines import Need
from sawbill.asked.request import Request
from sawbill.buying.boards import Boards, Lacking
from sawbill.buying.takeoff import TakeOff
from sawbill.prices.pricebook import HardwareOffer, PriceBook, SupplyOffer
from sawbill.trade.fasteners import ITEMS
from sawbill.trade.finishes import ABRASIVE, abrasives, finishes
from sawbill.trade.lengths import FOOT, METRE, System

ML_PER_GALLON: Final = Fraction("3785.411784")
GLUE_COVER: Final = Fraction(200 * FOOT**2, METRE**2) / ML_PER_GALLON
"""What wood glue covers [m2/ml]: 200 to 250 ft2 a US gallon, the safe end taken (common practice, no source)."""

PackOffer = HardwareOffer | SupplyOffer


@dataclass(frozen=True, slots=True)
class BoughtHardware:
    """A need of hardware met by whole packs; owned: how many of it the maker has already."""

    need: Need
    quantity: int
    packs: tuple[tuple[HardwareOffer, int], ...]
    owned: int = 0

    @property
    def left_over(self) -> int:
        """How many are bought beyond the need."""
        return sum(offer.pack * count for offer, count in self.packs) - (self.quantity - self.owned)

    @property
    def amount(self) -> int:
        """What the packs cost [minor units]."""
        return sum(offer.each * count for offer, count in self.packs)


@dataclass(frozen=True, slots=True)
class BoughtSupply:
    """A supply met by whole containers; quantity: what is needed, owned: what of it the maker has [ml, g or pieces]."""

    item: str
    quantity: int
    packs: tuple[tuple[SupplyOffer, int], ...]
    owned: int = 0

    @property
    def left_over(self) -> Fraction:
        """How much is bought beyond the need [ml, g or pieces]."""
        return sum((offer.amount * count for offer, count in self.packs), Fraction(0)) - (self.quantity - self.owned)

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

    @property
    def lines(self) -> Iterator[tuple[str, int]]:
        """The supplier and amount of every line [minor units]."""
        for boards in self.boards.bought:
            yield boards.offer.supplier, boards.amount
        for hardware in self.hardware:
            yield from ((offer.supplier, offer.each * count) for offer, count in hardware.packs)
        for supply in self.supplies:
            yield from ((offer.supplier, offer.each * count) for offer, count in supply.packs)


@dataclass(frozen=True, slots=True)
class Owned:
    """Hardware and supplies that the maker has [pieces; ml, g or pieces]; they are used before any is bought."""

    hardware: Mapping[Need, int]
    supplies: Mapping[str, int]

    @classmethod
    def of(cls, request: Request) -> Self:
        """What a request tells of."""
        return cls(dict(request.owned_hardware), dict(request.owned_supplies))


def needed_supplies(take_off: TakeOff) -> list[tuple[str, int]]:
    """What is used up in making: glue for every glued face, finishes, abrasives for what is finished [ml or pieces]."""
    glue = ceil(Fraction(take_off.glued, METRE**2) / GLUE_COVER)
    known = finishes()
    needs = [("wood glue", glue), *((known[name].item, known[name].takes(area)) for name, area in take_off.finished)]
    needs.append((ABRASIVE, abrasives(sum(area for _, area in take_off.finished))))
    return [(item, quantity) for item, quantity in needs if quantity]


def met_by(offer: HardwareOffer) -> Need:
    """What an offer is of."""
    return Need(offer.item, offer.size, offer.length)


@dataclass(frozen=True, slots=True)
class PackNeed:
    """Hardware or a supply that whole packs meet; quantity: what is needed, owned: what of it the maker has.

    offers: of any supplier, in the order of the book.
    """

    what: Need | str
    quantity: int
    owned: int
    offers: tuple[PackOffer, ...]

    @property
    def short(self) -> int:
        """What is still to be bought [pieces; ml, g or pieces]."""
        return self.quantity - self.owned

    def lacking(self, units: System) -> Lacking:
        """Why it cannot be bought."""
        if isinstance(self.what, str):
            return _not_sold("supply", self.what, self.short, offered=bool(self.offers))
        return _not_sold("hardware", self.what.called(units), self.short, offered=bool(self.offers))


@lru_cache(maxsize=2)  # a book may be large
def offers_by_need(book: PriceBook) -> Mapping[Need, Sequence[HardwareOffer]]:
    """The hardware of a price book by what it meets, in the order of the book."""
    found: dict[Need, list[HardwareOffer]] = {}
    for offer in book.hardware:
        found.setdefault(met_by(offer), []).append(offer)
    return found


def pack_needs(off: TakeOff, request: Request, book: PriceBook) -> list[PackNeed]:
    """What of a take-off is bought in packs: hardware, then supplies."""
    fitting, owned = offers_by_need(book), Owned.of(request)
    absent = {need for need, _ in bought_elsewhere(off, request, book)}
    hardware = [
        PackNeed(need, quantity, min(quantity, owned.hardware.get(need, 0)), tuple(fitting.get(need, ())))
        for need, quantity in off.hardware
        if need not in absent
    ]
    supplies = [
        PackNeed(
            item, quantity, min(quantity, owned.supplies.get(item, 0)),
            tuple(offer for offer in book.supplies if offer.item == item and offer.amount >= 1),
        )
        for item, quantity in needed_supplies(off)
    ]  # fmt: skip
    return [*hardware, *supplies]


def bought_elsewhere(off: TakeOff, request: Request, book: PriceBook) -> list[tuple[Need, int]]:
    """What is needed, is not at hand, and need not be sold by every price book, nor is by this one; and how many."""
    owned, sold = Owned.of(request), {need.item for need in offers_by_need(book)}
    short = [(need, quantity - owned.hardware.get(need, 0)) for need, quantity in off.hardware]
    return [
        (need, quantity)
        for need, quantity in short
        if quantity > 0 and not (ITEMS[need.item].everywhere or need.item in sold)
    ]


def size_of(offer: PackOffer) -> int:
    """What a pack holds [pieces; whole ml, g or pieces]."""
    return offer.pack if isinstance(offer, HardwareOffer) else int(offer.amount)


def _not_sold(kind: str, name: str, quantity: int, *, offered: bool) -> Lacking:
    if offered:
        return Lacking(f"too-little-{kind}", f"The price book has too few in stock of {name}: {quantity} are needed.")
    return Lacking(f"{kind}-not-sold", f"The price book sells no {name}; {quantity} are needed. Add it to the book.")
