"""A table in a CSV file (RFC 4180): its rows with their lines, and what is wrong with the file itself."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.columns import MOST_NOTES, TABLES, Columns, is_note
from sawbill.prices.rows.faults import Fault, Faults
from sawbill.prices.rows.record import Record, unknown

MAX_BYTES: Final = 5_000_000
MAX_ROWS: Final = 20_000
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")  # noqa: RUF001 (meant)
"""What a spreadsheet may take for the start of a formula; the last four are the wide signs of East Asian keyboards."""


@dataclass(frozen=True, slots=True)
class Words:
    """How what holds a table is spoken of: what a line is called, and what is right of a header and of a row."""

    line: str
    header: str
    row: str


_CSV: Final = Words(
    "line",
    "start with a line of column names, with commas between: {columns}",
    "give {count} cells as in the first line; put a cell with a comma in it in quotes",
)


def read_text(path: Path, table: str, faults: Faults, most: int = MAX_BYTES) -> str | None:
    """Read a file of at most so many bytes as UTF-8, with or without its mark; None: a fault was noted."""
    if not path.is_file():
        near = nearest(path.name, [file.name for file in path.parent.iterdir()]) if path.parent.is_dir() else ""
        hint = f"; {near}" if near.startswith("did you mean") else ""
        faults.add(Fault(table, "missing-file", f"add the file {path.name} to the price book's folder{hint}"))
        return None
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except OSError:
        faults.add(Fault(table, "unreadable-file", "let the service read the file"))
        return None
    if len(data) > most:
        faults.add(Fault(table, "file-too-large", f"give a file of at most {most} bytes"))
        return None
    return decoded(data, table, faults)


def decoded(data: bytes, table: str, faults: Faults) -> str | None:
    """Read bytes as UTF-8, with or without its mark; None: a fault was noted."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        remedy = "save the file in the encoding UTF-8"
        faults.add(Fault(table, "wrong-encoding", remedy, "", f"byte 0x{data[error.start]:02x}", line))
        return None


def records(text: str, table: str, faults: Faults, known: Columns | None = None) -> list[Record] | None:
    """Read a table's rows, less the empty ones; known: its columns, unless it is one of a price book's tables.

    None: the table has no header.
    """
    known = known or TABLES[table]
    return row_records(_lines(text, table, faults, known), table, faults, known)


def row_records(
    lines: Iterator[tuple[int, list[str]]], table: str, faults: Faults, known: Columns, words: Words = _CSV
) -> list[Record] | None:
    """Read rows that each come with their line, the header first. None: there is no header."""
    _, header = next(lines, (1, []))
    columns = [name.strip(" \u00a0") for name in header]
    if not _check_header(columns, table, faults, known, words):
        return None
    missing = [name for name in known.required if name not in columns]
    rows = []
    for number, (line, cells) in enumerate(lines):
        if number == MAX_ROWS:
            faults.add(Fault(table, "too-many-rows", f"give at most {MAX_ROWS} rows", line=line))
            break
        row = Record(table, dict(zip(columns, cells, strict=False)), faults, line=line, called=words.line)
        if len(cells) != len(columns):
            row.fault("", "wrong-cell-count", words.row.format(count=len(columns)), f"{len(cells)} cells")
        # Cells of a row with too many or too few stand under wrong names: one fault says it all.
        for name in missing if len(cells) == len(columns) else known.all:
            row.skip(name)
        rows.append(row)
    return rows


def _lines(text: str, table: str, faults: Faults, known: Columns) -> Iterator[tuple[int, list[str]]]:
    """Give each filled row with the line it starts on."""
    source = io.StringIO(text, newline="")
    reader = csv.reader(source, delimiter=_delimiter(text, known), strict=True)
    start = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield start, [unguarded(cell) for cell in cells]
            start = reader.line_num + 1
    except csv.Error:
        remedy = 'close the quotes in this row; a quote inside a quoted cell is written twice ("")'
        faults.add(Fault(table, "broken-row", remedy, line=start))


def write_rows(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Write a table as RFC 4180 has it, a line each ending in CR LF; cells are written as they are given."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()


def guarded(text: str) -> str:
    """Keep a sheet from taking a text for a formula: an apostrophe goes before it, which `unguarded` takes away."""
    formula = text[:1] in FORMULA_STARTS and text != ""
    quoted = text[:1] == "'" and text[1:2] in ("'", *FORMULA_STARTS)
    return "'" + text if formula or quoted else text


def unguarded(text: str) -> str:
    """Take away the apostrophe that keeps a sheet from computing a text."""
    return text[1:] if text[:1] == "'" and text[1:2] in ("'", *FORMULA_STARTS) else text


def _delimiter(text: str, known: Columns) -> str:
    """Tell a semicolon file by its first line: column names hold neither mark, so there is no doubt."""
    header = text.lstrip("\r\n").split("\n", 1)[0]
    names = {name.strip(' "\r') for name in header.split(";")}
    return ";" if "," not in header and len(names & set(known.all)) > 1 else ","


def _check_header(columns: list[str], table: str, faults: Faults, known: Columns, words: Words) -> bool:
    if not set(columns) & set(known.all):
        remedy = words.header.format(columns=",".join(known.all))
        faults.add(Fault(table, "missing-header", remedy, line=1))
        return False
    notes = [name for name in columns if is_note(name)]
    if len(notes) > MOST_NOTES:
        remedy = f"give a table at most {MOST_NOTES} columns of notes"
        faults.add(Fault(table, "too-many-columns", remedy, notes[MOST_NOTES], line=1))
    for name in dict.fromkeys(columns):
        if name not in known.all and name not in notes:
            faults.add(Fault(table, "unknown-column", unknown(name, known), name or "(no name)", line=1))
        elif columns.count(name) > 1:
            faults.add(Fault(table, "duplicate-column", "keep one column of this name", name, line=1))
    for name in known.required:
        if name not in columns:
            faults.add(Fault(table, "missing-column", f"add the column {name}", name, line=1))
    return True
