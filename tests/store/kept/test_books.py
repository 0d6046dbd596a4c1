"""Price books by name and revision, on both databases."""

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest
from tests.store.conftest import ANNA, BEN, CID, KEEPER, STRANGER, Clock
from tests.store.together import at_once

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import PriceBook, content
from sawbill.store import (
    BookEntry,
    BookRights,
    DeletedBookError,
    Grant,
    NameTakenError,
    NewQuote,
    NotYoursError,
    RevisionConflictError,
    Store,
    StoreDamagedError,
    StoreError,
    UnknownStoredBookError,
    Who,
)
from sawbill.store.kept.rights import MOST_GRANTS

Books = Callable[..., PriceBook]


def test_a_book_is_read_back_to_the_same_revision(store: Store, samples: dict[str, PriceBook]) -> None:
    for name, book in samples.items():
        entry = store.books.put(book, None, ANNA)
        kept = store.books.content(name, entry.revision, ANNA)
        assert read_json(name, json.loads(kept)) == book
        assert entry.revision == book.revision
        assert json.loads(kept) == content(book)
    assert [entry.name for entry in store.books.list(ANNA)] == sorted(samples)


def test_each_writing_is_the_next_revision_and_all_of_them_stay_readable(
    store: Store, book: Books, clock: Clock
) -> None:
    first = store.books.put(book("4.00"), None, ANNA)
    clock.move(days=1)
    second = store.books.put(book("4.10"), first.revision, KEEPER)
    assert (first.sequence, second.sequence, second.by) == (1, 2, "root")
    assert store.books.get("yard", KEEPER) == second
    assert store.books.history("yard", KEEPER) == (second, first)
    assert store.books.history("yard", ANNA, before=2) == (first,)
    assert store.books.history("yard", ANNA, most=1) == (second,)
    assert (second.stored - first.stored).days == 1
    assert b'"price":"4.00"' in store.books.content("yard", first.revision, ANNA)


def test_a_book_may_come_back_to_an_earlier_revision(store: Store, book: Books) -> None:
    old = store.books.put(book("4.00"), None, ANNA).revision
    new = store.books.put(book("4.10"), old, ANNA).revision
    assert store.books.put(book("4.00"), new, ANNA).sequence == 3
    assert [entry.revision for entry in store.books.history("yard", ANNA)] == [old, new, old]


def test_a_price_keeps_every_digit(store: Store, book: Books) -> None:
    for price in ("0.10", "99999999.99", "4.30"):
        kept = book(price, name=f"yard-{price.replace('.', '-')}")
        store.books.put(kept, None, ANNA)
        assert f'"price":"{price}"'.encode() in store.books.content(kept.name, kept.revision, ANNA)


def test_who_writes_on_an_older_revision_is_told_the_one_it_is_at(store: Store, book: Books) -> None:
    first = store.books.put(book("4.00"), None, ANNA)
    second = store.books.put(book("4.10"), first.revision, ANNA)
    for expected in (first.revision, None):
        with pytest.raises(RevisionConflictError) as caught:
            store.books.put(book("4.20"), expected, ANNA)
        assert caught.value.current == second.revision
        assert second.revision in str(caught.value)
    with pytest.raises(RevisionConflictError) as caught:
        store.books.put(book(name="none"), first.revision, BEN)
    assert caught.value.current is None
    assert store.books.get("yard", ANNA) == second
    with pytest.raises(UnknownStoredBookError):
        store.books.revision(book("4.20").revision)


def test_the_same_writing_twice_is_one_revision(store: Store, book: Books) -> None:
    first = store.books.put(book("4.00"), None, ANNA)
    assert store.books.put(book("4.00"), None, ANNA) == first
    assert len(store.books.history("yard", ANNA)) == 1


def test_of_many_writers_on_one_book_one_wins_and_the_others_are_told(store: Store, book: Books) -> None:
    for before in (None, store.books.put(book(name="old"), None, ANNA).revision):
        name = "new" if before is None else "old"
        write = partial(store.books.put, expected=before, by=ANNA)
        won, told = at_once([partial(write, book(f"5.{i:02}", name)) for i in range(8)])
        assert len(won) == 1
        assert all(isinstance(error, RevisionConflictError) for error in told), told
        assert store.books.get(name, ANNA) == won[0]
        assert store.books.history(name, ANNA)[0] == won[0]
        assert len(store.books.history(name, ANNA)) == (1 if before is None else 2)


def test_a_book_is_deleted_at_the_revision_that_was_read(store: Store, book: Books) -> None:
    first = store.books.put(book("4.00"), None, ANNA).revision
    last = store.books.put(book("4.10"), first, ANNA).revision
    with pytest.raises(RevisionConflictError):
        store.books.delete("yard", first, ANNA)
    store.books.delete("yard", last, ANNA)
    assert store.books.list(ANNA) == ()
    for ask in (store.books.get, store.books.history, lambda name, who: store.books.content(name, first, who)):
        with pytest.raises(UnknownStoredBookError):
            ask("yard", ANNA)
    with pytest.raises(UnknownStoredBookError):
        store.books.delete("yard", last, ANNA)


def test_a_revision_that_two_books_have_stays_with_the_other(store: Store, book: Books, clock: Clock) -> None:
    one = store.books.put(book(name="one"), None, ANNA)
    store.books.put(book(name="two"), None, ANNA)
    store.books.delete("one", one.revision, ANNA)
    clock.move(days=31)
    store.books.put(book("9.00", "three"), None, ANNA)
    assert store.books.content("two", one.revision, ANNA)


def test_another_content_by_the_same_name_is_refused(store: Store, book: Books) -> None:
    forged = replace(book("9.99"), name="forged")
    object.__setattr__(forged, "revision", store.books.put(book("4.00"), None, ANNA).revision)
    with pytest.raises(StoreError, match="has the revision"):
        store.books.put(forged, None, Who("mallory"))
    assert len(store.books.list(ANNA)) == 1


def test_a_content_that_is_not_what_its_name_says_is_not_given_out(folder: Path, book: Books) -> None:
    with Store.open(folder) as store:
        entry = store.books.put(book(), None, ANNA)
        with closing(sqlite3.connect(folder / "sawbill.sqlite")) as behind, behind:
            behind.execute("UPDATE revisions SET content = CAST(replace(content, '4.00', '1.00') AS BLOB)")
        with pytest.raises(StoreDamagedError, match="damaged; restore"):
            store.books.content("yard", entry.revision, ANNA)


def test_text_that_one_of_the_databases_could_not_hold_is_refused_by_both(store: Store, book: Books) -> None:
    for name in ("nul\0", "half \ud800"):
        with pytest.raises(ValueError, match="remove that"):
            store.books.put(book(), None, Who(name))
    assert store.books.list(ANNA) == ()


# ---- whose they are


def reached(store: Store, who: Who) -> dict[str, str]:
    """What somebody may do with each book."""
    return {entry.name: entry.may for entry in store.books.list(who)}


def test_a_new_book_is_its_writers_and_as_if_it_were_not_there_for_others(store: Store, book: Books) -> None:
    entry = store.books.put(book(), None, ANNA)
    assert (entry.owner, entry.may) == ("anna", "own")
    asked = (
        lambda name: store.books.get(name, BEN), lambda name: store.books.get(name, STRANGER),
        lambda name: store.books.history(name, BEN), lambda name: store.books.content(name, entry.revision, BEN),
        lambda name: store.books.delete(name, entry.revision, BEN), lambda name: store.books.undelete(name, BEN),
        lambda name: store.books.put(book("9.00", name), entry.revision, BEN),
        lambda name: store.rights.of(name, BEN), lambda name: store.rights.let(name, "owner:ben", "write", BEN),
        lambda name: store.rights.keep_from(name, "everyone", BEN), lambda name: store.rights.give(name, "ben", BEN),
    )  # fmt: skip
    for ask in asked:
        with pytest.raises(StoreError) as there:
            ask("yard")
        with pytest.raises(type(there.value)) as not_there:
            ask("none")
        assert str(there.value).replace("yard", "none") == str(not_there.value)
    with pytest.raises(NameTakenError, match="choose another name"):
        store.books.put(book("9.00"), None, BEN)
    assert store.books.list(BEN) == store.books.list(STRANGER) == ()
    assert store.books.get("yard", KEEPER).may == "own"
    assert store.books.history("yard", ANNA) == (entry,)


def test_what_an_owner_lets_others_do_they_may_do_and_no_more(store: Store, book: Books) -> None:
    revision = store.books.put(book(), None, ANNA).revision
    store.groups.add("bench-makers", ["cid", "dora"])
    store.rights.let("yard", "owner:ben", "read", ANNA)
    store.rights.let("yard", "group:bench-makers", "write", ANNA)
    assert reached(store, BEN) == {"yard": "read"}
    assert reached(store, CID) == {"yard": "write"}
    assert reached(store, STRANGER) == reached(store, Who("bench-makers")) == {}
    assert store.books.content("yard", revision, BEN)
    with pytest.raises(NotYoursError, match="ask its owner, or choose another name"):
        store.books.put(book("4.10"), revision, BEN)
    later = store.books.put(book("4.10"), revision, CID)
    assert (later.by, later.owner, later.may) == ("cid", "anna", "write")
    for who in (BEN, CID):
        for ask in (
            lambda who=who: store.books.delete("yard", later.revision, who),
            lambda who=who: store.rights.of("yard", who),
            lambda who=who: store.rights.let("yard", "everyone", "write", who),
            lambda who=who: store.rights.give("yard", who.owner, who),
        ):
            with pytest.raises(NotYoursError, match="ask its owner"):
                ask()
    store.rights.let("yard", "everyone", "read", ANNA)
    assert reached(store, STRANGER) == {"yard": "read"}
    assert reached(store, CID) == {"yard": "write"}, "the most of what names him counts"


def test_what_is_taken_back_is_gone_at_once(store: Store, book: Books) -> None:
    revision = store.books.put(book(), None, ANNA).revision
    store.rights.let("yard", "owner:ben", "write", ANNA)
    store.rights.let("yard", "owner:ben", "read", ANNA)
    assert reached(store, BEN) == {"yard": "read"}, "one grant for each, the last one counts"
    assert store.rights.of("yard", ANNA) == BookRights("anna", (Grant("owner:ben", "read"),))
    for _ in range(2):
        store.rights.keep_from("yard", "owner:ben", ANNA)
    assert reached(store, BEN) == {}
    store.groups.add("all", ["ben"])
    store.rights.let("yard", "group:all", "write", ANNA)
    assert reached(store, BEN) == {"yard": "write"}
    store.groups.remove("all", ["ben"])
    with pytest.raises(RevisionConflictError):
        store.books.put(book("4.10"), revision, BEN)
    assert store.groups.list() == {}


def test_a_book_that_is_given_away_is_the_others(store: Store, book: Books) -> None:
    store.books.put(book(), None, ANNA)
    store.rights.give("yard", "ben", ANNA)
    assert (reached(store, ANNA), reached(store, BEN)) == ({}, {"yard": "own"})
    assert store.books.get("yard", BEN).by == "anna", "who wrote what stays true"


@pytest.mark.parametrize(
    "to", ["", "ben", "owner:", "owner:Ben", "group:a b", "everyone ", "all:x", "owner:" + "x" * 64]
)
def test_whom_a_book_is_shared_with_is_written_in_one_way(store: Store, book: Books, to: str) -> None:
    store.books.put(book(), None, ANNA)
    with pytest.raises(ValueError, match="owner:NAME or group:NAME"):
        store.rights.let("yard", to, "read", ANNA)


def test_a_book_is_shared_with_so_many_and_not_one_more(store: Store, book: Books) -> None:
    store.books.put(book(), None, ANNA)
    for number in range(MOST_GRANTS):
        store.rights.let("yard", f"owner:o{number}", "read", ANNA)
    with pytest.raises(ValueError, match="name a group"):
        store.rights.let("yard", "everyone", "read", ANNA)
    store.rights.let("yard", "owner:o0", "write", ANNA)


def test_a_deleted_book_is_brought_back_for_thirty_days(store: Store, book: Books, clock: Clock) -> None:
    first = store.books.put(book("4.00"), None, ANNA).revision
    entry = store.books.put(book("4.10"), first, ANNA)
    store.rights.let("yard", "everyone", "write", ANNA)
    store.books.delete("yard", entry.revision, ANNA)
    clock.move(days=29)
    assert store.books.list(ANNA) == ()
    (gone,) = store.books.deleted(ANNA)
    assert (gone.name, gone.deleted) == ("yard", clock.now - timedelta(days=29))
    assert store.books.deleted(BEN) == ()
    with pytest.raises(DeletedBookError, match="until 2026-03-31 its owner can restore it"):
        store.books.get("yard", ANNA)
    with pytest.raises(NameTakenError, match="restore it"):
        store.books.put(book("9.00"), None, ANNA)
    with pytest.raises(NameTakenError, match="cannot be called yard here"):
        store.books.put(book("9.00"), None, BEN)
    with pytest.raises(UnknownStoredBookError):
        store.books.undelete("yard", BEN)
    assert store.books.undelete("yard", ANNA) == entry
    assert len(store.books.history("yard", ANNA)) == 2
    assert reached(store, STRANGER) == {"yard": "write"}, "whom it was shared with has it again"


def test_a_book_that_nobody_can_bring_back_leaves_its_name_and_what_quotes_point_to(
    store: Store, book: Books, a_quote: Callable[..., NewQuote], clock: Clock
) -> None:
    first = store.books.put(book("4.00"), None, ANNA).revision
    last = store.books.put(book("4.10"), first, ANNA).revision
    store.quotes.add(a_quote(), book("4.00"))
    store.books.delete("yard", last, ANNA)
    clock.move(days=30)
    assert store.books.deleted(ANNA) == ()
    with pytest.raises(UnknownStoredBookError) as caught:
        store.books.undelete("yard", ANNA)
    assert not isinstance(caught.value, DeletedBookError)
    assert store.books.put(book("9.00"), None, BEN).sequence == 1
    assert b'"price":"4.00"' in store.books.revision(first)
    with pytest.raises(UnknownStoredBookError):
        store.books.revision(last)


def test_of_two_owners_who_want_one_name_one_has_it_and_the_other_learns_nothing_else(
    store: Store, book: Books
) -> None:
    won, told = at_once([partial(store.books.put, book(f"5.{i:02}"), None, Who(f"owner-{i}")) for i in range(8)])
    assert len(won) == 1
    assert {type(error) for error in told} == {NameTakenError}
    assert all(won[0].revision not in str(error) and won[0].owner not in str(error) for error in told)


def test_a_right_that_is_taken_back_meanwhile_decides_the_writing(store: Store, book: Books) -> None:
    """Whoever comes first: what was let is either still so when the book is written, or nothing is written."""
    for turn in range(8):
        name = f"yard-{turn}"
        revision = store.books.put(book("4.00", name), None, ANNA).revision
        store.rights.let(name, "owner:ben", "write", ANNA)
        write = partial(store.books.put, book("4.10", name), revision, BEN)
        done, _ = at_once([write, partial(store.rights.keep_from, name, "owner:ben", ANNA)])
        wrote = any(isinstance(each, BookEntry) for each in done)
        assert len(store.books.history(name, ANNA)) == (2 if wrote else 1)
        assert reached(store, BEN) == {}
