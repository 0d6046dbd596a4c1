"""Own pieces from a CSV file, read as strictly as the tables of a price book."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any, Final

from sawbill.asked.lines import MOST_PARTS, MOST_QUANTITY
from sawbill.asked.request import Request, RequestFaultsError, read_pieces
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows import cells
from sawbill.prices.rows.columns import PIECES
from sawbill.prices.rows.csvtable import read_text, records
from sawbill.prices.rows.faults import Fault, Faults
from sawbill.prices.rows.record import Record

TABLE: Final = "pieces"


def read_pieces_file(path: Path, book: PriceBook, asked: Mapping[str, Any]) -> Request:
    """Read a request for a cutting plan whose pieces stand in a file; asked: what else it says, as JSON has it.

    Raises BookFaultsError: with every fault of the file. RequestFaultsError: the rest of the request is at fault.
    """
    faults = Faults()
    rows = _rows(path, faults)
    try:
        request = read_pieces({**asked, "pieces": [_piece(row) for row in rows]}, book)
    except RequestFaultsError as error:
        for fault in error.faults:
            if fault.pointer[0] == "pieces" and len(fault.pointer) > 2:
                _, row, column, *_ = fault.pointer
                detail = fault.detail.removeprefix(f"{column}: ")
                rows[int(row)].fault(str(column), fault.code, detail, value="")
        faults.raise_if_any()
        raise
    faults.raise_if_any()
    return request


def _rows(path: Path, faults: Faults) -> list[Record]:
    text = read_text(path, TABLE, faults)
    rows = None if text is None else records(text, TABLE, faults, PIECES)
    if rows is None:
        return []
    if not rows:
        faults.add(Fault(TABLE, "no-rows", "give at least one row, a piece, below the column names"))
    if len(rows) > MOST_PARTS:
        faults.add(Fault(TABLE, "too-many-rows", f"give at most {MOST_PARTS} rows", line=rows[MOST_PARTS].line))
    return rows[:MOST_PARTS]


def _piece(row: Record) -> dict[str, Any]:
    """The piece as JSON has it, less the cells at fault: what sections and lengths may be is for its reader to say."""
    read = {
        "name": row.read("name", cells.free_text),
        "section": row.read("section", str),
        "length": row.read("length", str),
        "quantity": row.read("quantity", partial(cells.whole, low=1, high=MOST_QUANTITY)),
        "shortest": row.read_if_any("shortest", str),
        "species": row.read_if_any("species", cells.several),
        "grades": row.read_if_any("grades", cells.several),
    }
    return {column: value for column, value in read.items() if value is not None}
