"""How problems are sent: as JSON, as a page or in a line, whatever made the request fail."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

from flask import Flask, Response, current_app, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from sawbill.answer.forms.jsonform import json_bytes
from sawbill.prices.rows.csvtable import write_rows
from sawbill.prices.rows.faults import shown
from sawbill.store import (
    DeletedBookError,
    KeyReusedError,
    NameTakenError,
    NotYoursError,
    RevisionConflictError,
    StoreBusyError,
    StoreDamagedError,
    StoreError,
    StoreFullError,
    StoreNotAtHeadError,
    StoreReadOnlyError,
    StoreUnavailableError,
    TooManyJobsError,
    UnknownJobError,
    UnknownQuoteError,
    UnknownStoredBookError,
    UnknownTokenError,
)
from sawbill.web.http.answers import FORM_POLICY
from sawbill.web.http.problems import CONTENT_TYPE, KINDS, PLAIN, Problem, body
from sawbill.web.written import render

LONGEST_LINE: Final = 2_000
"""How long a problem told in one line may be, of which a cell of a sheet holds several times as much [characters]."""
RETRY_AFTER: Final = 60
"""When to ask again for what the operator has to mend [s]."""
JOB_ENDS: Final = 10
"""When to look whether a job has ended, so that another may be asked for [s]."""
FROM_STORE: Final[Mapping[type[StoreError], str]] = {
    RevisionConflictError: "moved-on",
    KeyReusedError: "key-reused",
    UnknownStoredBookError: "not-found",
    DeletedBookError: "not-found",
    NotYoursError: "not-yours",
    NameTakenError: "name-taken",
    UnknownQuoteError: "not-found",
    UnknownTokenError: "not-found",
    UnknownJobError: "not-found",
    TooManyJobsError: "too-many-requests",
    StoreFullError: "store-full",
    StoreBusyError: "store-busy",
    StoreUnavailableError: "store-busy",
    StoreReadOnlyError: "store-unusable",
    StoreNotAtHeadError: "store-unusable",
    StoreDamagedError: "store-unusable",
}
"""What the store cannot do, as a problem; each of its messages says what would be right, and nothing of the inside."""
_BY_STATUS: Final = {400: "bad-request", 404: "not-found", 405: "method-not-allowed", 413: "too-large"}


def answer(problem: Mapping[str, Any], headers: Mapping[str, str] = MappingProxyType({})) -> Response:
    """Send a problem: as a page to a browser that asked for one, as a line for a cell, else as JSON."""
    status = problem["status"]
    if request.path.endswith(PLAIN):
        response = Response(_line(problem), content_type="text/plain; charset=utf-8")
        if request.args.get("on_error") == "text" and request.url_rule is not None:
            status = 200  # a sheet shows nothing of an answer with another status
    elif for_people():
        response = _page(problem)
    else:
        response = Response(json_bytes(problem), content_type=CONTENT_TYPE)
    response.status_code = status
    response.headers.extend(dict(headers))
    response.headers["Cache-Control"] = "no-store"
    if problem["status"] == 503:
        response.headers.setdefault("Retry-After", str(RETRY_AFTER))
    return response


def for_people() -> bool:
    """Whether the request at hand is for a page: a browser's that a person sees, of an address that names no form."""
    names_other = request.path.rpartition(".")[2] in ("json", "csv", "txt", "xlsx", "ndjson", "parquet")
    posted_by_program = request.method not in ("GET", "HEAD") and request.path.startswith("/v1/")
    if names_other or posted_by_program or "text/html" not in request.headers.get("Accept", ""):
        return False
    return request.accept_mimetypes.best_match(("text/html", CONTENT_TYPE)) == "text/html"


def _page(problem: Mapping[str, Any]) -> Response:
    """Lay a problem out; who needs a token may sign in there, and goes on to what he asked for."""
    name = problem["type"].rpartition("/")[2]
    if name != "token-needed":
        return Response(render.for_reader("problem.html", problem=problem, remedy=KINDS[name].remedy))
    to = request.full_path.rstrip("?") if request.method == "GET" else "/kept"
    page = render.for_reader("own/sign_in.html", to=to, needless=False, fault="")
    return Response(page, headers={"Referrer-Policy": FORM_POLICY})


def _line(problem: Mapping[str, Any]) -> str:
    """Tell a problem in one line, which is one cell of a table too."""
    told = "; ".join(error["detail"] for error in problem["errors"]) or problem["detail"]
    line = " ".join(f"{problem['status']} {problem['title']}: {told}".split())[:LONGEST_LINE]
    return write_rows([line], ()).rstrip("\r\n") if request.path.endswith(".csv") else line


def register(app: Flask) -> None:
    """Let every error of an application end as a problem."""
    app.register_error_handler(Problem, _answer_problem)
    app.register_error_handler(HTTPException, _answer_http)
    app.register_error_handler(StoreError, _answer_store)
    app.register_error_handler(Exception, _answer_unexpected)


def _answer_problem(problem: Problem) -> Response:
    return answer(body(problem.kind, problem.detail, problem.errors), problem.headers)


def _answer_store(error: StoreError) -> Response:
    """What the store cannot do; what its operator should know of is logged."""
    kind = FROM_STORE.get(type(error))
    if kind is None:
        return _answer_unexpected(error)
    if KINDS[kind].status >= 500:
        current_app.logger.error("%s %s: %s", request.method, _rule(), error, exc_info=error)
    return answer(body(kind, str(error)), {"Retry-After": str(JOB_ENDS)} if KINDS[kind].status == 429 else {})


def _answer_http(error: HTTPException) -> Response:
    """What the framework refuses, told in our words: its own may repeat the request."""
    status = error.code or 500
    if status >= 500:
        return _answer_unexpected(error)
    kind = _BY_STATUS.get(status, "bad-request")
    most = current_app.config["MAX_CONTENT_LENGTH"]
    details = {
        "not-found": f"there is nothing at {shown(request.path)}; /openapi.html lists every address",
        "method-not-allowed": f"{shown(request.method)} is not allowed here; send {' or '.join(_methods(error))}",
        "too-large": f"a request body may have at most {most} bytes, a form {request.max_form_parts} fields",
        "bad-request": "the request cannot be read",
    }
    headers = {}
    if isinstance(error, MethodNotAllowed):
        headers["Allow"] = ", ".join(sorted(error.valid_methods or ()))
    return answer(body(kind, details[kind]), headers)


def _methods(error: HTTPException) -> list[str]:
    """The methods that an address takes, those apart that follow from GET."""
    valid = error.valid_methods or () if isinstance(error, MethodNotAllowed) else ()
    return sorted(set(valid) - {"HEAD", "OPTIONS"})


def _answer_unexpected(error: Exception) -> Response:
    current_app.logger.error("%s %s failed", request.method, _rule(), exc_info=error)
    return answer(body("internal-error", "something went wrong in the service; it has been logged"))


def _rule() -> str:
    """Tell which address it was by its rule: what was asked for there may be nobody else's business."""
    return request.url_rule.rule if request.url_rule else "an address that is none"
