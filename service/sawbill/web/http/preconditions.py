"""What a write says of what it writes over, and a read of what it has already (RFC 9110, section 13)."""

from __future__ import annotations

import re
from typing import Any, Final

from flask import request

from sawbill.web.http.problems import Problem
from sawbill.web.openapi import parameter

IF_MATCH: Final[dict[str, Any]] = parameter(
    "If-Match",
    "The ETag you read, so that nothing newer is replaced.",
    '"781ea1b956718b153a0c1f7e42d9b86c"',
    place="header",
)
IF_NONE_MATCH: Final[dict[str, Any]] = parameter(
    "If-None-Match", "An asterisk, so that nothing is replaced.", "*", place="header"
)

_TAG: Final = re.compile(r'"([0-9a-f]{1,64})(?:\.[a-z]+)?"|([0-9a-f]{1,64})', re.ASCII)
"""An ETag of ours, as it was sent or without its quotes: a revision, and perhaps the suffix of a form."""


def replaced() -> str:
    """Give the revision that the request at hand means to replace or delete.

    Raises Problem: it names none, or more than one; it is none of ours, so nothing can be at it.
    """
    texts = request.headers.getlist("If-Match")
    if len(texts) != 1 or "," in texts[0] or texts[0].strip() == "*":
        raise Problem("precondition-required", 'name the one revision that you read: If-Match: "REVISION"')
    match = _TAG.fullmatch(texts[0].strip())
    if match is None:
        raise Problem(
            "moved-on", "the header If-Match is no ETag of this service; read the book again and send its own"
        )
    return match[1] or match[2]


def written_over() -> str | None:
    """Give the revision that the request at hand means to replace, or None: it means to make something new.

    Raises Problem: it says neither or both.
    """
    new, old = "If-None-Match" in request.headers, "If-Match" in request.headers
    if new and old:
        raise Problem("precondition-required", "send one of the headers If-Match and If-None-Match, not both")
    if old:
        return replaced()
    if new and request.headers["If-None-Match"].strip() == "*":
        return None
    raise Problem(
        "precondition-required",
        'send If-None-Match: * to create it, or If-Match: "REVISION" to replace that revision',
    )
