"""Price books as folders: book.toml beside suppliers.csv, lumber.csv, hardware.csv, supplies.csv, and sections.csv."""

from __future__ import annotations

from pathlib import Path

from sawbill.prices.forms.toml import MAX_SETTINGS_BYTES, SETTINGS_FILE, read_toml
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.assemble import assemble
from sawbill.prices.rows.columns import OPTIONAL, TABLES
from sawbill.prices.rows.csvtable import read_text, records
from sawbill.prices.rows.faults import Faults


def read_folder(folder: Path) -> PriceBook:
    """Read the price book in a folder; it takes the folder's name.

    Raises BookFaultsError: with every fault of every file.
    """
    faults = Faults()
    settings = read_toml(read_text(folder / SETTINGS_FILE, "book", faults, MAX_SETTINGS_BYTES), faults)
    tables = {}
    for table in TABLES:
        if table in OPTIONAL and not (folder / f"{table}.csv").exists():
            continue
        text = read_text(folder / f"{table}.csv", table, faults)
        rows = None if text is None else records(text, table, faults)
        if rows is not None:
            tables[table] = rows
    return assemble(folder.resolve().name, settings, tables, faults)
