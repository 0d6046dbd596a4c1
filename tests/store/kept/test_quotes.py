"""Quotes that are kept, and requests that are sent again, on both databases."""

from collections.abc import Callable
from functools import partial

import pytest
from tests.store.conftest import ANNA, BEN, Clock
from tests.store.together import at_once

from sawbill.prices.pricebook import PriceBook
from sawbill.store import (
    KEY_WINDOW,
    IdempotencyKey,
    KeyReusedError,
    NewQuote,
    QuoteFilter,
    Store,
    UnknownQuoteError,
)

Books = Callable[..., PriceBook]
Quotes = Callable[..., NewQuote]
KEY = IdempotencyKey("8e03978e", b'{"a": 1}')


def test_a_quote_is_given_back_byte_for_byte_with_what_it_was_made_from(
    store: Store, book: Books, a_quote: Quotes, clock: Clock
) -> None:
    result = bytes(range(256)) * 400
    kept = store.quotes.add(a_quote(result=result), book("4.00"))
    store.books.put(book("4.90"), None, BEN)
    clock.move(days=4000)
    read = store.quotes.get(kept.quote.summary.id, "anna")
    assert read == kept.quote
    assert read.result == result
    assert read.summary.revision == book("4.00").revision
    assert read.summary.total == "412.30", "as printed, its last zero too"
    assert b'"price":"4.00"' in store.books.revision(read.summary.revision)


def test_only_its_owner_reaches_a_quote_and_who_may_reach_all(store: Store, book: Books, a_quote: Quotes) -> None:
    quote_id = store.quotes.add(a_quote(owner="anna"), book()).quote.summary.id
    asked = (
        partial(store.quotes.get, quote_id, "ben"),
        partial(store.quotes.delete, quote_id, "ben"),
        partial(store.quotes.set_label, quote_id, "ben", "mine"),
        partial(store.quotes.get, "0" * 20, "anna"),
    )
    for ask in asked:
        with pytest.raises(UnknownQuoteError, match="no quote with this id"):
            ask()
    assert store.quotes.list("ben").quotes == ()
    assert store.quotes.get(quote_id, None).summary.label == "guest room"


def test_a_label_changes_and_nothing_else(store: Store, book: Books, a_quote: Quotes) -> None:
    before = store.quotes.add(a_quote(), book()).quote
    summary = store.quotes.set_label(before.summary.id, "anna", "bunk room, später")
    after = store.quotes.get(before.summary.id, "anna")
    assert after.summary == summary
    assert summary.label == "bunk room, später"
    assert (after.request, after.result) == (before.request, before.result)


def test_quotes_are_listed_newest_first_by_pages_that_hold_while_others_come(
    store: Store, book: Books, a_quote: Quotes
) -> None:
    labels = [f"no. {i}" for i in range(7)]
    for label in labels:
        store.quotes.add(a_quote(label=label), book())
    store.quotes.add(a_quote(owner="ben"), book())
    page = store.quotes.list("anna", most=3)
    seen = [quote.label for quote in page.quotes]
    store.quotes.add(a_quote(label="late"), book())
    while page.next is not None:
        page = store.quotes.list("anna", most=3, before=page.next)
        seen += [quote.label for quote in page.quotes]
    assert seen == labels[::-1]
    assert len(store.quotes.list(None).quotes) == 9


def test_a_page_that_just_holds_the_rest_is_the_last(store: Store, book: Books, a_quote: Quotes) -> None:
    for _ in range(3):
        store.quotes.add(a_quote(), book())
    assert store.quotes.list("anna", most=3).next is None


def test_a_list_may_be_of_a_part_of_a_label_a_design_a_book_or_a_time(
    store: Store, book: Books, a_quote: Quotes, clock: Clock
) -> None:
    store.quotes.add(a_quote(label="50 % Oak", book="yard", designs=("bench", "low-platform")), book())
    clock.move(hours=1)
    store.quotes.add(a_quote(label="Über 5_0 oak", book="mill"), book())
    asked = [
        ({"label": "oAK"}, 2), ({"label": "% o"}, 1), ({"label": "5_"}, 1),
        ({"label": "Über"}, 1), ({"label": "über"}, 0),
        ({"design": "bench"}, 1), ({"design": "low-platform"}, 1), ({"design": "low"}, 0), ({"design": "platform"}, 0),
        ({"book": "mill"}, 1), ({"book": "mil"}, 0), ({"book": "mill", "design": "bench"}, 0),
        ({"since": clock.now}, 1), ({"until": clock.now}, 1), ({"since": clock.now, "until": clock.now}, 0),
    ]  # fmt: skip
    for wanted, count in asked:
        assert len(store.quotes.list("anna", wanted=QuoteFilter(**wanted)).quotes) == count, wanted
    assert [quote.designs for quote in store.quotes.list("anna").quotes] == [(), ("bench", "low-platform")]


def test_a_deleted_quote_is_gone_and_its_number_does_not_come_again(store: Store, book: Books, a_quote: Quotes) -> None:
    first = store.quotes.add(a_quote(), book()).quote.summary
    store.quotes.delete(first.id, "anna")
    for ask in (store.quotes.get, store.quotes.delete):
        with pytest.raises(UnknownQuoteError):
            ask(first.id, "anna")
    assert store.quotes.add(a_quote(), book()).quote.summary.number > first.number


def test_a_request_sent_again_finds_the_quote_it_made(store: Store, book: Books, a_quote: Quotes, clock: Clock) -> None:
    assert store.quotes.find("anna", KEY) is None
    first = store.quotes.add(a_quote(result=b"first"), book("4.00"), KEY)
    clock.move(hours=23, minutes=59)
    again = store.quotes.add(a_quote(result=b"second"), book("4.10"), KEY)
    assert (first.new, again.new) == (True, False)
    assert again.quote == first.quote == store.quotes.find("anna", KEY)
    assert len(store.quotes.list("anna").quotes) == 1


def test_a_key_with_another_body_is_refused(store: Store, book: Books, a_quote: Quotes) -> None:
    store.quotes.add(a_quote(), book(), KEY)
    other = IdempotencyKey(KEY.key, b'{"a": 2}')
    for ask in (partial(store.quotes.find, "anna", other), partial(store.quotes.add, a_quote(), book(), other)):
        with pytest.raises(KeyReusedError, match="use a new one for each request"):
            ask()
    assert len(store.quotes.list("anna").quotes) == 1


def test_the_same_key_of_another_owner_is_another_key(store: Store, book: Books, a_quote: Quotes) -> None:
    assert store.quotes.add(a_quote(owner="anna"), book(), KEY).new
    assert store.quotes.find("ben", KEY) is None
    assert store.quotes.add(a_quote(owner="ben"), book(), KEY).new


def test_a_key_ends_with_its_window(store: Store, book: Books, a_quote: Quotes, clock: Clock) -> None:
    first = store.quotes.add(a_quote(), book(), KEY)
    clock.now += KEY_WINDOW
    assert store.quotes.find("anna", KEY) is None
    again = store.quotes.add(a_quote(), book(), IdempotencyKey(KEY.key, b"another body"))
    assert again.new
    assert again.quote.summary.id != first.quote.summary.id


def test_a_key_goes_with_its_quote(store: Store, book: Books, a_quote: Quotes) -> None:
    store.quotes.delete(store.quotes.add(a_quote(), book(), KEY).quote.summary.id, "anna")
    assert store.quotes.find("anna", KEY) is None


def test_of_fifty_at_once_with_one_key_one_makes_the_quote_and_all_get_it(
    store: Store, book: Books, a_quote: Quotes
) -> None:
    add = partial(store.quotes.add, book=book(), key=KEY)
    done, failed = at_once([partial(add, a_quote(result=f"result {i}".encode())) for i in range(50)])
    assert failed == []
    assert sum(kept.new for kept in done) == 1
    assert len({kept.quote.result for kept in done}) == 1
    assert len(store.quotes.list("anna").quotes) == 1


def test_quotes_and_the_end_of_a_deleted_book_at_once_leave_every_quote_its_revision(
    store: Store, book: Books, a_quote: Quotes, clock: Clock
) -> None:
    for turn in range(5):
        entry = store.books.put(book(), None, ANNA)
        store.books.delete("yard", entry.revision, ANNA)
        clock.move(days=31)
        add = partial(store.quotes.add, a_quote(), book())
        forget = partial(store.books.put, book("9.00", f"other-{turn}"), None, ANNA)
        done, failed = at_once([forget, *[add] * 5])
        assert failed == []
        assert store.books.revision(entry.revision)
        for quote in store.quotes.list(None).quotes:
            store.quotes.delete(quote.id, None)
        assert len(done) == 6
