"""What the rows of all tables are read with: the terms of their book, and how a cell of each kind stands there."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache, partial
from typing import Any, Final, Literal, TypeVar

from sawbill.prices.offers import HARDWARE, LUMBER, SECTIONS, SUPPLIERS, SUPPLY, Columns, Money
from sawbill.prices.rows import cells
from sawbill.prices.rows.record import Record
from sawbill.trade import lumber, tables
from sawbill.trade.declaring.kinds import Length, Name, Share, Text, Whole, YesNo
from sawbill.trade.declaring.members import Member
from sawbill.trade.lengths import System

T = TypeVar("T")

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


def plain(record: Record, table: Table, terms: Terms) -> dict[str, Any]:
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
    return [(each.name, reader(each, terms), each.needed, each.default) for each in plain]


def reader(column: Member, terms: Terms) -> Callable[[str], Any]:
    """How a cell of a kind stands in a table."""
    kind = column.kind
    if isinstance(kind, Length):
        return length(kind.least, kind.most, terms)
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


def supplier_of(record: Record, terms: Terms) -> str | None:
    """Read whose goods a row is of: a supplier of the book, or any text where these could not be read."""
    names = terms.suppliers
    known = cells.free_text if names is None else partial(cells.one_of, choices=names, code="unknown-supplier")
    return record.read("supplier", known)


def find(record: Record, column: str, find: Callable[[str], T]) -> T | None:
    """Read a cell that names something listed; find: how that is found, as `tables.find` does."""
    return record.read(column, partial(cells.found, find=find, code=f"unknown-{column}"))


def price(terms: Terms, decimals: int | None = None) -> Callable[[str], Decimal]:
    """How a price is read; decimals: how many it may have, unset: as its currency."""
    most = terms.decimals if decimals is None else decimals
    return partial(cells.price, currency=terms.currency, decimals=most)


def length(low: int, high: int, terms: Terms) -> Callable[[str], int]:
    """How a length between two is read [nm]."""
    return partial(cells.length, low=low, high=high, units=terms.units)
