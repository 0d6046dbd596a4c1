"""Jobs: how far they are, what they came to, and an end to them."""

from __future__ import annotations

import json
from typing import Final

from flask import Response
from flask_smorest import Blueprint

from sawbill import store
from sawbill.answer.compared import Comparison
from sawbill.answer.declared.jobs import Job
from sawbill.answer.proposed import Proposal
from sawbill.answer.quote import Quote
from sawbill.answer.tables import TABLES
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.lengths import System
from sawbill.web.admission import callers
from sawbill.web.http import media, problems
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


@route(
    jobs, "GET /v1/jobs/<job_id>/result", None, "", "not-done", *READS, access="kept", path=ID,
    responses={
        "200": {"description": f"The result, kept for {HOURS} hours.", "content": media.content([JSON], RESULT)}
    },
)  # fmt: skip
def get_job_result(job_id: str) -> Response:
    """Give the result of a job."""
    parameters()
    return Response(_result(_find(job_id)), content_type=JSON.content_type, headers={"Cache-Control": "no-store"})


def _written(data: bytes, job: store.Job, form: Media) -> Response:
    if job.kind == QUOTE:
        return one_table(TABLES["costs"], data, form) if form is CSV else quote_answer(data, form, "")
    if job.kind == PROPOSAL:
        return proposal_answer(data, form, _units(job))
    return sent(written(writing.comparison, data, look(form), _units(job)), form, "comparison")


def _in(form: Media) -> None:
    """Serve what a job came to in a form."""
    own = [EXCEL] if form is CSV else []

    def result(job_id: str) -> Response:
        parameters(*(each["name"] for each in own))
        if faults := form_faults():
            raise problems.faulty(faults, "parameter")
        job = _find(job_id)
        data = _result(job)
        if form is JSON:
            return Response(data, content_type=JSON.content_type, headers={"Cache-Control": "no-store"})
        response = _written(data, job, form)
        response.headers["Cache-Control"] = "no-store"
        return response

    result.__name__ = f"get_job_result_{form.suffix}"
    result.__doc__ = f"Give the result of a job, as {form.suffix.upper()}."
    route(
        jobs, f"GET /v1/jobs/<job_id>/result.{form.suffix}", None, "", "not-done", *READS,
        *problems.RECKONED, access="kept", path=ID, parameters=own,
        responses={"200": {"description": "What it came to.", "content": media.content([form], RESULT)}},
    )(result)  # fmt: skip


for _form in (JSON, CSV, XLSX, TXT, HTML):
    _in(_form)


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
