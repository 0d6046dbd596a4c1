"""The price books that requests may name: those of the folder and those of the store; and those they bring along."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from sawbill.asked.request import RequestFault
from sawbill.backroom import Room
from sawbill.backroom.task import Shared
from sawbill.prices.pricebook import SHORT_DIGITS, PriceBook, Summary, summary_of
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import BookFaultsError, SawbillError, shown
from sawbill.prices.shelf import BOOK_NAME, LARGE, Shelf, UnknownBookError
from sawbill.store import BookEntry, DeletedBookError, UnknownStoredBookError, Who
from sawbill.web.http.problems import book_at_fault
from sawbill.web.library import aside, packing
from sawbill.web.library.keeping import Keeper
from sawbill.web.reckoning import books as reckoning
from sawbill.web.reckoning.prices import Named

SENT: Final = "sent_prices"
"""What a price book is called that came with a page's form, which no book that is kept can be called: it is asked for
as SENT@revision, and held in memory as one of the last few."""


class UnknownRevisionError(SawbillError):
    """A stored price book never had this revision."""


class BookChangedError(SawbillError):
    """A book of the folder, which keeps no older revisions, is at another one."""


@dataclass(frozen=True, slots=True)
class Library:
    """The price books of the folder, and of the store those that who asks may read.

    A folder's book hides a stored one of its name. room: reads large ones; who: tells who asks, where the store is
    asked for; held: gives the content of a book that was sent, by its revision.
    """

    shelf: Shelf
    keeper: Keeper
    room: Room
    who: Callable[[], Who]
    held: Callable[[str], bytes | None] = lambda revision: None

    def listed(self) -> dict[str, BookEntry | None]:
        """List the books by name, each with what the store tells of it; None: it is the folder's. Raises StoreError."""
        stored = self.keeper.store.books.list(self.who()) if self.keeper.keeps else ()
        found: dict[str, BookEntry | None] = {entry.name: entry for entry in stored}
        return dict(sorted((found | dict.fromkeys(self.shelf.names())).items()))

    def in_folder(self, name: str) -> bool:
        """Tell whether a book is the folder's, and so not to be changed here."""
        return self.shelf.has(name)

    def entry(self, name: str) -> BookEntry:
        """Tell of a stored book. Raises UnknownBookError: there is none of this name. StoreError."""
        try:
            if self.keeper.keeps and BOOK_NAME.fullmatch(name):  # the store takes no text that it could not hold
                return self.keeper.store.books.get(name, self.who())
        except DeletedBookError as error:
            raise UnknownBookError(f"{error}: POST /v1/price-books/{name}/undelete") from None
        except UnknownStoredBookError:
            pass
        raise UnknownBookError(f"there is no price book with this name; {nearest(name[:63], self.listed())}")

    def get(self, name: str) -> PriceBook:
        """Give a book as it is now.

        Raises UnknownBookError: there is none of this name. Problem 503: it cannot be used as it is. StoreError.
        """
        if not self.in_folder(name):
            return self._kept(name, self.entry(name).revision)
        try:
            return self.shelf.get(name)
        except BookFaultsError as error:
            raise book_at_fault(name, error) from error

    def at(self, name: str, revision: str) -> PriceBook:
        """Give a book as it is at a revision: the one it is at, or any that the store has of it.

        Raises UnknownBookError. UnknownRevisionError. BookChangedError. Problem 503. StoreError.
        """
        if name == SENT:
            return self._sent(revision)
        if self.in_folder(name):
            book = self.get(name)
            if revision not in (book.revision, book.revision[:SHORT_DIGITS]):
                now = f"is now at revision {book.revision}, not {shown(revision)}"
                raise BookChangedError(f"the price book {name} {now}; its folder keeps no other")
            return book
        self.entry(name)
        if not revision.isprintable():
            remedy = f"see /v1/price-books/{name}/revisions"
            raise UnknownRevisionError(f"the price book {name} has no revision {shown(revision)}; {remedy}")
        try:
            return self._kept(name, revision)
        except UnknownStoredBookError as error:
            raise UnknownRevisionError(str(error)) from None

    def _sent(self, revision: str) -> PriceBook:
        content = self.held(revision) if revision.isascii() and revision.isalnum() else None
        if content is None:
            raise UnknownBookError("the prices that you sent are held no longer; choose their file again")
        return self.opened(SENT, content)

    def usable(self, name: str) -> PriceBook | None:
        """Give a book as it is now, or nothing where it cannot be used. Raises Problem: not just now. StoreError."""
        try:
            entry = None if self.in_folder(name) else self.entry(name)
            return self.shelf.get(name) if entry is None else self._read(name, entry.revision)
        except (BookFaultsError, UnknownBookError, UnknownStoredBookError):
            return None

    def summary(self, name: str, entry: BookEntry | None) -> Summary | None:
        """Tell what a listed book says of itself; None: it cannot be used. Raises Problem: not just now. StoreError."""
        if entry is None:
            book = self.usable(name)
            return None if book is None else summary_of(book)
        try:
            return _summary(_ByRevision(entry.revision, lambda: self._read(name, entry.revision)))
        except (BookFaultsError, UnknownStoredBookError):
            return None

    def _kept(self, name: str, revision: str) -> PriceBook:
        try:
            return self._read(name, revision)
        except BookFaultsError as error:  # an older version of the service took what this one does not
            raise book_at_fault(name, error) from error

    def _read(self, name: str, revision: str) -> PriceBook:
        return self.opened(name, self.keeper.store.books.content(name, revision, self.who()))

    def opened(self, name: str, content: bytes) -> PriceBook:
        """Give the book that was stored as these bytes. Raises BookFaultsError. Problem: not just now."""
        return _opened(_ByContent(name, content, self.room))


@dataclass(frozen=True, slots=True)
class _ByContent:
    """A stored book that is to be read; room: reads it, if it is large."""

    name: str
    content: bytes
    room: Room = field(compare=False)


@lru_cache(maxsize=16)
def _opened(kept: _ByContent) -> PriceBook:
    """Read a stored book, which is for ever what its bytes say."""
    if len(kept.content) < LARGE:
        return reckoning.kept(kept.name, kept.content)
    return aside.of_store(kept.room, kept.name, kept.content)


@dataclass(frozen=True, slots=True)
class _ByRevision:
    """A stored book that is told from others by its revision; read: reads it."""

    revision: str
    read: Callable[[], PriceBook] = field(compare=False)


@lru_cache(maxsize=1_000)
def _summary(asked: _ByRevision) -> Summary:
    """Summarise a stored book, so that a long list of large ones is not a reading of all of them each time."""
    return summary_of(asked.read())


@dataclass(frozen=True, slots=True)
class Found:
    """The price books of one request: packed for an engine, and as they are; named: which is which."""

    books: tuple[PriceBook, ...]
    shared: tuple[Shared, ...]
    named: Named


def for_request(library: Library, names: Sequence[str]) -> Found:
    """Find the price books that a request names, and any other to read on with. Raises Problem 503: StoreError."""
    found = {name: named(library, name, "price_book") for name in names}
    given = {packing.key(book): book for book in found.values() if isinstance(book, PriceBook)}
    at = {key: place for place, key in enumerate(given)}
    places = {
        name: at[packing.key(book)] if isinstance(book, PriceBook) else tuple(book) for name, book in found.items()
    }
    other = None if given else stand_in(library)
    books = (*given.values(), *([other] if other else []))
    return Found(books, tuple(map(packing.shared, books)), Named(places, 0 if books else None))


def named(library: Library, asked: str, place: str) -> PriceBook | list[RequestFault]:
    """Give the price book that is asked for as name or name@revision; place: the key or parameter that asks."""
    name, at, revision = asked.partition("@")
    try:
        return library.at(name, revision) if at else library.get(name)
    except UnknownBookError as error:
        return [RequestFault((place,), "unknown-price-book", f'{place} is "{shown(asked)}": {error}')]
    except UnknownRevisionError as error:
        return [RequestFault((place,), "unknown-revision", f'{place} is "{shown(asked)}": {error}')]
    except BookChangedError as error:
        return [RequestFault((place,), "price-book-changed", str(error))]


def stand_in(library: Library) -> PriceBook | None:
    """Any price book that can be used, to read on with where the one asked for cannot be. Raises StoreError."""
    for name in library.shelf.names() or library.listed():
        book = library.usable(name)
        if book is not None:
            return book
    return None
