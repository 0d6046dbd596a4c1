"""A comparison reckoned: its request read into the rows to make, and one row after the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

from sawbill.asked.faults import Pointer, RequestFault
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import Compared, compare_as_asked
from sawbill.quoting.comparing.comparison import Common, Figures, NoQuote, answer
from sawbill.quoting.comparing.grid import MOST_ROWS, MOST_SWEPT
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.several import Asked, Read, read_several

MOST_AT_ONCE: Final = 60
"""How many rows an answer has that is sent when all of them are done."""
_PARAMETERS: Final = {"price_books": "price_book", "quantities": "quantity"}


@dataclass(frozen=True, slots=True)
class Comparing:
    """A comparison that can be made. raw: its request; books: in the order asked."""

    raw: Mapping[str, Any]
    compared: Compared
    books: tuple[PriceBook, ...]


def comparing(shared: Sequence[PriceBook], asked: Asked, as_job: bool = False) -> Read[Compared] | Problem:
    """Read a request of any shape, or tell every fault of it; as_job: whether it is a job, which may have more rows."""
    reading = partial(compare_as_asked, most=MOST_SWEPT if as_job else MOST_ROWS)
    return read_several(shared, asked, reading, _too_many_rows, _as_parameter)


def row(shared: Sequence[PriceBook], common: Mapping[str, Any], line: Mapping[str, Any]) -> Figures | NoQuote:
    """Work one row out, from the one price book that is shared; common: what all rows ask for."""
    return answer(Common(shared, common), (0, line))


def _too_many_rows(compared: Compared) -> RequestFault | None:
    """Say where there are more rows than are sent at once."""
    rows = len(compared.combinations)
    if rows <= MOST_AT_ONCE:
        return None
    detail = (
        f"the comparison has {rows} rows; up to {MOST_AT_ONCE} are sent at once: ask for /v1/comparisons.ndjson, "
        f"or accept application/x-ndjson, which sends up to {MOST_ROWS} row by row, or post it with Prefer: "
        f"respond-async, which makes it a job of up to {MOST_SWEPT}"
    )
    return RequestFault(("designs",), "too-many-rows", detail)


def _as_parameter(fault: RequestFault) -> RequestFault:
    """Place a fault at the parameter that it came from."""
    first = str(fault.pointer[0]) if fault.pointer else ""
    if first in _PARAMETERS:
        name = _PARAMETERS[first]
        return RequestFault((name,), fault.code, fault.detail.replace(first, name, 1))
    if first == "filter":
        end: Pointer = fault.pointer[2:3]
        return RequestFault(end or ("most",), fault.code, fault.detail)
    return fault
