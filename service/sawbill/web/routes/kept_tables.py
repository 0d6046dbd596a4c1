"""The list of stored quotes, and what became of one of them, in every form that tables have."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.declared.fields import PLAIN, Json
from sawbill.answer.drift import WHY
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.kept import Drifted, DriftOf, KeptList, QuotePage
from sawbill.answer.kept_tables import KEPT
from sawbill.web.admission import callers
from sawbill.web.http import filters, paging, problems
from sawbill.web.http.media import HTML, JSON, TABLE_FORMS, Media
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.routes.quotes import ID, READS
from sawbill.web.schemas.answered import schema_of
from sawbill.web.written import forms, own, tabled

kept_tables = Blueprint("kept quotes", __name__, description="Stored quotes side by side, and what became of them.")

LIST: Final = [*paging.QUERY, *filters.QUERY]


def list_quotes(form: Media, more: Sequence[str]) -> Response:
    """List your stored quotes, the newest first; with the scope admin, everybody's."""
    given = parameters(*(each["name"] for each in LIST), *more)
    if form is HTML:
        given = {name: text for name, text in given.items() if text}  # a form sends the fields that nobody filled in
    wanted, faults = filters.asked(given)
    limit, after = paging.asked(given, [*faults, *tabled.form_faults()])
    page = kept.store().quotes.list(callers.reach(), before=after, most=limit, wanted=wanted)
    following = None if page.next is None else paging.following(request.path, limit, page.next, given)
    content = KeptList.written(QuotePage(tuple(page.quotes), following), PLAIN)
    asked = {name: text for name, text in given.items() if name not in ("limit", "after")}
    response = _sent("quotes", form, content, "own/quotes.html", asked=asked)
    response.headers.extend(paging.link(following))
    return response


def quote_drift(form: Media, more: Sequence[str], quote_id: str) -> Response:
    """Compare a stored quote with today's prices, item by item, and say why it changed; nothing is stored."""
    parameters(*more)
    if faults := tabled.form_faults():
        raise problems.faulty(faults, "parameter")
    before = kept.find(quote_id)
    made, drift = kept.today(before)
    content = DriftOf.written(Drifted(before.summary, drift, made.quote.currency, made.quote.total), PLAIN)
    return _sent("drift", form, content, "own/drift.html", why=WHY)


def _sent(name: str, form: Media, content: Json, template: str, **more: Any) -> Response:
    """Send something as a page, as a table, or as the JSON that it is."""
    if form is HTML:
        return own.page(template, told=content, query=request.query_string.decode("ascii", "replace"), **more)
    if form is JSON:
        response = Response(json_bytes(content), content_type=form.content_type)
    else:
        response = tabled.table_answer(KEPT[name], content, form)
    response.headers["Cache-Control"] = "no-store"
    response.add_etag()
    response.make_conditional(request)
    return response


forms.serve(
    kept_tables, "/v1/quotes", list_quotes, TABLE_FORMS, schema_of(KeptList), *READS,
    access="kept", path=[], own=LIST,
)  # fmt: skip
forms.serve(
    kept_tables, "/v1/quotes/<quote_id>/drift", quote_drift, TABLE_FORMS, schema_of(DriftOf), *READS,
    *problems.RECKONED, "invalid-request", "cannot-be-bought", "price-book-at-fault", access="kept", path=ID,
)  # fmt: skip
