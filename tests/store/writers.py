"""What other processes do with a store while a test looks on, or kills them."""

import itertools
import json
import os
import signal
from functools import partial
from multiprocessing.connection import Connection
from typing import Any

from sqlalchemy import Engine, event
from tests.store.together import at_once

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import PriceBook
from sawbill.store import Allowance, BookEntry, IdempotencyKey, NewQuote, Store, Who
from sawbill.store.sql.schema import KEYS


def write_on(where: str, name: str, quote: NewQuote, books: list[bytes], tell: Connection) -> None:
    """Write quotes and a book without end, and tell each write once it is acknowledged."""
    store = Store.open(where)
    revision = None
    for number in itertools.count():
        book = read_book(name, books[number % len(books)])
        key = IdempotencyKey(f"{name}-{number}", quote.request)
        kept = store.quotes.add(quote, book, key)
        tell.send((name, kept.quote.summary.id))
        revision = store.books.put(book, revision, Who(name)).revision
        tell.send((name, BookEntry(name, number + 1, revision, name, kept.quote.summary.stored, name, "own")))


def die_before_commit(where: str, quote: NewQuote, book: bytes, key: str, step: int, tell: Connection) -> None:
    """Add a quote, and be killed so many steps after its key was inserted: 0, at once; tell how many there were.

    The last step is the commit; whoever is to go further adds his quote.
    """
    steps = -1

    def pass_step(*_: Any) -> None:
        nonlocal steps
        steps += 1
        if steps == step:
            os.kill(os.getpid(), signal.SIGKILL)

    @event.listens_for(Engine, "after_cursor_execute")
    def after(_: Any, __: Any, statement: str, *___: Any) -> None:
        if steps >= 0 or statement.startswith(f"INSERT INTO {KEYS.name} "):
            pass_step()

    event.listen(Engine, "commit", pass_step)
    with Store.open(where) as store:
        store.check()  # what it reads first is no step
        steps = -1
        store.quotes.add(quote, read_book("yard", book), IdempotencyKey(key, quote.request))
    tell.send(steps)


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
