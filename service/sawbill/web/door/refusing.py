"""What never reaches the application: requests that cannot be read, refused as problems like all others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from http import HTTPStatus
from typing import Final

import h11
from flask import Response

from sawbill.answer.forms.jsonform import json_bytes
from sawbill.web.http import problems
from sawbill.web.http.answers import protect

LONGEST_ADDRESS: Final = 4_094
"""The longest first line of a request, method and version with it [bytes]; what is longer is POSTed."""
MOST_HEADERS: Final = 100
LONGEST_HEADER: Final = 8_190
"""How many headers a request may have, and how long each may be [bytes]."""

DETAILS: Final[Mapping[str, str]] = {
    "address-too-long": f"the first line of a request may have {LONGEST_ADDRESS} bytes; POST what does not fit as JSON",
    "headers-too-large": f"a request may have {MOST_HEADERS} headers, each of {LONGEST_HEADER} bytes",
    "bad-request": "that is not an HTTP request",
    "not-implemented": "send the body as it is, whole or in chunks",
    "expectation-failed": "the header Expect may be 100-continue, or left out",
    "too-slow": "the body broke off, or took too long to arrive; send all of it without a pause",
    "busy": "there are too many connections; try again later",
    "too-large": "a request body may have at most {most} bytes",
}


class RefusedError(Exception):
    """A request is refused before it is one: `kind` is that of its problem."""

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.kind = kind


def refusal(kind: str, most: int) -> tuple[int, list[tuple[str, str]], bytes]:
    """The status, the headers and the body of an answer; most: how large a body may be [bytes]."""
    body = json_bytes(problems.body(kind, DETAILS[kind].format(most=most)))
    answer = protect(Response(body, problems.KINDS[kind].status, content_type=problems.CONTENT_TYPE))
    answer.headers["Content-Length"], answer.headers["Connection"] = str(len(body)), "close"
    if answer.status_code == 503:
        answer.headers["Retry-After"] = "2"
    return answer.status_code, list(answer.headers), body


def kind_of(error: h11.RemoteProtocolError, *, line_ended: bool) -> str:
    """Tell what is wrong with what was read; line_ended: whether the first line was, at least."""
    if error.error_status_hint == 431:
        return "headers-too-large" if line_ended else "address-too-long"
    return "not-implemented" if error.error_status_hint == 501 else "bad-request"


def response(status: int, headers: Iterable[tuple[str, str]]) -> h11.Response:
    """Write the head of an answer."""
    encoded = [(name.encode("latin-1"), value.encode("latin-1")) for name, value in headers]
    return h11.Response(status_code=status, headers=encoded, reason=HTTPStatus(status).phrase.encode())
