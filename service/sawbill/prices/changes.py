"""What changed between two revisions of a price book: what rose, fell, came, went, and every setting.

An item is known again by its supplier, its code and the quantity its price holds from. Prices are compared as they
are paid, for one board, pack or container, so that a price by the foot can be compared with one by the piece. A code
that stands for another thing now is one item that went and another that came.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Final

from sawbill.prices.money import from_minor_units, round_half_up
from sawbill.prices.pricebook import PriceBook, content

Row = Mapping[str, str]
Key = tuple[str, ...]

THINGS: Final[Mapping[str, tuple[str, ...]]] = {
    "lumber": ("section", "length", "species", "grade"),
    "hardware": ("item", "size", "length", "pack"),
    "supplies": ("item", "amount"),
}
"""The tables of prices, and the columns that say what a thing is."""
_IDENTITY: Final = ("supplier", "item_code", "least_quantity")


@dataclass(frozen=True, slots=True)
class Item:
    """A row of a table; least_quantity: from how many its price holds; what: the thing, in the trade's words."""

    table: str
    supplier: str
    item_code: str
    least_quantity: int
    what: str


@dataclass(frozen=True, slots=True)
class Priced:
    """An item and its price for one board, pack or container [money]; None where it was not, or is no more."""

    item: Item
    old: Decimal | None
    new: Decimal | None

    @property
    def percent(self) -> Decimal | None:
        """By how much it rose, or fell (below zero) [percent of the old price, to two decimals, half up]."""
        if self.old is None or self.new is None:
            return None
        return round_half_up(Fraction(self.new - self.old) / Fraction(self.old) * 100, 2)


@dataclass(frozen=True, slots=True)
class Altered:
    """Something other than the price one pays: of an item, of a supplier (by name), or a setting; empty: none."""

    place: Item | str
    name: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Changes:
    """What changed; without one currency for both, no price is compared and nothing rose or fell."""

    comparable: bool
    rose: list[Priced] = field(default_factory=list)
    fell: list[Priced] = field(default_factory=list)
    came: list[Priced] = field(default_factory=list)
    went: list[Priced] = field(default_factory=list)
    items: list[Altered] = field(default_factory=list)
    suppliers: list[Altered] = field(default_factory=list)
    settings: list[Altered] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Offer:
    item: Item
    row: Row
    each: Decimal


def changes(old: PriceBook, new: PriceBook) -> Changes:
    """Compare two books, each list in the order of tables, suppliers and codes."""
    found = Changes(comparable=old.currency == new.currency)
    before, after = _offers(old), _offers(new)
    for key in sorted({*before, *after}, key=_order):
        _compare(before.get(key), after.get(key), found)
    found.suppliers.extend(_altered(_suppliers(old), _suppliers(new)))
    found.settings.extend(_altered({"": _settings(old)}, {"": _settings(new)}))
    return found


def _compare(was: _Offer | None, now: _Offer | None, found: Changes) -> None:
    if was is None or now is None:
        if was is not None:
            found.went.append(Priced(was.item, was.each, None))
        if now is not None:
            found.came.append(Priced(now.item, None, now.each))
        return
    priced = Priced(now.item, was.each, now.each)
    if found.comparable and was.each != now.each:
        (found.rose if now.each > was.each else found.fell).append(priced)
    told = ("price", "per") if found.comparable and was.each != now.each else ()
    for column in dict.fromkeys((*was.row, *now.row)):
        pair = was.row.get(column, ""), now.row.get(column, "")
        if pair[0] != pair[1] and column not in told:
            found.items.append(Altered(now.item, column, *pair))


def _offers(book: PriceBook) -> dict[Key, _Offer]:
    """The rows of all tables by what they are known again by: table, identity, and the thing itself."""
    whole = content(book)
    found = {}
    for table, columns in THINGS.items():
        rows: list[dict[str, str]] = whole[table]  # type: ignore[assignment]  # a table
        for row, offer in zip(rows, getattr(book, table), strict=True):
            thing = [row.get(column, "") for column in columns]
            item = Item(table, offer.supplier, offer.item_code, offer.least_quantity, _what(table, thing))
            key = (table, *(row[column] for column in _IDENTITY), *thing)
            found[key] = _Offer(item, row, from_minor_units(offer.each, book.decimals))
    return found


def _what(table: str, thing: list[str]) -> str:
    if table == "lumber":
        section, length, *kind = thing
        return " ".join((f"{section} x {length}", *kind))
    item, *sizes, amount = thing
    size = " x ".join(filter(None, sizes))
    return f"{' '.join(filter(None, (item, size)))}, {f'pack of {amount}' if table == 'hardware' else amount}"


def _order(key: Key) -> tuple[int, str, str, int, Key]:
    table, supplier, code, least, *_ = key
    return [*THINGS].index(table), supplier, code, int(least), key


def _suppliers(book: PriceBook) -> dict[str, Row]:
    rows: list[dict[str, str]] = content(book)["suppliers"]  # type: ignore[assignment]  # a table
    return {row["name"]: row for row in rows}


def _settings(book: PriceBook) -> Row:
    """Everything beside the tables, each setting by the name a workbook has for it."""
    found: dict[str, str] = {}
    for key, value in content(book).items():
        if isinstance(value, Mapping):
            found |= {f"{key}.{name}": _plain(each) for name, each in value.items()}
        elif key == "sections":
            found |= {f"{key}.{row['name']}": _size(row) for row in value}  # type: ignore[attr-defined]  # a table
        elif not isinstance(value, list):
            found[key] = _plain(value)
    return found


def _size(row: Row) -> str:
    return ", ".join(filter(None, (f"{row['thickness']} x {row['width']}", row.get("standard", ""))))


def _plain(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _altered(old: Mapping[str, Row], new: Mapping[str, Row]) -> Iterator[Altered]:
    for place in sorted({*old, *new}):
        was, now = old.get(place, {}), new.get(place, {})
        for name in dict.fromkeys((*was, *now)):
            if was.get(name, "") != now.get(name, ""):
                yield Altered(place, name, was.get(name, ""), now.get(name, ""))
