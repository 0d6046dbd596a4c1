"""Long lists in pages: how many entries, and after which."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, Final
from urllib.parse import urlencode

from sawbill.asked.request import RequestFault
from sawbill.prices.rows.faults import shown
from sawbill.web.http import problems
from sawbill.web.openapi import parameter

MOST: Final = 100
USUAL: Final = 50
_DIGITS: Final = 18
"""Of a place in a list, at most."""
QUERY: Final[list[dict[str, Any]]] = [
    parameter("limit", f"How many entries a page may have, 1 to {MOST}; unset: {USUAL}.", "20", pattern="^[0-9]+$"),
    parameter("after", "Where the page begins; take it from the page before.", "117", pattern="^[0-9]+$"),
]


def asked(given: Mapping[str, str], others: Iterable[RequestFault] = ()) -> tuple[int, int | None]:
    """Read how many entries are asked for, and after which; others: what is wrong with the rest of the query.

    Raises Problem: with every fault.
    """
    faults = [*others]

    def number(name: str, least: int, most: int, remedy: str) -> int | None:
        text = given.get(name)
        if text is None:
            return None
        if text.isascii() and text.isdigit() and len(text) <= _DIGITS and least <= int(text) <= most:
            return int(text)
        faults.append(RequestFault((name,), "out-of-range", f'{name} is "{shown(text)}"; {remedy}'))
        return None

    limit = number("limit", 1, MOST, f"it may be a whole number from 1 to {MOST}")
    after = number("after", 0, 10**_DIGITS, "take it from the page before")
    if faults:
        raise problems.faulty(faults, "parameter")
    return limit or USUAL, after


def following(path: str, limit: int, after: int, given: Mapping[str, str] = MappingProxyType({})) -> str:
    """Give the address of the next page; given: what else the list was asked for by."""
    return f"{path}?{urlencode({**given, 'limit': limit, 'after': after})}"


def link(address: str | None) -> list[tuple[str, str]]:
    """Give the header that leads to the next page, if there is one (RFC 8288)."""
    return [("Link", f'<{address}>; rel="next"')] if address else []
