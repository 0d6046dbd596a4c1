"""When the database fails at any step, full or read-only disks among it: a clear error, and all as it was before."""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy import select

from sawbill.estimating.pricebook import PriceBook
from sawbill.store import (
    Allowance,
    IdempotencyKey,
    NewQuote,
    Store,
    StoreBusyError,
    StoreError,
    StoreFullError,
    StoreReadOnlyError,
    StoreUnavailableError,
)
from sawbill.store.database import Database
from sawbill.store.schema import METADATA

Books = Callable[..., PriceBook]
Quotes = Callable[..., NewQuote]


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


@pytest.fixture
def faults(monkeypatch: pytest.MonkeyPatch) -> Faults:
    """Faults in every statement and commit, whichever database is used."""
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
        planned.call(self.connection)
        return execute(self, *words, **more)

    def faulty_commit(self: Any) -> None:
        planned.call(self)
        commit(self)

    monkeypatch.setattr(psycopg.Cursor, "execute", faulty_execute)
    monkeypatch.setattr(psycopg.Connection, "commit", faulty_commit)
    return planned


def _held(where: str) -> dict[str, set[Any]]:
    """Everything in the store."""
    database = Database(where)
    with database.read() as connection:
        held = {table.name: set(map(tuple, connection.execute(select(table)))) for table in METADATA.sorted_tables}
    database.close()
    return held


@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])
@pytest.mark.parametrize("kind", [0, 1, 2], ids=["busy", "full", "lost"])
@pytest.mark.parametrize("asked", ["quote", "book", "book deleted", "spend", "token"])
def test_whichever_call_of_the_database_fails_nothing_is_half_and_the_next_request_works(
    where: str, store: Store, faults: Faults, book: Books, a_quote: Quotes, asked: str, kind: int, lasting: bool
) -> None:
    at = store.books.put(book("4.00"), None, "anna").revision
    ask: Callable[[], object] = {
        "quote": partial(store.quotes.add, a_quote(), book("4.10"), IdempotencyKey("key", b"{}")),
        "book": partial(store.books.put, book("4.10"), at, "anna"),
        "book deleted": partial(store.books.delete, "yard", at),
        "spend": partial(store.limits.spend, "anna", 1, Allowance(10, 60)),
        "token": partial(store.tokens.make, "anna", "laptop", ["quote"]),
    }[asked]
    fault, expected = FAULTS["postgresql" if "://" in where else "sqlite"][kind]
    before = _held(where)
    for n in range(1, 100):
        store.close()
        faults.plan(fault, n, 10**6 if lasting else n)
        error = _raised(ask)
        called = faults.calls
        faults.plan(fault, 0, 0)
        if error is None:
            break
        assert isinstance(error, expected) and error.retryable, (n, error, error.__cause__)
        assert _held(where) == before, n
    assert called == n - 1 >= 2, "it went through where, and only where, nothing failed"
    assert _held(where) != before


@pytest.mark.parametrize("kind", [0, 1, 2], ids=["busy", "full", "lost"])
def test_whichever_call_fails_while_a_service_starts_the_next_start_works(
    where: str, faults: Faults, kind: int
) -> None:
    fault, expected = FAULTS["postgresql" if "://" in where else "sqlite"][kind]
    for n in range(1, 200):
        with Store.open(where) as store:
            faults.plan(fault, n, n)
            error = _raised(store.migrate)
            called = faults.calls
            faults.plan(fault, 0, 0)
            if error is None:
                break
            assert isinstance(error, expected), (n, error, error.__cause__)
            assert store.state() == "new", n
    assert called == n - 1 > 20
    with Store.open(where) as store:
        store.check()


def test_a_request_whose_answer_was_lost_is_sent_again_and_finds_its_quote(
    where: str, store: Store, monkeypatch: pytest.MonkeyPatch, book: Books, a_quote: Quotes
) -> None:
    whole = Database.write

    @contextmanager
    def write(self: Database) -> Iterator[Any]:
        with whole(self) as connection:
            yield connection
        raise StoreUnavailableError("the connection is lost: a fault of the test")

    add = partial(store.quotes.add, a_quote(), book(), IdempotencyKey("key", b"{}"))
    monkeypatch.setattr(Database, "write", write)
    with pytest.raises(StoreUnavailableError):
        add()
    monkeypatch.undo()
    assert not add().new
    assert len(store.quotes.list(None).quotes) == 1


def test_a_full_disk_is_told_and_what_was_stored_is_intact(
    folder: Path, monkeypatch: pytest.MonkeyPatch, book: Books, a_quote: Quotes
) -> None:
    real = sqlite3.connect

    def small(*words: Any, **more: Any) -> sqlite3.Connection:
        connection = real(*words, **more)
        connection.execute("PRAGMA max_page_count = 100").fetchall()
        return connection

    monkeypatch.setattr(sqlite3, "connect", small)
    with Store.open(folder) as store:
        kept = [store.quotes.add(a_quote(), book()).quote]
        with pytest.raises(StoreFullError, match="make room on its disk"):
            for _ in range(100):
                kept.append(store.quotes.add(a_quote(result=b"x" * 20_000), book()).quote)
        assert [quote.id for quote in store.quotes.list(None).quotes] == [quote.summary.id for quote in kept[::-1]]
        assert store.faults() == []
        store.quotes.delete(kept[-1].summary.id, None)
        assert store.quotes.add(a_quote(result=b"y"), book()).new, "it goes on where there is room again"


@contextmanager
def _as_nobody(folder: Path) -> Iterator[None]:
    """Do something as a user who may not write in a folder: root may everywhere."""
    root = os.geteuid() == 0
    for path in [folder, *folder.iterdir()]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that every user can come to."""
    folder = Path(tempfile.mkdtemp(prefix="sawbill-"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


def test_a_read_only_folder_is_told_and_what_was_stored_is_intact(
    open_folder: Path, book: Books, a_quote: Quotes
) -> None:
    with Store.open(open_folder / "data") as store:
        store.migrate()
        kept = store.quotes.add(a_quote(), book()).quote
    with _as_nobody(open_folder / "data"), Store.open(open_folder / "data") as store:  # noqa: SIM117
        with pytest.raises(StoreReadOnlyError, match="let the service's user write"):
            store.quotes.add(a_quote(), book())
    with _as_nobody(open_folder), Store.open(open_folder / "new") as store:  # noqa: SIM117
        with pytest.raises(StoreError, match="may write in"):
            store.migrate()
    (open_folder / "data" / "sawbill.sqlite").chmod(0o600)
    with Store.open(open_folder / "data") as store:
        assert store.quotes.get(kept.summary.id, "anna") == kept
        assert store.faults() == []


@pytest.mark.postgresql
def test_a_database_that_only_reads_is_told(server: Any, a_quote: Quotes, book: Books) -> None:
    where = server.database()
    with Store.open(where) as store:
        store.migrate()
    with Store.open(f"{where}&options=-c%20default_transaction_read_only%3Don") as store:
        with pytest.raises(StoreReadOnlyError, match="let the service's user write"):
            store.quotes.add(a_quote(), book())
        assert store.quotes.list(None).quotes == ()


def _raised(ask: Callable[[], object]) -> StoreError | None:
    try:
        ask()
    except StoreError as error:
        return error
    return None
