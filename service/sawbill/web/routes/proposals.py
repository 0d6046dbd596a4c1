"""Proposals: the best that options left open may become within wishes, and how that is proven."""

from __future__ import annotations

import json
import time
from collections.abc import Sequence
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.declared.jobs import Job
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.proposed import Proposal
from sawbill.answer.quote import ENGINE
from sawbill.backroom import Rank
from sawbill.quoting.proposing.asked import MOST_PROPOSALS, USUAL_NUMBER
from sawbill.quoting.proposing.grid import MOST_COMBINATIONS
from sawbill.quoting.proposing.measures import MEASURES, NEW_WARNINGS, TO_LESSEN
from sawbill.web.admission import access
from sawbill.web.http import media
from sawbill.web.http.bodies import JSON_TYPE, body_of
from sawbill.web.http.media import CSV, HTML, JSON, TXT, XLSX, Media
from sawbill.web.http.queries import parameters, proposal_request
from sawbill.web.library import kept
from sawbill.web.openapi import parameter, route
from sawbill.web.reckoning.proposals import MOST_AT_ONCE
from sawbill.web.routes.comparisons import AS_JOB
from sawbill.web.routes.designs import COMMON, NAME, PROBLEMS
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.proposals import ProposalRequestSchema
from sawbill.web.work import handing_in
from sawbill.web.work.asking import CACHE, design_called, offered, tag_of, tagged
from sawbill.web.work.jobs import as_a_job, begun, job_is_preferred
from sawbill.web.work.proposing import Proposing, answer, read
from sawbill.web.work.quoting import service
from sawbill.web.work.working import PROPOSAL
from sawbill.web.written import forms
from sawbill.web.written.proposed import proposal_answer
from sawbill.web.written.tabled import form_faults, form_of

proposals = Blueprint("proposals", __name__, description="The best values for options left open, proven.")

FORMS: Final = (JSON, CSV, XLSX, TXT, HTML)
SENT: Final = (JSON, CSV, XLSX, TXT)
"""The forms of one that was asked for by POST: a page is not among them, for its links lead to addresses."""
LIMITS: Final = f"Up to {MOST_AT_ONCE} combinations are answered at once, up to {MOST_COMBINATIONS} as a job."
EXAMPLE: Final = {
    "designs": ["slatted-bed"],
    "options": {"mattress": "queen"},
    "open": {"rail": ["2x6", "2x8"], "bolt_size": "near", "doubled_middle": "any"},
    "price_books": ["sample-inch"],
    "wishes": {"heaviest_piece": {"most": "12 kg"}},
    "make_least": "total",
}
BODY: Final = {
    "required": True,
    "description": f"What is proposed from. {LIMITS} A body of this shape may still be answered with 422.",
    "content": {JSON.type: {"schema": ProposalRequestSchema, "example": EXAMPLE}},
}
OWN: Final = [
    parameter(
        "open", "The options left open, with commas between: each to the values of the parameter of its own name: "
        "values with commas between, a range as 8 in to 12 in by 1 in, near or any; near where it has none. "
        f"Unset: the main sections, bolts and yes-or-no options, near. {LIMITS}", "rail,bolt_size",
    ),
    parameter("least", "Wishes: the least each may have, with commas between.", "clear_height:10 in"),
    parameter(
        "most", f"Wishes: the most each may have: {', '.join((*MEASURES, NEW_WARNINGS))}.", "heaviest_piece:12 kg"
    ),
    parameter("tools", "The tools at hand, with commas between: no others are to be needed.", "drill,clamp"),
    parameter("make_least", f"What to make least: {', '.join(TO_LESSEN)}; unset: total.", "total"),
    parameter("proposals", f"How many, 1 to {MOST_PROPOSALS}; unset: {USUAL_NUMBER}.", "3", pattern="^[0-9]+$"),
]  # fmt: skip
QUERY: Final[list[dict[str, Any]]] = [*OWN, *COMMON]
PREFER: Final = as_a_job(f"up to {MOST_COMBINATIONS} combinations")


def propose_design(form: Media, more: Sequence[str], design: str) -> Response:
    """Find the best values for the open options of a design, by an address alone."""
    raw, faults = proposal_request(design_called(design), more)
    asked = read(raw, service(), handing_in.asker(), [*faults, *form_faults()], query=True)
    revisions = [book.revision for book in asked.books]
    tag = tag_of(json.dumps(raw, sort_keys=True), *revisions, ENGINE, offered(), *form_of(form, "proposal"))
    if request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag)
    response = _answer(asked, form)
    return response if "no-store" in response.headers["Cache-Control"] else tagged(response, tag)


forms.serve(
    proposals, "/v1/designs/<design>/proposal", propose_design, FORMS, schema_of(Proposal), *PROBLEMS,
    access="read", path=NAME, own=QUERY,
)  # fmt: skip


@route(
    proposals, "POST /v1/proposals", None, "", "not-acceptable",
    *dict.fromkeys((*AS_JOB, "wrong-content-type", *PROBLEMS)), access="read", requestBody=BODY, parameters=[PREFER],
    responses={
        "200": {"description": "The proposal.", "content": media.content(SENT, schema_of(Proposal))},
        "202": {"description": "It is done as a job, at Location.", "content": {JSON.type: {"schema": schema_of(Job)}}},
    },
)  # fmt: skip
def make_proposal() -> Response:
    """Find the best values for options left open, in the format you prefer, or as a job."""
    if job_is_preferred():
        return _as_job()
    parameters()
    form = media.accepted(SENT)
    response = _answer(read(body_of(JSON_TYPE), service(), handing_in.asker()), form)
    response.headers["Cache-Control"] = "no-store"
    response.vary.add("Accept")
    return response


def _as_job() -> Response:
    """Have a proposal made beside the requests; its price books are those of now."""
    parameters()
    kept.store()
    access.require("quote", "leave less open, so that it is answered at once, which keeps nothing")
    asked = read(body_of(JSON_TYPE), service(), handing_in.asker(), at_once=False)
    return begun(PROPOSAL, asked.raw, asked.books)


def _answer(asked: Proposing, form: Media) -> Response:
    """Make a proposal and send it in some form."""
    start = time.perf_counter()
    made = answer(asked, service(), handing_in.asker(Rank.ROW))
    response = proposal_answer(json_bytes(made), form, asked.raw.get("units") or asked.books[0].units)
    response.headers["Cache-Control"] = "no-store" if made["proof"]["late"] else CACHE
    response.headers["Server-Timing"] = f"engine;dur={(time.perf_counter() - start) * 1000:.1f}"
    return response
