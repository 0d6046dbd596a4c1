"""Which of the stored quotes a list is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, Final

from sawbill.asked.request import RequestFault
from sawbill.prices.rows.faults import shown
from sawbill.store import QuoteFilter
from sawbill.trade.declaring.kinds import MOST_TEXT
from sawbill.web.openapi import parameter

QUERY: Final[list[dict[str, Any]]] = [
    parameter("label", "Text in the label; upper and lower case count as the same.", "guest", maxLength=MOST_TEXT),
    parameter("design", "The design of one of the lines, by name.", "slatted-bed", maxLength=MOST_TEXT),
    parameter("book", "The price book, by the name used in the request.", "sample-inch", maxLength=MOST_TEXT),
    parameter("since", "Stored at this time or later (RFC 3339 with its zone, or a day).", "2026-11-01"),
    parameter("until", "Stored before this time (RFC 3339 with its zone, or a day).", "2026-12-01T00:00:00Z"),
]


def asked(given: Mapping[str, str]) -> tuple[QuoteFilter, list[RequestFault]]:
    """Read the parameters of a filter, with every fault of them."""
    faults: list[RequestFault] = []
    wanted = QuoteFilter(
        **{name: _words(name, given[name], faults) for name in ("label", "design", "book") if name in given},
        **{name: _time(name, given[name], faults) for name in ("since", "until") if name in given},
    )  # fmt: skip
    return wanted, faults


def _words(name: str, text: str, faults: list[RequestFault]) -> Any:
    if not (text.isprintable() and 0 < len(text) <= MOST_TEXT):
        remedy = f"it may be text of 1 to {MOST_TEXT} characters, none of them control characters"
        faults.append(RequestFault((name,), "not-text", f'{name} is "{shown(text)}"; {remedy}'))
    return text


def _time(name: str, text: str, faults: list[RequestFault]) -> Any:
    """A day begins in UTC."""
    try:
        time = datetime.fromisoformat(text)
        if time.tzinfo is None and len(text) == len("2026-11-01"):
            return time.replace(tzinfo=UTC)
        if time.tzinfo is not None:
            return time.astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    remedy = "write a day, such as 2026-11-01, or a time with its zone, such as 2026-11-01T12:00:00Z"
    faults.append(RequestFault((name,), "not-a-time", f'{name} is "{shown(text)}"; {remedy}'))
    return None
