"""From what a database driver raises to what the store says."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Final

from sqlalchemy import exc

from sawbill.store.errors import (
    StoreBusyError,
    StoreDamagedError,
    StoreError,
    StoreFullError,
    StoreNotAtHeadError,
    StoreReadOnlyError,
    StoreUnavailableError,
)

_SAYS: Final[Mapping[type[StoreError], str]] = {
    StoreFullError: "the store is full; make room on its disk and send this again: nothing was changed",
    StoreReadOnlyError: "the store cannot be written to; let the service's user write to its folder or its database",
    StoreBusyError: "the store is busy; try again in a moment: nothing was changed",
    StoreUnavailableError: "the store cannot be reached; check that its folder or database server is there, and try "
    "again with the same idempotency key",
    StoreDamagedError: "the store's file is damaged; restore the last backup",
    StoreNotAtHeadError: "the store does not have the tables of this version; run `sawbill migrate`",
    StoreError: "the database refused what this version asked of it; please report that",
}

_SQLITE: Final[Mapping[int, type[StoreError]]] = {
    sqlite3.SQLITE_FULL: StoreFullError,
    sqlite3.SQLITE_READONLY: StoreReadOnlyError,
    sqlite3.SQLITE_PERM: StoreReadOnlyError,
    sqlite3.SQLITE_BUSY: StoreBusyError,
    sqlite3.SQLITE_LOCKED: StoreBusyError,
    sqlite3.SQLITE_CANTOPEN: StoreUnavailableError,
    sqlite3.SQLITE_IOERR: StoreUnavailableError,
    sqlite3.SQLITE_CORRUPT: StoreDamagedError,
    sqlite3.SQLITE_NOTADB: StoreDamagedError,
}
"""SQLite's primary result codes (its documentation, "Result and Error Codes")."""

_POSTGRESQL: Final[Mapping[str, type[StoreError]]] = {
    "53100": StoreFullError,  # disk_full
    "25006": StoreReadOnlyError,  # read_only_sql_transaction
    "42501": StoreReadOnlyError,  # insufficient_privilege
    "40001": StoreBusyError,  # serialization_failure
    "40P01": StoreBusyError,  # deadlock_detected
    "55P03": StoreBusyError,  # lock_not_available
    "57014": StoreBusyError,  # query_canceled: the statement took too long
    "42P01": StoreNotAtHeadError,  # undefined_table
    "42703": StoreNotAtHeadError,  # undefined_column
}
"""PostgreSQL's codes (its documentation, appendix A)."""

_LOST: Final = ("08", "53", "57P", "58")
"""How codes begin that tell of a lost connection, lacking resources, a server that stops, or a fault of its system."""


@contextmanager
def told() -> Iterator[None]:
    """Say in the store's words what a driver raises inside. Raises StoreError, or what is none of the driver's."""
    try:
        yield
    except exc.TimeoutError as error:
        raise StoreBusyError(_SAYS[StoreBusyError]) from error
    except exc.StatementError as error:
        if isinstance(error.orig, ValueError) and not isinstance(error, exc.DBAPIError):
            raise error.orig from None  # text that no database can hold: the caller's fault
        raise _of(error.orig) from error
    except sqlite3.Error as error:
        raise _of(error) from error


def _of(raised: BaseException | None) -> StoreError:
    kind = _of_sqlite(raised) if isinstance(raised, sqlite3.Error) else _of_postgresql(raised)
    return kind(_SAYS[kind])


def _of_sqlite(raised: sqlite3.Error) -> type[StoreError]:
    code = getattr(raised, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_ERROR and str(raised).startswith("no such "):
        return StoreNotAtHeadError
    return _SQLITE.get(code, StoreError)


def _of_postgresql(raised: BaseException | None) -> type[StoreError]:
    code = getattr(raised, "sqlstate", None)
    if code is None or code in _POSTGRESQL:
        return _POSTGRESQL.get(code or "", StoreUnavailableError)
    return StoreUnavailableError if code.startswith(_LOST) else StoreError
