"""The price books that a request names, found for an engine by whoever asks it; and those the request brings along."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.asked.request import RequestFault
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import BookFaultsError, Fault
from sawbill.web.http.bodies import read_json_text
from sawbill.web.http.problems import Problem

INLINE: Final = "inline"
"""What a price book is called that came with its request."""
MOST_NAMES: Final = 100
"""How many names of one request are looked up."""

Body = bytes | Mapping[str, Any]
"""A request: JSON as it was sent, or read already."""


@dataclass(frozen=True, slots=True)
class Named:
    """What was found by each name that a request asks for: the place of a book among those shared, or faults.

    stand_in: the place of any book, to read on with where the one asked for cannot be had; None: there is none.
    """

    found: Mapping[str, int | tuple[RequestFault, ...]]
    stand_in: int | None


class Prices:
    """The price books of one request, as an engine has them."""

    def __init__(self, shared: Sequence[PriceBook], named: Named) -> None:
        self._shared, self._named = shared, named

    def find(self, asked: str | Mapping[str, Any]) -> PriceBook | list[RequestFault]:
        """Give the book that is asked for, or what is wrong with how it is."""
        if not isinstance(asked, str):
            try:
                return read_json(INLINE, asked)
            except BookFaultsError as error:
                return [_inline_fault(fault) for fault in error.faults]
        found = self._named.found[asked]
        return self._shared[found] if isinstance(found, int) else list(found)

    @property
    def stand_in(self) -> PriceBook | None:
        """Any price book that can be used."""
        return None if self._named.stand_in is None else self._shared[self._named.stand_in]


def body_read(body: Body) -> Any:
    """Read a request's JSON, unless it is read. Raises Problem."""
    return read_json_text(body) if isinstance(body, bytes) else body


def names(body: Body) -> list[str]:
    """Give the names of the price books that a request asks for, each once; it may have any shape. Raises Problem."""
    raw = body_read(body)
    if not isinstance(raw, Mapping):
        return []
    several = raw.get("price_books")
    asked = [raw.get("price_book"), *(several if isinstance(several, list) else [])]
    return list(dict.fromkeys(each for each in asked if isinstance(each, str)))[:MOST_NAMES]


def _inline_fault(fault: Fault) -> RequestFault:
    steps = fault.pointer.split("/")[1:]
    plain = [step.replace("~1", "/").replace("~0", "~") for step in steps]
    places = [int(step) if i == 1 and fault.row is not None else step for i, step in enumerate(plain)]
    name = fault.column or fault.table
    return RequestFault(("price_book", *places), fault.code, f"{name}: {fault.detail}")


def asked_names(_: Sequence[PriceBook], body: Body) -> list[str] | Problem:
    """Give the names of the price books that a large request asks for."""
    try:
        return names(body)
    except Problem as problem:
        return problem
