"""Access tokens and link tokens: what opens, what does not, and that no secret is kept, on both databases."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import pytest
from tests.store.conftest import Clock

from sawbill.prices.pricebook import PriceBook
from sawbill.store import NewQuote, Store, TokenRefusedError, UnknownQuoteError, UnknownTokenError

SECRET_BITS = 128  # OWASP ASVS 5.0, 11.5.1: at least so many from a secure generator


def test_a_secret_opens_its_token_and_is_long_enough(store: Store) -> None:
    token, secret = store.tokens.make("anna", "laptop", ["quote", "price-book"])
    assert store.tokens.check(secret) == token
    random_part = secret.removeprefix("sawbill_")
    assert len(random_part) * 6 >= SECRET_BITS
    assert re.fullmatch(r"[\w-]+", random_part), "it can stand in a header and in an address"


def test_that_a_token_was_ever_made_is_told_be_it_revoked_since(store: Store) -> None:
    assert not store.tokens.exist()
    token, _ = store.tokens.make("anna", "laptop", ["quote"])
    assert store.tokens.exist()
    store.tokens.revoke(token.id)
    assert store.tokens.exist()


def test_nothing_but_the_very_secret_opens(store: Store) -> None:
    _, secret = store.tokens.make("anna", "laptop", ["quote"])
    wrong = [secret.upper(), secret.lower(), secret.swapcase(), secret[:-1], secret + "A", f" {secret}", "", "é" * 43]
    wrong += ["sawbill_" + "A" * 43, secret.removeprefix("sawbill_"), "\ud800", "\0", "' OR 1=1 --"]
    told = set()
    for text in (text for text in wrong if text != secret):
        with pytest.raises(TokenRefusedError) as caught:
            store.tokens.check(text)
        told.add(str(caught.value))
    assert len(told) == 1, "nobody learns why"


def test_a_revoked_token_opens_nothing_and_stays_revoked(store: Store, clock: Clock) -> None:
    token, secret = store.tokens.make("anna", "laptop", ["quote"])
    clock.move(hours=1)
    _, other = store.tokens.make("anna", "phone", ["quote"])
    revoked = store.tokens.revoke(token.id)
    clock.move(hours=1)
    assert store.tokens.revoke(token.id) == revoked
    with pytest.raises(TokenRefusedError):
        store.tokens.check(secret)
    assert store.tokens.check(other).owner == "anna"
    assert [token.revoked is None for token in store.tokens.list()] == [False, True]
    with pytest.raises(UnknownTokenError, match="token list"):
        store.tokens.revoke("none")


def test_a_token_opens_until_it_ends(store: Store, clock: Clock) -> None:
    _, secret = store.tokens.make("anna", "a day", ["quote"], clock.now + timedelta(days=1))
    clock.move(days=1, microseconds=-1)
    assert store.tokens.check(secret)
    clock.move(microseconds=1)
    with pytest.raises(TokenRefusedError):
        store.tokens.check(secret)


def test_all_that_is_wrong_with_a_token_to_be_made_is_told_at_once(store: Store) -> None:
    with pytest.raises(ValueError) as caught:
        store.tokens.make("Anna B", "", ["root"], datetime(2020, 1, 1, tzinfo=UTC))  # type: ignore[list-item]
    for word in (
        "lower-case letters",
        "1 to 100 characters",
        "one of read, quote, price-book, metrics, admin",
        "end in the future",
    ):
        assert word in str(caught.value)
    assert store.tokens.list() == ()


def test_no_secret_is_in_the_files_of_the_store(folder: Path) -> None:
    with Store.open(folder) as store:
        _, secret = store.tokens.make("anna", "laptop", ["admin"])
        held = b"".join(path.read_bytes() for path in folder.iterdir())
    assert b"laptop" in held, "it was looked for where it would be"
    assert secret.removeprefix("sawbill_").encode() not in held


@pytest.fixture
def quote_id(store: Store, book: Callable[..., PriceBook], a_quote: Callable[..., NewQuote]) -> str:
    return store.quotes.add(a_quote(owner="anna"), book()).quote.summary.id


def test_a_link_reads_its_quote_or_one_table_of_it_and_no_more(store: Store, quote_id: str) -> None:
    whole, all_of_it = store.links.make(quote_id, "anna")
    part, one_table = store.links.make(quote_id, "anna", "cut-list")
    assert store.links.check(all_of_it, quote_id, None) == store.links.check(all_of_it, quote_id, "costs") == whole
    assert store.links.check(one_table, quote_id, "cut-list") == part
    for secret, asked, table in (
        (all_of_it, "0" * 20, None),
        (one_table, quote_id, None),
        (one_table, quote_id, "costs"),
        (store.tokens.make("anna", "laptop", ["admin"])[1], quote_id, None),
    ):
        with pytest.raises(TokenRefusedError):
            store.links.check(secret, asked, table)
    with pytest.raises(TokenRefusedError):
        store.tokens.check(all_of_it)


def test_a_link_ends_when_it_is_revoked_or_over_or_its_quote_is_gone(store: Store, quote_id: str, clock: Clock) -> None:
    revoked, one = store.links.make(quote_id, "anna")
    _, two = store.links.make(quote_id, "anna", expires=clock.now + timedelta(hours=1))
    _, three = store.links.make(quote_id, "anna")
    assert store.links.revoke(revoked.id, "anna").revoked == clock.now
    clock.move(hours=1)
    for secret in (one, two):
        with pytest.raises(TokenRefusedError):
            store.links.check(secret, quote_id, None)
    assert store.links.check(three, quote_id, None)
    assert len(store.links.list(quote_id, "anna")) == 3
    store.quotes.delete(quote_id, "anna")
    with pytest.raises(TokenRefusedError):
        store.links.check(three, quote_id, None)


def test_only_a_quotes_owner_makes_lists_and_revokes_its_links(store: Store, quote_id: str, clock: Clock) -> None:
    link, _ = store.links.make(quote_id, "anna")
    for ask in (partial(store.links.make, quote_id, "ben"), partial(store.links.list, quote_id, "ben")):
        with pytest.raises(UnknownQuoteError):
            ask()
    with pytest.raises(UnknownTokenError):
        store.links.revoke(link.id, "ben")
    assert store.links.revoke(link.id, None).id == link.id
    with pytest.raises(ValueError, match="end in the future"):
        store.links.make(quote_id, "anna", expires=clock.now)
