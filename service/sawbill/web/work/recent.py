"""What was made last, so that it is made once: a sheet asks for one quote's values cell by cell, in any order.

The workers of a service hold it together, in a database in memory that ends with them: whichever is asked finds what
another has made. It is there to save time: where it fails, all is made anew.
"""

from __future__ import annotations

import logging
import os
import sqlite3
import threading
import weakref
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sawbill import cutting
from sawbill.quoting.comparing.comparison import Figures
from sawbill.quoting.comparing.noted import figures_read, figures_text

MOST_QUOTES: Final = 128
"""How many quotes are held; the oldest goes first."""
MOST_BYTES: Final = 200_000
"""The largest quote that is held [bytes]."""
LARGEST: Final = 600_000
"""The largest drawing or sheet that is held [bytes]: the shop's sheet of a bed."""
MOST_DRAWINGS: Final = 200
"""How many drawings are held."""
MOST_BOOKS: Final = 32
"""How many price books are held that came with a page's form."""
LARGEST_BOOK: Final = 600_000
"""The largest of these, packed [bytes]: some 20,000 rows."""
MOST_FIGURES: Final = 5_000
"""Of how many quotes the figures are held: of ten of the largest comparisons."""
FILE: Final = "recent.sqlite"
PATIENCE: Final = 0.5
"""How long a process waits for another that writes [s]: to make a quote again takes less than to wait longer."""
_TABLES: Final = """
    PRAGMA journal_mode = WAL; PRAGMA synchronous = OFF;
    CREATE TABLE IF NOT EXISTS quotes (key TEXT PRIMARY KEY, data BLOB NOT NULL, title TEXT NOT NULL);
    CREATE TABLE IF NOT EXISTS figures (key TEXT PRIMARY KEY, data TEXT NOT NULL);
    CREATE TABLE IF NOT EXISTS drawings (key TEXT PRIMARY KEY, data BLOB NOT NULL);
    CREATE TABLE IF NOT EXISTS books (key TEXT PRIMARY KEY, data BLOB NOT NULL);
"""
_SHORTEN: Final = "DELETE FROM {table} WHERE rowid <= (SELECT max(rowid) FROM {table}) - ?"
_LOG: Final = logging.getLogger("sawbill.web.work.recent")


@dataclass(frozen=True, slots=True)
class Made:
    """A quote as the bytes of its JSON, and the title of its price book.

    lasting: whether the same request gives the same again, which is not so where a clock ended the search.
    """

    data: bytes
    title: str
    lasting: bool


class Recent:
    """Quotes, figures of quotes and drawings, by what they were made from: request, revision and engine.

    So are the price books that came with a page's form, by their revision: who does not know it finds none of them.
    """

    def __init__(self, folder: Path | None = None) -> None:
        """Folder: where the processes that serve together hold it; None: this process is by itself."""
        self._file = ":memory:" if folder is None else str(folder / FILE)
        self._lock = threading.Lock()
        self._opened: tuple[int, sqlite3.Connection] | None = None
        self._failed = False

    def quote(self, key: str) -> Made | None:
        """Give a quote, if it is held."""
        found = self._all("SELECT data, title FROM quotes WHERE key = ?", [key])
        return Made(data=found[0][0], title=found[0][1], lasting=True) if found else None

    def hold_quote(self, key: str, made: Made) -> None:
        """Hold a quote, unless a clock cut it or it is very large."""
        if made.lasting and len(made.data) <= MOST_BYTES:
            self._all("REPLACE INTO quotes VALUES (?, ?, ?)", [key, made.data, made.title])
            self._all(_SHORTEN.format(table="quotes"), [MOST_QUOTES])

    def figures(self, keys: Sequence[str]) -> dict[str, Figures]:
        """Give the figures of those quotes of which they are held."""
        asked = f"SELECT key, data FROM figures WHERE key IN ({','.join('?' * len(keys))})"
        return {key: figures_read(data) for key, data in self._all(asked, keys)}

    def hold_figures(self, key: str, figures: Figures) -> None:
        """Hold the figures of a quote, unless a clock cut it."""
        if figures.proof is not cutting.Status.TIME_LIMIT:
            self._all("REPLACE INTO figures VALUES (?, ?)", [key, figures_text(figures)])
            self._all(_SHORTEN.format(table="figures"), [MOST_FIGURES])

    def drawing(self, key: str) -> bytes | None:
        """Give a drawing, if it is held."""
        found = self._all("SELECT data FROM drawings WHERE key = ?", [key])
        return bytes(found[0][0]) if found else None

    def hold_drawing(self, key: str, data: bytes) -> None:
        """Hold a drawing, unless it is very large."""
        if len(data) <= LARGEST:
            self._all("REPLACE INTO drawings VALUES (?, ?)", [key, data])
            self._all(_SHORTEN.format(table="drawings"), [MOST_DRAWINGS])

    def book(self, revision: str) -> bytes | None:
        """Give a price book that came with a page's form, as it would be stored, if it is held."""
        found = self._all("SELECT data FROM books WHERE key = ?", [revision])
        return zlib.decompress(found[0][0]) if found else None

    def hold_book(self, revision: str, content: bytes) -> bool:
        """Hold such a price book, unless it is very large, and tell whether it is held."""
        packed = zlib.compress(content)
        if len(packed) > LARGEST_BOOK:
            return False
        self._all("REPLACE INTO books VALUES (?, ?)", [revision, packed])
        self._all(_SHORTEN.format(table="books"), [MOST_BOOKS])
        return self.book(revision) is not None

    def _all(self, statement: str, values: Sequence[object]) -> list[tuple[Any, ...]]:
        """Run a statement, of one thread at a time; one that fails finds nothing, and is told of if it is the first."""
        with self._lock:
            try:
                return self._connected().execute(statement, values).fetchall()
            except sqlite3.Error as error:
                if not self._failed:
                    _LOG.warning("what was made last is not held: %s", error)
                self._failed = True
                return []

    def _connected(self) -> sqlite3.Connection:
        if self._opened is None or self._opened[0] != os.getpid():  # a connection does not survive a fork
            database = sqlite3.connect(
                self._file, timeout=PATIENCE, isolation_level=None, check_same_thread=False
            )  # fmt: skip
            database.executescript(_TABLES)
            self._opened = os.getpid(), database
            weakref.finalize(self, _closed, *self._opened)  # not `__del__`: it may run when modules are gone
        return self._opened[1]


def _closed(process: int, database: sqlite3.Connection) -> None:
    if process == os.getpid():
        database.close()
