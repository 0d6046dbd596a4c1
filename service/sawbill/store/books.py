"""Price books by name: what each is now, and every revision it has been."""

from __future__ import annotations

from typing import Final

from sqlalchemy import Connection, delete, insert, select, update

from sawbill.estimating.pricebook import PriceBook
from sawbill.store import revisions
from sawbill.store.clock import Clock
from sawbill.store.database import AnyRow, Database, insert_new
from sawbill.store.errors import RevisionConflictError, UnknownStoredBookError
from sawbill.store.schema import BOOKS, HISTORY
from sawbill.store.values import BookEntry

_ENTRIES: Final = select(*HISTORY.c["name", "sequence", "revision", "by", "stored"])
_NOW: Final = _ENTRIES.join(BOOKS, (BOOKS.c.name == HISTORY.c.name) & (BOOKS.c.sequence == HISTORY.c.sequence))


class Books:
    """The stored price books."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def list(self) -> tuple[BookEntry, ...]:
        """List the books as they are now, by name."""
        with self._database.read() as connection:
            return tuple(sorted(map(_entry, connection.execute(_NOW)), key=lambda entry: entry.name))

    def get(self, name: str) -> BookEntry:
        """Give a book as it is now. Raises UnknownStoredBookError."""
        with self._database.read() as connection:
            row = connection.execute(_NOW.where(BOOKS.c.name == name)).one_or_none()
        return _known(name, row)

    def history(self, name: str, before: int | None = None, most: int = 100) -> tuple[BookEntry, ...]:
        """List what a book has been, the newest first: those of a lower sequence than `before`, at most so many.

        Raises UnknownStoredBookError: there is no such book.
        """
        query = _ENTRIES.where(HISTORY.c.name == name).order_by(HISTORY.c.sequence.desc()).limit(most)
        if before is not None:
            query = query.where(HISTORY.c.sequence < before)
        with self._database.read() as connection:
            rows = connection.execute(query).all()
            _known(name, connection.execute(_NOW.where(BOOKS.c.name == name)).one_or_none())
        return tuple(map(_entry, rows))

    def content(self, name: str, revision: str) -> bytes:
        """Give a revision that a book has or had: JSON in UTF-8, as `files.asjson.read_json` reads it.

        Raises UnknownStoredBookError: the book never had it. StoreDamagedError.
        """
        with self._database.read() as connection:
            asked = revisions.named(connection, revision)
            query = select(HISTORY.c.sequence).where(HISTORY.c.name == name, HISTORY.c.revision == asked).limit(1)
            had = connection.execute(query).one_or_none()
            found = revisions.read(connection, asked) if had else None
        if found is None:
            raise UnknownStoredBookError("the price book has no such revision; its list of revisions tells which")
        return found

    def revision(self, revision: str) -> bytes:
        """Give a revision that a book has or had, or that a quote was made from, whatever its book was called.

        Raises UnknownStoredBookError: nothing points to it. StoreDamagedError.
        """
        with self._database.read() as connection:
            found = revisions.read(connection, revisions.named(connection, revision))
        if found is None:
            raise UnknownStoredBookError("there is no such revision")
        return found

    def put(self, book: PriceBook, expected: str | None, by: str) -> BookEntry:
        """Write a book under its name, if it is still as its writer saw it.

        expected: the revision it is at, None where there is to be none of this name yet; by: the writer. A book that
        is at the written revision already is left as it is, so that a request may be sent twice.
        Raises RevisionConflictError: it is at another revision, or is there, or is not.
        """
        now = self._clock()
        with self._database.write() as connection:
            before = _locked(connection, book.name)
            found = None if before is None else before.revision
            if found not in (expected and revisions.named(connection, expected), book.revision):
                raise RevisionConflictError(book.name, found)
            revisions.keep(connection, book, now)
            if found == book.revision:
                return _entry(connection.execute(_NOW.where(BOOKS.c.name == book.name)).one())
            entry = BookEntry(book.name, before.sequence + 1 if before else 1, book.revision, by, now)
            _point(connection, entry, new=before is None)
        return entry

    def delete(self, name: str, expected: str) -> None:
        """Delete a book and its history; revisions that quotes point to stay with the quotes.

        Raises UnknownStoredBookError. RevisionConflictError: it is at another revision than `expected`.
        """
        with self._database.write() as connection:
            before = _known_row(name, _locked(connection, name))
            if before.revision != revisions.named(connection, expected):
                raise RevisionConflictError(name, before.revision)
            had = connection.execute(select(HISTORY.c.revision).where(HISTORY.c.name == name)).scalars().all()
            connection.execute(delete(BOOKS).where(BOOKS.c.name == name))
            revisions.drop_unused(connection, had)


def _locked(connection: Connection, name: str) -> AnyRow | None:
    """Read where a name points, and let nobody else move it in this transaction."""
    query = select(BOOKS.c.sequence, BOOKS.c.revision).where(BOOKS.c.name == name)
    return connection.execute(query.with_for_update()).one_or_none()


def _point(connection: Connection, entry: BookEntry, *, new: bool) -> None:
    """Let a name point to its next revision."""
    now = {"name": entry.name, "sequence": entry.sequence, "revision": entry.revision}
    if not new:
        connection.execute(update(BOOKS).where(BOOKS.c.name == entry.name).values(now))
    elif not insert_new(connection, BOOKS, now):
        raise RevisionConflictError(entry.name, getattr(_locked(connection, entry.name), "revision", None))
    connection.execute(insert(HISTORY).values(now | {"by": entry.by, "stored": entry.stored}))


def _known(name: str, row: AnyRow | None) -> BookEntry:
    return _entry(_known_row(name, row))


def _known_row(name: str, row: AnyRow | None) -> AnyRow:
    if row is None:
        raise UnknownStoredBookError("there is no stored price book of this name")
    return row


def _entry(row: AnyRow) -> BookEntry:
    return BookEntry(row.name, row.sequence, row.revision, row.by, row.stored)
