"""Transactions: what is read belongs together, and what one is about to point to no other takes away."""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func, insert, select
from tests.store.conftest import ANNA, Clock

from sawbill.prices.pricebook import PriceBook
from sawbill.store import NewQuote, Store, StoreError, StoreReadOnlyError
from sawbill.store.kept import revisions
from sawbill.store.sql.database import Database, connect_file
from sawbill.store.sql.schema import HISTORY, QUOTES

Books = Callable[..., PriceBook]


@pytest.fixture
def database(where: str, store: Store) -> Iterator[Database]:
    opened = Database(where)
    yield opened
    opened.close()


def test_what_one_transaction_reads_is_of_one_moment(database: Database, store: Store, book: Books) -> None:
    count = select(func.count()).select_from(HISTORY)
    with database.read() as connection:
        before = connection.execute(count).scalar_one()
        store.books.put(book(), None, ANNA)
        assert connection.execute(count).scalar_one() == before == 0
    with database.read() as connection:
        assert connection.execute(count).scalar_one() == 1


def test_what_is_raised_inside_a_transaction_undoes_all_of_it(database: Database, book: Books, clock: Clock) -> None:
    with pytest.raises(KeyError), database.write() as connection:
        revisions.keep(connection, book(), clock.now)
        raise KeyError
    with database.read() as connection:
        assert revisions.read(connection, book().revision) is None


def test_a_revision_that_a_quote_is_about_to_point_to_outlives_its_book(
    database: Database, store: Store, book: Books, a_quote: Callable[..., NewQuote], clock: Clock
) -> None:
    revision = store.books.put(book(), None, ANNA).revision
    failed: list[StoreError] = []
    store.books.delete("yard", revision, ANNA)
    clock.move(days=31)

    def forget() -> None:
        try:
            store.books.put(book("9.00", "other"), None, ANNA)
        except StoreError as error:
            failed.append(error)

    deleting = threading.Thread(target=forget)
    with database.write() as connection:
        revisions.keep(connection, book(), clock.now)
        deleting.start()
        deleting.join(0.5)
        assert deleting.is_alive(), "it waits for the quote"
        row: dict[str, Any] = asdict(a_quote()) | {"id": "q", "revision": revision, "stored": clock.now}
        connection.execute(insert(QUOTES).values(row))
    deleting.join()
    assert failed == []
    assert [entry.name for entry in store.books.list(ANNA)] == ["other"]
    assert store.books.revision(store.quotes.get("q", "anna").summary.revision)


@pytest.mark.postgresql
def test_a_reader_cannot_write_by_mistake(server: Any, clock: Clock, book: Books) -> None:
    where = server.database()
    with Store.open(where) as store:
        store.migrate()
    database = Database(where)
    with pytest.raises(StoreReadOnlyError), database.read() as connection:
        revisions.keep(connection, book(), clock.now)
    database.close()


def test_a_new_file_is_waited_for_while_another_changes_how_it_is_kept(tmp_path: Path) -> None:
    """SQLite refuses this at once, whatever time it is given."""
    file = tmp_path / "new.sqlite"
    other = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        connect_file(file, wait=0)
    ending = threading.Timer(0.2, other.execute, ["COMMIT"])
    ending.start()
    connection = connect_file(file)
    assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    ending.join()
    for each in (connection, other):
        each.close()
