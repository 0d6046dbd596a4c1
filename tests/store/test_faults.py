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

import pytest
from tests.store.conftest import ANNA
from tests.store.failing import KINDS, Faults, faults_at, held

from sawbill.prices.pricebook import PriceBook
from sawbill.store import (
    Allowance,
    IdempotencyKey,
    NewQuote,
    Store,
    StoreError,
    StoreFullError,
    StoreReadOnlyError,
    StoreUnavailableError,
)
from sawbill.store.sql.database import Database

Books = Callable[..., PriceBook]
Quotes = Callable[..., NewQuote]


@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])
@pytest.mark.parametrize("kind", [0, 1, 2], ids=KINDS)
@pytest.mark.parametrize("asked", ["quote", "book", "book deleted", "spend", "token", "session", "handed over"])
def test_whichever_call_of_the_database_fails_nothing_is_half_and_the_next_request_works(
    where: str, store: Store, faults: Faults, book: Books, a_quote: Quotes, asked: str, kind: int, lasting: bool
) -> None:
    at = store.books.put(book("4.00"), None, ANNA).revision
    _, secret = store.tokens.make("anna", "phone", ["quote"])
    ask: Callable[[], object] = {
        "quote": partial(store.quotes.add, a_quote(), book("4.10"), IdempotencyKey("key", b"{}")),
        "book": partial(store.books.put, book("4.10"), at, ANNA),
        "book deleted": partial(store.books.delete, "yard", at, ANNA),
        "spend": partial(store.limits.spend, "anna", 1, Allowance(10, 60)),
        "token": partial(store.tokens.make, "anna", "laptop", ["quote"]),
        "session": partial(store.sessions.begin, secret, over_tls=True),
        "handed over": partial(store.owners.hand_over, "anna", "ben"),
    }[asked]
    fault, expected = faults_at(where)[kind]
    before = held(where)
    for n in range(1, 100):
        store.close()
        faults.plan(fault, n, 10**6 if lasting else n)
        error = _raised(ask)
        called = faults.calls
        faults.plan(fault, 0, 0)
        if error is None:
            break
        assert isinstance(error, expected) and error.retryable, (n, error, error.__cause__)
        assert held(where) == before, n
    assert called == n - 1 >= 2, "it went through where, and only where, nothing failed"
    assert held(where) != before


@pytest.mark.parametrize("kind", [0, 1, 2], ids=KINDS)
def test_whichever_call_fails_while_a_service_starts_the_next_start_works(
    where: str, faults: Faults, kind: int
) -> None:
    fault, expected = faults_at(where)[kind]
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
        with pytest.raises(StoreError, match="can write to"):
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
