"""A proposal reckoned: its request read, and one step after the other done to know more of its combinations."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from sawbill.asked.faults import RequestFault
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Common
from sawbill.quoting.proposing.proposed import Proposed, propose_as_asked
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.several import Asked, Read, read_several

MOST_AT_ONCE: Final = 1_000
"""How many combinations a proposal may have that is sent when it is done."""
_PARAMETERS: Final = {"price_books": "price_book", "wishes": "most"}


def proposing(shared: Sequence[PriceBook], asked: Asked) -> Read[Proposed] | Problem:
    """Read a request of any shape, or tell every fault of it."""
    return read_several(shared, asked, propose_as_asked, _too_many_combinations, _as_parameter)


def step(
    shared: Sequence[PriceBook], function: Callable[[Common, Any], Any], common: Mapping[str, Any], item: Any
) -> Any:
    """Do one step for some combinations, or one, from the price books that are shared."""
    return function(Common(shared, common), item)


def _too_many_combinations(proposed: Proposed) -> RequestFault | None:
    """Say where there are more combinations than are answered at once."""
    if proposed.grid.size <= MOST_AT_ONCE:
        return None
    detail = (
        f"there are {proposed.grid.size} combinations; up to {MOST_AT_ONCE} are answered at once: leave less open, "
        "or post it to /v1/proposals with Prefer: respond-async, which makes it a job"
    )
    return RequestFault(("open",), "too-many-combinations", detail)


def _as_parameter(fault: RequestFault) -> RequestFault:
    """Place a fault at the parameter that it came from."""
    first = str(fault.pointer[0]) if fault.pointer else ""
    if first in ("open", "options") and len(fault.pointer) > 1:
        return RequestFault((fault.pointer[1],), fault.code, fault.detail)
    if first == "wishes" and len(fault.pointer) > 2:
        return RequestFault((fault.pointer[2],), fault.code, fault.detail)
    return RequestFault((_PARAMETERS.get(first, first),), fault.code, fault.detail)
