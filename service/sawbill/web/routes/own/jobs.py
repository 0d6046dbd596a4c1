"""Jobs as pages: how far each is, what it came to, and an end to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from flask import Blueprint, Response, request

from sawbill import store
from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.declared.jobs import Job
from sawbill.answer.forms import parquet
from sawbill.asked.request import RequestFault
from sawbill.quoting.comparing.grid import MOST_ROWS
from sawbill.web.admission import callers
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import by_form
from sawbill.web.http import problems
from sawbill.web.http.queries import comparison_request, parameters, proposal_request
from sawbill.web.library import kept
from sawbill.web.work import comparing, handing_in, proposing
from sawbill.web.work.asking import design_called
from sawbill.web.work.jobs import WAIT, begin
from sawbill.web.work.quoting import service
from sawbill.web.work.working import COMPARISON, KEPT_FOR, PROPOSAL
from sawbill.web.written import own

own_jobs = Blueprint("own_jobs", __name__)

ADDRESS: Final = "/kept/jobs/<job_id>"
COMPARING: Final = "/kept/jobs/comparison"
PROPOSING: Final = "/kept/jobs/proposal/<design>"


@own_jobs.get(COMPARING)
@takes("quote")
def ask_comparison() -> Response:
    """Ask whether a comparison is to be made as a job."""
    return _asked(COMPARISON, comparison_request(service().designs)[1])


@own_jobs.post(COMPARING)
@takes("quote")
@by_form
def begin_comparison() -> Response:
    """Begin a comparison as a job."""
    raw, faults = comparison_request(service().designs)
    asked = comparing.read(raw, service(), handing_in.asker(), faults, query=True, as_job=True)
    return own.lead_on(_page_of(begin(COMPARISON, asked.raw, asked.books, len(asked.compared.combinations))))


@own_jobs.get(PROPOSING)
@takes("quote")
def ask_proposal(design: str) -> Response:
    """Ask whether a proposal is to be made as a job."""
    return _asked(PROPOSAL, proposal_request(design_called(design))[1])


@own_jobs.post(PROPOSING)
@takes("quote")
@by_form
def begin_proposal(design: str) -> Response:
    """Begin a proposal as a job."""
    raw, faults = proposal_request(design_called(design))
    asked = proposing.read(raw, service(), handing_in.asker(), faults, query=True, at_once=False)
    return own.lead_on(_page_of(begin(PROPOSAL, asked.raw, asked.books)))


def _asked(kind: str, faults: Sequence[RequestFault]) -> Response:
    """Send the page that begins a job of what its address asks for. Raises Problem: there are faults."""
    kept.store()
    if faults:
        raise problems.faulty(faults, "parameter")
    return own.page("own/begin.html", kind=kind, asked=dict(request.args), action=request.full_path.rstrip("?"))


@own_jobs.get(ADDRESS)
@takes("kept")
def own_job(job_id: str) -> Response:
    """Tell how far a job is; the page asks again by itself until it has ended."""
    parameters()
    job = kept.store().jobs.get(job_id, callers.reach())
    of_rows = ("ndjson", "parquet") if parquet.is_there() else ("ndjson",)
    response = own.page(
        "own/job.html", job=Job.written(job, PLAIN), most=MOST_ROWS if job.rows > MOST_ROWS else None,
        forms=("html", "xlsx", "csv", "txt", "json", *(of_rows if job.rows else ())),
        hours=KEPT_FOR.total_seconds() // 3600,
    )  # fmt: skip
    if job.state in ("waiting", "running"):
        response.headers["Refresh"] = str(WAIT * 2)
    return response


@own_jobs.post(f"{ADDRESS}/cancel")
@takes("quote")
@by_form
def drop_job(job_id: str) -> Response:
    """Cancel a job, or delete its result."""
    parameters()
    kept.store().jobs.delete(job_id, callers.reach())
    return own.lead_on("/kept")


def _page_of(job: store.Job) -> str:
    return ADDRESS.replace("<job_id>", job.id)
