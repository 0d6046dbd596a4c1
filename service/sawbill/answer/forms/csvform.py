"""A table as CSV (RFC 4180): UTF-8, lines that end in CR LF, plain numbers, texts no sheet takes for formulas."""

from __future__ import annotations

from typing import Final

from sawbill.answer.columns import Cell, Column, Json, Table, plain
from sawbill.prices.rows.csvtable import guarded, write_rows

BOM: Final = "\ufeff"
"""What some sheets want before they believe that a file is UTF-8."""


def csv_bytes(table: Table, answer: Json, *, bom: bool = False) -> bytes:
    """Write a table, its column names first."""
    rows = ([_cell(*pair) for pair in zip(table.columns, row, strict=True)] for row in table.rows(answer))
    text = write_rows([column.name for column in table.columns], rows)
    return ((BOM if bom else "") + text).encode("utf-8", "backslashreplace")


def _cell(column: Column, cell: Cell) -> str:
    return guarded(plain(cell)) if column.kind == "text" else plain(cell)
