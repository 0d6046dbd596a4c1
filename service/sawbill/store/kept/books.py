"""Price books by name: what each is now, and every revision it has been; whose they are, and who else reaches them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, Final

from sqlalchemy import Connection, Select, delete, insert, select, update

from sawbill.prices.pricebook import PriceBook
from sawbill.store.clock import Clock
from sawbill.store.errors import (
    DeletedBookError,
    NameTakenError,
    NotYoursError,
    RevisionConflictError,
    UnknownStoredBookError,
)
from sawbill.store.kept import reach, revisions
from sawbill.store.sql.database import AnyRow, Database, insert_new
from sawbill.store.sql.schema import BOOKS, HISTORY
from sawbill.store.values import BookEntry, Who

UNDO_WINDOW: Final = timedelta(days=30)
"""How long a deleted book can be brought back."""


class Books:
    """The stored price books. Who may not read a book is told what he would be told if there were none.

    Only the name is not free for him, for names are everybody's: that much he can find out by trying to take it.
    """

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def list(self, who: Who) -> tuple[BookEntry, ...]:
        """List the books that somebody may read, as they are now, by name."""
        with self._database.read() as connection:
            found = connection.execute(_now(who).where(reach.reads(who)))
            return tuple(sorted(map(_entry, found), key=lambda entry: entry.name))

    def deleted(self, who: Who) -> tuple[BookEntry, ...]:
        """List the books that somebody has deleted and can bring back, by name."""
        back = BOOKS.c.deleted > self._clock() - UNDO_WINDOW
        with self._database.read() as connection:
            found = connection.execute(_now(who).where(reach.owns(who), back))
            return tuple(sorted(map(_entry, found), key=lambda entry: entry.name))

    def get(self, name: str, who: Who) -> BookEntry:
        """Give a book as it is now. Raises UnknownStoredBookError, DeletedBookError among them."""
        with self._database.read() as connection:
            return self._read(connection, name, who)

    def history(self, name: str, who: Who, before: int | None = None, most: int = 100) -> tuple[BookEntry, ...]:
        """List what a book has been, the newest first: those of a lower sequence than `before`, at most so many.

        Raises UnknownStoredBookError: there is no such book.
        """
        query = _entries(who).where(HISTORY.c.name == name).order_by(HISTORY.c.sequence.desc()).limit(most)
        if before is not None:
            query = query.where(HISTORY.c.sequence < before)
        with self._database.read() as connection:
            self._read(connection, name, who)
            return tuple(map(_entry, connection.execute(query)))

    def content(self, name: str, revision: str, who: Who) -> bytes:
        """Give a revision that a book has or had: JSON in UTF-8, as `files.asjson.read_json` reads it.

        Raises UnknownStoredBookError: the book never had it. StoreDamagedError.
        """
        with self._database.read() as connection:
            self._read(connection, name, who)
            asked = revisions.named(connection, revision)
            query = select(HISTORY.c.sequence).where(HISTORY.c.name == name, HISTORY.c.revision == asked).limit(1)
            had = connection.execute(query).one_or_none()
            found = revisions.read(connection, asked) if had else None
        if found is None:
            raise UnknownStoredBookError(
                "the price book has no such revision; its list of revisions shows those it has"
            )
        return found

    def revision(self, revision: str) -> bytes:
        """Give a revision that a book has or had, or that a quote was made from, whatever its book was called.

        For who reaches that quote. Raises UnknownStoredBookError: nothing points to it. StoreDamagedError.
        """
        with self._database.read() as connection:
            found = revisions.read(connection, revisions.named(connection, revision))
        if found is None:
            raise UnknownStoredBookError("there is no such revision")
        return found

    def put(self, book: PriceBook, expected: str | None, by: Who) -> BookEntry:
        """Write a book under its name, if it is still as its writer saw it; a new one is its writer's own.

        expected: the revision it is at, None where there is to be none of this name yet. A book that is at the
        written revision already is left as it is, so that a request may be sent twice.
        Raises RevisionConflictError: it is at another revision, or is there, or is not. NotYoursError. NameTakenError.
        """
        now = self._clock()
        with self._database.write() as connection:
            _forget(connection, now)
            before = _locked(connection, book.name, by)
            if before is None:
                if expected is not None:
                    raise RevisionConflictError(book.name, None)
                revisions.keep(connection, book, now)
                return _begin(connection, book, by, now)
            _check_writer(before, expected, by)
            if before.revision not in (expected and revisions.named(connection, expected), book.revision):
                raise RevisionConflictError(book.name, before.revision)
            if before.revision != book.revision:
                revisions.keep(connection, book, now)
                _go_on(connection, book, before.sequence + 1, by, now)
            return _entry(connection.execute(_now(by).where(BOOKS.c.name == book.name)).one())

    def delete(self, name: str, expected: str, by: Who) -> None:
        """Delete a book, which its owner can undo for UNDO_WINDOW; then it goes, but for revisions with quotes.

        Raises UnknownStoredBookError. NotYoursError. RevisionConflictError: it is at another revision than `expected`.
        """
        now = self._clock()

        def remove(connection: Connection) -> None:
            _forget(connection, now)
            before = owned(connection, name, by)
            if before.revision != revisions.named(connection, expected):
                raise RevisionConflictError(name, before.revision)
            connection.execute(update(BOOKS).where(BOOKS.c.name == name).values(deleted=now))

        self._database.make_room(remove)

    def undelete(self, name: str, by: Who) -> BookEntry:
        """Bring back a book that its owner deleted. Raises UnknownStoredBookError: there is none of this name."""
        back = (BOOKS.c.name == name, BOOKS.c.deleted > self._clock() - UNDO_WINDOW, reach.owns(by))
        with self._database.write() as connection:
            connection.execute(update(BOOKS).where(*back).values(deleted=None))
            return self._read(connection, name, by)

    def _read(self, connection: Connection, name: str, who: Who) -> BookEntry:
        row = connection.execute(_now(who).where(BOOKS.c.name == name, reach.reads(who))).one_or_none()
        if row is not None:
            return _entry(row)
        query = select(BOOKS.c.deleted).where(BOOKS.c.name == name, reach.owns(who))
        deleted = connection.execute(query).scalar_one_or_none()
        if deleted is not None and deleted > self._clock() - UNDO_WINDOW:
            raise DeletedBookError(name, deleted + UNDO_WINDOW)
        raise _unknown()


def owned(connection: Connection, name: str, by: Who, *, hold: bool = True) -> AnyRow:
    """Find a book that is there and somebody's own; hold: and let nobody else change it in this transaction.

    Raises UnknownStoredBookError. NotYoursError.
    """
    row = _locked(connection, name, by, hold=hold)
    if row is None or not row.reads:
        raise _unknown()
    if not row.owns:
        raise NotYoursError(f"the price book {name} belongs to somebody else; only they can do this, so ask its owner")
    return row


def _locked(connection: Connection, name: str, who: Who, *, hold: bool = True) -> AnyRow | None:
    """Read what there is of a name; hold: and let nobody else change it in this transaction."""
    rights = (reach.reads(who).label("reads"), reach.writes(who).label("writes"), reach.owns(who).label("owns"))
    query = select(BOOKS, *rights).where(BOOKS.c.name == name)
    return connection.execute(query.with_for_update(of=BOOKS) if hold else query).one_or_none()


def _check_writer(before: AnyRow, expected: str | None, by: Who) -> None:
    """See that somebody may write a book that has the name. Raises NotYoursError, NameTakenError, …ConflictError."""
    if before.writes:
        return
    if before.reads:
        raise NotYoursError(
            f"you may read the price book {before.name} but not change it; ask its owner, or choose another name"
        )
    if expected is not None:
        raise RevisionConflictError(before.name, None)
    if before.owns:
        raise NameTakenError(f"you deleted a price book called {before.name}; restore it, or choose another name")
    raise NameTakenError(f"a price book cannot be called {before.name} here; choose another name")


def _begin(connection: Connection, book: PriceBook, by: Who, now: datetime) -> BookEntry:
    """Write the first revision of a name; somebody else may just have taken it."""
    row = {"name": book.name, "sequence": 1, "revision": book.revision, "owner": by.owner}
    if not insert_new(connection, BOOKS, row):
        taken = _locked(connection, book.name, by)
        if taken is not None:
            _check_writer(taken, None, by)
        raise RevisionConflictError(book.name, getattr(taken, "revision", None))
    return _note(connection, book, 1, by, now)


def _go_on(connection: Connection, book: PriceBook, sequence: int, by: Who, now: datetime) -> None:
    """Let a name point to its next revision."""
    values = {"sequence": sequence, "revision": book.revision}
    connection.execute(update(BOOKS).where(BOOKS.c.name == book.name).values(values))
    _note(connection, book, sequence, by, now)


def _note(connection: Connection, book: PriceBook, sequence: int, by: Who, now: datetime) -> BookEntry:
    values = {"name": book.name, "sequence": sequence, "revision": book.revision, "by": by.owner, "stored": now}
    connection.execute(insert(HISTORY).values(values))
    return BookEntry(book.name, sequence, book.revision, by.owner, now, by.owner, "own")


def _forget(connection: Connection, now: datetime) -> None:
    """Let go of the books that nobody can bring back any more."""
    old = select(BOOKS.c.name).where(BOOKS.c.deleted <= now - UNDO_WINDOW).with_for_update(skip_locked=True)
    names = connection.execute(old).scalars().all()
    if names:
        had = connection.execute(select(HISTORY.c.revision).where(HISTORY.c.name.in_(names))).scalars().all()
        connection.execute(delete(BOOKS).where(BOOKS.c.name.in_(names)))
        revisions.drop_unused(connection, had)


def _entries(who: Who) -> Select[Any]:
    """All revisions of all books, each with what who asks may do with its book."""
    columns = (*HISTORY.c["name", "sequence", "revision", "by", "stored"], *BOOKS.c["owner", "deleted"])
    return select(*columns, reach.may(who)).join(BOOKS, BOOKS.c.name == HISTORY.c.name)


def _now(who: Who) -> Select[Any]:
    """The revision that each book is at."""
    return _entries(who).where(BOOKS.c.sequence == HISTORY.c.sequence)


def _entry(row: AnyRow) -> BookEntry:
    return BookEntry(row.name, row.sequence, row.revision, row.by, row.stored, row.owner, row.may, row.deleted)


def _unknown() -> UnknownStoredBookError:
    return UnknownStoredBookError("there is no stored price book with this name")
