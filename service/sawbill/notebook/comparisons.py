"""Comparisons: designs, values of options, price books and quantities side by side."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any, Final

import pandas as pd

from sawbill import registry
from sawbill.answer.compared import comparison_json
from sawbill.answer.comparison import OPTION, comparison_table
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.forms.workbook import workbook_bytes
from sawbill.notebook.asking import given, lumber_of, settings_of, tables_of, understood
from sawbill.notebook.books import Book, price_book
from sawbill.notebook.frames import frame
from sawbill.notebook.given import LengthUnit, Rows, Settings, written
from sawbill.notebook.quotes import Quote, quote
from sawbill.quoting.comparing.compared import Compared, read_comparison
from sawbill.quoting.comparing.comparison import Row
from sawbill.quoting.comparing.comparison import compare as compared_rows
from sawbill.trade.lengths import System

SHOWN: Final = (
    "status", "reason", "total", "currency", "boards", "waste", "mass_kg", "failed_checks", "proof", "best_in",
)  # fmt: skip
"""What a notebook shows of a row beside what was asked."""


class Comparison:
    """A comparison: `compare` makes it. `rows` is its table; `quote` gives the whole quote of a row."""

    def __init__(self, compared: Compared, books: Sequence[Book], rows: Sequence[Row], *, exact: bool) -> None:
        self._compared, self._books, self._rows, self._exact = compared, books, rows, exact

    @cached_property
    def _json(self) -> Mapping[str, Any]:
        return comparison_json(self._compared, [book.prices for book in self._books], self._rows)

    @property
    def rows(self) -> pd.DataFrame:
        """A row for each combination; amounts are in its column `currency`, other units in `attrs`."""
        return frame(comparison_table(self._json), self._json, exact=self._exact)

    def quote(self, row: int) -> Quote:
        """Make the whole quote of a row, by its number in the column `row`.

        Raises FaultsError: the row was refused; CannotBeBoughtError: its book lacks something.
        """
        asked = self._compared.combinations[row]
        common = dict(self._compared.common)
        return quote(
            {"design": asked.design.name, "label": asked.label, "options": asked.options, "quantity": asked.quantity},
            self._books[asked.book], exact=self._exact, **common,
        )  # fmt: skip

    def to_dict(self) -> dict[str, Any]:
        """Give the whole answer as the service does, in plain lists and dicts; each time a copy."""
        found: dict[str, Any] = json.loads(self.to_json())
        return found

    def to_json(self) -> str:
        """Give the whole answer as the service sends it, byte for byte in UTF-8."""
        return json_bytes(self._json).decode()

    def to_excel(self, path: str | Path) -> None:
        """Write its table as a workbook, as the service sends it."""
        table, units = comparison_table(self._json), self._books[0].units
        Path(path).write_bytes(workbook_bytes([table], {**self._json, "units": units}, table.title))

    def __repr__(self) -> str:
        """Tell it in a line."""
        counts = self._json["counts"]
        books = ", ".join(each.name for each in self._books)
        return f"<Comparison {counts['rows']} rows, {counts['quoted']} quoted; {books}>"

    def _repr_html_(self) -> str:
        """Tell it in a notebook: what was asked, and what most look at, where it is told at all."""
        options = [str(name) for name in self.rows if str(name).startswith(OPTION)]
        told = self.rows.set_index("row")[["label", *options, "price_book", "quantity", *SHOWN]]
        names = {name: name.removeprefix(OPTION).replace("_", " ") for name in map(str, told)}
        return told.dropna(axis="columns", how="all").rename(columns=names).to_html(na_rep="")


def compare(
    design: str | Mapping[str, object] | Sequence[str | Mapping[str, object]],
    books: str | Path | Book | Sequence[str | Path | Book] = "sample-inch",
    *,
    quantities: int | Sequence[int] = 1,
    units: System | None = None,
    shop: Settings | None = None,
    site: Settings | None = None,
    lumber: Settings | None = None,
    on_hand: Rows | None = None,
    owned_hardware: Rows | None = None,
    owned_supplies: Rows | None = None,
    lengths_in: LengthUnit | None = None,
    rates: Settings | None = None,
    baseline: int | Settings | None = None,
    sort: str | None = None,
    judge_by: str | Sequence[str] | None = None,
    filter: Mapping[str, Settings] | None = None,
    exact: bool = False,
    options: Mapping[str, object] | None = None,
    **named: object,
) -> Comparison:
    """Quote every combination of designs, values of their options, price books and quantities, and tell which is best.

    design: a name, or several; one with options of its own is a mapping with design, label and options
    named: options of the designs by name, each its value, or a list of values
    books: a price book, or several, each as `price_book` reads it
    quantities: how many are made, one number or several
    baseline: the row that others are held against, its number or what it is
    sort: a criterion such as total; with a minus before it, the most first
    judge_by: the criteria by which a row can outdo another
    filter: which rows are told, such as `{"total": {"most": 300}}`
    options: more options, for a name that stands for something else here
    the rest: as for `quote`, for all rows alike

    Raises FaultsError: with every fault of what the rows have in common; a fault of one row alone is told in that row.

    >>> sizes = compare("slatted-bed", ["sample-inch", "sample-metric"], mattress=["twin", "queen"])
    >>> sizes
    <Comparison 4 rows, 4 quoted; sample-inch, sample-metric>
    >>> totals = sizes.rows.pivot(index="option_mattress", columns="price_book", values="total")
    >>> totals.shape
    (2, 2)
    """
    shelf = [price_book(each) for each in ([books] if isinstance(books, str | Path | Book) else books)]
    swept = {**named, **(options or {})}
    asked = {
        "designs": written([design] if isinstance(design, str | Mapping) else design),
        "quantities": written([quantities] if isinstance(quantities, int) else quantities),
        "options": {name: written(each if isinstance(each, list | tuple) else [each]) for name, each in swept.items()},
        **given(
            units=units, shop=settings_of(shop), site=settings_of(site), lumber=lumber_of(lumber),
            rates=settings_of(rates), baseline=settings_of(baseline), sort=sort, filter=settings_of(filter),
            judge_by=[judge_by] if isinstance(judge_by, str) else judge_by and written(judge_by),
        ),
        **tables_of(lengths_in, on_hand=on_hand, owned_hardware=owned_hardware, owned_supplies=owned_supplies),
    }  # fmt: skip
    prices = [book.prices for book in shelf]
    compared = understood(asked, lambda raw: read_comparison(raw, prices, registry.designs()), [("options",)])
    rows = list(compared_rows(compared.combinations, compared.common, prices))
    return Comparison(compared, shelf, rows, exact=exact)
