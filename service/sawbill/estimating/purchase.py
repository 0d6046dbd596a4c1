"""The purchase: boards by the cheapest plan, hardware and supplies in whole packs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final, Self, TypeVar

from sawbill.estimating.boards import Boards, Lacking, NothingFitsError, buy_boards
from sawbill.estimating.packs import Pack, buy_packs
from sawbill.estimating.pricebook import HardwareOffer, LumberOffer, SupplyOffer
from sawbill.estimating.request import Request
from sawbill.estimating.takeoff import CutLine, Need, TakeOff
from sawbill.trade.lengths import FOOT, METRE, System, format_length

ML_PER_GALLON: Final = Fraction("3785.411784")
GLUE_COVER: Final = Fraction(200 * FOOT**2, METRE**2) / ML_PER_GALLON
"""What wood glue covers [m2/ml]: 200 to 250 ft2 a US gallon, the safe end taken (common practice, no source)."""

Offer = TypeVar("Offer", HardwareOffer, SupplyOffer)
BuyBoards = Callable[[Sequence[CutLine], Request, Sequence[LumberOffer]], Boards]


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
class Offers:
    """What may be bought."""

    lumber: tuple[LumberOffer, ...]
    hardware: tuple[HardwareOffer, ...]
    supplies: tuple[SupplyOffer, ...]


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


def purchase(take_off: TakeOff, request: Request, offers: Offers, buy: BuyBoards = buy_boards) -> Purchase:
    """Buy what a take-off needs, each at the least cost; buy: how boards are bought.

    Raises NothingFitsError: with everything that is lacking.
    """
    lacking: list[Lacking] = []
    boards = None
    try:
        boards = buy(take_off.cut_list, request, offers.lumber)
    except NothingFitsError as error:
        lacking += error.lacking
    owned = Owned.of(request)
    fitting = defaultdict[Need, list[HardwareOffer]](list)
    for offer in offers.hardware:
        fitting[met_by(offer)].append(offer)
    hardware = [
        _hardware(need, count, owned.hardware.get(need, 0), fitting[need], request.units, lacking)
        for need, count in take_off.hardware
    ]
    supplies = [
        _supply(item, quantity, owned.supplies.get(item, 0), offers.supplies, lacking)
        for item, quantity in needed_supplies(take_off)
    ]
    if lacking or boards is None:
        raise NothingFitsError(lacking)
    return Purchase(boards, tuple(filter(None, hardware)), tuple(filter(None, supplies)))


def needed_supplies(take_off: TakeOff) -> list[tuple[str, int]]:
    """What is used up in making: glue for every glued face, in whole millilitres."""
    glue = ceil(Fraction(take_off.glued, METRE**2) / GLUE_COVER)
    return [("wood glue", glue)] if glue else []


def met_by(offer: HardwareOffer) -> Need:
    """What an offer is of."""
    return Need(offer.item, offer.size, offer.length)


def _hardware(
    need: Need, quantity: int, owned: int, fitting: Sequence[HardwareOffer], units: System, lacking: list[Lacking]
) -> BoughtHardware | None:
    owned = min(owned, quantity)
    packs = _cheapest(quantity - owned, fitting, lambda offer: offer.pack)
    if packs is not None:
        return BoughtHardware(need, quantity, packs, owned)
    length = "" if need.length is None else f" x {format_length(need.length, units)}"
    name = f"{need.item} {need.size}{length}".strip()
    lacking.append(_not_sold("hardware", name, quantity - owned, offered=bool(fitting)))
    return None


def _supply(
    item: str, quantity: int, owned: int, offers: Sequence[SupplyOffer], lacking: list[Lacking]
) -> BoughtSupply | None:
    owned = min(owned, quantity)
    fitting = [offer for offer in offers if offer.item == item and offer.amount >= 1]
    packs = _cheapest(quantity - owned, fitting, lambda offer: int(offer.amount))
    if packs is not None:
        return BoughtSupply(item, quantity, packs, owned)
    lacking.append(_not_sold("supply", item, quantity - owned, offered=bool(fitting)))
    return None


def _cheapest(
    quantity: int, offers: Sequence[Offer], size: Callable[[Offer], int]
) -> tuple[tuple[Offer, int], ...] | None:
    """The cheapest whole packs, of whatever mix of suppliers."""
    packs = [
        Pack(size(offer), offer.each, offer.least_quantity, offer.in_stock, f"{offer.supplier}: {offer.item_code}")
        for offer in offers
    ]
    counts = buy_packs(quantity, packs)
    if counts is None:
        return None
    return tuple((offer, count) for offer, count in zip(offers, counts, strict=True) if count)


def _not_sold(kind: str, name: str, quantity: int, *, offered: bool) -> Lacking:
    if offered:
        return Lacking(f"too-little-{kind}", f"The price book has too few in stock of {name}: {quantity} are needed.")
    return Lacking(f"{kind}-not-sold", f"The price book sells no {name}; {quantity} are needed. Add it to the book.")
