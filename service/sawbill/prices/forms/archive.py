"""Price books as zip archives: the files of a price book's folder, nothing written to any disk."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from typing import Final

from sawbill.prices.forms.toml import MAX_SETTINGS_BYTES, SETTINGS_FILE, read_toml, write_toml
from sawbill.prices.pricebook import PriceBook, content
from sawbill.prices.rows.assemble import assemble
from sawbill.prices.rows.columns import OPTIONAL, TABLES
from sawbill.prices.rows.csvtable import MAX_BYTES, decoded, guarded, records, write_rows
from sawbill.prices.rows.faults import BookFaultsError, Fault, Faults

MOST_ENTRIES: Final = 200
MOST_UNPACKED: Final = 25_000_000
"""Of all entries together [bytes]."""
_METHODS: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_BEFORE_TIME: Final = (1980, 1, 1, 0, 0, 0)
"""The date every entry is written with, so that the same book gives the same bytes."""


def unpacked(data: bytes, kind: str) -> dict[str, bytes]:
    """Unpack a zip archive in memory, each entry by its name; its own word for their sizes is not believed.

    kind: what the archive is to be, for a message. Raises BookFaultsError: it is no such archive, or too large.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _contents(archive, kind)
    except BookFaultsError:
        raise
    except Exception as error:  # whatever a damaged archive makes its reader raise
        raise _refused("not-an-archive", f"it cannot be opened; send {kind}, without a password") from error


def _contents(archive: zipfile.ZipFile, kind: str) -> dict[str, bytes]:
    entries = archive.infolist()
    if len(entries) > MOST_ENTRIES:
        raise _refused("too-many-files", f"give {kind} of at most {MOST_ENTRIES} files")
    if any(entry.compress_type not in _METHODS for entry in entries):
        # Of other methods, a few bytes may grow to megabytes at once, whatever one asks for.
        raise _refused("unknown-compression", f"give {kind} that is compressed by the usual method, deflate")
    found: dict[str, bytes] = {}
    left = MOST_UNPACKED
    for entry in entries:
        if entry.filename in found:
            raise _refused("duplicate-file", f"give {kind} that holds each file once")
        with archive.open(entry) as file:
            found[entry.filename] = file.read(left + 1)
        left -= len(found[entry.filename])
        if left < 0:
            raise _refused("file-too-large", f"give {kind} that unpacks to at most {MOST_UNPACKED} bytes")
    return found


def read_archive(name: str, data: bytes) -> PriceBook:
    """Read a price book from a zip of its folder's files, which may lie in one folder within it.

    Raises BookFaultsError: with every fault of every file.
    """
    faults = Faults()
    files = _one_folder(unpacked(data, "a zip of a price book's files"))
    settings = read_toml(_text(files, SETTINGS_FILE, "book", MAX_SETTINGS_BYTES, faults), faults)
    tables = {}
    for table in TABLES:
        if table in OPTIONAL and f"{table}.csv" not in files:
            continue
        text = _text(files, f"{table}.csv", table, MAX_BYTES, faults)
        rows = None if text is None else records(text, table, faults)
        if rows is not None:
            tables[table] = rows
    return assemble(name, settings, tables, faults)


def write_archive(book: PriceBook) -> bytes:
    """Write a price book as the zip that read_archive reads back to the same revision; always the same bytes."""
    whole = content(book)
    files = {SETTINGS_FILE: write_toml({key: value for key, value in whole.items() if key not in TABLES})}
    for table, columns in TABLES.items():
        if table not in whole:
            continue
        rows: list[dict[str, str]] = whole[table]  # type: ignore[assignment]  # a table
        names = columns.of(rows)
        cells = ([guarded(row.get(column, "")) for column in names] for row in rows)
        files[f"{table}.csv"] = write_rows([guarded(name) for name in names], cells)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for file, text in files.items():
            entry = zipfile.ZipInfo(file, _BEFORE_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, text.encode())
    return out.getvalue()


def _one_folder(entries: Mapping[str, bytes]) -> dict[str, bytes]:
    """Give the files that lie beside book.toml by their bare names; without one, those that lie least deep.

    Raises BookFaultsError: there is a book.toml in more than one folder.
    """
    paths = sorted((path for path in entries if not path.endswith("/")), key=lambda path: (path.count("/"), path))
    books = [path for path in paths if path.rpartition("/")[2] == SETTINGS_FILE]
    if len(books) > 1:
        raise _refused("several-books", f"give one price book; there is a {SETTINGS_FILE} in {len(books)} folders")
    folder = next(iter(books or paths), "").rpartition("/")[0]
    return {path.rpartition("/")[2]: entries[path] for path in paths if path.rpartition("/")[0] == folder}


def _text(files: Mapping[str, bytes], file: str, table: str, most: int, faults: Faults) -> str | None:
    data = files.get(file)
    if data is None:
        faults.add(Fault(table, "missing-file", f"add the file {file} to the archive"))
        return None
    if len(data) > most:
        faults.add(Fault(table, "file-too-large", f"give a file of at most {most} bytes"))
        return None
    return decoded(data, table, faults)


def _refused(code: str, remedy: str) -> BookFaultsError:
    return BookFaultsError([Fault("", code, remedy)])
