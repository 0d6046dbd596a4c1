"""The one way to a database, SQLite in a data folder or PostgreSQL by its address: transactions to read and write."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path
from typing import Any, Final, TypeVar

import sqlalchemy
from sqlalchemy import (
    ColumnElement,
    Connection,
    Engine,
    Row,
    Table,
    delete,
    event,
    make_url,
    select,
    tuple_,
)
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from sawbill.store.errors import StoreError, StoreFullError, StoreUnavailableError
from sawbill.store.sql.driver_errors import told
from sawbill.store.sql.reserve import Reserve

T = TypeVar("T")

FILE: Final = "sawbill.sqlite"
"""The store's file in its data folder; SQLite keeps two more beside it while it is open."""

WAIT: Final = 5
"""How long a transaction waits for others [s]."""
LONGEST_STATEMENT: Final = 30
"""How long PostgreSQL may take over one statement [s]."""

AnyRow = Row[*tuple[Any, ...]]
"""A row with its columns as attributes."""

_POSTGRESQL: Final = "postgresql+psycopg"
_ONE_SNAPSHOT: Final = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
_OPTIONS: Final = f"-c lock_timeout={WAIT}s -c statement_timeout={LONGEST_STATEMENT}s -c timezone=UTC"


class Database:
    """A database to read and to write, each time in one transaction.

    where: a data folder, or the address of a PostgreSQL database. Connections are made when they are needed, and
    belong to the process that made them: a process closes before it forks, or opens after.
    Raises StoreError: where is an address of another kind.
    """

    def __init__(self, where: str | Path) -> None:
        self.folder = None if "://" in str(where) else Path(where)
        self.reserve = None if self.folder is None else Reserve(self.folder)
        self._engine = _postgresql(str(where)) if self.reserve is None else _sqlite(Path(where), self.reserve)
        self._writer = self._engine.execution_options(writes=True)
        self._reader = self._engine if self.folder else self._engine.execution_options(**_ONE_SNAPSHOT)
        event.listen(self._engine, "connect", _remember_process)
        event.listen(self._engine, "checkout", _check_process)

    @property
    def file(self) -> Path | None:
        """The file of a store in a data folder."""
        return self.folder and self.folder / FILE

    def read(self) -> AbstractContextManager[Connection]:
        """Open a transaction that only reads: what it reads belongs together."""
        return _transaction(self._reader)

    def write(self) -> AbstractContextManager[Connection]:
        """Open a transaction that writes: all of it is kept, or none. On SQLite there is one at a time."""
        return _transaction(self._writer)

    def make_room(self, work: Callable[[Connection], T]) -> T:
        """Do what deletes in one transaction, also on a full disk: then the room that is kept for this is given up."""
        try:
            with self.write() as connection:
                return work(connection)
        except StoreFullError:
            if self.reserve is None or not self.reserve.give_up():
                raise
        with self.write() as connection:
            done = work(connection)
        with suppress(StoreError), told(), self._engine.connect() as connection:
            connection.exec_driver_sql("ROLLBACK")
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")  # the log's own room is free again, too
        self.reserve.lay()
        return done

    def close(self) -> None:
        """Close all connections; the next use opens others."""
        self._engine.dispose()


@contextmanager
def _transaction(engine: Engine) -> Iterator[Connection]:
    with told(), engine.begin() as connection:
        yield connection


def insert(connection: Connection, table: Table) -> Any:
    """Begin an insertion that may say what becomes of a row that is there (`on_conflict_…`)."""
    return sqlite.insert(table) if connection.dialect.name == "sqlite" else postgresql.insert(table)


def insert_new(connection: Connection, table: Table, row: Mapping[str, Any]) -> bool:
    """Insert a row unless one with its key is there, and tell whether it was inserted.

    On PostgreSQL it waits for whoever is about to insert the same.
    """
    query = insert(connection, table).values(row).on_conflict_do_nothing().returning(*table.primary_key.columns)
    return connection.execute(query).first() is not None


def sweep(connection: Connection, table: Table, condition: ColumnElement[bool]) -> None:
    """Delete the rows that meet a condition, but for those that somebody else holds."""
    key = tuple_(*table.primary_key.columns)
    rows = select(*table.primary_key.columns).where(condition).with_for_update(skip_locked=True)
    connection.execute(delete(table).where(key.in_(rows)))


def connect_file(file: Path, wait: float = WAIT) -> sqlite3.Connection:
    """Connect to a store's file that is there; transactions are begun by whoever uses it.

    An acknowledged write is on the disk (synchronous=FULL): NORMAL could lose it when the power fails.
    """
    address = f"{file.absolute().as_uri()}?mode=rw"
    connection = sqlite3.connect(address, uri=True, timeout=wait, isolation_level=None, check_same_thread=False)
    try:
        _write_ahead(connection, wait)
        for pragma in ("synchronous = FULL", "foreign_keys = ON"):
            connection.execute(f"PRAGMA {pragma}").fetchall()
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _write_ahead(connection: sqlite3.Connection, wait: float) -> None:
    """Have a file keep a write-ahead log, which it remembers.

    Of several that change a new file so at once, SQLite refuses some without waiting: they would wait for each other.
    """
    end = time.monotonic() + wait
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL").fetchall()
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > end:
                raise
        time.sleep(0.01)


def create_file(file: Path) -> None:
    """Make a store's file, for its owner's eyes only, and its folder. Raises StoreUnavailableError."""
    try:
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(file, os.O_RDWR | os.O_CREAT, 0o600))
    except OSError as error:
        remedy = "name a folder the service's user can write to"
        raise StoreUnavailableError(f"{file.parent}: {error.strerror}; {remedy}") from error


def _sqlite(folder: Path, reserve: Reserve) -> Engine:
    file = folder / FILE

    def connect() -> sqlite3.Connection:
        try:
            return connect_file(file)
        except sqlite3.OperationalError:
            if reserve.room() or not reserve.give_up():
                raise
            return connect_file(file)  # on a full disk, what is kept beside the file had no room

    engine = _engine("sqlite://", creator=connect, poolclass=QueuePool)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # A transaction that will write takes the lock at once: one that read first could not get it any more.
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _postgresql(address: str) -> Engine:
    try:
        url = make_url(address)
    except ArgumentError:
        url = None
    if url is None or url.drivername != _POSTGRESQL:
        raise StoreError(
            f"the store is a data folder, or an address that begins with {_POSTGRESQL}://, such as "
            f"{_POSTGRESQL}://sawbill@localhost/sawbill"
        )
    options = " ".join(filter(None, (_OPTIONS, str(url.query.get("options", "")))))
    arguments = {"connect_timeout": WAIT, **url.query, "options": options}
    return _engine(url.set(query={}), connect_args=arguments, pool_pre_ping=True)


def _engine(url: Any, **more: Any) -> Engine:
    make: Callable[..., Engine] = sqlalchemy.create_engine  # by its module, where it may be traced
    return make(url, pool_size=5, max_overflow=10, pool_timeout=WAIT, hide_parameters=True, **more)


def _remember_process(_: object, record: Any) -> None:
    record.info["process"] = os.getpid()


def _check_process(_: object, record: Any, __: object) -> None:
    if record.info["process"] != os.getpid():
        raise StoreError("the store was in use when this process was forked; close it before, or open it after")
