"""Comparisons: designs x option values x price books x quantities, one row a combination."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator, Sequence
from typing import Any, Final

from flask import Response, current_app, request
from flask_smorest import Blueprint

from sawbill.answer.compared import Comparison, comparison_json, events
from sawbill.answer.declared.jobs import Job
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.quote import ENGINE
from sawbill.backroom import Rank
from sawbill.cutting import Status
from sawbill.prices.rows.faults import shown
from sawbill.quoting.comparing.criteria import CRITERIA, USUAL
from sawbill.quoting.comparing.grid import MOST_ROWS, MOST_SWEPT
from sawbill.web.admission import access
from sawbill.web.http import media, problems
from sawbill.web.http.bodies import JSON_TYPE, body_of
from sawbill.web.http.media import CSV, HTML, JSON, TXT, XLSX, Media
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import comparison_request, parameters
from sawbill.web.library import kept
from sawbill.web.openapi import parameter, route
from sawbill.web.reckoning.comparisons import MOST_AT_ONCE, Comparing
from sawbill.web.routes.designs import COMMON
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.comparison import ComparisonRequestSchema
from sawbill.web.work import handing_in
from sawbill.web.work.asking import CACHE, offered, tag_of, tagged
from sawbill.web.work.comparing import read
from sawbill.web.work.comparing import rows as rows_of
from sawbill.web.work.jobs import as_a_job, begun, job_is_preferred
from sawbill.web.work.quoting import service
from sawbill.web.work.working import COMPARISON
from sawbill.web.written import forms
from sawbill.web.written.forms import EXCEL
from sawbill.web.written.side_by_side import compared_answer
from sawbill.web.written.tabled import form_faults, form_of

comparisons = Blueprint("comparisons", __name__, description="Many quotes side by side, one row each.")

NDJSON: Final = Media(
    "ndjson", "application/x-ndjson", "",
    'JSON values, a line each: {"event":"start", …}, then as each is done {"event":"row","done":1,"of":40,"row":{…}}, '
    'then {"event":"end","counts":{…},"rows":[…]} with how the rows stand, filtered and sorted; or, where the service '
    'fails on the way, {"event":"problem","problem":{…}} as the last.',
)  # fmt: skip
AT_ONCE: Final = (JSON, CSV, XLSX, TXT, HTML)
"""The forms of a comparison that is sent when all of it is done."""
SENT: Final = (JSON, CSV, XLSX, TXT, NDJSON)
"""The forms of one that was asked for by POST: a page is not among them, for its links lead to addresses."""
LIMITS: Final = (
    f"Up to {MOST_AT_ONCE} rows are sent at once, up to {MOST_ROWS} row by row (.ndjson), up to {MOST_SWEPT} as a job."
)
EXAMPLE: Final = {
    "designs": ["slatted-bed", {"design": "slatted-bed", "label": "deep rail", "options": {"rail": "2x8"}}],
    "options": {"mattress": ["twin", "queen"]},
    "price_books": ["sample-inch"],
    "quantities": [1],
    "baseline": {"design": "slatted-bed", "options": {"mattress": "queen"}},
    "sort": "total",
}
BODY: Final = {
    "required": True,
    "description": f"What is compared. {LIMITS} A body of this shape may still be answered with 422.",
    "content": {JSON.type: {"schema": ComparisonRequestSchema, "example": EXAMPLE}},
}
_OWN: Final = [
    parameter(
        "designs", "The designs, with commas between.", "slatted-bed,low-platform", required=True
    ),
    {
        **parameter("price_book", "The price books by name or name@revision, with commas between.", "sample-inch"),
        "required": True,
    },
    parameter("quantity", "How many are made, with commas between; unset: 1.", "1,4"),
    parameter(
        "sort",
        f"What to sort by, with a minus in front for the largest first: row, {', '.join(CRITERIA)}; unset: row.",
        "-total",
    ),
    parameter("judge_by", f"What rows are judged by, with commas between; unset: {','.join(USUAL)}.", "total"),
    parameter("baseline", "The row to compare the others with, by its number from 0.", "0", pattern="^[0-9]+$"),
    parameter("least", "Show only rows with at least this much, with commas between.", "boards:4"),
    parameter("most", "Show only rows with at most this much.", "total:300.00,failed_checks:0"),
]  # fmt: skip
_TAKEN: Final = {each["name"] for each in _OWN} | {"options"}
OPTIONS: Final = {
    "name": "options",
    "in": "query",
    "required": False,
    "style": "form",
    "explode": True,
    "description": "The values of the designs' options, each option a parameter by its own name, its values with "
    "commas between; a value that holds a comma takes a POST. " + LIMITS,
    "schema": {"type": "object", "additionalProperties": {"type": "string"}},
    "example": {"mattress": "twin,queen"},
}
QUERY: Final[list[dict[str, Any]]] = [
    *_OWN, *(each for each in COMMON if each["name"] not in _TAKEN), OPTIONS,
]  # fmt: skip
PREFER: Final = as_a_job(f"up to {MOST_SWEPT} rows")
AS_JOB: Final = ("not-allowed", "too-many-requests", *problems.WRITES_STORE)
PROBLEMS: Final = (*problems.RECKONED, "price-book-changed", "too-large", "price-book-at-fault", *problems.READS_STORE)
POSTED: Final = ("wrong-content-type", *PROBLEMS)


def _described(*forms: Media) -> dict[str, Any]:
    """Describe an answer in some forms."""
    return {"responses": {"200": {"description": "The rows.", "content": media.content(forms, schema_of(Comparison))}}}


def compare_designs(form: Media, more: Sequence[str]) -> Response:
    """Compare designs by an address alone; with the tag of the answer you have, it is made again only if it changed."""
    raw, faults = comparison_request(service().designs, more)
    told = [*faults, *form_faults()]
    asked = read(raw, service(), handing_in.asker(), told, query=True, at_once=form is not NDJSON)
    if form is NDJSON:
        return _answer(asked, form)
    revisions = [book.revision for book in asked.books]
    what = json.dumps(raw, sort_keys=True), *revisions, ENGINE, offered(), *form_of(form, "comparison")
    tag = tag_of(*what)
    if request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag)
    response = _answer(asked, form)
    return response if "no-store" in response.headers["Cache-Control"] else tagged(response, tag)


forms.serve(
    comparisons, "/v1/comparisons", compare_designs, AT_ONCE, schema_of(Comparison), *PROBLEMS,
    access="read", path=[], own=QUERY, also=[NDJSON],
)  # fmt: skip


@route(
    comparisons, "GET /v1/comparisons.ndjson", None, "", *PROBLEMS, access="read", parameters=QUERY,
    **_described(NDJSON),
)  # fmt: skip
def compare_designs_ndjson() -> Response:
    """Compare designs by an address alone, row by row as they are done."""
    return compare_designs(NDJSON, [])


@route(
    comparisons,
    "POST /v1/comparisons",
    None,
    "",
    "not-acceptable",
    *dict.fromkeys((*AS_JOB, *POSTED)),
    access="read",
    requestBody=BODY,
    parameters=[PREFER],
    responses={
        **_described(*SENT)["responses"],
        "202": {"description": "It is done as a job, at Location.", "content": {JSON.type: {"schema": schema_of(Job)}}},
    },
)
def make_comparison() -> Response:
    """Compare designs, in the format you prefer, or as a job."""
    if job_is_preferred():
        return _as_job()
    response = _by_body(media.accepted(SENT), [])
    response.vary.add("Accept")
    return response


def _posted(form: Media) -> None:
    """Serve a comparison that is asked for by body in one form, whatever is accepted."""
    written = [EXCEL] if form is CSV else []

    def make() -> Response:
        return _by_body(form, [each["name"] for each in written])

    make.__name__ = f"make_comparison_{form.suffix}"
    make.__doc__ = f"Compare designs, as {form.suffix.upper()}."
    route(
        comparisons, f"POST /v1/comparisons.{form.suffix}", None, "", *POSTED, access="read", requestBody=BODY,
        parameters=written, **_described(form),
    )(make)  # fmt: skip


for _form in SENT[1:]:
    _posted(_form)


def _by_body(form: Media, more: Sequence[str]) -> Response:
    parameters(*more)
    if faults := form_faults():
        raise problems.faulty(faults, "parameter")
    body = body_of(JSON_TYPE)
    response = _answer(read(body, service(), handing_in.asker(), at_once=form is not NDJSON), form)
    response.headers["Cache-Control"] = "no-store"
    return response


def _as_job() -> Response:
    """Have a comparison made beside the requests; its price books are those of now."""
    parameters()
    kept.store()
    access.require("quote", "ask for /v1/comparisons.ndjson, which keeps nothing")
    asked = read(body_of(JSON_TYPE), service(), handing_in.asker(), as_job=True)
    return begun(COMPARISON, asked.raw, asked.books, len(asked.compared.combinations))


def _answer(asked: Comparing, form: Media) -> Response:
    """Send a comparison in some form."""
    if form is NDJSON:
        return Response(_lines(asked), content_type=form.content_type, headers={"Cache-Control": "no-store"})
    start = time.perf_counter()
    rows = list(rows_of(asked, service(), handing_in.asker(Rank.ROW)))
    data = json_bytes(comparison_json(asked.compared, asked.books, rows))
    response = compared_answer(data, form, asked.books[0].units)
    late = any(row.figures is not None and row.figures.proof is Status.TIME_LIMIT for row in rows)
    response.headers["Cache-Control"] = "no-store" if late else CACHE
    response.headers["Server-Timing"] = f"engine;dur={(time.perf_counter() - start) * 1000:.1f}"
    return response


def _lines(asked: Comparing) -> Iterator[bytes]:
    """Write a comparison as it is made; a fault of ours ends it with a problem, for its status has been sent."""
    app = current_app._get_current_object()  # type: ignore[attr-defined]  # a proxy
    asker, path = handing_in.asker(Rank.ROW, at_once=False), shown(request.path)
    rows = rows_of(asked, service(), asker)

    def lines() -> Iterator[bytes]:
        try:
            yield from map(json_bytes, events(asked.compared, asked.books, rows))
        except Problem as problem:
            yield json_bytes({"event": "problem", "problem": problems.body(problem.kind, problem.detail)})
        except Exception as error:
            app.logger.error("%s failed on the way", path, exc_info=error)
            told = "something went wrong in the service; it has been logged"
            yield json_bytes({"event": "problem", "problem": problems.body("internal-error", told)})
        finally:
            asker.settle()

    return lines()
