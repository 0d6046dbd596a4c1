"""Price books: what a maker's suppliers sell, in which sizes and at what prices, and how the shop cuts."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from sawbill.prices.about import ABOUT, About, Day
from sawbill.prices.money import money_text
from sawbill.prices.offers import (
    HARDWARE,
    LUMBER,
    SECTIONS,
    SUPPLIERS,
    SUPPLIES,
    SUPPLY,
    Columns,
    Dimension,
    HardwareOffer,
    LumberOffer,
    Money,
    OwnSection,
    Supplier,
    SupplyOffer,
)
from sawbill.prices.shop import SHOP, Shop
from sawbill.trade.declaring.kinds import Kind, Length, Share
from sawbill.trade.declaring.members import Member
from sawbill.trade.lengths import exact_length
from sawbill.trade.lumber import Section
from sawbill.trade.lumber import section as find_section

__all__ = [
    "SUPPLIES", "Dimension", "HardwareOffer", "LumberOffer", "PriceBook", "Supplier", "SupplyOffer", "canonical",
    "content", "revision_of",
]  # fmt: skip

OTHER: Final = "other"
"""The role that stands for all not named, such as rail, ledger, end_board, post, slat, beam or board."""

REVISION_DIGITS: Final = 32
"""How many hexadecimal digits a revision has: 128 bits, of which nobody finds two contents with the same."""
SHORT_DIGITS: Final = 16
"""How many it had before 0.8. Addresses and requests of then still ask by these, the first of the others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook(About):
    """A whole price book; its revision names its content, whatever the book is called.

    decimals: of its currency; usual_sections: section names by role, with `other` for every role not named;
    sections: the book's own, beside those that are listed.
    """

    name: str
    decimals: int
    usual_sections: Mapping[str, str]
    shop: Shop
    suppliers: tuple[Supplier, ...]
    lumber: tuple[LumberOffer, ...]
    hardware: tuple[HardwareOffer, ...]
    supplies: tuple[SupplyOffer, ...]
    sections: tuple[OwnSection, ...] = ()
    revision: str = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "revision", revision_of(canonical(self)))

    def __hash__(self) -> int:
        """Soon told, for what is made once of a book is looked up by it."""
        return hash(self.revision)

    def usual_section(self, role: str) -> str:
        """Give the name of the section usually taken for a role, the one for `other` where none is named."""
        return self.usual_sections.get(role, self.usual_sections[OTHER])

    def section(self, name: str) -> Section:
        """Find a section by name, at the size that this book's boards of it measure, if all agree on one.

        Raises UnknownNameError: there is no such section.
        """
        listed = find_section(name, self.own)
        sold = {offer.section for offer in self.lumber if offer.section.name == listed.name}
        return sold.pop() if len(sold) == 1 else listed

    @property
    def own(self) -> tuple[Section, ...]:
        """The sections that are the book's own."""
        return tuple(each.section for each in self.sections)

    def tax_rate_at(self, supplier: str) -> Decimal:
        """Give the tax rate a supplier charges: its own, else the book's; 8.25 % is 0.0825."""
        own = {s.name: s.tax_rate for s in self.suppliers}[supplier]
        return self.tax_rate if own is None else own


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary(About):
    """What a price book says of itself, and its revision."""

    revision: str


def summary_of(book: PriceBook) -> Summary:
    """Summarise a price book."""
    return Summary(revision=book.revision, **{name: getattr(book, name) for name in ABOUT})


def canonical(book: PriceBook) -> bytes:
    """Give a book's content as the one JSON text that its revision names, in UTF-8."""
    return json.dumps(content(book), ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def revision_of(text: bytes) -> str:
    """Name a book's content, given in its canonical form."""
    return hashlib.sha256(text).hexdigest()[:REVISION_DIGITS]


def content(book: PriceBook) -> dict[str, object]:
    """Give a book, less its name, as the JSON object it is read from: its columns, with values as text."""
    return {
        **{each.name: _said(each.kind, getattr(book, each.name), book) for each in ABOUT.values()},
        "usual_sections": dict(sorted(book.usual_sections.items())),
        "shop": _shop(book),
        "suppliers": [_row(SUPPLIERS, each, book) for each in book.suppliers],
        "lumber": [_lumber(offer, book) for offer in book.lumber],
        "hardware": [_row(HARDWARE, each, book, price=_price(each.price, book)) for each in book.hardware],
        "supplies": [
            _row(SUPPLY, each, book, price=_price(each.price, book), amount=each.label) for each in book.supplies
        ],
        **({"sections": [_row(SECTIONS, each, book) for each in book.sections]} if book.sections else {}),
    }


def _shop(book: PriceBook) -> dict[str, object]:
    """Tell the settings that say something, so that a book without a newer one keeps its revision."""
    told = ((each, getattr(book.shop, each.name)) for each in SHOP.values())
    return {each.name: _said(each.kind, value, book) for each, value in told if each.always or value != each.default}


def _said(kind: Kind, value: Any, book: PriceBook) -> object:
    """Write a setting as a book has it."""
    return kind.text(value, book.units) if isinstance(kind, Length | Share | Day) else value


def _lumber(offer: LumberOffer, book: PriceBook) -> dict[str, str]:
    bought, stated = offer.section, find_section(offer.section.name, book.own)
    return _row(
        LUMBER, offer, book,
        section=bought.name,
        price=_price(offer.price, book),
        per=offer.per.value,
        measured_thickness=exact_length(bought.thickness, book.units) if bought.thickness != stated.thickness else "",
        measured_width=exact_length(bought.width, book.units) if bought.width != stated.width else "",
    )  # fmt: skip


def _row(
    columns: Columns,
    row: Supplier | LumberOffer | HardwareOffer | SupplyOffer | OwnSection,
    book: PriceBook,
    **composed: str,
) -> dict[str, str]:
    """Write the cells of a row that say something; composed: those that no field holds as it is written."""
    cells = {}
    for name, column in columns.items():
        text = composed[name] if name in composed else _cell(column, getattr(row, name), book)
        if text:
            cells[name] = text
    return cells | dict(row.notes)


def _cell(column: Member, value: Any, book: PriceBook) -> str:
    if isinstance(value, str):
        return value
    if value is None or (value == column.default and not column.always):
        return ""
    if isinstance(column.kind, Money):
        return money_text(value, book.decimals)
    return "yes" if value is True else str(_said(column.kind, value, book))


def _price(price: Decimal, book: PriceBook) -> str:
    """Write a price with the currency's decimals, or with all it has where they are more."""
    _, _, fraction = f"{price:f}".partition(".")
    return f"{price:.{max(book.decimals, len(fraction))}f}"
