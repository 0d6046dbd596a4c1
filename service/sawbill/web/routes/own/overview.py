"""All that a person keeps, on one page."""

from __future__ import annotations

from typing import Final

from flask import Blueprint, Response

from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.declared.jobs import Job
from sawbill.answer.kept import About
from sawbill.prices.forms import forms
from sawbill.web.admission import access, callers
from sawbill.web.admission.access import takes
from sawbill.web.admission.callers import STRANGER
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.work.quoting import service
from sawbill.web.written import own

overview = Blueprint("overview", __name__)

SOME: Final = 10
"""How many of the newest quotes and jobs are shown."""


@overview.get("/kept")
@takes("read")
def all_kept() -> Response:
    """Show what a person keeps: quotes, price books, jobs."""
    parameters()
    store, caller = kept.store(), callers.current_caller()
    if caller == STRANGER:
        access.require("kept")
    library, reach, reads = service().library, callers.reach(), caller.may("kept")
    listed = [(name, library.summary(name, entry), entry) for name, entry in library.listed().items()]
    quotes = store.quotes.list(reach, most=SOME).quotes if reads else ()
    jobs = store.jobs.list(reach, SOME) if reads else ()
    return own.page(
        "own/overview.html",
        quotes=[About.written(each, PLAIN) for each in quotes],
        books=listed,
        deleted=store.books.deleted(callers.who()) if caller.may("price-book") else (),
        jobs=[Job.written(each, PLAIN) for each in jobs],
        suffixes=[*forms.BY_SUFFIX],
    )
