"""Stored quotes, and the keys by which a request that is sent again finds the quote it made."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    String,
    collate,
    delete,
    func,
    insert,
    select,
    type_coerce,
    update,
)

from sawbill.prices.pricebook import PriceBook
from sawbill.store.clock import Clock
from sawbill.store.errors import KeyReusedError, UnknownQuoteError
from sawbill.store.kept import revisions
from sawbill.store.sql.database import AnyRow, Database, insert_new, sweep
from sawbill.store.sql.schema import KEYS, QUOTES
from sawbill.store.values import (
    IdempotencyKey,
    Kept,
    NewQuote,
    QuoteFilter,
    QuotePage,
    QuoteSummary,
    StoredQuote,
    make_id,
)

KEY_WINDOW: Final = timedelta(hours=24)
"""How long an idempotency key finds the quote it made."""

_SUMMARY: Final = (
    "id", "number", "owner", "label", "book", "revision", "engine", "currency", "total", "designs",
    "stored",
)  # fmt: skip


class Quotes:
    """The stored quotes. Wherever an `owner` is asked for, None reaches everybody's: for `admin`, and for links."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def add(self, quote: NewQuote, book: PriceBook, key: IdempotencyKey | None = None) -> Kept:
        """Keep a quote with the revision of the book it was made from, and its key, all in one transaction.

        Gives the earlier quote where its owner sent the same key with the same body within KEY_WINDOW.
        Raises KeyReusedError: the key came with another body.
        """
        now, quote_id = self._clock(), quote.id or make_id()
        with self._database.write() as connection:
            if key is not None and (earlier := _claim(connection, quote.owner, key, quote_id, now)) is not None:
                return Kept(earlier, new=False)
            revisions.keep(connection, book, now)
            row = asdict(quote) | {"id": quote_id, "revision": book.revision, "stored": now}
            number = connection.execute(insert(QUOTES).values(row).returning(QUOTES.c.number)).scalar_one()
        summary = QuoteSummary(**{column: {**row, "number": number}[column] for column in _SUMMARY})
        return Kept(StoredQuote(summary, quote.request, quote.result), new=True)

    def find(self, owner: str, key: IdempotencyKey) -> StoredQuote | None:
        """Give the quote that an owner's key made, None where there is none: worth a look before making one.

        Raises KeyReusedError: the key came with another body.
        """
        with self._database.read() as connection:
            return _claimed(connection, owner, key, self._clock())

    def get(self, quote_id: str, owner: str | None) -> StoredQuote:
        """Give a quote, its bytes as they were stored. Raises UnknownQuoteError."""
        with self._database.read() as connection:
            return _quote(_known(connection.execute(select(QUOTES).where(*_reached(quote_id, owner))).one_or_none()))

    def list(
        self,
        owner: str | None,
        *,
        before: int | None = None,
        most: int = 100,
        wanted: QuoteFilter | None = None,
    ) -> QuotePage:
        """List quotes, the newest first, at most so many; before: `next` of the page before."""
        query = select(*QUOTES.c[_SUMMARY]).order_by(QUOTES.c.number.desc()).limit(most + 1)
        if owner is not None:
            query = query.where(QUOTES.c.owner == owner)
        if before is not None:
            query = query.where(QUOTES.c.number < before)
        with self._database.read() as connection:
            query = query.where(*_wanted(connection, wanted or QuoteFilter()))
            found = tuple(map(_summary, connection.execute(query)))
        return QuotePage(found[:most], found[most - 1].number if len(found) > most else None)

    def set_label(self, quote_id: str, owner: str | None, label: str) -> QuoteSummary:
        """Label a quote anew; nothing else of it ever changes. Raises UnknownQuoteError."""
        with self._database.write() as connection:
            connection.execute(update(QUOTES).where(*_reached(quote_id, owner)).values(label=label))
            query = select(*QUOTES.c[_SUMMARY]).where(*_reached(quote_id, owner))
            return _summary(_known(connection.execute(query).one_or_none()))

    def delete(self, quote_id: str, owner: str | None) -> None:
        """Delete a quote, its links and its key. Raises UnknownQuoteError."""

        def remove(connection: Connection) -> None:
            query = select(QUOTES.c.revision).where(*_reached(quote_id, owner)).with_for_update()
            revision = _known(connection.execute(query).one_or_none()).revision
            connection.execute(delete(QUOTES).where(QUOTES.c.id == quote_id))
            revisions.drop_unused(connection, [revision])

        self._database.make_room(remove)


def _claim(connection: Connection, owner: str, key: IdempotencyKey, quote_id: str, now: datetime) -> StoredQuote | None:
    """Take a key for a quote that is about to be written, or give the quote that has it.

    Of many at once one inserts the row; on PostgreSQL the others wait for it to be committed, and then see it.
    """
    row = {"owner": owner, "key": _hash(key.key.encode()), "body": _hash(key.body), "quote": quote_id, "stored": now}
    sweep(connection, KEYS, KEYS.c.stored <= now - KEY_WINDOW)
    while not insert_new(connection, KEYS, row):
        if (earlier := _claimed(connection, owner, key, now)) is not None:
            return earlier
        sweep(connection, KEYS, KEYS.c.stored <= now - KEY_WINDOW)  # gone, or too old, since a moment
    return None


def _claimed(connection: Connection, owner: str, key: IdempotencyKey, now: datetime) -> StoredQuote | None:
    """Give the quote that has a key. Raises KeyReusedError."""
    query = select(KEYS.c.body, QUOTES).join(QUOTES, QUOTES.c.id == KEYS.c.quote)
    query = query.where(KEYS.c.owner == owner, KEYS.c.key == _hash(key.key.encode()))
    row = connection.execute(query.where(KEYS.c.stored > now - KEY_WINDOW)).one_or_none()
    if row is not None and row.body != _hash(key.body):
        raise KeyReusedError("this idempotency key was used for another request; use a new one for each request")
    return None if row is None else _quote(row)


def _reached(quote_id: str, owner: str | None) -> list[ColumnElement[bool]]:
    return [QUOTES.c.id == quote_id, *([] if owner is None else [QUOTES.c.owner == owner])]


def _wanted(connection: Connection, wanted: QuoteFilter) -> Iterator[ColumnElement[bool]]:
    """The conditions of a filter, the same on both databases: folded is what both can fold, ASCII."""
    sqlite = connection.dialect.name == "sqlite"
    place = func.instr if sqlite else func.strpos
    if wanted.label is not None:
        label = type_coerce(QUOTES.c.label, String)
        folded = func.lower(label if sqlite else collate(label, "C"))
        yield place(folded, "".join(sign.lower() if sign.isascii() else sign for sign in wanted.label)) > 0
    if wanted.design is not None:
        yield place(type_coerce(QUOTES.c.designs, String), f" {wanted.design} ") > 0
    if wanted.book is not None:
        yield QUOTES.c.book == wanted.book
    if wanted.since is not None:
        yield QUOTES.c.stored >= wanted.since
    if wanted.until is not None:
        yield QUOTES.c.stored < wanted.until


def _known(row: AnyRow | None) -> AnyRow:
    if row is None:
        raise UnknownQuoteError("there is no quote with this id")
    return row


def _quote(row: AnyRow) -> StoredQuote:
    return StoredQuote(_summary(row), bytes(row.request), bytes(row.result))


def _summary(row: AnyRow) -> QuoteSummary:
    return QuoteSummary(**{column: getattr(row, column) for column in _SUMMARY})


def _hash(value: bytes) -> str:
    return hashlib.sha256(value).hexdigest()
