"""A comparison reckoned: its request read into the rows to make, and one row after the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from sawbill import registry
from sawbill.asked.faults import Pointer, RequestFault
from sawbill.asked.reader import Reader
from sawbill.asked.request import PRICE_BOOK
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.asked import MOST_ENTRIES
from sawbill.quoting.comparing.compared import Compared, compare_as_asked
from sawbill.quoting.comparing.comparison import Common, Figures, NoQuote, answer
from sawbill.quoting.comparing.grid import MOST_ROWS
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.prices import Body, Named, Prices, body_read

MOST_AT_ONCE: Final = 60
"""How many rows an answer has that is sent when all of them are done."""
_PARAMETERS: Final = {"price_books": "price_book", "quantities": "quantity"}


@dataclass(frozen=True, slots=True)
class Asked:
    """A request for a comparison. faults: found before; query: whether it was one; at_once: all rows together."""

    body: Body
    named: Named
    faults: tuple[RequestFault, ...] = ()
    query: bool = False
    at_once: bool = True


@dataclass(frozen=True, slots=True)
class Comparing:
    """A comparison that can be made. raw: its request; books: in the order asked."""

    raw: Mapping[str, Any]
    compared: Compared
    books: tuple[PriceBook, ...]


@dataclass(frozen=True, slots=True)
class Read:
    """A comparison as an engine has read it: a book that was shared is named by its place, and not sent back."""

    raw: Mapping[str, Any]
    compared: Compared
    books: tuple[PriceBook | int, ...]

    def with_books(self, shared: Sequence[PriceBook]) -> Comparing:
        """Put the books that were shared in their places."""
        books = tuple(shared[each] if isinstance(each, int) else each for each in self.books)
        return Comparing(self.raw, self.compared, books)


def comparing(shared: Sequence[PriceBook], asked: Asked) -> Read | Problem:
    """Read a request of any shape, or tell every fault of it."""
    try:
        made = _read(body_read(asked.body), Prices(shared, asked.named), asked)
        at = {id(book): place for place, book in enumerate(shared)}
        return Read(made.raw, made.compared, tuple(at.get(id(book), book) for book in made.books))
    except Problem as problem:
        return problem


def row(shared: Sequence[PriceBook], common: Mapping[str, Any], line: Mapping[str, Any]) -> Figures | NoQuote:
    """Work one row out, from the one price book that is shared; common: what all rows ask for."""
    return answer(Common(shared, common), (0, line))


def _read(raw: Any, prices: Prices, asked: Asked) -> Comparing:
    """Read a request of any shape; without its price books, against any."""
    found, faults = books_of(raw, prices)
    against = found or ([prices.stand_in] if prices.stand_in else [])
    reader = Reader(against[0] if against else None, registry.designs())
    reader.shape += [*asked.faults, *faults]
    compared = compare_as_asked(reader, raw, against)
    if told := reader.faults():
        by_name = asked.query and isinstance(raw, dict)
        raise problems.faulty([*map(_as_parameter, told)], "parameter") if by_name else problems.faulty(told)
    assert compared is not None, "a request without a fault can be read"
    _check_rows(len(compared.combinations), asked)
    return Comparing(raw, compared, tuple(found))


def _check_rows(rows: int, asked: Asked) -> None:
    """See that no more rows are sent at once than may be. Raises Problem."""
    if asked.at_once and rows > MOST_AT_ONCE:
        detail = (
            f"the comparison has {rows} rows; up to {MOST_AT_ONCE} are sent at once: ask for /v1/comparisons.ndjson, "
            f"or accept application/x-ndjson, which sends up to {MOST_ROWS} row by row, or post it with Prefer: "
            "respond-async, which makes it a job"
        )
        fault = RequestFault(("designs",), "too-many-rows", detail)
        raise problems.faulty([fault], "parameter" if asked.query else "pointer")


def books_of(raw: Any, prices: Prices) -> tuple[list[PriceBook], list[RequestFault]]:
    """The price books in their order, and what is wrong with how they are asked for."""
    found: list[PriceBook] = []
    faults: list[RequestFault] = []
    asked = raw.get("price_books") if isinstance(raw, dict) else None
    for i, each in enumerate(asked if isinstance(asked, list) and len(asked) <= MOST_ENTRIES else ()):
        if PRICE_BOOK.kind.check(each) is not None:
            continue  # its shape is at fault, which is told by its reader
        book = prices.find(each)
        if not isinstance(book, PriceBook):
            faults += [replace(fault, pointer=("price_books", i, *fault.pointer[1:])) for fault in book]
        elif any(book.name == other.name and book.revision == other.revision for other in found):
            detail = f"the price book {book.name} is named twice; name it once"
            faults.append(RequestFault(("price_books", i), "repeated", detail))
        else:
            found.append(book)
    if asked == []:
        faults.append(RequestFault(("price_books",), "missing", "the request has no price_books; name at least one"))
    return found, faults


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
