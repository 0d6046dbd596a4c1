"""What is told of price books beside their content: lists of them, their revisions, and who may read and write them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final, NamedTuple

from sawbill import store
from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.prices.pricebook import PriceBook, Summary


class Listed(NamedTuple):
    """A price book, by name. book: None if it is at fault; entry: None if it is kept in the folder.

    known: whether who asks is told who wrote it and whose it is, which takes a token.
    """

    name: str
    book: PriceBook | Summary | None
    entry: store.BookEntry | None
    known: bool


def _of_book(key: str) -> f.Read:
    return lambda listed, _: None if listed.book is None else getattr(listed.book, key)


def _of_entry(key: str) -> f.Read:
    return lambda listed, _: getattr(listed.entry, key) if listed.entry and listed.known else None


def _revision(listed: Listed, _: f.Writing) -> str | None:
    found = listed.entry or listed.book
    return found.revision if found else None


def _stored(found: Listed | Revised) -> datetime | None:
    return found.entry.stored if found.entry else None


_STORED: Final = "When it was stored (RFC 3339, UTC); null in the folder."


class BookSummary(Answered):
    """A price book in the list; what cannot be read of one that is at fault is null."""

    name = f.text("Its name, by which a request asks for it.", "sample-inch")
    kept = f.text(
        "Where it is kept: in the service's folder, where only its files change it, or in the store.", "store",
        lambda listed, _: "store" if listed.entry else "folder", choices=["folder", "store"],
    )  # fmt: skip
    by = f.text(
        "Who stored it as it is: the owner of a token; null in the folder, and to who shows no token.", "anna",
        _of_entry("by"), none=True,
    )  # fmt: skip
    stored = f.moment(_STORED, _stored, none=True)
    usable = f.flag(
        "Whether quotes can be made from it; if not, its own address says why.",
        lambda listed, _: listed.book is not None, example=True,
    )  # fmt: skip
    title = f.text("What it is called.", "Sample prices, inch sizes (invented)", _of_book("title"), none=True)
    revision = f.text(
        "What names its content: any change gives another.", "781ea1b956718b153a0c1f7e42d9b86c", _revision, none=True
    )
    units = f.text(
        "The system it is written in.", "inch", _of_book("units"), none=True, choices=["inch", "metric"]
    )  # fmt: skip
    currency = f.text("Its currency (ISO 4217).", "USD", _of_book("currency"), none=True)
    as_of = f.text(
        "The day of its prices (ISO 8601).", "2026-11-01",
        lambda listed, _: listed.book and listed.book.as_of.isoformat(), none=True,
    )  # fmt: skip
    sample = f.flag("Whether its prices are invented.", _of_book("sample"), example=True, none=True)
    owner = f.text(
        "Whose it is: the owner of a token; null in the folder, and to who shows no token.", "anna",
        _of_entry("owner"), none=True,
    )  # fmt: skip
    may = f.text(
        "What you may do with it: read it; write it too; own it, which is also to delete and to share it.", "own",
        lambda listed, _: listed.entry.may if listed.entry else "read", choices=["read", "write", "own"],
    )  # fmt: skip


class BookList(Answered):
    """The price books."""

    price_books = f.rows(BookSummary, "The price books, by name.", lambda found, _: found)


class Revised(NamedTuple):
    """A revision of a price book. entry: None in the folder; known: whether who asks is told who wrote it."""

    revision: str
    entry: store.BookEntry | None
    known: bool


class BookRevision(Answered):
    """A revision of a price book."""

    revision = f.text("What names its content.", "781ea1b956718b153a0c1f7e42d9b86c")
    number = f.whole(
        "Counts the revisions of its name from 1; null in the folder.", 3,
        lambda revised, _: revised.entry and revised.entry.sequence, none=True,
    )  # fmt: skip
    by = f.text(
        "Who stored it: the owner of a token; null in the folder, and to who shows no token.", "anna",
        _of_entry("by"), none=True,
    )  # fmt: skip
    stored = f.moment(_STORED, _stored, none=True)


class RevisionPage(NamedTuple):
    """Some of the revisions of a price book, and the address of those before them."""

    name: str
    revisions: Sequence[Revised]
    next: str | None


class RevisionList(Answered):
    """What a price book has been, the newest first."""

    name = f.text("The price book, by name.", "my-shop")
    revisions = f.rows(BookRevision, "Its revisions; of a book of the folder only the one it is at.")
    next = f.text(
        "The address of the next page, as the header Link has it; null on the last.",
        "/v1/price-books/my-shop/revisions?limit=20&after=117", none=True,
    )  # fmt: skip


class Grant(Answered):
    """What others may do."""

    to = f.text("Whom it is for: everyone, an owner or the members of a group.", "owner:ben")
    may = f.text("Whether they may read it, or write it too.", "read", choices=[*store.RIGHTS])


class Shared(NamedTuple):
    """Whose a price book is, by its name, and what others may."""

    name: str
    rights: store.BookRights


class BookRights(Answered):
    """Whose a price book is, and who else may read or write it."""

    name = f.text("The price book, by name.", "my-shop")
    owner = f.text("Whose it is: the owner of a token.", "anna", "rights.owner")
    rights = f.rows(Grant, "Who else may do what, by whom it is for.", "rights.grants")
