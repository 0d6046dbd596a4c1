"""All that an owner keeps, handed over, on both databases; `test_faults` sees that none is left half."""

from collections.abc import Callable

import pytest
from sqlalchemy import text
from tests.store.conftest import ANNA, KEEPER

from sawbill.prices.pricebook import PriceBook
from sawbill.store import Grant, IdempotencyKey, KeyReusedError, NewQuote, Store, Who
from sawbill.store.kept.owners import COUNTED
from sawbill.store.sql.schema import METADATA

LOCAL = Who("local")
KEY, BOTH = IdempotencyKey("k", b"one"), IdempotencyKey("both", b"one")


@pytest.fixture
def kept(store: Store, book: Callable[..., PriceBook], a_quote: Callable[..., NewQuote]) -> Store:
    """What local kept, and anna beside it."""
    store.books.put(book(name="yard"), None, LOCAL)
    store.books.put(book(name="gone"), None, LOCAL)
    store.books.delete("gone", book(name="gone").revision, LOCAL)
    store.rights.let("yard", "owner:anna", "write", LOCAL)
    store.rights.let("yard", "everyone", "read", LOCAL)
    for key in (KEY, BOTH):
        store.quotes.add(a_quote(owner="local"), book(), key)
    store.quotes.add(a_quote(owner="anna"), book(), IdempotencyKey("both", b"another"))
    store.quotes.add(a_quote(owner="ben"), book())
    store.jobs.add("comparison", "local", b"{}")
    return store


def test_all_that_one_owner_keeps_is_the_others_and_nothing_else_changes(kept: Store) -> None:
    assert kept.owners.kept_by("local") == {"quotes": 2, "price books": 2, "jobs": 1}
    assert kept.owners.hand_over("local", "anna") == {"quotes": 2, "price books": 2, "jobs": 1}
    assert kept.owners.kept_by("local") == dict.fromkeys(COUNTED, 0)
    assert kept.owners.kept_by("anna") == {"quotes": 3, "price books": 2, "jobs": 1}
    assert len(kept.quotes.list("ben").quotes) == 1
    assert kept.books.get("yard", ANNA).may == "own"
    assert kept.rights.of("yard", ANNA).grants == (Grant("everyone", "read"),), "what she owns she need not be let"
    assert kept.books.get("yard", ANNA).by == "local", "who wrote it stays who wrote it"
    assert kept.books.undelete("gone", ANNA).owner == "anna"
    assert kept.books.get("yard", LOCAL).may == "read"


def test_keys_go_along_so_that_a_request_sent_again_still_finds_its_quote(kept: Store) -> None:
    kept.owners.hand_over("local", "anna")
    found = kept.quotes.find("anna", KEY)
    assert found is not None and found.summary.owner == "anna"
    assert kept.quotes.find("local", KEY) is None
    assert kept.quotes.find("local", BOTH) is None
    with pytest.raises(KeyReusedError):
        kept.quotes.find("anna", BOTH)  # the key is still that of her own request


@pytest.mark.parametrize(("new", "told"), [("Anna B", "lower-case"), ("", "lower-case"), ("local", "has it all")])
def test_what_is_no_other_owner_is_refused(kept: Store, new: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        kept.owners.hand_over("local", new)


def test_everything_with_an_owner_is_handed_over(kept: Store) -> None:
    """A table to come is thought of: each that has owners is moved, or is one of those that rightly are not."""
    stay = {"tokens", "job_turns", "group_members"}
    owned = {table.name for table in METADATA.sorted_tables if "owner" in table.c}
    kept.owners.hand_over("local", "anna")
    with kept._database.read() as connection:
        left = {
            name
            for name in owned
            if connection.execute(text(f"SELECT 1 FROM {name} WHERE owner = 'local'")).first() is not None
        }
    assert left <= stay and owned >= {"quotes", "books", "jobs", "idempotency_keys"} | stay
    assert kept.books.list(KEEPER)
