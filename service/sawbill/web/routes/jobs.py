"""Jobs: how far they are, what they came to, and an end to them."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Final
from urllib.parse import urlencode

from flask import Response, request
from flask_smorest import Blueprint

from sawbill import store
from sawbill.answer.compared import Comparison
from sawbill.answer.comparison import Some
from sawbill.answer.declared.jobs import Job
from sawbill.answer.proposed import Proposal
from sawbill.answer.quote import Quote
from sawbill.answer.tables import TABLES
from sawbill.asked.request import RequestFault
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import shown
from sawbill.quoting.comparing.grid import MOST_ROWS, MOST_SWEPT
from sawbill.trade.lengths import System
from sawbill.web.admission import callers
from sawbill.web.http import media, paging, problems
from sawbill.web.http.media import CSV, HTML, JSON, TXT, XLSX, Media
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import books, kept
from sawbill.web.openapi import parameter, route
from sawbill.web.reckoning import writing
from sawbill.web.routes.quotes import READS, WRITES
from sawbill.web.schemas.answered import schema_of
from sawbill.web.work.jobs import job_answer
from sawbill.web.work.quoting import service
from sawbill.web.work.working import KEPT_FOR, PROPOSAL, QUOTE
from sawbill.web.written.forms import EXCEL
from sawbill.web.written.proposed import proposal_answer
from sawbill.web.written.swept import IN_PARTS, LINES, PARQUET, Swept, in_parts
from sawbill.web.written.tabled import form_faults, look, one_table, quote_answer, sent, written

jobs = Blueprint("jobs", __name__, description="Work done in the background.")

ID: Final = [
    parameter("job_id", "The job, by its id.", "1f0c9a5be2d47a8036cd", place="path", pattern="^[0-9a-f]{20}$")
]  # fmt: skip
HOURS: Final = int(KEPT_FOR.total_seconds()) // 3600


@route(jobs, "GET /v1/jobs/<job_id>", schema_of(Job), "The job.", *READS, access="kept", path=ID)
def get_job(job_id: str) -> Response:
    """Say how far a job is; the header Retry-After says when to ask again for one that has not ended."""
    parameters()
    return job_answer(_find(job_id))


RESULT: Final = {"oneOf": [schema_of(Comparison), schema_of(Proposal), schema_of(Quote)]}
"""What a job came to, by its kind."""
MOST_TOLD: Final = 10_000
"""How many rows may be asked for at a time; all of them come without that."""
FROM: Final = parameter(
    "from", "Of a comparison, the place of the first row to give, from 0.", "500", pattern="^[0-9]+$"
)
ROWS: Final = parameter(
    "rows",
    f"Of a comparison, how many rows to give, 1 to {MOST_TOLD}; as xlsx, txt and html up to {MOST_ROWS}, which is also "
    "what these give unasked. Unset otherwise: all.",
    "500", pattern="^[0-9]+$",
)  # fmt: skip


@route(
    jobs, "GET /v1/jobs/<job_id>/result", None, "", "not-done", *READS, *problems.RECKONED, access="kept", path=ID,
    parameters=[FROM, ROWS],
    responses={
        "200": {"description": f"The result, kept for {HOURS} hours.", "content": media.content([JSON], RESULT)}
    },
)  # fmt: skip
def get_job_result(job_id: str) -> Response:
    """Give the result of a job."""
    return _result_in(JSON, job_id, [])


def _in(form: Media) -> None:
    """Serve what a job came to in a form."""
    own = [EXCEL] if form is CSV else []

    def result(job_id: str) -> Response:
        return _result_in(form, job_id, [each["name"] for each in own])

    result.__name__ = f"get_job_result_{form.suffix}"
    result.__doc__ = f"Give the result of a job, as {form.suffix.upper()}."
    extra = ["not-installed"] if form is PARQUET else []
    route(
        jobs, f"GET /v1/jobs/<job_id>/result.{form.suffix}", None, "", "not-done", *READS,
        *problems.RECKONED, *extra, access="kept", path=ID, parameters=[FROM, ROWS, *own],
        responses={"200": {"description": "What it came to.", "content": media.content([form], RESULT)}},
    )(result)  # fmt: skip


for _form in (JSON, CSV, XLSX, TXT, HTML, LINES, PARQUET):
    _in(_form)


def _result_in(form: Media, job_id: str, own: Sequence[str]) -> Response:
    given = parameters(FROM["name"], ROWS["name"], *own)
    if faults := [*form_faults(), *_span_faults(given, form)]:
        raise problems.faulty(faults, "parameter")
    job = _find(job_id)
    data = _result(job)
    response = _in_parts(job, form, given) if job.rows else _whole(data, job, form, given)
    response.headers["Cache-Control"] = "no-store"
    return response


def _whole(data: bytes, job: store.Job, form: Media, given: Mapping[str, str]) -> Response:
    """Send what is kept as a whole."""
    if form in (LINES, PARQUET):
        raise Problem("not-found", f"a {job.kind} does not come as .{form.suffix}; it comes as .json, .csv, .xlsx")
    if asked := [name for name in (FROM["name"], ROWS["name"]) if name in given]:
        detail = "counts the rows of a comparison; leave it out"
        raise problems.faulty([RequestFault((name,), "unknown", f"{name} {detail}") for name in asked], "parameter")
    if form is JSON:
        return Response(data, content_type=JSON.content_type)
    if job.kind == QUOTE:
        return one_table(TABLES["costs"], data, form) if form is CSV else quote_answer(data, form, "")
    if job.kind == PROPOSAL:
        return proposal_answer(data, form, _units(job))
    return sent(written(writing.comparison, data, look(form), _units(job), job.request), form, "comparison")


def _in_parts(job: store.Job, form: Media, given: Mapping[str, str]) -> Response:
    """Send rows that are kept in parts, and where those after them are."""
    most = int(given[ROWS["name"]]) if ROWS["name"] in given else None if form in IN_PARTS else MOST_ROWS
    swept = Swept(kept.store(), job, int(given.get(FROM["name"], 0)), most)
    following = None
    if most is not None and swept.end < swept.shown:
        following = f"{request.path}?{urlencode({**given, FROM['name']: swept.end, ROWS['name']: most})}"
    if form in IN_PARTS:
        response = in_parts(swept, form, service(), bom=given.get(EXCEL["name"]) == "1")
    else:
        all_of_it = swept.first == 0 and following is None
        some = None if all_of_it else Some(swept.first + 1, swept.end, swept.shown, following)
        name = "comparison" if some is None else f"comparison {some.title}".replace(" ", "-")
        response = sent(
            written(writing.comparison, swept.whole(), look(form), _units(job), job.request, some), form, name
        )
    response.headers.extend(paging.link(following))
    return response


def _span_faults(given: Mapping[str, str], form: Media) -> Iterator[RequestFault]:
    """Say what is wrong with which rows are asked for."""
    most = MOST_TOLD if form in IN_PARTS else MOST_ROWS
    for name, least, limit in ((FROM["name"], 0, MOST_SWEPT), (ROWS["name"], 1, most)):
        text = given.get(name, str(least))
        if not (text.isascii() and text.isdigit() and len(text) <= len(str(limit)) and least <= int(text) <= limit):
            detail = f'{name} is "{shown(text)}"; it may be a whole number from {least} to {limit}'
            yield RequestFault((name,), "out-of-range", detail)


@route(
    jobs, "DELETE /v1/jobs/<job_id>", None, "", *WRITES, "not-found", access="quote", path=ID,
    responses={"204": {"description": "The job is cancelled, and its result deleted."}},
)  # fmt: skip
def cancel_job(job_id: str) -> Response:
    """Cancel a job, or delete its result."""
    parameters()
    kept.store().jobs.delete(job_id, callers.reach())
    return Response(status=204)


def _find(job_id: str) -> store.Job:
    return kept.store().jobs.get(job_id, callers.reach())


def _result(job: store.Job) -> bytes:
    if job.state == "failed":
        raise Problem("not-found", f"the job failed: {job.detail}")
    if job.result is None:
        raise Problem("not-done", f"the job is {job.state}; ask for /v1/jobs/{job.id} until it is done")
    return job.result


def _units(job: store.Job) -> System:
    """The units that were asked for, else those of the first price book; metric where that is there no more."""
    asked = json.loads(job.request)
    first = asked["price_books"][0] if "price_books" in asked else asked["price_book"]
    if isinstance(first, str) and "units" not in asked:
        found = books.named(service().library, first, "price_book")
        return found.units if isinstance(found, PriceBook) else "metric"
    units: System = asked.get("units") or first["units"]
    return units
