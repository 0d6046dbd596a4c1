"""Price books by name and revision, on both databases."""

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from tests.store.conftest import Clock
from tests.store.together import at_once

from sawbill.estimating.pricebook import PriceBook, content
from sawbill.files.asjson import read_json
from sawbill.store import (
    NewQuote,
    RevisionConflictError,
    Store,
    StoreDamagedError,
    StoreError,
    UnknownStoredBookError,
)

Books = Callable[..., PriceBook]


def test_a_book_is_read_back_to_the_same_revision(store: Store, samples: dict[str, PriceBook]) -> None:
    for name, book in samples.items():
        entry = store.books.put(book, None, "anna")
        kept = store.books.content(name, entry.revision)
        assert read_json(name, json.loads(kept)) == book
        assert entry.revision == book.revision
        assert json.loads(kept) == content(book)
    assert [entry.name for entry in store.books.list()] == sorted(samples)


def test_each_writing_is_the_next_revision_and_all_of_them_stay_readable(
    store: Store, book: Books, clock: Clock
) -> None:
    first = store.books.put(book("4.00"), None, "anna")
    clock.move(days=1)
    second = store.books.put(book("4.10"), first.revision, "ben")
    assert (first.sequence, second.sequence, second.by) == (1, 2, "ben")
    assert store.books.get("yard") == second
    assert store.books.history("yard") == (second, first)
    assert store.books.history("yard", before=2) == (first,)
    assert store.books.history("yard", most=1) == (second,)
    assert (second.stored - first.stored).days == 1
    assert b'"price":"4.00"' in store.books.content("yard", first.revision)


def test_a_book_may_come_back_to_an_earlier_revision(store: Store, book: Books) -> None:
    old = store.books.put(book("4.00"), None, "anna").revision
    new = store.books.put(book("4.10"), old, "anna").revision
    assert store.books.put(book("4.00"), new, "anna").sequence == 3
    assert [entry.revision for entry in store.books.history("yard")] == [old, new, old]


def test_a_price_keeps_every_digit(store: Store, book: Books) -> None:
    for price in ("0.10", "99999999.99", "4.30"):
        kept = book(price, name=f"yard-{price.replace('.', '-')}")
        store.books.put(kept, None, "anna")
        assert f'"price":"{price}"'.encode() in store.books.content(kept.name, kept.revision)


def test_who_writes_on_an_older_revision_is_told_the_one_it_is_at(store: Store, book: Books) -> None:
    first = store.books.put(book("4.00"), None, "anna")
    second = store.books.put(book("4.10"), first.revision, "anna")
    for expected in (first.revision, None):
        with pytest.raises(RevisionConflictError) as caught:
            store.books.put(book("4.20"), expected, "ben")
        assert caught.value.current == second.revision
        assert second.revision in str(caught.value)
    with pytest.raises(RevisionConflictError) as caught:
        store.books.put(book(name="none"), first.revision, "ben")
    assert caught.value.current is None
    assert store.books.get("yard") == second
    with pytest.raises(UnknownStoredBookError):
        store.books.revision(book("4.20").revision)


def test_the_same_writing_twice_is_one_revision(store: Store, book: Books) -> None:
    first = store.books.put(book("4.00"), None, "anna")
    assert store.books.put(book("4.00"), None, "anna") == first
    assert len(store.books.history("yard")) == 1


def test_of_many_writers_on_one_book_one_wins_and_the_others_are_told(store: Store, book: Books) -> None:
    for before in (None, store.books.put(book(name="old"), None, "anna").revision):
        name = "new" if before is None else "old"
        write = partial(store.books.put, expected=before, by="ben")
        won, told = at_once([partial(write, book(f"5.{i:02}", name)) for i in range(8)])
        assert len(won) == 1
        assert all(isinstance(error, RevisionConflictError) for error in told), told
        assert store.books.get(name) == won[0]
        assert store.books.history(name)[0] == won[0]
        assert len(store.books.history(name)) == (1 if before is None else 2)


def test_a_deleted_book_leaves_only_what_quotes_point_to(
    store: Store, book: Books, a_quote: Callable[..., NewQuote]
) -> None:
    first = store.books.put(book("4.00"), None, "anna").revision
    last = store.books.put(book("4.10"), first, "anna").revision
    quote_id = store.quotes.add(a_quote(), book("4.00")).quote.summary.id
    with pytest.raises(RevisionConflictError):
        store.books.delete("yard", first)
    store.books.delete("yard", last)
    assert store.books.list() == ()
    for ask in (store.books.get, store.books.history, lambda name: store.books.content(name, first)):
        with pytest.raises(UnknownStoredBookError):
            ask("yard")
    assert b'"price":"4.00"' in store.books.revision(first)
    with pytest.raises(UnknownStoredBookError):
        store.books.revision(last)
    store.quotes.delete(quote_id, "anna")
    with pytest.raises(UnknownStoredBookError):
        store.books.revision(first)
    with pytest.raises(UnknownStoredBookError):
        store.books.delete("yard", last)


def test_a_revision_that_two_books_have_stays_with_the_other(store: Store, book: Books) -> None:
    one = store.books.put(book(name="one"), None, "anna")
    store.books.put(book(name="two"), None, "anna")
    store.books.delete("one", one.revision)
    assert store.books.content("two", one.revision)


def test_another_content_by_the_same_name_is_refused(store: Store, book: Books) -> None:
    forged = replace(book("9.99"), name="forged")
    object.__setattr__(forged, "revision", store.books.put(book("4.00"), None, "anna").revision)
    with pytest.raises(StoreError, match="has the revision"):
        store.books.put(forged, None, "mallory")
    assert len(store.books.list()) == 1


def test_a_content_that_is_not_what_its_name_says_is_not_given_out(folder: Path, book: Books) -> None:
    with Store.open(folder) as store:
        entry = store.books.put(book(), None, "anna")
        with closing(sqlite3.connect(folder / "sawbill.sqlite")) as behind, behind:
            behind.execute("UPDATE revisions SET content = CAST(replace(content, '4.00', '1.00') AS BLOB)")
        with pytest.raises(StoreDamagedError, match="damaged; restore"):
            store.books.content("yard", entry.revision)


def test_text_that_one_of_the_databases_could_not_hold_is_refused_by_both(store: Store, book: Books) -> None:
    for name in ("nul\0", "half \ud800"):
        with pytest.raises(ValueError, match="leave that out"):
            store.books.put(book(), None, name)
    assert store.books.list() == ()
