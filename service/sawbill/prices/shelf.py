"""The shelf: the price books in a folder, each read when asked for and again when its files have changed."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Final

from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.toml import SETTINGS_FILE
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.columns import TABLES
from sawbill.prices.rows.faults import SawbillError

Stamp = tuple[tuple[int, int] | None, ...]

BOOK_NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,62}", re.ASCII)
"""What a price book may be called, wherever it is kept."""
LARGE: Final = 100_000
"""From how many bytes on the files of a book are large: to read as many takes some 50 ms."""
_FILES: Final = (SETTINGS_FILE, *(f"{table}.csv" for table in TABLES))


class UnknownBookError(SawbillError):
    """No price book has this name; the message gives the nearest ones."""


class Shelf:
    """The price books in a folder, one folder each, named in small letters, digits and hyphens."""

    def __init__(self, folder: Path, aside: Callable[[Path], PriceBook] = read_folder) -> None:
        """Aside: reads a large book for whoever asks, who holds up nobody else meanwhile."""
        self._folder, self._aside = folder, aside
        self._read: dict[str, tuple[Stamp, PriceBook]] = {}
        self._lock = threading.Lock()

    def names(self) -> list[str]:
        """List the books by name, in order; a folder without a book.toml is none."""
        if not self._folder.is_dir():
            return []
        folders = (entry for entry in self._folder.iterdir() if BOOK_NAME.fullmatch(entry.name))
        return sorted(folder.name for folder in folders if (folder / SETTINGS_FILE).is_file())

    def has(self, name: str) -> bool:
        """Tell whether there is a book of this name, at fault or not."""
        return BOOK_NAME.fullmatch(name) is not None and (self._folder / name / SETTINGS_FILE).is_file()

    def get(self, name: str) -> PriceBook:
        """Give a book as its files are now.

        Raises UnknownBookError: there is none of this name. BookFaultsError: it is at fault.
        """
        if not self.has(name):
            raise UnknownBookError(f"there is no price book with this name; {nearest(name[:63], self.names())}")
        # The stamp is taken first: a file that changes while it is read is read again the next time.
        stamp = _stamp(self._folder / name)
        if sum(size for _, size in filter(None, stamp)) >= LARGE:
            return self._at(name, stamp, self._aside)
        with self._lock:
            return self._at(name, stamp, read_folder)

    def _at(self, name: str, stamp: Stamp, read: Callable[[Path], PriceBook]) -> PriceBook:
        """Give a book as it is held, or read it."""
        held = self._read.get(name)
        if held is None or held[0] != stamp:
            held = stamp, read(self._folder / name)
            self._read[name] = held
        return held[1]


def sample_folder() -> Path:
    """Find the folder of the sample books: in the installed package, or in a checkout beside its sources."""
    package = Path(__file__).resolve().parent.parent
    packaged = package / "pricebooks"
    return packaged if packaged.is_dir() else package.parent.parent / "pricebooks"


def _stamp(folder: Path) -> Stamp:
    return tuple(_file_stamp(folder / name) for name in _FILES)


def _file_stamp(path: Path) -> tuple[int, int] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_mtime_ns, status.st_size
