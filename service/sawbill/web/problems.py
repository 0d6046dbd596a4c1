"""Problems: how everything that goes wrong is told, always as RFC 9457 says, and never with internal text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from flask import Flask, Response, current_app, render_template, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from sawbill.estimating.boards import NothingFitsError
from sawbill.estimating.request import Pointer, RequestFault
from sawbill.files.faults import BookFaultsError, shown
from sawbill.web.answers import json_bytes

CONTENT_TYPE: Final = "application/problem+json"
MOST_ERRORS: Final = 100
"""How many faults one problem lists; its detail tells how many there are."""
RETRY_AFTER: Final = 60
"""When to ask again for what the operator has to mend [s]."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: its status, its title, whether the same request may go through later, what to do."""

    status: int
    title: str
    retryable: bool
    remedy: str


KINDS: Final[Mapping[str, Kind]] = MappingProxyType({
    "bad-request": Kind(400, "The request cannot be read", False, "Send one JSON value in UTF-8, each key once."),
    "not-found": Kind(404, "There is nothing here", False, "See /openapi.json for every address."),
    "method-not-allowed": Kind(405, "The method is not allowed here", False, "Use one that the header Allow lists."),
    "price-book-changed": Kind(
        409, "The price book has changed", False, "Ask for its revision of today, or send the one you want inline.",
    ),
    "too-large": Kind(413, "The request is too large", False, "Send less in one request."),
    "wrong-content-type": Kind(415, "The content type is not understood", False, "Send plain application/json."),
    "invalid-request": Kind(422, "The request has faults", False, "Mend each fault that is listed."),
    "cannot-be-bought": Kind(
        422, "It cannot be bought from this price book", False, "Change what is named, or what the price book sells.",
    ),
    "internal-error": Kind(500, "Something went wrong in the service", False, "Report it; the service has logged it."),
    "price-book-at-fault": Kind(
        503, "The price book cannot be used as it is", True, "Whoever keeps the price book has to mend it.",
    ),
})  # fmt: skip
"""Every problem the service tells of, by the last step of its type."""

_BY_STATUS: Final = {400: "bad-request", 404: "not-found", 405: "method-not-allowed", 413: "too-large"}


class Problem(Exception):  # noqa: N818 (RFC 9457 calls it a problem)
    """The end of a request that cannot be answered as asked: a kind of KINDS, what happened, each fault."""

    def __init__(self, kind: str, detail: str, errors: Sequence[Mapping[str, Any]] = ()) -> None:
        super().__init__(detail)
        self.kind, self.detail, self.errors = kind, detail, errors


def body(kind: str, detail: str, errors: Sequence[Mapping[str, Any]] = ()) -> dict[str, Any]:
    """Give a problem as the JSON object that RFC 9457 describes."""
    told = KINDS[kind]
    return {
        "type": f"/problems/{kind}",
        "title": told.title,
        "status": told.status,
        "detail": detail,
        "retryable": told.retryable,
        "errors": list(errors[:MOST_ERRORS]),
    }


def faulty(faults: Sequence[RequestFault], place: str = "pointer") -> Problem:
    """The problem of a request with faults; place: `pointer` into its body, or `parameter` of its query."""
    if [fault.code for fault in faults] == ["price-book-changed"]:
        kind, detail = "price-book-changed", faults[0].detail
    else:
        kind, detail = "invalid-request", _counted(len(faults))
    name = pointer_text if place == "pointer" else parameter_name
    errors = [{place: name(each.pointer), "code": each.code, "detail": each.detail} for each in faults]
    if place == "parameter":
        errors.sort(key=lambda error: error["parameter"])
    return Problem(kind, detail, errors)


def cannot_be_bought(error: NothingFitsError) -> Problem:
    """The problem of an order that the price book cannot fill, with everything that it lacks."""
    errors = [{"code": each.code, "detail": each.message, "parts": list(each.parts)} for each in error.lacking]
    return Problem("cannot-be-bought", " ".join(each.message for each in error.lacking[:3]), errors)


def book_at_fault(name: str, error: BookFaultsError) -> Problem:
    """The problem of a stored price book that cannot be used: no fault of the caller's, so never a 4xx.

    It names the file, line and column in the book, which its keeper needs, and no folder of the machine.
    """
    errors = [{"code": fault.code, "detail": str(fault)} for fault in error.faults]
    return Problem("price-book-at-fault", f"the price book {name} has {_counted(len(errors))}", errors)


def pointer_text(pointer: Pointer) -> str:
    """Write a JSON pointer (RFC 6901)."""
    return "".join("/" + shown(str(step)).replace("~", "~0").replace("/", "~1") for step in pointer)


def parameter_name(pointer: Pointer) -> str:
    """Name the query parameter that a place of the request came from."""
    if pointer[:1] == ("lines",) and pointer[2:3] == ("options",) and len(pointer) > 3:
        return shown(str(pointer[3]))
    return shown(str(next((step for step in reversed(pointer) if isinstance(step, str)), "")))


def answer(problem: Mapping[str, Any], headers: Mapping[str, str] = MappingProxyType({})) -> Response:
    """Send a problem: as a page to a browser that asked for one, else as JSON."""
    if request.path.endswith(".html") and "text/html" in request.headers.get("Accept", ""):
        kind = KINDS[problem["type"].rpartition("/")[2]]
        response = Response(render_template("problem.html", problem=problem, remedy=kind.remedy))
    else:
        response = Response(json_bytes(problem), content_type=CONTENT_TYPE)
    response.status_code = problem["status"]
    response.headers.extend(dict(headers))
    response.headers["Cache-Control"] = "no-store"
    if problem["status"] == 503:
        response.headers["Retry-After"] = str(RETRY_AFTER)
    return response


def register(app: Flask) -> None:
    """Let every error of an application end as a problem."""
    app.register_error_handler(Problem, _answer_problem)
    app.register_error_handler(HTTPException, _answer_http)
    app.register_error_handler(Exception, _answer_unexpected)


def _answer_problem(problem: Problem) -> Response:
    return answer(body(problem.kind, problem.detail, problem.errors))


def _answer_http(error: HTTPException) -> Response:
    """What the framework refuses, told in our words: its own may repeat the request."""
    status = error.code or 500
    if status >= 500:
        return _answer_unexpected(error)
    kind = _BY_STATUS.get(status, "bad-request")
    details = {
        "not-found": f"there is nothing at {shown(request.path)}",
        "method-not-allowed": f"{shown(request.method)} is not allowed here",
        "too-large": f"a request body may have at most {current_app.config['MAX_CONTENT_LENGTH']} bytes",
        "bad-request": "the request cannot be read",
    }
    headers = {}
    if isinstance(error, MethodNotAllowed):
        headers["Allow"] = ", ".join(sorted(error.valid_methods or ()))
    return answer(body(kind, details[kind]), headers)


def _answer_unexpected(error: Exception) -> Response:
    current_app.logger.error("%s %s failed", request.method, request.path, exc_info=error)
    return answer(body("internal-error", "the request met a fault of the service; it has been logged"))


def _counted(faults: int) -> str:
    more = f", of which the first {MOST_ERRORS} are listed" if faults > MOST_ERRORS else ""
    return f"{faults} fault{'' if faults == 1 else 's'}{more}"
