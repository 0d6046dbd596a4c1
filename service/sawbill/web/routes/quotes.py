"""Quotes: several lines in one purchase, worked out only or kept."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.declared.jobs import Job
from sawbill.answer.kept import About, Requote, Requoted
from sawbill.answer.quote import Quote
from sawbill.asked.request import RequestFault
from sawbill.prices.rows.faults import shown
from sawbill.trade.declaring.reading import NO, YES
from sawbill.web.admission import access, callers
from sawbill.web.http import media, problems
from sawbill.web.http.answers import JSON_UTF8, json_answer
from sawbill.web.http.bodies import JSON_TYPE, body_of, read_body
from sawbill.web.http.media import Media
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept, packing
from sawbill.web.openapi import JSON, NOT_MODIFIED, parameter, route
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.kept import ABOUT_ASKED, AboutAskedSchema
from sawbill.web.schemas.request import QuoteRequestSchema
from sawbill.web.work import drawing, handing_in
from sawbill.web.work.jobs import as_a_job, begun, job_is_preferred
from sawbill.web.work.quoting import Made, make, service
from sawbill.web.work.ways_out import read
from sawbill.web.work.working import QUOTE
from sawbill.web.written import tabled

quotes = Blueprint("quotes", __name__, description="Quotes: several lines, one purchase.")

EXAMPLE: Final = {
    "price_book": "sample-inch",
    "lines": [
        {"label": "guest room", "design": "slatted-bed", "options": {"mattress": "queen", "clear_height": "8 in"}},
        {"label": "wall shelf", "parts": [{"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 3}]},
    ],
    "on_hand": [{"section": "2x4", "species": "SPF", "grade": "No.2", "length": "36 in", "quantity": 5}],
    "shop": {"kerf": "1/8 in", "end_trim": "1/2 in"},
}
BODY: Final = {
    "required": True,
    "description": "What to make, at which prices, with what you have already. A body of this shape may still be "
    "refused with 422, if its values do not go together.",
    "content": {JSON: {"schema": QuoteRequestSchema, "example": EXAMPLE}},
}
PROBLEMS: Final = (
    *problems.RECKONED,
    "price-book-changed",
    "too-large",
    "wrong-content-type",
    "cannot-be-bought",
    "price-book-at-fault",
)


READS: Final = ("not-found", "nothing-kept", *problems.READS_STORE)
WRITES: Final = ("not-found", *problems.WRITES_STORE)
"""What an address that reads a stored quote, or writes one, may answer with beside the rest."""
ID: Final = [
    parameter(
        "quote_id", "The stored quote, by its id.", "1f0c9a5be2d47a8036cd", place="path", pattern="^[0-9a-f]{20}$"
    )
]
YES_NO: Final[dict[str, Any]] = {"enum": [*YES, *NO]}
KEEP: Final = parameter(
    "keep", "Whether to store the quote; no: it is only worked out. Unset: yes, if the service has a store.", "no",
    **YES_NO,
)  # fmt: skip
KEEP_REQUOTE: Final = parameter("keep", "Whether to store the new quote as well; unset: no.", "yes", **YES_NO)
KEY: Final = {
    **parameter(
        kept.KEY,
        "A string in quotes that names this request for 24 h (draft-ietf-httpapi-idempotency-key-header): the same "
        "key, address and body again, from the same owner, are answered with the quote that is kept already, 201 and "
        "the same bytes; another body with 422. Problems are not remembered. It has no effect where nothing is stored.",
        '"8e03978e-40d5-43dd-bc93-6894a57f9324"',
        place="header",
        maxLength=kept.LONGEST_KEY + 2,
    ),
}  # fmt: skip
UNCHANGED: Final = {"304": NOT_MODIFIED}


POSTED: Final = (media.JSON, media.XLSX, media.TXT)
"""The forms of a quote that was asked for by POST: a page is not among them, for its links lead to addresses."""


def _created(schema: Any, description: str, forms: Sequence[Media] = (media.JSON,), **more: Any) -> dict[str, Any]:
    """Describe the answer with a quote that was kept."""
    text = {"type": "string"}
    headers = {"Location": {"description": "The address of the stored quote.", "schema": text}}
    content = {"content": media.content(forms, schema)}
    return {"responses": {"201": {"description": description, "headers": headers, **content}, **more}}


@route(
    quotes,
    "POST /v1/quotes",
    None,
    "",
    *PROBLEMS,
    "not-acceptable",
    *problems.WRITES_STORE,
    "key-reused",
    "not-allowed",
    "too-many-requests",
    access="read",
    parameters=[KEEP, KEY, as_a_job("one quote")],
    requestBody=BODY,
    **_created(
        schema_of(Quote),
        "The quote, stored: its Location gives these bytes for ever, as JSON.",
        POSTED,
        **{
            "200": {
                "description": "The quote, not stored.",
                "content": media.content(POSTED, schema_of(Quote)),
            },
            "202": {"description": "It is done as a job, at Location.", "content": {JSON: {"schema": schema_of(Job)}}},
        },
    ),
)
def make_quote() -> Response:
    """Quote several lines, designs and own parts, as one purchase; keep it where the service has a store.

    To keep a quote takes a token that allows it; with keep=no it is worked out only, as without a store. It is sent in
    the form that is accepted best: as JSON, as a workbook or as text. As a job, ways out of what fails or warns are
    looked for to the end: every change of one option, and of two where none is enough.
    """
    if job_is_preferred():
        return _as_job()
    wanted, form = _keep(parameters("keep")), media.accepted(POSTED, "")
    response = _kept(form) if wanted or (wanted is None and kept.keeps()) else _worked_out(form)
    response.vary.add("Accept")
    return response


def _as_job() -> Response:
    """Have a quote made beside the requests, with its ways out, and keep its result as long as a job's is kept."""
    parameters()
    kept.store()
    access.require("quote", "leave Prefer out and send ?keep=no, which keeps nothing")
    asked = read(body_of(JSON_TYPE), service(), handing_in.asker())
    return begun(QUOTE, {**asked.raw, "ways_out": True}, [asked.book])


def _worked_out(form: Media) -> Response:
    """Send the quote that the body asks for, and keep nothing; a key is without effect, but is one."""
    kept.key_of(b"")
    body = body_of(JSON_TYPE)
    made = make(body)
    if form is media.JSON:
        response = Response(made.quote.data, content_type=JSON_UTF8)
    else:
        pictures = drawing.shown_of_body(body, form)
        response = tabled.quote_answer(
            made.quote.data, form, made.quote.title, pictures=pictures, label=made.quote.label
        )
    response.headers.extend([_timing(made), ("Cache-Control", "no-store")])
    return response


def _kept(form: Media) -> Response:
    """Keep the quote that the body asks for, and send it; the one that its key has kept already, if it has."""
    store = kept.store()
    access.require("quote", "or send ?keep=no to have the quote worked out and not stored")
    data = body_of(JSON_TYPE)
    key = kept.key_of(data)
    if key is not None and (earlier := store.quotes.find(kept.owner(), key)) is not None:
        return kept.quote_answer(earlier, 201, form, drawing.shown_of_stored(earlier, form))
    made = make(data, at=kept.PLACE)
    stored = kept.keep(made, made.quote.label, key).quote
    response = kept.quote_answer(stored, 201, form, drawing.shown_of_stored(stored, form))
    response.headers.extend([_timing(made)])
    return response


@route(
    quotes,
    "GET /v1/quotes/<quote_id>",
    schema_of(Quote),
    "The quote, as it was when it was stored.",
    *READS,
    access="stored-quote",
    path=ID,
    responses=UNCHANGED,
)
def get_quote(quote_id: str) -> Response:
    """Give a stored quote: always the same bytes, however prices and the engine change."""
    parameters()
    return kept.quote_answer(kept.find(quote_id))


@route(
    quotes,
    "GET /v1/quotes/<quote_id>.json",
    schema_of(Quote),
    "The quote, as it was when it was stored.",
    *READS,
    access="stored-quote",
    path=ID,
    responses=UNCHANGED,
)
def get_quote_json(quote_id: str) -> Response:
    """Give a stored quote, as JSON."""
    return get_quote(quote_id)


@route(
    quotes,
    "GET /v1/quotes/<quote_id>/about",
    schema_of(About),
    "Its label, owner and so on.",
    *READS,
    access="kept",
    path=ID,
)
def about_quote(quote_id: str) -> Response:
    """Describe a stored quote: its label, its owner, when it was stored, what it was made from."""
    parameters()
    return json_answer(About.written(kept.find(quote_id).summary, PLAIN), cache="no-store")


@route(
    quotes,
    "PATCH /v1/quotes/<quote_id>/about",
    schema_of(About),
    "The same, as it is now.",
    *WRITES,
    "too-large",
    "wrong-content-type",
    access="quote",
    path=ID,
    requestBody={
        "required": True,
        "description": "The new label.",
        "content": {JSON: {"schema": AboutAskedSchema, "example": {"label": "guest room, 2nd try"}}},
    },
)
def label_quote(quote_id: str) -> Response:
    """Change the label of a stored quote; nothing else of it can be changed."""
    parameters()
    label = read_body(ABOUT_ASKED)["label"]
    about = kept.store().quotes.set_label(quote_id, callers.reach(), label)
    return json_answer(About.written(about, PLAIN), cache="no-store")


@route(
    quotes,
    "DELETE /v1/quotes/<quote_id>",
    None,
    "",
    *WRITES,
    access="quote",
    path=ID,
    responses={"204": {"description": "The quote is deleted, together with its links and its idempotency key."}},
)
def delete_quote(quote_id: str) -> Response:
    """Delete a stored quote."""
    parameters()
    kept.store().quotes.delete(quote_id, callers.reach())
    return Response(status=204)


@route(
    quotes,
    "POST /v1/quotes/<quote_id>/requote",
    schema_of(Requote),
    "The new quote, not stored, and what has changed since the old one.",
    *WRITES,
    *problems.RECKONED,
    "cannot-be-bought",
    "price-book-at-fault",
    "key-reused",
    access="quote",
    path=ID,
    parameters=[KEEP_REQUOTE, KEY],
    **_created(schema_of(Requote), "The new quote, stored as well, and what has changed since the old one."),
)
def requote(quote_id: str) -> Response:
    """Quote the request of a stored quote again at today's prices, and show line by line what changed and why.

    A price book that came with the request is taken as it came. The request may have faults today that it had not when
    it was stored: its price book or a design may be gone. The body is empty.
    """
    keep = _keep(parameters("keep")) is True
    if request.get_data():
        raise Problem("bad-request", "this address takes no body: the request of the stored quote is priced as it is")
    before, key = kept.find(quote_id), kept.key_of(b"")
    key = key if keep else None
    earlier = None if key is None else kept.store().quotes.find(kept.owner(), key)
    headers: list[tuple[str, str]] = []
    if earlier is None:
        made = make(kept.asked_again(before), at=kept.PLACE if keep else None)
        headers.append(_timing(made))
        data, book = made.quote.data, packing.shared(made.book)
        earlier = kept.keep(made, before.summary.label, key).quote if keep else None
    if earlier is not None:
        data, book = earlier.result, kept.revision(earlier)
        headers.append(("Location", kept.address(earlier.summary.id)))
    drift, at = kept.drift_of(before, data, book), kept.address(earlier.summary.id) if earlier else None
    answer = Requoted(before.summary, drift, at, tabled.answer_of(data))
    response = json_answer(Requote.written(answer, PLAIN), cache="no-store", headers=headers)
    response.status_code = 201 if earlier else 200
    return response


def _timing(made: Made) -> tuple[str, str]:
    """Tell in a header how long the engine took."""
    return "Server-Timing", f"engine;dur={made.milliseconds:.1f}"


def _keep(given: dict[str, str]) -> bool | None:
    """Read the parameter `keep`; None: it is not given. Raises Problem: it is another word."""
    words = {**dict.fromkeys(YES, True), **dict.fromkeys(NO, False)}
    if "keep" not in given:
        return None
    if given["keep"] not in words:
        detail = f'keep is "{shown(given["keep"])}"; it may be {", ".join(words)}'
        raise problems.faulty([RequestFault(("keep",), "not-a-choice", detail)], "parameter")
    return words[given["keep"]]
