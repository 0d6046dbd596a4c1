"""JSON: bytes that are the same for the same content; and a table as JSON, a row an object by the columns' names."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from sawbill.answer.columns import Cell, Column, Json, Table, plain


def json_bytes(value: object) -> bytes:
    """Write JSON in UTF-8, keys in the order they have; a lone surrogate is written as its escape.

    Raises ValueError: a number that JSON has no way to write.
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8", "backslashreplace") + b"\n"


def table_json(table: Table, answer: Json) -> dict[str, Any]:
    """Give a table of a quote as JSON: money is text with the currency's decimals, as in every answer."""
    columns = table.columns
    rows = [
        {column.name: _json(column, cell) for column, cell in zip(columns, row, strict=True)}
        for row in table.rows(answer)
    ]
    return {"table": table.name, "engine": answer["engine"], "price_book": answer["price_book"], "rows": rows}


def json_number(number: Decimal) -> int | float:
    """Write a number as JSON has it, whole ones without a point."""
    return int(number) if number == int(number) else float(number)


def _json(column: Column, cell: Cell) -> Any:
    if isinstance(cell, Decimal):
        return plain(cell) if column.kind == "money" else json_number(cell)
    return cell
