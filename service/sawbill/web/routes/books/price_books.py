"""Price books: those of the folder, which are read here, and those of the store, which are kept here too."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.declared.books import BookList, BookSummary, Listed, Revised, RevisionList, RevisionPage
from sawbill.answer.declared.fields import PLAIN
from sawbill.asked.request import RequestFault
from sawbill.prices.forms import forms
from sawbill.prices.pricebook import PriceBook, Summary
from sawbill.prices.rows.faults import shown
from sawbill.prices.shelf import BOOK_NAME, UnknownBookError
from sawbill.store import BookEntry, Store
from sawbill.store.kept.books import UNDO_WINDOW
from sawbill.web.admission import callers
from sawbill.web.http import media, paging, preconditions, problems
from sawbill.web.http.answers import json_answer
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import books
from sawbill.web.openapi import JSON, NOT_MODIFIED, parameter, route
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.price_book import PriceBookSchema
from sawbill.web.work.quoting import service
from sawbill.web.written import book_forms, catalogues

price_books = Blueprint("price books", __name__, description="What suppliers sell, and at what price.")

ADDRESS: Final = "/v1/price-books/<name>"
NAME: Final = [parameter("name", "The price book, by name.", "sample-inch", place="path", pattern="^[a-z0-9-]+$")]
REVISION: Final = parameter("revision", "A revision it has or had.", "781ea1b956718b153a0c1f7e42d9b86c", place="path")
READS: Final = ("not-found", "price-book-at-fault", *problems.RECKONED, *problems.READS_STORE)
WRITES: Final = (
    "not-found", "not-yours", "name-taken", "price-book-read-only", "moved-on", "precondition-required",
    *problems.WRITES_STORE,
)  # fmt: skip
COPY: Final = parameter("copy", "A price book to copy, as name or name@revision, in place of a body.", "sample-inch")
FILES: Final = {media_type: {"schema": media.body(media_type, "The file.")} for media_type in forms.BY_MEDIA_TYPE}
BODY: Final = {
    "required": False,
    "description": "The whole price book: as JSON, as a workbook with a sheet for each table, or as a zip of the files "
    "of its folder. A body of this shape may still be answered with 422, every mistake with its pointer, its sheet, "
    "row and column, or its file, line and column. Leave it out to copy another price book.",
    "content": {JSON: {"schema": PriceBookSchema}, **FILES},
}


def _listed(_: Mapping[str, str]) -> dict[str, Any]:
    """Tell of every price book that who asks may read."""
    library = service().library
    listed = library.listed().items()
    told = [Listed(name, library.summary(name, entry), entry, callers.is_known()) for name, entry in listed]
    return BookList.written(told, PLAIN)


def summary(name: str, book: PriceBook | Summary | None, entry: BookEntry) -> dict[str, Any]:
    """Tell of a price book of the store."""
    return BookSummary.written(Listed(name, book, entry, callers.is_known()), PLAIN)


catalogues.serve(
    price_books, "price-books", "list_price_books",
    "List the price books that you may read; one with mistakes in it is listed as not usable.",
    schema_of(BookList), _listed, *problems.READS_STORE, *problems.RECKONED,
)  # fmt: skip


@route(
    price_books,
    f"PUT {ADDRESS}",
    schema_of(BookSummary),
    "It is stored in place of the revision that If-Match names.",
    *WRITES,
    *problems.RECKONED,
    "price-book-changed",
    "price-book-at-fault",
    "too-large",
    "wrong-content-type",
    access="price-book",
    path=NAME,
    parameters=[COPY, preconditions.IF_MATCH, preconditions.IF_NONE_MATCH],
    requestBody=BODY,
    responses={
        "201": {"description": "It is stored; it is new.", "content": {JSON: {"schema": schema_of(BookSummary)}}}
    },
)
def put_price_book(name: str) -> Response:
    """Store a whole price book: a new one, or in place of the revision you read. The same may be sent twice."""
    given = parameters("copy")
    store = store_to_write(name)
    expected = preconditions.written_over()
    book = _copied(name, given["copy"]) if "copy" in given else book_forms.sent(name)
    entry = store.books.put(book, expected, callers.who())
    response = json_answer(summary(name, book, entry), cache="no-store")
    response.set_etag(entry.revision)
    if expected is None:
        response.status_code = 201
        response.headers["Location"] = ADDRESS.replace("<name>", name)
    return response


@route(
    price_books,
    f"DELETE {ADDRESS}",
    None,
    "",
    *WRITES,
    access="price-book",
    path=NAME,
    parameters=[preconditions.IF_MATCH],
    responses={"204": {"description": f"It is deleted; its owner can undo that for {UNDO_WINDOW.days} days."}},
)
def delete_price_book(name: str) -> Response:
    """Delete a price book of yours that is at the revision you read; quotes keep what they were made from."""
    parameters()
    store = store_to_write(name)
    store.books.delete(name, preconditions.replaced(), callers.who())
    return Response(status=204)


@route(
    price_books,
    f"GET {ADDRESS}/revisions",
    schema_of(RevisionList),
    "Its revisions.",
    *READS,
    access="read",
    path=NAME,
    parameters=paging.QUERY,
)
def list_revisions(name: str) -> Response:
    """List the revisions of a price book, the newest first, with who stored it and when."""
    limit, after = paging.asked(parameters("limit", "after"))
    library = service().library
    if library.in_folder(name):
        only = Revised(found(library.get, name).revision, None, known=False)
        return json_answer(RevisionList.written(RevisionPage(name, [only], None), PLAIN))
    found(library.entry, name)
    entries = library.keeper.store.books.history(name, callers.who(), after, limit + 1)
    more = len(entries) > limit
    path = f"{ADDRESS.replace('<name>', name)}/revisions"
    following = paging.following(path, limit, entries[limit - 1].sequence) if more else None
    told = [Revised(entry.revision, entry, callers.is_known()) for entry in entries[:limit]]
    return json_answer(RevisionList.written(RevisionPage(name, told, following), PLAIN), headers=paging.link(following))


def _serve(address: str, called: str, about: str, path: list[dict[str, Any]], give: Callable[..., PriceBook]) -> None:
    """Serve a price book at an address, by its suffix in one form or without one in the form that is accepted.

    called, about: the name of the operation, and what it gives.
    """
    for suffix in ("", ".json", *forms.BY_SUFFIX):
        _serve_one(f"{address}{suffix}", suffix, f"{called}{suffix.replace('.', '_')}", about, path, give)


def _serve_one(
    address: str, suffix: str, called: str, about: str, path: list[dict[str, Any]], give: Callable[..., PriceBook]
) -> None:
    def view(**names: str) -> Response:
        parameters()
        return book_forms.answer(found(give, **names), suffix)

    form = forms.BY_SUFFIX.get(suffix)
    content: dict[str, Any] = (
        {JSON: {"schema": PriceBookSchema}} if form is None else {form.media_type: FILES[form.media_type]}
    )
    if not suffix:
        content.update(FILES)
    view.__name__ = called
    view.__doc__ = f"Give {about}, {f'as {suffix[1:].upper()}' if suffix else 'in the format you prefer'}."
    tag = {
        "description": "Its revision.",
        "schema": {"type": "string"},
        "example": '"781ea1b956718b153a0c1f7e42d9b86c"',
    }
    responses = {
        "200": {"description": "The price book.", "content": content, "headers": {"ETag": tag}},
        "304": NOT_MODIFIED,
    }
    route(price_books, f"GET {address}", None, "", *READS, access="read", path=path, responses=responses)(view)


_serve(ADDRESS, "get_price_book", "a whole price book", NAME, lambda name: service().library.get(name))
_serve(
    f"{ADDRESS}/revisions/<revision>",
    "get_price_book_revision",
    "one revision of a price book, today's or an older one",
    [*NAME, REVISION],
    lambda name, revision: service().library.at(name, revision),
)


def found(give: Callable[..., Any], *names: str, **more: str) -> Any:
    """Give what there is, or the problem that there is no such book or revision."""
    try:
        return give(*names, **more)
    except (UnknownBookError, books.UnknownRevisionError, books.BookChangedError) as error:
        raise Problem("not-found", str(error)) from None


def store_to_write(name: str) -> Store:
    """Give the store, to write a book of this name. Raises Problem: nothing is kept; the name is not to be written."""
    library = service().library
    if not library.keeper.keeps:
        raise Problem(
            "nothing-kept", "this service keeps no price books; start it with a store: sawbill serve --data FOLDER"
        )
    if not BOOK_NAME.fullmatch(name):
        detail = f"{shown(name)} cannot be a name; use 1 to 63 lower-case letters, digits and hyphens, no hyphen first"
        raise problems.faulty([RequestFault(("name",), "not-a-name", detail)], "parameter")
    if library.in_folder(name):
        remedy = "edit its files there, or choose another name; ?copy= copies it"
        raise Problem("price-book-read-only", f"the price book {name} is kept in the service's folder; {remedy}")
    return library.keeper.store


def _copied(name: str, source: str) -> PriceBook:
    """Copy another price book under this name. Raises Problem: there is none, or a body besides."""
    if request.get_data():
        raise Problem("bad-request", "send either a body or the parameter copy, not both")
    found = books.named(service().library, source, "copy")
    if not isinstance(found, PriceBook):
        raise problems.faulty(found, "parameter")
    return replace(found, name=name)
