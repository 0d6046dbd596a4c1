"""The rows of a price book's tables, whatever they came from: a record in, an offer or its faults out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import partial
from typing import Final, TypeVar

from sawbill.prices.money import minor_units
from sawbill.prices.offers import (
    HARDWARE,
    LARGEST_SECTION,
    SUPPLIES,
    Dimension,
    HardwareOffer,
    OwnSection,
    Supplier,
    SupplyOffer,
)
from sawbill.prices.rows import cells, reading
from sawbill.prices.rows.reading import Terms
from sawbill.prices.rows.record import Record
from sawbill.trade import fasteners, lumber, tables
from sawbill.trade.lengths import MM, format_length
from sawbill.trade.quantities import parse_quantity

T = TypeVar("T")

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


def read_supplier(record: Record, terms: Terms) -> Supplier | None:
    """Read a row of the suppliers: an empty trip or least order is 0, an empty delivery is none at all."""
    return record.build(Supplier, **reading.plain(record, "suppliers", terms))


def read_section(record: Record, terms: Terms) -> OwnSection | None:
    """Read a section of the book's own: its width is the larger side, and its name stands for no other."""
    plain = reading.plain(record, "sections", terms)
    name = plain["name"]
    width = record.read("width", reading.length(plain["thickness"] or MM, LARGEST_SECTION, terms))
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


def read_hardware(record: Record, terms: Terms) -> HardwareOffer | None:
    """Read a row of the hardware, sold in packs."""
    item = reading.find(record, "item", partial(tables.find, "hardware", known=fasteners.ITEMS))
    size, length = None, None
    if item is not None:
        size = _if_used(record, "size", item, item.has_size, lambda text: _size_name(item.name, text))
        length = _if_used(record, "length", item, item.has_length, reading.reader(HARDWARE["length"], terms))
    price = record.read("price", reading.price(terms))
    return record.build(
        HardwareOffer,
        **reading.plain(record, "hardware", terms),
        supplier=reading.supplier_of(record, terms),
        item=item and item.name,
        size=size or "",
        length=length,
        price=price,
        each=price and minor_units(price, terms.decimals),
    )


def read_supply(record: Record, terms: Terms) -> SupplyOffer | None:
    """Read a row of the supplies, sold in containers; the item says if by volume, by mass or by count."""
    item = reading.find(record, "item", partial(tables.find, "supply", known={name: name for name in SUPPLIES}))
    price = record.read("price", reading.price(terms))
    return record.build(
        SupplyOffer,
        **reading.plain(record, "supplies", terms),
        supplier=reading.supplier_of(record, terms),
        item=item,
        amount=item and record.read("amount", partial(_amount, dimension=SUPPLIES[item])),
        dimension=item and SUPPLIES[item],
        label=" ".join(record.text("amount").split()),
        price=price,
        each=price and minor_units(price, terms.decimals),
    )


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
