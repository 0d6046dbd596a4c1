"""Price books as folders: book.toml beside suppliers.csv, lumber.csv, hardware.csv and supplies.csv."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from sawbill.estimating.pricebook import PriceBook
from sawbill.files.assemble import assemble
from sawbill.files.columns import TABLES
from sawbill.files.csvtable import read_text, records
from sawbill.files.faults import Fault, Faults
from sawbill.files.settings import Settings, read_settings

SETTINGS_FILE: Final = "book.toml"
MAX_SETTINGS_BYTES: Final = 100_000

_GROUP_LINE: Final = re.compile(r"\s*\[\s*([\w-]+)\s*\]")
_KEY_LINE: Final = re.compile(r"\s*([\w.-]+)\s*=")
_TOML_PLACE: Final = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)")


def read_folder(folder: Path) -> PriceBook:
    """Read the price book in a folder; it takes the folder's name.

    Raises BookFaultsError: with every fault of every file.
    """
    faults = Faults()
    settings = _read_settings(folder / SETTINGS_FILE, faults)
    tables = {}
    for table in TABLES:
        text = read_text(folder / f"{table}.csv", table, faults)
        rows = None if text is None else records(text, table, faults)
        if rows is not None:
            tables[table] = rows
    return assemble(folder.resolve().name, settings, tables, faults)


def _read_settings(path: Path, faults: Faults) -> Settings:
    text = read_text(path, "book", faults, MAX_SETTINGS_BYTES)
    data = None if text is None else _toml(text, faults)
    if text is None or data is None:
        return Settings(None, None, None, {}, {})
    return read_settings(data, faults, _key_lines(text))


def _toml(text: str, faults: Faults) -> Mapping[str, object] | None:
    try:
        return tomllib.loads(text)
    except RecursionError:
        faults.add(Fault("book", "toml-syntax", "write no lists within lists"))
    except ValueError as error:
        place = _TOML_PLACE.search(str(error))
        line = int(place[1]) if place and place[1] else text.count("\n") + 1 if place else None
        column = f" near column {place[2]}" if place and place[2] else ""
        remedy = f'it cannot be read as TOML{column}; write each setting once, as key = "text"'
        faults.add(Fault("book", "toml-syntax", remedy, line=line))
    return None


def _key_lines(text: str) -> dict[str, int]:
    """Find the line of each key, which the TOML reader does not tell; one that is missed has no line."""
    lines: dict[str, int] = {}
    group = ""
    for number, line in enumerate(text.split("\n"), 1):
        if match := _GROUP_LINE.match(line):
            lines.setdefault(match[1], number)
            group = f"{match[1]}."
        elif match := _KEY_LINE.match(line):
            lines.setdefault(group + match[1], number)
    return lines
