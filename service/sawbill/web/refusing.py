"""What never reaches the application: requests that the server cannot read, refused as problems like all others."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from typing import Final

from flask import Response
from gunicorn.http.errors import (
    ChunkMissingTerminator,
    InvalidChunkExtension,
    InvalidChunkSize,
    InvalidHeader,
    InvalidHeaderName,
    InvalidHTTPVersion,
    InvalidRequestLine,
    InvalidRequestMethod,
    LimitRequestHeaders,
    LimitRequestLine,
    ObsoleteFolding,
)

from sawbill.web import problems
from sawbill.web.answers import json_bytes, protect

LONGEST_ADDRESS: Final = 4_094
"""The longest first line of a request, method and version with it [bytes]; what is longer is POSTed."""
MOST_HEADERS: Final = 100
LONGEST_HEADER: Final = 8_190
"""How many headers a request may have, and how long each may be [bytes]."""

_NO_HTTP: Final = ("bad-request", "what came is no HTTP request")
_REFUSED: Final[Mapping[type[Exception], tuple[str, str]]] = {
    LimitRequestLine: (
        "address-too-long",
        f"the first line of a request may have {LONGEST_ADDRESS} bytes; POST what does not fit as JSON",
    ),
    LimitRequestHeaders: (
        "headers-too-large",
        f"a request may have {MOST_HEADERS} headers, each of {LONGEST_HEADER} bytes",
    ),
    **dict.fromkeys(
        (
            ChunkMissingTerminator, InvalidChunkExtension, InvalidChunkSize, InvalidHeader, InvalidHeaderName,
            InvalidHTTPVersion, InvalidRequestLine, InvalidRequestMethod, ObsoleteFolding,
        ),
        _NO_HTTP,
    ),
}  # fmt: skip


def refusal(error: Exception) -> bytes | None:
    """The whole answer to a request that ended in an error of the server's; None where that is not the caller's."""
    told = next((_REFUSED[kind] for kind in type(error).__mro__ if kind in _REFUSED), None)
    if told is None:
        return None
    body = json_bytes(problems.body(*told))
    answer = protect(Response(body, problems.KINDS[told[0]].status, content_type=problems.CONTENT_TYPE))
    answer.headers["Content-Length"], answer.headers["Connection"] = str(len(body)), "close"
    status = HTTPStatus(answer.status_code)
    lines = [f"HTTP/1.1 {status.value} {status.phrase}", *(f"{name}: {value}" for name, value in answer.headers)]
    return "\r\n".join([*lines, "", ""]).encode("latin-1") + body
