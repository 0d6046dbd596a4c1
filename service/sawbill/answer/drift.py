"""What became of a quote: two quotes of one request, as JSON, compared line by line, and why they differ.

Both are read as they were sent, so that a quote of an older engine can be compared; what one of them does not tell is
passed over. A line of the shopping list is one item of one supplier. Its change is taken apart exactly: what the price
did is the price's change times the quantity now, what the quantity did is its change times the price before.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, NamedTuple

from sawbill.prices.money import from_minor_units
from sawbill.prices.pricebook import HardwareOffer, LumberOffer, PriceBook, SupplyOffer
from sawbill.trade.lengths import MM

Json = Mapping[str, Any]
Item = tuple[tuple[str, str], ...]
"""What names a thing that is sold: its columns and their values, as text."""

KEYS: Final[Mapping[str, tuple[str, ...]]] = {
    "lumber": ("supplier", "item_code", "section", "length", "species", "grade"),
    "hardware": ("supplier", "item_code", "item", "size", "length", "pack"),
    "supply": ("supplier", "item_code", "item", "container"),
}
"""By which columns a row of each kind is known again."""
ZERO: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class Line:
    """Something bought: how many, the price of one, and of all [money]."""

    quantity: int
    each: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class LineDrift:
    """What became of an item: None where it is not bought; why: stable codes, none where nothing changed.

    row: the row of the shopping list that tells what it is, the newer one if there are two.
    """

    kind: str
    row: Json
    before: Line | None
    after: Line | None
    by_price: Decimal
    by_quantity: Decimal
    why: tuple[str, ...]

    @property
    def change(self) -> Decimal:
        """What more it costs now, less than zero for less [money]."""
        return self.by_price + self.by_quantity


class Moved(NamedTuple):
    """An amount in the one quote and in the other [money]."""

    name: str
    before: Decimal
    after: Decimal

    @property
    def change(self) -> Decimal:
        """What more it is now, less than zero for less [money]."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Drift:
    """Everything that two quotes differ in: each total with its change [money], each line, and why, as stable codes."""

    totals: tuple[Moved, ...]
    trips: tuple[Moved, ...]
    lines: tuple[LineDrift, ...]
    why: tuple[str, ...]


WHY: Final[Mapping[str, str]] = {
    "engine-changed": "It was made by another version of the engine.",
    "book-changed": "The price book is at another revision.",
    "currency-changed": "The price book is in another currency, so that no amounts can be compared.",
    "price-rose": "The price of one is higher.",
    "price-fell": "The price of one is lower.",
    "item-came": "The price book did not sell it before.",
    "item-went": "The price book does not sell it any more.",
    "plan-changed": "Boards are bought or cut in another way, because that is now the cheapest.",
    "quantity-changed": "A different number is bought.",
    "trips-changed": "Trips or deliveries cost something else, or go to other suppliers.",
    "tax-changed": "The tax is a different amount.",
    "parts-changed": "The cut list is different: the design makes its parts in another way.",
    "nothing-changed": "Every line, trip and total is as it was.",
}
"""Every reason, in words."""

Sold = Mapping[Item, Decimal]
"""What a price book sells, each with the price of one [money]: the one that holds from the smallest quantity on."""


def drift(before: Json, after: Json, sold_before: Sold, sold_after: Sold) -> Drift:
    """Compare two quotes of one request; sold_before, sold_after: what the price book of each sells."""
    if before["price_book"]["currency"] != after["price_book"]["currency"]:
        return Drift((), (), (), (*_why(before, after, (), (), ()), "currency-changed"))
    lines = tuple(_lines(before, after, sold_before, sold_after))
    totals = tuple(
        Moved(name, Decimal(before["totals"][name]), Decimal(after["totals"][name]))
        for name in after["totals"]
        if name in before["totals"]
    )
    trips = tuple(_trips(before.get("trips", ()), after.get("trips", ())))
    return Drift(totals, trips, lines, tuple(_why(before, after, lines, totals, trips)))


def item_of(row: Json) -> Item:
    """Name what a row of a shopping list, or of a price book's offers, is about."""
    return (("kind", row["kind"]), *((key, _plain(row.get(key))) for key in KEYS[row["kind"]]))


def sold_by(book: PriceBook) -> Sold:
    """What a price book sells."""
    found: dict[Item, tuple[int, Decimal]] = {}
    offers: tuple[LumberOffer | HardwareOffer | SupplyOffer, ...] = (*book.lumber, *book.hardware, *book.supplies)
    for offer in offers:
        held, item = (offer.least_quantity, from_minor_units(offer.each, book.decimals)), item_of(_as_row(offer))
        found[item] = min(found.get(item, held), held)
    return {item: each for item, (_, each) in found.items()}


def _as_row(offer: LumberOffer | HardwareOffer | SupplyOffer) -> Json:
    """What a shopping list would say that an offer is."""
    row: dict[str, object] = {"supplier": offer.supplier, "item_code": offer.item_code}
    if isinstance(offer, SupplyOffer):
        return {**row, "kind": "supply", "item": offer.item, "container": offer.label}
    row["length"] = None if offer.length is None else {"mm": Decimal(offer.length) / MM}
    if isinstance(offer, LumberOffer):
        names = {"section": offer.section.name, "species": offer.species, "grade": offer.grade}
        return {**row, "kind": "lumber", **names}
    return {**row, "kind": "hardware", "item": offer.item, "size": offer.size, "pack": offer.pack}


def _plain(value: object) -> str:
    """A value as text; of a length its millimetres, for its text may be in either system."""
    if isinstance(value, Mapping):
        return f"{Decimal(str(value['mm'])).normalize():f}"
    return "" if value is None else str(value)


def _lines(before: Json, after: Json, sold_before: Sold, sold_after: Sold) -> Iterator[LineDrift]:
    """Every item that is bought in either, in the order of the newer quote, then of the older."""
    old, new = _bought(before["shopping_list"]), _bought(after["shopping_list"])
    rows = {item_of(row): row for row in (*after["shopping_list"], *before["shopping_list"])}
    rows |= {item_of(row): row for row in after["shopping_list"]}
    for item, row in rows.items():
        was, now = old.get(item), new.get(item)
        each_was, each_now = was.each if was else ZERO, now.each if now else ZERO
        both = was is not None and now is not None
        by_price = (each_now - each_was) * (now.quantity if now else 0) if both else ZERO
        amount = (now.amount if now else ZERO) - (was.amount if was else ZERO)
        why = tuple(_why_line(item, was, now, sold_before, sold_after))
        yield LineDrift(row["kind"], row, was, now, by_price, amount - by_price, why)


def _bought(rows: Sequence[Json]) -> dict[Item, Line]:
    found: dict[Item, Line] = {}
    for row in rows:
        line = Line(row["quantity"], Decimal(row["each"]), Decimal(row["amount"]))
        if (held := found.get(item_of(row))) is not None:
            line = Line(held.quantity + line.quantity, line.each, held.amount + line.amount)
        found[item_of(row)] = line
    return found


def _why_line(item: Item, was: Line | None, now: Line | None, sold_before: Sold, sold_after: Sold) -> Iterator[str]:
    """The price is compared as paid, and where one of the quotes pays none, as the books have it."""
    old, new = (was.each, now.each) if was and now else (sold_before.get(item), sold_after.get(item))
    if was is None and item not in sold_before:
        yield "item-came"
    elif now is None and item not in sold_after:
        yield "item-went"
    elif old is not None and new is not None and old != new:
        yield "price-rose" if new > old else "price-fell"
    if (was.quantity if was else 0) != (now.quantity if now else 0):
        yield "quantity-changed"


def _trips(before: Sequence[Json], after: Sequence[Json]) -> Iterator[Moved]:
    old = {trip["supplier"]: Decimal(trip["amount"]) for trip in before}
    new = {trip["supplier"]: Decimal(trip["amount"]) for trip in after}
    for supplier in {**new, **old}:
        yield Moved(supplier, old.get(supplier, ZERO), new.get(supplier, ZERO))


def _why(
    before: Json,
    after: Json,
    lines: Sequence[LineDrift],
    totals: Sequence[Moved],
    trips: Sequence[Moved],
) -> Iterator[str]:
    """The reasons, of the whole first, each once."""
    codes = {code for line in lines for code in line.why}
    if before["engine"] != after["engine"]:
        yield "engine-changed"
    if before["price_book"]["revision"] != after["price_book"]["revision"]:
        yield "book-changed"
    if _parts(before) != _parts(after):
        yield "parts-changed"
    if _plan(before) != _plan(after):
        yield "plan-changed"
    yield from (code for code in WHY if code in codes)
    if any(old != new for _, old, new in trips):
        yield "trips-changed"
    changed = {name for name, old, new in totals if old != new}
    if "tax" in changed:
        yield "tax-changed"
    if totals and not changed and not codes and all(old == new for _, old, new in trips):
        yield "nothing-changed"


def _parts(quote: Json) -> object:
    return [(cut["name"], cut["section"], cut["length"]["mm"], cut["quantity"]) for cut in quote["cut_list"]]


def _plan(quote: Json) -> object:
    """Which boards are cut into what, whatever they cost."""
    return sorted(
        (
            boards["section"], boards["species"] or "", boards["grade"] or "", boards["stock_length"]["mm"],
            boards["count"], [(cut["part"], cut["length"]["mm"]) for cut in boards["cuts"]],
        )
        for boards in quote["cutting_plan"]
    )  # fmt: skip
