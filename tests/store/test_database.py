"""Transactions: what is read belongs together, and what one is about to point to no other takes away."""

import threading
from collections.abc import Callable, Iterator
from dataclasses import asdict
from typing import Any

import pytest
from sqlalchemy import func, insert, select
from tests.store.conftest import Clock

from sawbill.estimating.pricebook import PriceBook
from sawbill.store import NewQuote, Store, StoreError, StoreReadOnlyError, revisions
from sawbill.store.database import Database
from sawbill.store.schema import HISTORY, QUOTES

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
        store.books.put(book(), None, "anna")
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
    revision = store.books.put(book(), None, "anna").revision
    failed: list[StoreError] = []

    def delete() -> None:
        try:
            store.books.delete("yard", revision)
        except StoreError as error:
            failed.append(error)

    deleting = threading.Thread(target=delete)
    with database.write() as connection:
        revisions.keep(connection, book(), clock.now)
        deleting.start()
        deleting.join(0.5)
        assert deleting.is_alive(), "it waits for the quote"
        row: dict[str, Any] = asdict(a_quote()) | {"id": "q", "revision": revision, "stored": clock.now}
        connection.execute(insert(QUOTES).values(row))
    deleting.join()
    assert failed == []
    assert store.books.list() == ()
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
