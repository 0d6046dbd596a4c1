"""The tables and values of stored quotes, and each whole as a page, as a workbook or as text."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.quote import ENGINE
from sawbill.store import StoredQuote
from sawbill.web.admission.access import LINK
from sawbill.web.http import media, problems
from sawbill.web.http.media import HTML, TABLE_FORMS, TXT, XLSX, Media
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.openapi import NOT_MODIFIED, route
from sawbill.web.routes.quotes import ID
from sawbill.web.routes.quotes import READS as READS_QUOTE
from sawbill.web.routes.table_lists import PATH, TABLE, VALUE_SCHEMA, table_schema
from sawbill.web.work import drawing
from sawbill.web.work.asking import tag_of, tagged
from sawbill.web.written import forms, tabled
from sawbill.web.written.asking import page as asking

quote_tables = Blueprint("tables of quotes", __name__, description="The tables and values of stored quotes.")

PRIVATE = "no-store"
READS: Final = (*READS_QUOTE, *problems.RECKONED)
"""What any of these may answer with: a large quote is written in the back room."""


def quote_table(form: Media, more: Sequence[str], quote_id: str, table: str) -> Response:
    """Give one table of a stored quote."""
    found = tabled.table_called(table)
    _check(more)
    what = tabled.form_of(form, "table", table)
    return _send(quote_id, what, lambda stored: tabled.one_table(found, stored.result, form))


def quote_value(form: Media, more: Sequence[str], quote_id: str, path: str) -> Response:
    """Give one value of a stored quote, for one cell of a sheet."""
    _check(more, path)
    what = tabled.form_of(form, "value", path)
    return _send(quote_id, what, lambda stored: tabled.value_answer(kept.content(stored), path, form))


def _check(more: Sequence[str], path: str | None = None) -> None:
    """See that the query is right. Raises Problem: with every fault of it."""
    parameters(*more)
    if faults := tabled.form_faults(path):
        raise problems.faulty(faults, "parameter")


def _send(quote_id: str, what: Sequence[str], write: Callable[[StoredQuote], Response]) -> Response:
    """Answer with a stored quote in some form; whose it is not is told the same as if there were none."""
    stored = kept.find(quote_id)
    tag = tag_of(quote_id, ENGINE, *what)  # a quote never changes; how it is written may, from engine to engine
    if request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag, PRIVATE)
    return tagged(write(stored), tag, PRIVATE)


def _whole(form: Media) -> None:
    def stored_quote(quote_id: str) -> Response:
        _check(["on_error"] if form is TXT else [])
        what = tabled.form_of(form, "quote")
        return _send(quote_id, what, _written)

    def _written(stored: StoredQuote) -> Response:
        alone = asking.address_of(json.loads(stored.request)) if form is HTML else None
        opened = LINK in request.args  # who has a link reads this quote, and nothing else that is kept
        change = alone or (None if opened else f"/kept/quotes/{stored.summary.id}/change")
        return kept.in_form(stored, form, drawing.shown_of_stored(stored, form), change)

    stored_quote.__name__ = f"get_quote_{form.suffix}"
    stored_quote.__doc__ = f"Give a stored quote with all its tables, as {form.suffix.upper()}."
    answers = {"description": "The quote.", "content": media.content((form,), None)}
    route(
        quote_tables,
        f"GET /v1/quotes/<quote_id>.{form.suffix}",
        None,
        "",
        *READS,
        access="stored-quote",
        path=ID,
        parameters=[forms.ON_ERROR] if form is TXT else [],
        responses={"200": answers, "304": NOT_MODIFIED},
    )(stored_quote)


_whole(HTML)
_whole(XLSX)
_whole(TXT)
forms.serve(
    quote_tables, "/v1/quotes/<quote_id>/<table>", quote_table, TABLE_FORMS, table_schema(), *READS,
    access="stored-quote", path=[*ID, TABLE],
)  # fmt: skip
forms.serve(
    quote_tables, "/v1/quotes/<quote_id>/value/<path>", quote_value, tabled.VALUE_FORMS, VALUE_SCHEMA, *READS,
    access="stored-quote", path=[*ID, PATH], written=[forms.UNIT],
)  # fmt: skip
