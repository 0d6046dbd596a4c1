"""Cutting plans: which boards to buy for pieces of one's own, and how to cut them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas as pd

from sawbill.answer.columns import Table
from sawbill.answer.forms.workbook import Front
from sawbill.answer.quote import plan_json
from sawbill.asked.request import read_pieces
from sawbill.notebook import shown
from sawbill.notebook.answers import Answer, Tabled, filled
from sawbill.notebook.asking import given, lumber_of, made, settings_of, tables_of, understood
from sawbill.notebook.books import Book, price_book
from sawbill.notebook.given import LengthUnit, Rows, Settings, rows
from sawbill.trade.lengths import System

PIECE = ("section", "length", "quantity")
"""What the members of a tuple are that stands for a piece."""


class CuttingPlan(Answer):
    """A cutting plan: `cut` makes it. Its tables are DataFrames, as those of a `Quote`."""

    shopping_list = Tabled()
    cut_list = Tabled()
    cutting_plan = Tabled()
    saw_stops = Tabled()
    leftovers = Tabled()
    near_misses = Tabled()
    warnings = Tabled()
    costs = Tabled()

    @cached_property
    def _json(self) -> Mapping[str, Any]:
        return plan_json(self._made)

    def _sheets(self) -> Sequence[Table]:
        return filled(self._json)

    def _front(self) -> Front:
        return Front("Cutting plan")

    def __repr__(self) -> str:
        """Tell it in a line."""
        return f"<CuttingPlan {shown.line_of(self._json)}>"

    def _repr_html_(self) -> str:
        """Tell it in a notebook: the total, how far it is proven, and how the boards are cut."""
        boards = self.cutting_plan[["count", "section", "stock_length", "cuts"]]
        return shown.page_of(self._json, {}) + boards.to_html(index=False)


def cut(
    pieces: Rows | Iterable[Sequence[object]],
    book: str | Path | Book | Mapping[str, object] = "sample-inch",
    *,
    lengths_in: LengthUnit | None = None,
    units: System | None = None,
    shop: Settings | None = None,
    lumber: Settings | None = None,
    on_hand: Rows | None = None,
    exact: bool = False,
) -> CuttingPlan:
    """Plan which boards to buy for pieces of your own, and how to cut them: the cheapest there is, proven.

    pieces: a DataFrame with the columns section, length and quantity, and if you like name, shortest, species and
        grades; or a mapping for each piece, or a tuple (section, length, quantity). Numbers in a column length_mm [mm]
        may stand for length, as they do in the cut list of a quote, which may be given as it is
    book: a price book, as `price_book` reads it
    lengths_in: the unit of lengths that are plain numbers: mm, cm, m, in or ft
    units, shop, lumber, on_hand, exact: as for `quote`

    Raises FaultsError: with every fault of what is asked; CannotBeBoughtError: the book lacks a board that is needed.

    >>> plan = cut([("2x4", "28 1/2 in", 4), ("1x8", "32 in", 6)], "sample-inch")
    >>> plan
    <CuttingPlan 10 pieces: 28.99 USD, proven; sample-inch>
    >>> cut(pd.DataFrame({"section": ["2x4"], "length": [28.5], "quantity": [4]}), lengths_in="in").total
    Decimal('11.52')
    """
    asked = {
        "pieces": rows(_named(pieces), lengths_in, ("species", "grades")),
        **given(units=units, shop=settings_of(shop), lumber=lumber_of(lumber)),
        **tables_of(lengths_in, on_hand=on_hand),
    }
    prices = price_book(book).prices
    return CuttingPlan(made(understood(asked, lambda raw: read_pieces(raw, prices)), prices), exact=exact)


def _named(pieces: Any) -> Any:
    """Give tuples the names of their members."""
    if isinstance(pieces, pd.DataFrame | str | Mapping) or not isinstance(pieces, Iterable):
        return pieces
    return [
        dict(zip(PIECE, each, strict=False)) if isinstance(each, tuple | list) and 2 <= len(each) <= 3 else each
        for each in pieces
    ]
