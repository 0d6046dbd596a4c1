"""What is given in Python, written as the JSON of a request: tables, numbers and values of other libraries.

None is as if it were not given, and so is an empty cell of a table.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from numbers import Integral, Real
from typing import Any, Final, Literal

import pandas as pd

LengthUnit = Literal["mm", "cm", "m", "in", "ft"]
"""What plain numbers may be lengths in."""
Settings = Mapping[str, object]
"""A group of settings by name, each as a request has it: `{"kerf": "1/8 in", "no_slivers": True}`."""
Rows = pd.DataFrame | Iterable[Mapping[str, object]]
"""Rows of a table: a DataFrame, or a mapping for each."""

LENGTHS: Final = ("length", "shortest")
"""The columns of a row that are lengths."""
MILLIMETRES: Final = "_mm"
"""What the name of a column ends in that holds the same length as a number [mm], as our own tables have it."""


def written(value: object) -> Any:
    """Write a value as JSON has it; what JSON has no way to write stays, for its reader to refuse."""
    if isinstance(value, pd.DataFrame):
        return rows(value)
    if isinstance(value, pd.Series | pd.Index):
        return [written(each) for each in value]
    if isinstance(value, Mapping):
        return {str(name): written(each) for name, each in value.items() if each is not None}
    if isinstance(value, str | bool) or value is None:
        return value
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        return float(value)
    return [written(each) for each in value] if isinstance(value, Iterable) else value


def rows(table: Rows, unit: LengthUnit | None = None, several: Sequence[str] = ()) -> list[Any]:
    """Write the rows of a table, which may be one of a quote's.

    unit: what plain numbers are lengths in; several: the columns whose cells are lists of names.
    """
    if isinstance(table, pd.DataFrame):
        found: Iterable[Any] = table.drop(columns=_told_apart(table)).to_dict("records")
    else:
        found = table if isinstance(table, Iterable) and not isinstance(table, str | Mapping) else [table]
    return [_row(row, unit, several) for row in found]


def cells_of(table: object) -> Any:
    """Write the rows of a price book's table, each cell as its file has it; what is no table stays."""
    found = table.to_dict("records") if isinstance(table, pd.DataFrame) else table
    if not isinstance(found, list | tuple):
        return table
    return [
        {str(name): _text(cell) for name, cell in row.items() if not _empty(cell)} if isinstance(row, Mapping) else row
        for row in found
    ]


def names(value: object) -> Any:
    """Write a list of names; one name stands for a list of it, and bars part several in a cell."""
    return [part.strip() for part in value.split("|")] if isinstance(value, str) else written(value)


def _told_apart(table: pd.DataFrame) -> list[str]:
    """The columns of a quote's cut list that say nothing of a piece, but where it stands in the quote."""
    said = ("part", "label", "line", "design_values", "marks")
    return [name for name in said if name in table.columns] if table.attrs.get("table") == "cut-list" else []


def _row(row: object, unit: LengthUnit | None, several: Sequence[str]) -> Any:
    """A row without its empty cells; a length in millimetres stands for the same as text, for it is exact."""
    if not isinstance(row, Mapping):
        return written(row)
    cells = {str(name): cell for name, cell in row.items() if not _empty(cell)}
    millimetres = {name.removesuffix(MILLIMETRES): name for name in cells if name.endswith(MILLIMETRES)}
    told = {name: _cell(cell) for name, cell in cells.items() if name not in millimetres.values()}
    told |= {name: _length(cells[name], unit) for name in LENGTHS if unit and name in cells}
    told |= {name: _length(cells[column], "mm") for name, column in millimetres.items()}
    return told | {name: names(cells[name]) for name in several if name in cells}


def _empty(cell: object) -> bool:
    return cell is None or cell is pd.NA or cell is pd.NaT or cell == "" or cell != cell


def _cell(cell: object) -> Any:
    """A cell; a whole number is one, though its column has others or empty cells."""
    return int(cell) if isinstance(cell, float) and cell.is_integer() else written(cell)


def _text(cell: object) -> object:
    """A cell as text."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    cell = _cell(cell) if isinstance(cell, float) else cell
    return f"{Decimal(str(cell)):f}" if isinstance(cell, Real | Decimal) else cell


def _length(value: object, unit: LengthUnit) -> object:
    """A plain number as a length; text stays, for it has its unit."""
    number = isinstance(value, Real | Decimal) and not isinstance(value, bool)
    return f"{Decimal(str(value)):f} {unit}" if number else written(value)
