"""What other processes do with a store while a test looks on, or kills them."""

import itertools
import json
from functools import partial
from multiprocessing.connection import Connection
from typing import Any

from tests.store.together import at_once

from sawbill.estimating.pricebook import PriceBook
from sawbill.files.asjson import read_json
from sawbill.store import Allowance, BookEntry, IdempotencyKey, NewQuote, Store


def write_on(where: str, name: str, quote: NewQuote, books: list[bytes], tell: Connection) -> None:
    """Write quotes and a book without end, and tell each write once it is acknowledged."""
    store = Store.open(where)
    revision = None
    for number in itertools.count():
        book = read_book(name, books[number % len(books)])
        key = IdempotencyKey(f"{name}-{number}", quote.request)
        kept = store.quotes.add(quote, book, key)
        tell.send((name, kept.quote.summary.id))
        revision = store.books.put(book, revision, name).revision
        tell.send((name, BookEntry(name, number + 1, revision, name, kept.quote.summary.stored)))


def add_by_one_key(where: str, quote: NewQuote, book: bytes, threads: int, tell: Connection) -> None:
    """Send one request many times at once, and tell what came of it."""
    with Store.open(where) as store:
        work = partial(store.quotes.add, quote, read_book("yard", book), IdempotencyKey("once", quote.request))
        tell.send(at_once([work] * threads))


def spend(where: str, wishes: int, allowance: Allowance, tell: Connection) -> None:
    """Spend from one bucket as often as it grants, and tell how often that was."""
    with Store.open(where) as store:
        tell.send(sum(store.limits.spend("anna", 1, allowance).allowed for _ in range(wishes)))


def check_tokens(where: str, ask: Connection) -> None:
    """Tell of each secret that is sent what it opens."""
    with Store.open(where) as store:
        while (secret := ask.recv()) is not None:
            ask.send(_opened(store, secret))


def read_book(name: str, text: bytes) -> PriceBook:
    """Read a book that another process wrote as its content."""
    return read_json(name, json.loads(text))


def _opened(store: Store, secret: str) -> Any:
    try:
        return store.tokens.check(secret).id
    except Exception as error:
        return type(error).__name__
