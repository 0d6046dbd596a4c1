"""The log: one line of JSON for each request and for whatever else is to be known, to the error stream.

A line of a request tells its route as a template, and neither the query, nor a header, nor a body: they may hold
secrets, and what somebody builds is his own business.
"""

from __future__ import annotations

import json
import logging
import re
import secrets
import time
from datetime import UTC, datetime
from typing import Any, Final

from flask import Response, g, has_request_context, request

from sawbill.store.kept.secret import PREFIX

LOGGER: Final = logging.getLogger("sawbill.web.requests")
ID: Final = "X-Request-Id"

_SANE: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}", re.ASCII)
_SECRET: Final = re.compile(rf"{PREFIX}[A-Za-z0-9_-]{{20,}}", re.ASCII)


class JsonLines(logging.Formatter):
    """Writes a record as one line of JSON; what looks like a token is left out, however it got there."""

    def format(self, record: logging.LogRecord) -> str:
        """Write a record."""
        time = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        line: dict[str, Any] = {"time": time.replace("+00:00", "Z"), "level": record.levelname.lower()}
        if has_request_context():
            line["request"] = g.get("request_id", "")
        line["message"] = record.getMessage()
        line |= getattr(record, "fields", {})
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return _SECRET.sub(f"{PREFIX}...", json.dumps(line, ensure_ascii=True, default=str))


def configure() -> None:
    """Send the service's log to the error stream, as JSON."""
    handler = logging.StreamHandler()
    handler.setFormatter(JsonLines())
    own = logging.getLogger("sawbill")
    own.handlers, own.propagate = [handler], False
    own.setLevel(logging.INFO)


def begin() -> None:
    """Give the request at hand its id: the one it came with, if that can be one, so that it is found again."""
    given = request.headers.get(ID, "")
    sane = _SANE.fullmatch(given) and not _SECRET.search(given)
    g.request_id = given if sane else secrets.token_hex(8)
    g.began = time.perf_counter()


def end(response: Response) -> Response:
    """Log the request at hand, and tell its id."""
    response.headers[ID] = g.setdefault("request_id", secrets.token_hex(8))
    if LOGGER.isEnabledFor(logging.INFO):
        caller = g.get("caller")
        fields = {
            "route": route(),
            "method": method(),
            "status": response.status_code,
            "ms": round(seconds() * 1000, 1),
            "bytes": response.calculate_content_length(),
            "owner": caller.owner if caller is not None else "",
        }
        LOGGER.info("request", extra={"fields": fields})
    return response


def label() -> str:
    """Name the request at hand: its id and its route."""
    return f"{g.get('request_id', '')} {method()} {route()}"


def route() -> str:
    """Tell the route of the request at hand as a template; empty when there is none."""
    return request.url_rule.rule if request.url_rule is not None else ""


def method() -> str:
    """Tell the method of the request at hand, if it is a common one."""
    known = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
    return request.method if request.method in known else "other"


def seconds() -> float:
    """Tell how long the request at hand has taken so far [s]."""
    began: float | None = g.get("began")
    return 0.0 if began is None else time.perf_counter() - began
