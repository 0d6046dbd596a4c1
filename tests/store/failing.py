"""Faults in the calls of a database, whichever it is, for tests to plan."""

import sqlite3
from collections.abc import Callable
from functools import partial
from typing import Any

import psycopg
import pytest
from sqlalchemy import select

from sawbill.store import StoreBusyError, StoreFullError, StoreUnavailableError
from sawbill.store.sql.database import Database
from sawbill.store.sql.schema import METADATA


class Faults:
    """Counts the calls of the database, and lets some fail."""

    def __init__(self) -> None:
        self.first = self.last = self.calls = 0
        self.fault: Callable[[Any], Exception] = lambda _: AssertionError()

    def plan(self, fault: Callable[[Any], Exception], first: int, last: int) -> None:
        self.calls, self.fault, self.first, self.last = 0, fault, first, last

    def call(self, connection: Any) -> None:
        self.calls += 1
        if self.first <= self.calls <= self.last:
            raise self.fault(connection)


def _sqlite(code: int) -> Callable[[Any], Exception]:
    def fault(_: Any) -> Exception:
        error = sqlite3.OperationalError("a fault of the test")
        error.sqlite_errorcode = code
        return error

    return fault


def _lost(connection: Any) -> Exception:
    connection.close()
    return psycopg.OperationalError("the connection is lost: a fault of the test")


PING = ";"
"""What a pooled connection is tried by before it is used: one found lost is replaced, and nobody notices."""

KINDS = ["busy", "full", "lost"]
FAULTS = {
    "sqlite": (
        (_sqlite(sqlite3.SQLITE_BUSY), StoreBusyError),
        (_sqlite(sqlite3.SQLITE_FULL), StoreFullError),
        (_sqlite(sqlite3.SQLITE_IOERR_WRITE), StoreUnavailableError),
    ),
    "postgresql": (
        (lambda _: psycopg.errors.LockNotAvailable("a fault of the test"), StoreBusyError),
        (lambda _: psycopg.errors.DiskFull("a fault of the test"), StoreFullError),
        (_lost, StoreUnavailableError),
    ),
}


def plan_faults(monkeypatch: pytest.MonkeyPatch) -> Faults:
    """Make faults possible in every statement and commit, whichever database is used."""
    planned = Faults()

    class Cursor(sqlite3.Cursor):
        def execute(self, *words: Any) -> Any:
            planned.call(self.connection)
            return super().execute(*words)

    class Connection(sqlite3.Connection):
        def cursor(self, *_: Any) -> Any:
            return super().cursor(Cursor)

        def commit(self) -> None:
            planned.call(self)
            super().commit()

    monkeypatch.setattr(sqlite3, "connect", partial(sqlite3.connect, factory=Connection))
    execute, commit = psycopg.Cursor.execute, psycopg.Connection.commit

    def faulty_execute(self: Any, *words: Any, **more: Any) -> Any:
        if words[0] != PING:
            planned.call(self.connection)
        return execute(self, *words, **more)

    def faulty_commit(self: Any) -> None:
        planned.call(self)
        commit(self)

    monkeypatch.setattr(psycopg.Cursor, "execute", faulty_execute)
    monkeypatch.setattr(psycopg.Connection, "commit", faulty_commit)
    return planned


def held(where: str) -> dict[str, set[Any]]:
    """Everything in the store."""
    database = Database(where)
    with database.read() as connection:
        found = {table.name: set(map(tuple, connection.execute(select(table)))) for table in METADATA.sorted_tables}
    database.close()
    return found


def faults_at(where: str) -> tuple[tuple[Callable[[Any], Exception], type[Exception]], ...]:
    """Give the faults of the database that a store is in, in the order of KINDS, and what the store says of each."""
    return FAULTS["postgresql" if "://" in where else "sqlite"]
