"""What changed between two revisions of a price book, in every form that tables have."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final
from urllib.parse import urlencode

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.declared.changes import Changes
from sawbill.answer.kept_tables import KEPT
from sawbill.answer.quote import ENGINE
from sawbill.asked.request import RequestFault
from sawbill.prices.pricebook import PriceBook
from sawbill.web.http import problems
from sawbill.web.http.media import HTML, JSON, TABLE_FORMS, Media
from sawbill.web.http.queries import parameters
from sawbill.web.library import books
from sawbill.web.openapi import parameter
from sawbill.web.reckoning import books as reckoning
from sawbill.web.routes.books.price_books import ADDRESS, NAME, READS, found
from sawbill.web.schemas.answered import schema_of
from sawbill.web.work.asking import tag_of, tagged
from sawbill.web.work.quoting import service
from sawbill.web.written import book_forms, forms, own, tabled

book_changes = Blueprint("changes", __name__, description="What changed in a price book.")

REVISIONS: Final = [
    {**parameter("from", "The older revision.", "781ea1b956718b153a0c1f7e42d9b86c"), "required": True},
    parameter("to", "The newer revision; unset: the one it is at.", "0d5b1b1f7a52c6e4"),
]


def list_changes(form: Media, more: Sequence[str], name: str) -> Response:
    """Show what changed between two revisions: what rose, fell, came and went, by item, and the settings."""
    given = parameters("from", "to", *more)
    now = found(service().library.get, name)
    faults = [] if "from" in given else [RequestFault(("from",), "missing", "from is missing; give a revision")]
    old, new = (_at(name, given, place, now, faults) for place in ("from", "to"))
    if faults := [*faults, *tabled.form_faults()]:
        raise problems.faulty(faults, "parameter")
    tag = tag_of(name, old.revision, new.revision, ENGINE, *tabled.form_of(form, "changes"))
    if form is not HTML and request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag)
    data = book_forms.worked_out(reckoning.changed, (), old, new)
    if form is HTML:
        query = urlencode([(name, text) for name, text in given.items() if name in ("from", "to")])
        return own.page("own/changes.html", told=tabled.answer_of(data), query=query, older=old, newer=new)
    if form is JSON:
        response = Response(data, content_type=form.content_type)
    else:
        response = tabled.table_answer(KEPT["changes"], tabled.answer_of(data), form)
    return tagged(response, tag)


def _at(name: str, given: Mapping[str, str], place: str, now: PriceBook, faults: list[RequestFault]) -> PriceBook:
    """Give a book at the revision that a parameter names; without one, as it is now."""
    if place not in given:
        return now
    at = books.named(service().library, f"{name}@{given[place]}", place)
    if isinstance(at, PriceBook):
        return at
    faults.extend(at)
    return now


forms.serve(
    book_changes, f"{ADDRESS}/changes", list_changes, TABLE_FORMS, schema_of(Changes), *READS, "price-book-changed",
    access="read", path=NAME, own=REVISIONS,
)  # fmt: skip
