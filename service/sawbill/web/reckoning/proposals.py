"""A proposal reckoned: its request read, and one step after the other done to know more of its combinations."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill import registry
from sawbill.asked.faults import RequestFault
from sawbill.asked.reader import Reader
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Common
from sawbill.quoting.proposing.proposed import Proposed, propose_as_asked
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.comparisons import books_of
from sawbill.web.reckoning.prices import Body, Named, Prices, body_read

MOST_AT_ONCE: Final = 1_000
"""How many combinations a proposal may have that is sent when it is done."""
QUOTED_AT_ONCE: Final = 150
"""How many purchases are made for such a one."""
_PARAMETERS: Final = {"price_books": "price_book", "wishes": "most"}


@dataclass(frozen=True, slots=True)
class Asked:
    """A request for a proposal. faults: found before; query: whether it was one; at_once: answered when it is done."""

    body: Body
    named: Named
    faults: tuple[RequestFault, ...] = ()
    query: bool = False
    at_once: bool = True


@dataclass(frozen=True, slots=True)
class Read:
    """A request as an engine has read it; a book that was shared is named by its place, and not sent back."""

    raw: Mapping[str, Any]
    proposed: Proposed
    books: tuple[PriceBook | int, ...]


def proposing(shared: Sequence[PriceBook], asked: Asked) -> Read | Problem:
    """Read a request of any shape, or tell every fault of it."""
    try:
        raw, proposed, found = _read(body_read(asked.body), Prices(shared, asked.named), asked)
        at = {id(book): place for place, book in enumerate(shared)}
        return Read(raw, proposed, tuple(at.get(id(book), book) for book in found))
    except Problem as problem:
        return problem


def step(
    shared: Sequence[PriceBook], function: Callable[[Common, Any], Any], common: Mapping[str, Any], item: Any
) -> Any:
    """Do one step for some combinations, or one, from the price books that are shared."""
    return function(Common(shared, common), item)


def _read(raw: Any, prices: Prices, asked: Asked) -> tuple[Mapping[str, Any], Proposed, list[PriceBook]]:
    """Read a request of any shape; without its price books, against any."""
    found, faults = books_of(raw, prices)
    against = found or ([prices.stand_in] if prices.stand_in else [])
    reader = Reader(against[0] if against else None, registry.designs())
    reader.shape += [*asked.faults, *faults]
    proposed = propose_as_asked(reader, raw, against)
    if told := reader.faults():
        by_name = asked.query and isinstance(raw, dict)
        raise problems.faulty([*map(_as_parameter, told)], "parameter") if by_name else problems.faulty(told)
    assert proposed is not None, "a request without a fault can be read"
    if asked.at_once and proposed.grid.size > MOST_AT_ONCE:
        detail = (
            f"there are {proposed.grid.size} combinations; up to {MOST_AT_ONCE} are answered at once: leave less open, "
            "or post it to /v1/proposals with Prefer: respond-async, which makes it a job"
        )
        fault = RequestFault(("open",), "too-many-combinations", detail)
        raise problems.faulty([fault], "parameter" if asked.query else "pointer")
    return raw, proposed, found


def _as_parameter(fault: RequestFault) -> RequestFault:
    """Place a fault at the parameter that it came from."""
    first = str(fault.pointer[0]) if fault.pointer else ""
    if first in ("open", "options") and len(fault.pointer) > 1:
        return RequestFault((fault.pointer[1],), fault.code, fault.detail)
    if first == "wishes" and len(fault.pointer) > 2:
        return RequestFault((fault.pointer[2],), fault.code, fault.detail)
    return RequestFault((_PARAMETERS.get(first, first),), fault.code, fault.detail)
