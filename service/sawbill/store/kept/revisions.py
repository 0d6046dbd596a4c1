"""Revisions of price books: kept once, by the hash that names their content, while something points to them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import Connection, delete, exists, select

from sawbill.prices.pricebook import SHORT_DIGITS, PriceBook, canonical, revision_of
from sawbill.store.errors import StoreDamagedError, StoreError
from sawbill.store.sql.database import insert_new
from sawbill.store.sql.schema import HISTORY, QUOTES, REVISIONS


def keep(connection: Connection, book: PriceBook, now: datetime) -> None:
    """See that the revision of a book is there, and stays while this transaction lasts.

    Raises StoreError: another content is there by the same name.
    """
    text = canonical(book)
    row = {"revision": book.revision, "content": text, "stored": now}
    found = None
    while found is None:  # again only where it was dropped between the two statements
        insert_new(connection, REVISIONS, row)
        query = select(REVISIONS.c.content).where(REVISIONS.c.revision == book.revision)
        found = connection.execute(query.with_for_update(read=True, key_share=True)).scalar_one_or_none()
    if found != text:
        raise StoreError(f"another price book already has the revision {book.revision}; change a title or a price")


def named(connection: Connection, asked: str) -> str:
    """Give the name of a revision that is asked for by it, or by what it was called while names were shorter."""
    query = select(REVISIONS.c.revision).where(REVISIONS.c.short == asked)
    found = connection.execute(query).scalar_one_or_none() if len(asked) == SHORT_DIGITS else None
    return asked if found is None else str(found)


def read(connection: Connection, revision: str) -> bytes | None:
    """Give the content of a revision in its canonical form, None where there is no such revision.

    Raises StoreDamagedError: it is not what its name says.
    """
    found = connection.execute(select(REVISIONS.c.content).where(REVISIONS.c.revision == revision)).scalar_one_or_none()
    if found is not None and revision_of(found) != revision:
        raise StoreDamagedError(f"the content of revision {revision} is damaged; restore the last backup")
    return None if found is None else bytes(found)


def drop_unused(connection: Connection, revisions: Iterable[str]) -> None:
    """Drop those revisions that no book and no quote points to any more."""
    names = sorted(set(revisions))
    locked = select(REVISIONS.c.revision).where(REVISIONS.c.revision.in_(names)).order_by(REVISIONS.c.revision)
    connection.execute(locked.with_for_update()).all()  # waits for whoever has just begun to point to one
    used = exists().where(QUOTES.c.revision == REVISIONS.c.revision)
    listed = exists().where(HISTORY.c.revision == REVISIONS.c.revision)
    connection.execute(delete(REVISIONS).where(REVISIONS.c.revision.in_(names), ~used, ~listed))
