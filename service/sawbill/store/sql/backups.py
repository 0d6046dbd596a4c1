"""Backups of a store in a data folder: taken while it is in use, restored into an empty folder."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sawbill.store.errors import StoreDamagedError, StoreError, StoreFullError
from sawbill.store.sql.database import FILE, connect_file
from sawbill.store.sql.driver_errors import told


def back_up(file: Path, target: Path) -> None:
    """Copy a store as it stands at one moment into one file, whoever writes to it meanwhile.

    The file appears once it is whole, checked and on the disk. Raises StoreError: it is there already, or cannot be.
    """
    if not file.exists():
        raise StoreError(f"there is no store in {file.parent}; name the data folder of one")
    with told(), _appearing(target) as part, closing(connect_file(file)) as source:
        _copy(source, part)


def restore(backup: Path, folder: Path) -> None:
    """Make a store of a backup, in a folder that is empty or not there yet.

    Raises StoreError: the folder holds something. StoreDamagedError: the backup is no sound store.
    """
    if not backup.is_file():
        raise StoreError(f"{backup} is not a file; name one that `sawbill backup` made")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise StoreError(f"{folder} is not empty; name a new folder, so that nothing is overwritten")
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    address = f"{backup.absolute().as_uri()}?mode=ro&immutable=1"  # so that nothing is written beside it
    with told(), _appearing(folder / FILE) as part, closing(sqlite3.connect(address, uri=True)) as source:
        _check(source)
        _copy(source, part)


@contextmanager
def _appearing(target: Path) -> Iterator[Path]:
    """Give the name under which to write a file that is to appear when it is whole, and never over another."""
    if target.exists():
        raise StoreError(f"{target} exists already; name another file, so that nothing is overwritten")
    part = target.with_name(f"{target.name}.part")
    try:
        os.close(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except OSError as error:
        raise StoreError(f"{part}: {error.strerror}; name a file in a folder you can write to") from error
    try:
        yield part
        part.replace(target)
        _settle(target.parent)
    except OSError as error:
        raise StoreFullError(f"{target}: {error.strerror}; make room for it") from error
    finally:
        part.unlink(missing_ok=True)


def _copy(source: sqlite3.Connection, part: Path) -> None:
    """Copy a database in one step, so that it is of one moment; then check the copy and see it onto the disk."""
    with closing(sqlite3.connect(part, isolation_level=None)) as copy:
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE").fetchall()  # one file, with nothing beside it
        _check(copy)
    _settle(part)


def _check(database: sqlite3.Connection) -> None:
    """Refuse a database that is no sound store. Raises StoreDamagedError."""
    damaged = StoreDamagedError("this store is damaged: its pages, or the links between its tables, are not right")
    try:
        sound = database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        stray = database.execute("PRAGMA foreign_key_check").fetchone()
        versions = database.execute("SELECT count(*) FROM alembic_version").fetchone()
    except sqlite3.DatabaseError as error:
        raise damaged from error
    if not sound or stray is not None or versions != (1,):
        raise damaged


def _settle(path: Path) -> None:
    """See a file, or the names in a folder, onto the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
