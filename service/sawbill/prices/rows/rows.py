"""The rows of a price book's tables, whatever they came from: a record in, an offer or its faults out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache, partial
from typing import Any, Final, Literal, TypeVar

from sawbill.prices.money import minor_units
from sawbill.prices.offers import (
    HARDWARE,
    LARGEST_SECTION,
    LONGEST_BOARD,
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
from sawbill.prices.rows import cells
from sawbill.prices.rows.record import Record
from sawbill.trade import fasteners, lumber, tables
from sawbill.trade.declaring.kinds import Length, Name, Share, Text, Whole, YesNo
from sawbill.trade.declaring.members import Member
from sawbill.trade.lengths import MM, System, format_length
from sawbill.trade.quantities import PriceUnit, parse_quantity, price_unit, price_units_in

T = TypeVar("T")

# How far a measured size may be from the stated one: more than any wood shrinks or any yard cuts over, less
# than most slips of the pen. Our own limits, no source.
_SIZE_SLACK: Final = Fraction(1, 5)
_LENGTH_SLACK: Final = Fraction(1, 10)

_SHORTEST_BOARD: Final = 100 * MM
_LARGEST_CONTAINER: Final = 1_000_000
"""[ml, g or pieces]."""

_FIND_SIZE: Final[Mapping[str, Callable[[str], tables.Named]]] = {
    "hex bolt": fasteners.find_bolt,
    "round-head bolt": fasteners.find_bolt,
    "hex nut": fasteners.find_bolt,
    fasteners.NUT_CAP: fasteners.find_bolt,
    "washer": fasteners.find_bolt,
    "large washer": fasteners.find_bolt,
    "tee nut": fasteners.find_bolt,
    "wood screw": fasteners.find_screw,
    "joist hanger": fasteners.find_hanger,
}


Table = Literal["suppliers", "lumber", "hardware", "supplies", "sections"]
_COLUMNS: Final[Mapping[Table, Columns]] = {
    "suppliers": SUPPLIERS, "lumber": LUMBER, "hardware": HARDWARE, "supplies": SUPPLY,
    "sections": SECTIONS,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Terms:
    """What a book's rows are read against; currency and suppliers are None where they could not be read.

    sections: the book's own.
    """

    units: System
    currency: str | None
    decimals: int
    suppliers: frozenset[str] | None = None
    sections: tuple[lumber.Section, ...] = ()


def read_supplier(record: Record, terms: Terms) -> Supplier | None:
    """Read a row of the suppliers: an empty trip or least order is 0, an empty delivery is none at all."""
    return record.build(Supplier, **_plain(record, "suppliers", terms))


def read_section(record: Record, terms: Terms) -> OwnSection | None:
    """Read a section of the book's own: its width is the larger side, and its name stands for no other."""
    plain = _plain(record, "sections", terms)
    name = plain["name"]
    width = record.read("width", _length(plain["thickness"] or MM, LARGEST_SECTION, terms))
    if name is not None and (listed := _listed(name)) is not None:
        size = " x ".join(format_length(side, terms.units) for side in (listed.thickness, listed.width))
        remedy = f"this name is that of a listed section of {size}; delete the row, or give yours another name"
        record.fault("name", "listed-already", remedy)
    return record.build(OwnSection, **plain, width=width)


def _listed(name: str) -> lumber.Section | None:
    try:
        return lumber.section(name)
    except ValueError:
        return None


def read_lumber(record: Record, terms: Terms) -> LumberOffer | None:
    """Read a row of the lumber; it is priced by the stated size and length, and cut by the measured ones."""
    stated = _find(record, "section", partial(lumber.section, own=terms.sections))
    plain = _plain(record, "lumber", terms)
    length = plain["length"]
    per = _find(record, "per", price_unit)
    price = record.read("price", _price(terms, None if per is PriceUnit.EACH else cells.UNIT_PRICE_DECIMALS))
    measured_length = _measured(record, "measured_length", length, _LENGTH_SLACK, terms)
    return record.build(
        LumberOffer,
        **plain,
        supplier=_supplier(record, terms),
        section=_measured_section(record, stated, terms),
        measured_length=None if measured_length == length else measured_length,
        price=price,
        per=per,
        each=_board_price(record, price, per, stated, length, terms),
    )


def read_hardware(record: Record, terms: Terms) -> HardwareOffer | None:
    """Read a row of the hardware, sold in packs."""
    item = _find(record, "item", partial(tables.find, "hardware", known=fasteners.ITEMS))
    size, length = None, None
    if item is not None:
        size = _if_used(record, "size", item, item.has_size, lambda text: _size_name(item.name, text))
        length = _if_used(record, "length", item, item.has_length, _reader(HARDWARE["length"], terms))
    price = record.read("price", _price(terms))
    return record.build(
        HardwareOffer,
        **_plain(record, "hardware", terms),
        supplier=_supplier(record, terms),
        item=item and item.name,
        size=size or "",
        length=length,
        price=price,
        each=price and minor_units(price, terms.decimals),
    )


def read_supply(record: Record, terms: Terms) -> SupplyOffer | None:
    """Read a row of the supplies, sold in containers; the item says if by volume, by mass or by count."""
    item = _find(record, "item", partial(tables.find, "supply", known={name: name for name in SUPPLIES}))
    price = record.read("price", _price(terms))
    return record.build(
        SupplyOffer,
        **_plain(record, "supplies", terms),
        supplier=_supplier(record, terms),
        item=item,
        amount=item and record.read("amount", partial(_amount, dimension=SUPPLIES[item])),
        dimension=item and SUPPLIES[item],
        label=" ".join(record.text("amount").split()),
        price=price,
        each=price and minor_units(price, terms.decimals),
    )


def _plain(record: Record, table: Table, terms: Terms) -> dict[str, Any]:
    """Read the cells whose meaning depends on no other, and the notes."""
    read = {
        name: record.read(name, reader) if needed else record.read_or(name, reader, default)
        for name, reader, needed, default in _plain_readers(table, terms)
    }
    return {**read, "notes": record.notes}


@lru_cache(maxsize=16)
def _plain_readers(table: Table, terms: Terms) -> Sequence[tuple[str, Callable[[str], Any], bool, Any]]:
    """How the plain cells of a table's rows are read, made once for all of them."""
    plain = [each for each in _COLUMNS[table].values() if not each.late]
    return [(each.name, _reader(each, terms), each.needed, each.default) for each in plain]


def _reader(column: Member, terms: Terms) -> Callable[[str], Any]:
    """How a cell of a kind stands in a table."""
    kind = column.kind
    if isinstance(kind, Length):
        return _length(kind.least, kind.most, terms)
    if isinstance(kind, Name):
        return partial(_name, find=kind.find, code=f"unknown-{column.name.replace('_', '-')}")
    if isinstance(kind, Money):
        return partial(cells.money, currency=terms.currency, decimals=terms.decimals)
    if isinstance(kind, Whole):
        return partial(cells.whole, low=kind.least, high=kind.most)
    if isinstance(kind, Share):
        return partial(cells.percent, most=kind.most)
    assert isinstance(kind, Text | YesNo), f"a column of {kind} is read by hand"
    return cells.yes_or_no if isinstance(kind, YesNo) else partial(cells.free_text, longest=kind.longest)


def _name(text: str, find: Callable[[str], tables.Named], code: str) -> str:
    return cells.found(text, find, code).name


def _supplier(record: Record, terms: Terms) -> str | None:
    names = terms.suppliers
    known = cells.free_text if names is None else partial(cells.one_of, choices=names, code="unknown-supplier")
    return record.read("supplier", known)


def _find(record: Record, column: str, find: Callable[[str], T]) -> T | None:
    return record.read(column, partial(cells.found, find=find, code=f"unknown-{column}"))


def _price(terms: Terms, decimals: int | None = None) -> Callable[[str], Decimal]:
    most = terms.decimals if decimals is None else decimals
    return partial(cells.price, currency=terms.currency, decimals=most)


def _length(low: int, high: int, terms: Terms) -> Callable[[str], int]:
    return partial(cells.length, low=low, high=high, units=terms.units)


def _measured(record: Record, column: str, stated: int | None, slack: Fraction, terms: Terms) -> int | None:
    if stated is None:
        return record.read_if_any(column, _length(0, LONGEST_BOARD, terms))
    most_off = int(stated * slack)
    return record.read_if_any(column, _length(stated - most_off, stated + most_off, terms))


def _measured_section(record: Record, stated: lumber.Section | None, terms: Terms) -> lumber.Section | None:
    thickness = _measured(record, "measured_thickness", stated.thickness if stated else None, _SIZE_SLACK, terms)
    width = _measured(record, "measured_width", stated.width if stated else None, _SIZE_SLACK, terms)
    if stated is None:
        return None
    return replace(stated, thickness=thickness or stated.thickness, width=width or stated.width)


def _board_price(
    record: Record,
    price: Decimal | None,
    per: PriceUnit | None,
    stated: lumber.Section | None,
    length: int | None,
    terms: Terms,
) -> int | None:
    """Work out the price of one board [minor units], rounded half up."""
    if per is None or stated is None:
        return None
    try:
        units = price_units_in(per, stated, _SHORTEST_BOARD if length is None else length)
    except lumber.NoNominalSizeError as error:
        record.fault("per", "wrong-unit", str(error))
        return None
    if price is None or length is None:
        return None
    each = minor_units(Fraction(price) * units, terms.decimals)
    if each == 0:
        record.fault("price", "rounds-to-nothing", "write a price that is at least one minor unit a board")
    return each


def _if_used(record: Record, column: str, item: fasteners.Item, used: bool, reader: Callable[[str], T]) -> T | None:
    if used:
        return record.read(column, reader)
    if record.has(column):
        record.fault(column, "not-used", f"leave it empty: the item {item.name} has no {column}")
    return None


def _size_name(item: str, text: str) -> str:
    return cells.found(text, _FIND_SIZE[item], "unknown-size").name


def _amount(text: str, dimension: Dimension) -> Fraction:
    if dimension == "count":
        return Fraction(cells.whole(text, 1, _LARGEST_CONTAINER))
    try:
        amount = parse_quantity(text, dimension)
    except ValueError as error:
        raise cells.CellError(f"not-a-{dimension}", str(error)) from None
    if not 0 < amount <= _LARGEST_CONTAINER:
        raise cells.CellError("out-of-range", "write an amount above zero, and at most 1000 l or 1000 kg")
    return amount
