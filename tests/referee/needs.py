"""What a request needs and what its price book sells, read from the JSON that goes to the service and comes back.

Own pieces and own hardware are read from the request alone. What a design takes is read from the answer's cut list and
hardware, for the take-off is not what the referee judges.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from tests.referee.written import length, money, rounded_half_up, section_size, share

Json = dict[str, Any]
DECIMALS = {"USD": 2, "EUR": 2, "JPY": 0, "KWD": 3}
"""Minor units of a few currencies: ISO 4217."""
TWELVE_INCHES = 304_800_000
"""The shortest blank that is safe to rip [nm] (common practice: saw manuals warn below 12 in)."""


@dataclass(frozen=True)
class Cut:
    """Parts cut alike, lengths in nm; ripped: the width small parts are ripped to; species, grades: what will do."""

    part: str
    section: str
    length: int
    count: int
    ripped: int | None = None
    species: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()


@dataclass(frozen=True)
class Board:
    """Boards of one kind and length: an item for sale by its name, or wood on hand (item None), so many of it."""

    section: str
    species: str | None
    grade: str | None
    length: int
    trim: int
    item: tuple[str, str] | None
    available: int | None


@dataclass(frozen=True)
class Price:
    """From how many of an item a price holds, and the price of one [minor units]."""

    least: int
    each: int


@dataclass(frozen=True)
class Item:
    """Something for sale: its supplier, its prices, how many there are (None for no limit), what one holds."""

    supplier: str
    prices: tuple[Price, ...]
    stock: int | None
    holds: int = 1


@dataclass(frozen=True)
class Supplier:
    """A trip, a delivery (None where there is none) and its least order [minor units], and the tax rate."""

    name: str
    trip: int
    delivery: int | None
    minimum: int
    tax: Fraction


@dataclass(frozen=True)
class Shop:
    """How the shop cuts: lengths in nm, shares of 1."""

    kerf: int
    trim: int
    step: int
    keep: int
    longest: int | None
    offcut_value: Fraction
    extra: Fraction
    no_slivers: bool
    yard_cuts: bool
    spare: int


@dataclass(frozen=True)
class Needs:
    """A whole purchase to be made; hardware and supplies: how much is to be bought of each, by name."""

    cuts: tuple[Cut, ...]
    boards: tuple[Board, ...]
    items: dict[tuple[str, str], Item]
    suppliers: tuple[Supplier, ...]
    shop: Shop
    included: bool
    other: Counter[str] = field(default_factory=Counter)
    sold: dict[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)


def read(request: Json, answer: Json | None = None) -> Needs:
    """Read a request that brings its whole price book; answer: of a quote of designs, for what they take."""
    book = request["price_book"]
    decimals = DECIMALS[book["currency"]]
    shop = _shop({**book["shop"], **request.get("shop", {})})
    cuts = _cuts(request, answer)
    items: dict[tuple[str, str], Item] = {}
    boards = [*_on_hand(request), *_for_sale(book, decimals, shop, {cut.section for cut in cuts}, items)]
    sold: dict[str, tuple[tuple[str, str], ...]] = {}
    for row in (*book["hardware"], *book["supplies"]):
        name = _name(row)
        holds = int(row["pack"]) if "pack" in row else int(row["amount"].split()[0])
        _add(items, row, money(row["price"], decimals), holds)
        sold[name] = tuple(dict.fromkeys((*sold.get(name, ()), (row["supplier"], row["item_code"]))))
    suppliers = tuple(_supplier(row, book, decimals) for row in book["suppliers"])
    return Needs(
        tuple(cuts), tuple(boards), items, suppliers, shop, book["prices_include_tax"], _other(request, answer), sold
    )


def _shop(raw: Json) -> Shop:
    longest = raw.get("longest_board")
    return Shop(
        length(raw["kerf"]), length(raw["end_trim"]), length(raw["rounding_step"]), length(raw["keep_offcut"]),
        None if longest is None else length(longest), share(raw.get("offcut_value", "0 %")),
        share(raw.get("extra_for_fewer_setups", "0 %")), bool(raw.get("no_slivers")), bool(raw.get("yard_cuts")),
        raw.get("spare_boards", 0),
    )  # fmt: skip


def _cuts(request: Json, answer: Json | None) -> list[Cut]:
    """The cut list: A, B and on, in the order they are asked for."""
    if answer is not None:
        return [
            Cut(
                row["part"], row["section"], length(row["length"]), row["quantity"],
                None if row.get("ripped") is None else length(row["ripped"]), (*row["species"],), (*row["grades"],),
            )
            for row in answer["cut_list"]
        ]  # fmt: skip
    lines = request.get("lines") or [{"parts": request["pieces"]}]
    rows = [(line, part) for line in lines for part in line.get("parts", ())]

    def accepted(line: Json, part: Json, what: str) -> tuple[str, ...]:
        places = (part, line.get("lumber", {}), request.get("lumber", {}))
        return next((tuple(place[what]) for place in places if place.get(what)), ())

    return [
        Cut(
            chr(ord("A") + i), part["section"], length(part["length"]),
            part.get("quantity", 1) * line.get("quantity", 1), None,
            accepted(line, part, "species"), accepted(line, part, "grades"),
        )
        for i, (line, part) in enumerate(rows)
    ]  # fmt: skip


def _on_hand(request: Json) -> list[Board]:
    return [
        Board(
            row["section"], row.get("species"), row.get("grade"), length(row["length"]), 0, None, row.get("quantity", 1)
        )
        for row in request.get("on_hand", ())
    ]


def _for_sale(
    book: Json, decimals: int, shop: Shop, wanted: set[str], items: dict[tuple[str, str], Item]
) -> list[Board]:
    """Boards of the sections that are wanted, none longer than may be carried unless the yard cuts."""
    found = {}
    for row in book["lumber"]:
        real = length(row.get("measured_length", row["length"]))
        if row["section"] not in wanted or (shop.longest is not None and real > shop.longest and not shop.yard_cuts):
            continue
        per = row["per"]
        units = Fraction(1) if per == "each" else Fraction(length(row["length"]), length(f"1 {per}"))
        _add(items, row, rounded_half_up(Fraction(row["price"]) * units * 10**decimals), 1)
        name = (row["supplier"], row["item_code"])
        stock = items[name].stock
        found[name] = Board(row["section"], row["species"], row["grade"], real, shop.trim, name, stock)
    return list(found.values())


def _add(items: dict[tuple[str, str], Item], row: Json, each: int, holds: int) -> None:
    """Enter a row: one item code of a supplier is one thing, at several prices if it has several rows."""
    name = (row["supplier"], row["item_code"])
    before = items[name].prices if name in items else ()
    price = Price(int(row.get("least_quantity", 1)), each)
    stock = None if "in_stock" not in row else int(row["in_stock"])
    items[name] = Item(row["supplier"], (*before, price), stock, holds)


def _supplier(row: Json, book: Json, decimals: int) -> Supplier:
    delivery = row.get("delivery")
    return Supplier(
        row["name"], money(row.get("trip", "0"), decimals),
        None if delivery is None else money(delivery, decimals), money(row.get("minimum_order", "0"), decimals),
        share(row.get("tax_rate", book["tax_rate"])),
    )  # fmt: skip


def _name(row: Json) -> str:
    return " ".join(filter(None, (row["item"], row.get("size"), row.get("length") and str(length(row["length"])))))


def _other(request: Json, answer: Json | None) -> Counter[str]:
    """Hardware and supplies to be bought: what is needed less what is owned."""
    need: Counter[str] = Counter()
    if answer is not None:
        for row in (*answer.get("hardware", ()), *answer.get("supplies", ())):
            need[_name(row)] += row["quantity"]
    else:
        for line in request.get("lines", ()):
            for row in line.get("hardware", ()):
                need[_name(row)] += row.get("quantity", 1) * line.get("quantity", 1)
    for row in request.get("owned_hardware", ()):
        need[_name(row)] -= row.get("quantity", 1)
    for row in request.get("owned_supplies", ()):
        need[row["item"]] -= int(row["amount"].split()[0])
    return +need


def strips(section: str, ripped: int, kerf: int) -> int:
    """How many strips lie side by side across a board, a cut between each two."""
    width = section_size(section)[1]
    return (width + kerf) // (ripped + kerf) if width >= ripped else 0


def least_blank(step: int) -> int:
    """The shortest safe blank, in whole steps of the shop [nm]."""
    return -(-TWELVE_INCHES // step) * step
