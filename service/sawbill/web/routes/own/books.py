"""Price books as pages: what they have been, who may read them, and a workbook to put in their place."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from flask import Blueprint, Response, request

from sawbill.prices.forms import forms
from sawbill.prices.pricebook import PriceBook
from sawbill.store import RIGHTS, BookEntry
from sawbill.store.kept.books import UNDO_WINDOW
from sawbill.store.kept.reach import EVERYONE, GROUP, OWNER
from sawbill.web.admission import callers
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import by_form
from sawbill.web.http import paging, problems
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import books
from sawbill.web.routes.books.price_books import found, store_to_write
from sawbill.web.work.quoting import service
from sawbill.web.written import book_forms, own

own_books = Blueprint("own_books", __name__)

LIST: Final = "/kept"
ADDRESS: Final = "/kept/price-books/<name>"
FILE: Final = "file"
"""The field of a form that brings a price book."""
WHOM: Final = {"everyone": EVERYONE, "owner": OWNER, "group": GROUP}
"""For whom a form shares a price book, and how that is written."""


@own_books.get(ADDRESS)
@takes("read")
def own_book(name: str) -> Response:
    """Tell of a price book: what it has been, and who may do what with it."""
    limit, after = paging.asked(parameters("limit", "after"))
    library = service().library
    if library.in_folder(name):
        found(library.get, name)
        return own.page(
            "own/price_book.html", name=name, book=library.summary(name, None), entry=None, listed=[], rights=None,
            following=None, suffixes=[*forms.BY_SUFFIX], undo=UNDO_WINDOW.days, choices=RIGHTS,
        )  # fmt: skip
    entry = found(library.entry, name)
    who, store = callers.who(), library.keeper.store
    listed = store.books.history(name, who, after, limit + 1)
    following = paging.following(request.path, limit, listed[limit - 1].sequence) if len(listed) > limit else None
    mine = entry.may == "own" and callers.current_caller().may("price-book")
    return own.page(
        "own/price_book.html", name=name, book=library.summary(name, entry), entry=entry, listed=_pairs(listed, limit),
        rights=store.rights.of(name, who) if mine else None, following=following, suffixes=[*forms.BY_SUFFIX],
        undo=UNDO_WINDOW.days, choices=RIGHTS,
    )  # fmt: skip


def _pairs(listed: tuple[BookEntry, ...], limit: int) -> list[tuple[BookEntry, str]]:
    """Give so many revisions, each with the one before it; empty: it is the first."""
    before = [each.revision for each in listed[1:]] + [""]
    return list(zip(listed, before, strict=True))[:limit]


@own_books.post("/kept/price-books")
@takes("price-book")
@by_form
def add_book() -> Response:
    """Keep a new price book: from a file, or as the copy of another."""
    parameters()
    name, source = request.form.get("name", "").strip(), request.form.get("copy", "")
    store = store_to_write(name)
    book = _copied(name, source) if source else book_forms.uploaded(name, FILE)
    store.books.put(book, None, callers.who())
    return own.lead_on(_page_of(name))


@own_books.post(ADDRESS)
@takes("price-book")
@by_form
def replace_book(name: str) -> Response:
    """Put a file in the place of the revision that the page showed."""
    parameters()
    store = store_to_write(name)
    found(service().library.entry, name)
    store.books.put(book_forms.uploaded(name, FILE), request.form.get("revision", ""), callers.who())
    return own.lead_on(_page_of(name))


@own_books.post(f"{ADDRESS}/let")
@takes("price-book")
@by_form
def share_book(name: str) -> Response:
    """Let others read a price book, or write it too."""
    parameters()
    store, form = store_to_write(name), request.form
    whom = WHOM.get(form.get("whom", ""), "") + (form.get("called", "").strip() if form.get("whom") != EVERYONE else "")
    right = next((right for right in RIGHTS if right == form.get("may")), None)
    if right is None:
        raise Problem("invalid-request", f"say what they may do: {' or '.join(RIGHTS)}")
    try:
        store.rights.let(name, whom, right, callers.who())
    except ValueError as error:
        raise Problem("invalid-request", str(error)) from None
    return own.lead_on(_page_of(name))


@own_books.post(f"{ADDRESS}/keep-from")
@takes("price-book")
@by_form
def unshare_book(name: str) -> Response:
    """Take back what others were let do."""
    parameters()
    store, to = store_to_write(name), request.form.get("to", "")
    if not to.isprintable():
        raise Problem("invalid-request", "take it back from somebody whom the page lists")
    store.rights.keep_from(name, to, callers.who())
    return own.lead_on(_page_of(name))


@own_books.post(f"{ADDRESS}/delete")
@takes("price-book")
@by_form
def remove_book(name: str) -> Response:
    """Delete a price book that is as the page showed it; its owner can bring it back for a while."""
    parameters()
    store_to_write(name).books.delete(name, request.form.get("revision", ""), callers.who())
    return own.lead_on(LIST)


@own_books.post(f"{ADDRESS}/bring-back")
@takes("price-book")
@by_form
def bring_book_back(name: str) -> Response:
    """Bring back a price book that was deleted."""
    parameters()
    store_to_write(name).books.undelete(name, callers.who())
    return own.lead_on(_page_of(name))


def _copied(name: str, source: str) -> PriceBook:
    """Copy another price book under a new name. Raises Problem: there is none."""
    copied = books.named(service().library, source, "copy")
    if not isinstance(copied, PriceBook):
        raise problems.faulty(copied, "parameter")
    return replace(copied, name=name)


def _page_of(name: str) -> str:
    return ADDRESS.replace("<name>", name)
