"""Price books as they are sent, and as a request may bring a whole one."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from marshmallow import fields

from sawbill.prices.about import ABOUT
from sawbill.prices.offers import HARDWARE, LUMBER, SECTIONS, SUPPLIERS, SUPPLY
from sawbill.prices.pricebook import PriceBook, content
from sawbill.prices.shop import SHOP
from sawbill.store import BookEntry
from sawbill.web.admission.callers import Caller
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.declared import cells_schema, told_schema
from sawbill.web.schemas.fields import Sent


def book_json(book: PriceBook) -> dict[str, Any]:
    """Give a whole price book: what a request may bring, and its name and revision."""
    return {"name": book.name, "revision": book.revision, **content(book)}


def summary_json(name: str, book: PriceBook | None, entry: BookEntry | None, caller: Caller) -> dict[str, Any]:
    """Give what a list tells of a price book; no book: it is at fault; no entry: it is kept in the folder.

    Who wrote it and whose it is are told to nobody who shows no token.
    """
    known = entry is not None and caller.owner != ""
    return {
        "name": name,
        "kept": "folder" if entry is None else "store",
        "by": entry.by if entry and known else None,
        "stored": entry and _time(entry.stored),
        "usable": book is not None,
        "title": book and book.title,
        "revision": entry.revision if entry else book and book.revision,
        "units": book and book.units,
        "currency": book and book.currency,
        "as_of": book and book.as_of.isoformat(),
        "sample": book and book.sample,
        "owner": entry.owner if entry and known else None,
        "may": entry.may if entry else "read",
    }


def revision_json(entry: BookEntry, caller: Caller) -> dict[str, Any]:
    """Tell of a revision that a stored price book has, or had."""
    return {
        "revision": entry.revision,
        "number": entry.sequence,
        "by": entry.by if caller.owner else None,
        "stored": _time(entry.stored),
    }


def only_revision_json(book: PriceBook) -> dict[str, Any]:
    """Tell of the revision of a price book whose folder keeps no other."""
    return {"revision": book.revision, "number": None, "by": None, "stored": None}


def _time(time: datetime) -> str:
    """Write a time as RFC 3339 has it, in UTC."""
    return time.isoformat(timespec="microseconds").replace("+00:00", "Z")


class BookSummarySchema(Sent):
    """A price book in the list; what cannot be read of one that is at fault is null."""

    name = sent.text("Its name, by which a request asks for it.", "sample-inch")
    kept = sent.text(
        "Where it is kept: in the service's folder, where only its files change it, or in the store.",
        "store",
        choices=["folder", "store"],
    )
    by = sent.text(
        "Who stored it as it is: the owner of a token; null in the folder, and to who shows no token.",
        "anna",
        none=True,
    )
    stored = sent.text(
        "When it was stored (RFC 3339, UTC); null in the folder.", "2026-11-25T15:04:05.678901Z", none=True
    )
    usable = sent.flag("Whether quotes can be made from it; if not, its own address says why.", example=True)
    title = sent.text("What it is called.", "Sample prices, inch sizes (invented)", none=True)
    revision = sent.text(
        "What names its content: any change gives another.", "781ea1b956718b153a0c1f7e42d9b86c", none=True
    )
    units = sent.text("The system it is written in.", "inch", none=True, choices=["inch", "metric"])
    currency = sent.text("Its currency (ISO 4217).", "USD", none=True)
    as_of = sent.text("The day of its prices (ISO 8601).", "2026-11-01", none=True)
    sample = fields.Boolean(
        required=True, allow_none=True, metadata={"description": "Whether its prices are invented.", "examples": [True]}
    )
    owner = sent.text(
        "Whose it is: the owner of a token; null in the folder, and to who shows no token.", "anna", none=True
    )
    may = sent.text(
        "What you may do with it: read it; write it too; own it, which is also to delete and to share it.",
        "own",
        choices=["read", "write", "own"],
    )


class BookListSchema(Sent):
    """The price books."""

    price_books = sent.rows(BookSummarySchema, "The price books, by name.")


class BookRevisionSchema(Sent):
    """A revision of a price book."""

    revision = sent.text("What names its content.", "781ea1b956718b153a0c1f7e42d9b86c")
    number = sent.whole("Counts the revisions of its name from 1; null in the folder.", 3, none=True)
    by = sent.text(
        "Who stored it: the owner of a token; null in the folder, and to who shows no token.", "anna", none=True
    )
    stored = sent.text(
        "When it was stored (RFC 3339, UTC); null in the folder.", "2026-11-25T15:04:05.678901Z", none=True
    )


class RevisionListSchema(Sent):
    """What a price book has been, the newest first."""

    name = sent.text("The price book, by name.", "my-shop")
    revisions = sent.rows(BookRevisionSchema, "Its revisions; of a book of the folder only the one it is at.")
    next = sent.text(
        "The address of the next page, as the header Link has it; null on the last.",
        "/v1/price-books/my-shop/revisions?limit=20&after=117",
        none=True,
    )


def _passed_over(description: str, example: str) -> fields.String:
    """Describe what an answer says of a price book, and a request need not."""
    return fields.String(metadata={"description": f"{description}; passed over in a request.", "examples": [example]})


BookShopSchema: Final = told_schema("BookShop", "How the shop cuts.", SHOP)


SupplierSchema: Final = cells_schema(
    "Supplier", "A supplier, and what it costs to get goods home from there.", SUPPLIERS
)
LumberRowSchema: Final = cells_schema("LumberRow", "One stock length of one section at one price.", LUMBER)
SectionRowSchema: Final = cells_schema("SectionRow", "A section of the book's own.", SECTIONS)
HardwareRowSchema: Final = cells_schema("HardwareRow", "One pack of one fastener.", HARDWARE)
SupplyRowSchema: Final = cells_schema("SupplyRow", "One container of a supply.", SUPPLY)


class PriceBookSchema(told_schema("BookAbout", "What a price book says of itself.", ABOUT)):  # type: ignore[misc]  # made
    """A whole price book, as it is sent and as a request may bring it; every value of a row is text."""

    name = _passed_over("Its name", "sample-inch")
    revision = _passed_over("What names its content", "781ea1b956718b153a0c1f7e42d9b86c")
    usual_sections = fields.Dict(
        keys=fields.String(),
        values=fields.String(metadata={"description": "A section, by name.", "examples": ["2x4"]}),
        required=True,
        metadata={
            "description": "The section taken for a role that a request leaves open; other stands for all not named.",
            "examples": [{"rail": "2x6", "other": "2x4"}],
        },
    )
    shop = sent.group(BookShopSchema, "How the shop cuts.")
    suppliers = sent.rows(SupplierSchema, "The suppliers, at least one.")
    lumber = sent.rows(LumberRowSchema, "The boards on sale, a row each stock length.")
    hardware = sent.rows(HardwareRowSchema, "Fasteners and fittings, a row each pack.")
    supplies = sent.rows(SupplyRowSchema, "Glue, finish and the like, a row each container.")
    sections = fields.List(
        fields.Nested(SectionRowSchema),
        metadata={"description": "Sections that are its own, for lumber whose name and size are not listed."},
    )
