"""Price books, read from wherever they are, their tables as DataFrames, and written again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import cache
from html import escape
from pathlib import Path
from typing import Any, Final

import pandas as pd

from sawbill.notebook import faults
from sawbill.notebook.faults import Fault, FaultsError
from sawbill.notebook.given import cells_of
from sawbill.prices import pricebook
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.forms import ARCHIVE, BY_SUFFIX, WORKBOOK, saved_otherwise
from sawbill.prices.forms.workbook import MONEY, NUMBERS
from sawbill.prices.offers import HARDWARE, LUMBER, SECTIONS, SUPPLIERS, SUPPLY
from sawbill.prices.rows.columns import TABLES
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.prices.shelf import Shelf, UnknownBookError, sample_folder
from sawbill.trade.declaring.members import Member
from sawbill.trade.lengths import System

INLINE: Final = "inline"
"""What a price book is called that was given as a mapping."""


class Book:
    """A price book: what suppliers sell, in which sizes and at what prices, and how the shop cuts.

    `price_book` reads one. It never changes; `replace` gives another.
    """

    def __init__(self, read: pricebook.PriceBook) -> None:
        self.prices: Final = read

    @property
    def name(self) -> str:
        """What it is called: its folder, its file, or the sample."""
        return self.prices.name

    @property
    def title(self) -> str:
        """Its title, for people."""
        return self.prices.title

    @property
    def revision(self) -> str:
        """What names its content: two books of the same content have the same."""
        return self.prices.revision

    @property
    def currency(self) -> str:
        """What its prices are in (ISO 4217)."""
        return self.prices.currency

    @property
    def units(self) -> System:
        """What its shop measures in: inch or metric."""
        return self.prices.units

    @property
    def as_of(self) -> date:
        """The day its prices are of."""
        return self.prices.as_of

    @property
    def sample(self) -> bool:
        """Whether its prices are invented, to be replaced by your own."""
        return self.prices.sample

    @property
    def suppliers(self) -> pd.DataFrame:
        """Who sells, with what a trip and a delivery cost [its currency]."""
        return self._table("suppliers", SUPPLIERS)

    @property
    def lumber(self) -> pd.DataFrame:
        """Boards: section, species, grade, length, price [its currency] and what that is for."""
        return self._table("lumber", LUMBER)

    @property
    def hardware(self) -> pd.DataFrame:
        """Bolts, screws and the like, by the pack, with its price [its currency]."""
        return self._table("hardware", HARDWARE)

    @property
    def supplies(self) -> pd.DataFrame:
        """Glue and the like, by the container, with its price [its currency]."""
        return self._table("supplies", SUPPLY)

    @property
    def sections(self) -> pd.DataFrame:
        """The sections that are its own, with their sizes; none, where all its lumber is of listed ones."""
        return self._table("sections", SECTIONS)

    def replace(self, *, name: str | None = None, **changes: object) -> Book:
        """Give another book, with some of its tables or settings changed; this one stays as it is.

        name: what it is to be called; changes: tables as DataFrames or lists of mappings, and settings, as in
        `to_dict()`.

        Raises FaultsError: with everything that is wrong with them.

        >>> book = price_book("sample-inch")
        >>> lumber = book.lumber
        >>> lumber["price"] = (lumber["price"] * 1.10).round(2)
        >>> dearer = book.replace(name="ten percent up", lumber=lumber)
        >>> dearer.revision == book.revision
        False
        """
        return _of_mapping({**self.to_dict(), **changes}, name or self.name)

    def to_dict(self) -> dict[str, Any]:
        """Give its content as a request may have it: settings by their keys, each table a list of rows."""
        return {**pricebook.content(self.prices)}

    def to_excel(self, path: str | Path) -> None:
        """Write it as a workbook, which `price_book` reads back to the same revision."""
        Path(path).write_bytes(WORKBOOK.write(self.prices))

    def to_zip(self, path: str | Path) -> None:
        """Write it as a zip of its files, which `price_book` reads back to the same revision."""
        Path(path).write_bytes(ARCHIVE.write(self.prices))

    def __repr__(self) -> str:
        """Tell it in a line."""
        rows = ", ".join(f"{len(rows)} {table}" for table in TABLES if (rows := getattr(self.prices, table)))
        return f"<Book {self.name}: {self.currency} as of {self.as_of}; rows: {rows}>"

    def _repr_html_(self) -> str:
        """Tell it in a notebook."""
        sample = " The prices are a sample, invented to be replaced by your own." if self.sample else ""
        told = escape(f"{self.currency}, as of {self.as_of}, revision {self.revision}.{sample}")
        rows = "".join(f"<li>{name}: {len(rows)}</li>" for name in TABLES if (rows := getattr(self.prices, name)))
        return f"<p><b>{escape(self.title)}</b> ({escape(self.name)})<br>{told}</p><ul>{rows}</ul>"

    def _table(self, name: str, declared: Mapping[str, Member]) -> pd.DataFrame:
        rows = self.to_dict().get(name, [])
        found = pd.DataFrame(rows, columns=list(TABLES[name].of(rows)), dtype="str")
        for column in NUMBERS & {*declared}:
            found[column] = pd.to_numeric(found[column]).astype("float64" if column in MONEY else "Int64")
        found.attrs = {
            "table": name,
            "units": {column: self.currency for column in declared if column in MONEY},
            "meanings": {column: each.help for column, each in declared.items()},
        }
        return found


def price_book(source: str | Path | Mapping[str, object] | Book = "sample-inch", *, name: str | None = None) -> Book:
    """Read a price book.

    source: its folder, its workbook (.xlsx) or zip, the name of a sample (sample-inch, sample-metric), or its content
        as a mapping, such as `to_dict()` gives
    name: what it is to be called; unset: as its folder, its file or the sample

    Raises FaultsError: there is none, or it has faults: every one of them, with its file, line and column.

    >>> price_book("sample-metric")
    <Book sample-metric: EUR as of 2026-11-01; rows: 3 suppliers, 170 lumber, 688 hardware, 18 supplies>
    >>> price_book("sample-inch").lumber.loc[0, ["section", "species", "length"]].tolist()
    ['2x2', 'SPF', '72 in']
    """
    if isinstance(source, Book):
        return Book(replace(source.prices, name=name)) if name else source
    if isinstance(source, Mapping):
        return _of_mapping(source, name or INLINE)
    path = Path(source)
    form = BY_SUFFIX.get(path.suffix.lower())
    try:
        if form is not None and path.is_file():
            found = form.read(path.stem, path.read_bytes())
        else:
            found = read_folder(path) if path.is_dir() else _samples().get(str(source))
    except UnknownBookError as error:
        detail = f"{source} is no folder and no {' or '.join(BY_SUFFIX)} file, and {error}{saved_otherwise(path.name)}"
        raise FaultsError([Fault("book", str(source), "unknown-price-book", detail)]) from None
    except BookFaultsError as error:
        raise faults.of_book(error.faults, form) from None
    return Book(replace(found, name=name) if name else found)


def _of_mapping(content: Mapping[str, object], name: str) -> Book:
    told = {key: cells_of(each) if key in TABLES else each for key, each in content.items()}
    try:
        return Book(read_json(name, told))
    except BookFaultsError as error:
        raise faults.of_mapping(error.faults) from None


@cache
def _samples() -> Shelf:
    """The sample books, each read once as long as its files stay as they are."""
    return Shelf(sample_folder())
