"""Jobs as pages: how far each is, what it came to, and an end to it."""

from __future__ import annotations

from typing import Final

from flask import Blueprint, Response

from sawbill.web.admission import callers
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import by_form
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.routes.jobs import WAIT
from sawbill.web.work.working import COMPARISON, KEPT_FOR, job_json
from sawbill.web.written import own

own_jobs = Blueprint("own_jobs", __name__)

ADDRESS: Final = "/kept/jobs/<job_id>"


@own_jobs.get(ADDRESS)
@takes("kept")
def own_job(job_id: str) -> Response:
    """Tell how far a job is; the page asks again by itself until it has ended."""
    parameters()
    job = kept.store().jobs.get(job_id, callers.reach())
    forms = ("html", "xlsx", "csv", "txt", "json") if job.kind == COMPARISON else ("html", "txt", "json")
    response = own.page("own/job.html", job=job_json(job), forms=forms, hours=KEPT_FOR.total_seconds() // 3600)
    if job.state in ("waiting", "running"):
        response.headers["Refresh"] = str(WAIT * 2)
    return response


@own_jobs.post(f"{ADDRESS}/cancel")
@takes("quote")
@by_form
def drop_job(job_id: str) -> Response:
    """Cancel a job, or forget what it came to."""
    parameters()
    kept.store().jobs.delete(job_id, callers.reach())
    return own.lead_on("/kept")
