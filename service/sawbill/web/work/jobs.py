"""Jobs begun, and told of: what takes long is done beside the requests, and asked for again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from flask import Response, current_app, request

from sawbill import store
from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.declared.jobs import Job
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.prices.pricebook import PriceBook, content
from sawbill.store.kept.jobs import MOST_OPEN
from sawbill.web.http.answers import json_answer
from sawbill.web.library import kept
from sawbill.web.library.books import SENT
from sawbill.web.work.working import worker_of

WAIT: Final = 1
"""When to ask again for a job that has not ended [s]."""


def job_answer(job: store.Job, status: int = 200) -> Response:
    """Tell of a job."""
    response = json_answer(Job.written(job, PLAIN), cache="no-store")
    response.status_code = status
    if job.state in ("waiting", "running"):
        response.headers["Retry-After"] = str(WAIT)
    return response


def as_a_job(most: str) -> dict[str, Any]:
    """Describe the header that asks for a job; most: how much one may hold."""
    return {
        "name": "Prefer", "in": "header", "required": False,
        "description": "respond-async: have it done as a job (RFC 7240), which takes a store and the scope quote; "
        f"answered with 202 and the job's address. A job has {most}, and an owner {MOST_OPEN} jobs at a time.",
        "schema": {"type": "string"}, "example": "respond-async",
    }  # fmt: skip


def job_is_preferred() -> bool:
    """Whether the request asks for a job."""
    return any(word.strip().lower() == "respond-async" for word in request.headers.get("Prefer", "").split(","))


def begin(kind: str, raw: Mapping[str, Any], asked: Sequence[PriceBook], rows: int = 0) -> store.Job:
    """Have something made beside the requests; the price books that are named are those of now.

    rows: how many it is to have, if it is made row by row.

    One that was sent along is held for a while only: the job has it whole, and needs nobody to remember it.
    """
    several = "price_books" in raw
    now = [
        given if not isinstance(given, str) else content(book) if book.name == SENT else f"{book.name}@{book.revision}"
        for given, book in zip(raw["price_books"] if several else [raw["price_book"]], asked, strict=True)
    ]
    pinned = {"price_books": now} if several else {"price_book": now[0]}
    job = kept.store().jobs.add(kind, kept.owner(), json_bytes({**raw, **pinned}), rows)
    worker_of(current_app).wake()
    return job


def begun(kind: str, raw: Mapping[str, Any], asked: Sequence[PriceBook], rows: int = 0) -> Response:
    """Begin a job, and tell where it is."""
    job = begin(kind, raw, asked, rows)
    response = job_answer(job, 202)
    response.headers["Location"] = f"/v1/jobs/{job.id}"
    response.headers["Preference-Applied"] = "respond-async"
    return response
