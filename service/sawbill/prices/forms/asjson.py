"""Price books as JSON objects: the settings by their keys, each table as a list of rows by its columns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.assemble import assemble
from sawbill.prices.rows.columns import MOST_NOTES, OPTIONAL, TABLES, Columns
from sawbill.prices.rows.csvtable import MAX_ROWS
from sawbill.prices.rows.faults import BookFaultsError, Fault, Faults
from sawbill.prices.rows.record import Record
from sawbill.prices.rows.settings import read_settings, type_name

IDENTITY: Final = ("name", "revision")
"""Keys that an answer adds to a book; in a request they are passed over."""


def read_json(name: str, data: object) -> PriceBook:
    """Read a price book from a JSON object: its values are text, or whole numbers; absent ones are empty.

    Raises BookFaultsError: with every fault, each pointing into the object.
    """
    faults = Faults()
    if not isinstance(data, Mapping):
        remedy = "give the price book as a JSON object"
        raise BookFaultsError([Fault("book", "wrong-type", remedy, value=type_name(data))])
    beside = {key: value for key, value in data.items() if key not in TABLES and key not in IDENTITY}
    settings = read_settings(beside, faults)
    tables = {}
    for table in TABLES:
        if table in OPTIONAL and data.get(table) is None:
            continue
        rows = _rows(table, data.get(table), faults)
        if rows is not None:
            tables[table] = rows
    return assemble(name, settings, tables, faults)


def _rows(table: str, rows: object, faults: Faults) -> list[Record] | None:
    if not isinstance(rows, list):
        code, remedy = "wrong-type", "give a list of objects; an empty list says that the book sells none"
        faults.add(Fault(table, "missing-table" if rows is None else code, remedy))
        return None
    if len(rows) > MAX_ROWS:
        faults.add(Fault(table, "too-many-rows", f"give at most {MAX_ROWS} rows"))
        return None
    found = [record for number, row in enumerate(rows) if (record := _row(table, number, row, faults)) is not None]
    notes = {name for record in found for name, _ in record.notes}
    if len(notes) > MOST_NOTES:
        faults.add(Fault(table, "too-many-columns", f"give a table at most {MOST_NOTES} columns of notes"))
        return None
    return found


def _row(table: str, number: int, row: object, faults: Faults) -> Record | None:
    if not isinstance(row, Mapping):
        remedy = "give each row as an object with the columns as keys"
        faults.add(Fault(table, "wrong-type", remedy, value=type_name(row), row=number))
        return None
    texts = {column: _text(value) for column, value in row.items()}
    record = Record(table, {column: text or "" for column, text in texts.items()}, faults, row=number)
    for column in (column for column, text in texts.items() if text is None):
        remedy = "write it as text, so that no digit is lost"
        record.fault(column, "wrong-type", remedy, type_name(row[column]))
    record.check_names(Columns((), TABLES[table].all))  # what is absent here is empty
    return record


def _text(value: object) -> str | None:
    if value is None:
        return ""
    if type(value) is int:
        return str(value) if abs(value) < 10**18 else "9" * 18
    return value if isinstance(value, str) else None
