"""Price books: what a maker's suppliers sell, in which sizes and at what prices, and how the shop cuts."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final, Literal

from sawbill.prices.money import money_text
from sawbill.prices.shop import SHOP, Shop
from sawbill.trade.kinds import Kind, Length, Share
from sawbill.trade.lengths import INCH, System, format_length
from sawbill.trade.lumber import Section
from sawbill.trade.lumber import section as find_section
from sawbill.trade.numbers import percent_text
from sawbill.trade.quantities import PriceUnit

Dimension = Literal["volume", "mass", "count"]

SUPPLIES: Final[Mapping[str, Dimension]] = MappingProxyType(
    {
        "wood glue": "volume",
        "clear finish": "volume",
        "paint": "volume",
        "wood filler": "mass",
        "sandpaper": "count",
    }
)
"""What a book may sell beside lumber and hardware, and how each is measured."""

OTHER: Final = "other"
"""The role that stands for all not named, such as rail, ledger, end_board, post, slat, beam or board."""

REVISION_DIGITS: Final = 32
"""How many hexadecimal digits a revision has: 128 bits, of which nobody finds two contents with the same."""
SHORT_DIGITS: Final = 16
"""How many it had before 0.8. Addresses and requests of then still ask by these, the first of the others."""


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells: the cost of one trip and of one delivery, and the least value of an order [money].

    delivery is None where the supplier does not deliver; tax_rate is None where the book's rate holds.
    """

    name: str
    trip: Decimal
    delivery: Decimal | None
    minimum_order: Decimal
    tax_rate: Decimal | None = None


@dataclass(frozen=True, slots=True)
class LumberOffer:
    """One stock length of one section at one price.

    section: the size the board has (a measured size where the row gives one), length: as stated [nm],
    measured_length: as measured, where the row gives it [nm]; treated: whether against rot and insects;
    design_values: what the book tells of its strength, a word of `trade.design_values.find_told`, None for no more than
    its grade does;
    price: money for each `per`;
    each: money for one board [minor units]; least_quantity: boards from which the price holds;
    in_stock: boards there are, None for no limit (one number for all the offers of an item).
    """

    supplier: str
    item_code: str
    section: Section
    species: str
    grade: str
    length: int
    measured_length: int | None
    price: Decimal
    per: PriceUnit
    least_quantity: int
    in_stock: int | None
    each: int
    treated: bool = False
    design_values: str | None = None

    @property
    def usable_length(self) -> int:
        """The length there is to cut from [nm]: as measured, else as stated."""
        return self.length if self.measured_length is None else self.measured_length


@dataclass(frozen=True, slots=True)
class HardwareOffer:
    """One pack of one fastener; length [nm], price: money for the pack, each: the same [minor units]."""

    supplier: str
    item_code: str
    item: str
    size: str
    length: int | None
    pack: int
    price: Decimal
    least_quantity: int
    in_stock: int | None
    each: int


@dataclass(frozen=True, slots=True)
class SupplyOffer:
    """One container of a supply; amount [ml, g or pieces], label: the amount as it is written on it."""

    supplier: str
    item_code: str
    item: str
    amount: Fraction
    dimension: Dimension
    label: str
    price: Decimal
    least_quantity: int
    in_stock: int | None
    each: int


@dataclass(frozen=True, slots=True)
class PriceBook:
    """A whole price book; its revision names its content, whatever the book is called.

    tax_rate: 8.25 % is 0.0825; usual_sections: section names by role, with `other` for every role not named.
    """

    name: str
    title: str
    units: System
    currency: str
    decimals: int
    tax_rate: Decimal
    prices_include_tax: bool
    as_of: date
    sample: bool
    usual_sections: Mapping[str, str]
    shop: Shop
    suppliers: tuple[Supplier, ...]
    lumber: tuple[LumberOffer, ...]
    hardware: tuple[HardwareOffer, ...]
    supplies: tuple[SupplyOffer, ...]
    revision: str = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "revision", revision_of(canonical(self)))

    def usual_section(self, role: str) -> str:
        """Give the name of the section usually taken for a role, the one for `other` where none is named."""
        return self.usual_sections.get(role, self.usual_sections[OTHER])

    def section(self, name: str) -> Section:
        """Find a section by name, at the size that this book's boards of it measure, if all agree on one.

        Raises UnknownNameError: there is no such section.
        """
        listed = find_section(name)
        sold = {offer.section for offer in self.lumber if offer.section.name == listed.name}
        return sold.pop() if len(sold) == 1 else listed

    def tax_rate_at(self, supplier: str) -> Decimal:
        """Give the tax rate a supplier charges: its own, else the book's; 8.25 % is 0.0825."""
        own = {s.name: s.tax_rate for s in self.suppliers}[supplier]
        return self.tax_rate if own is None else own


def canonical(book: PriceBook) -> bytes:
    """Give a book's content as the one JSON text that its revision names, in UTF-8."""
    return json.dumps(content(book), ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def revision_of(text: bytes) -> str:
    """Name a book's content, given in its canonical form."""
    return hashlib.sha256(text).hexdigest()[:REVISION_DIGITS]


def content(book: PriceBook) -> dict[str, object]:
    """Give a book, less its name, as the JSON object it is read from: its columns, with values as text."""
    return {
        "title": book.title,
        "units": book.units,
        "currency": book.currency,
        "tax_rate": percent_text(book.tax_rate),
        "prices_include_tax": book.prices_include_tax,
        "as_of": book.as_of.isoformat(),
        "sample": book.sample,
        "usual_sections": dict(sorted(book.usual_sections.items())),
        "shop": _shop(book),
        "suppliers": [_supplier(offer, book) for offer in book.suppliers],
        "lumber": [_lumber(offer, book) for offer in book.lumber],
        "hardware": [_hardware(offer, book) for offer in book.hardware],
        "supplies": [_supply(offer, book) for offer in book.supplies],
    }


def _shop(book: PriceBook) -> dict[str, object]:
    """Tell the settings that say something, so that a book without a newer one keeps its revision."""
    told = ((each, getattr(book.shop, each.name)) for each in SHOP.values())
    return {each.name: _said(each.kind, value, book) for each, value in told if each.always or value != each.default}


def _said(kind: Kind, value: Any, book: PriceBook) -> object:
    """Write a setting as a book has it."""
    if isinstance(kind, Length):
        return _length(value, book.units)
    return percent_text(value) if isinstance(kind, Share) else value


def _supplier(supplier: Supplier, book: PriceBook) -> dict[str, str]:
    return _filled(
        name=supplier.name,
        trip=money_text(supplier.trip, book.decimals),
        delivery="" if supplier.delivery is None else money_text(supplier.delivery, book.decimals),
        minimum_order=money_text(supplier.minimum_order, book.decimals),
        tax_rate="" if supplier.tax_rate is None else percent_text(supplier.tax_rate),
    )


def _lumber(offer: LumberOffer, book: PriceBook) -> dict[str, str]:
    bought, stated = offer.section, find_section(offer.section.name)
    return _filled(
        supplier=offer.supplier,
        item_code=offer.item_code,
        section=bought.name,
        species=offer.species,
        grade=offer.grade,
        length=_length(offer.length, book.units),
        price=_price(offer.price, book),
        per=offer.per.value,
        least_quantity=str(offer.least_quantity),
        in_stock=_count(offer.in_stock),
        measured_thickness=_length(bought.thickness, book.units) if bought.thickness != stated.thickness else "",
        measured_width=_length(bought.width, book.units) if bought.width != stated.width else "",
        measured_length="" if offer.measured_length is None else _length(offer.measured_length, book.units),
        treated="yes" if offer.treated else "",  # told only of those, so that a book without them keeps its revision
        design_values=offer.design_values or "",
    )


def _hardware(offer: HardwareOffer, book: PriceBook) -> dict[str, str]:
    return _filled(
        supplier=offer.supplier,
        item_code=offer.item_code,
        item=offer.item,
        size=offer.size,
        length="" if offer.length is None else _length(offer.length, book.units),
        pack=str(offer.pack),
        price=_price(offer.price, book),
        least_quantity=str(offer.least_quantity),
        in_stock=_count(offer.in_stock),
    )


def _supply(offer: SupplyOffer, book: PriceBook) -> dict[str, str]:
    return _filled(
        supplier=offer.supplier,
        item_code=offer.item_code,
        item=offer.item,
        amount=offer.label,
        price=_price(offer.price, book),
        least_quantity=str(offer.least_quantity),
        in_stock=_count(offer.in_stock),
    )


def _filled(**cells: str) -> dict[str, str]:
    return {column: text for column, text in cells.items() if text}


def _count(number: int | None) -> str:
    return "" if number is None else str(number)


def _price(price: Decimal, book: PriceBook) -> str:
    """Write a price with the currency's decimals, or with all it has where they are more."""
    _, _, fraction = f"{price:f}".partition(".")
    return f"{price:.{max(book.decimals, len(fraction))}f}"


def _length(nm: int, units: System) -> str:
    """Write a length [nm] so that it reads back exactly: in an inch book as 1/64 in if it can, else in mm."""
    if units == "inch" and nm % (INCH // 64) == 0:
        return format_length(nm, "inch", step=INCH // 64)
    return format_length(nm, "metric", step=1)
