"""The tables of an answer as pandas DataFrames, with the unit and the meaning of every column in `attrs`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

import pandas as pd

from sawbill.answer.columns import CURRENCY, Cell, Column, Table

DTYPES: Final = {"text": "str", "whole": "Int64", "flag": "boolean", "number": "float64", "money": "float64"}
"""What a column of each kind is in pandas; an empty cell is missing."""


def frame(table: Table, answer: Mapping[str, Any], *, exact: bool) -> pd.DataFrame:
    """Give a table of an answer; exact: numbers and amounts as Decimal instead of floats."""
    rows = table.rows(answer)
    made = pd.DataFrame(
        {column.name: _series(column, [row[i] for row in rows], exact) for i, column in enumerate(table.columns)}
    )
    currency = answer["price_book"][CURRENCY] if "price_book" in answer else None
    made.attrs = {
        "table": table.name,
        "title": table.title,
        "meaning": table.meaning,
        "units": {column.name: unit for column in table.columns if (unit := _unit(column, currency))},
        "meanings": {column.name: column.meaning for column in table.columns},
    }
    return made


def _series(column: Column, cells: Sequence[Cell], exact: bool) -> pd.Series[Any]:
    if column.kind not in ("number", "money"):
        return pd.Series(cells, dtype=DTYPES[column.kind])
    if exact:
        return pd.Series(cells, dtype="object")
    numbers = [float(cell) if isinstance(cell, Decimal) else None for cell in cells]
    return pd.Series(numbers, dtype=DTYPES[column.kind])


def _unit(column: Column, currency: str | None) -> str:
    return currency if column.kind == "money" and currency else column.unit
