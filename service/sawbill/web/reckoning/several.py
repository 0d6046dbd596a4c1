"""What is asked of several designs and price books, read: comparisons and proposals alike."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from sawbill import registry
from sawbill.asked.faults import RequestFault
from sawbill.asked.reader import Reader
from sawbill.asked.request import PRICE_BOOK
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.asked import MOST_ENTRIES
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.prices import Body, Named, Prices, body_read

T = TypeVar("T")
Reading = Callable[[Reader, Any, Sequence[PriceBook]], T | None]
"""Reads a request against price books; None where it is at fault."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A request. faults: found before; query: whether it was one; at_once: whether it is answered when all is done."""

    body: Body
    named: Named
    faults: tuple[RequestFault, ...] = ()
    query: bool = False
    at_once: bool = True


@dataclass(frozen=True, slots=True)
class Read(Generic[T]):
    """A request as an engine has read it: a book that was shared is named by its place, and not sent back."""

    raw: Mapping[str, Any]
    wanted: T
    books: tuple[PriceBook | int, ...]

    def with_books(self, shared: Sequence[PriceBook]) -> tuple[PriceBook, ...]:
        """Put the books that were shared in their places."""
        return tuple(shared[each] if isinstance(each, int) else each for each in self.books)


def read_several(
    shared: Sequence[PriceBook], asked: Asked, reading: Reading[T], too_large: Callable[[T], RequestFault | None],
    as_parameter: Callable[[RequestFault], RequestFault],
) -> Read[T] | Problem:  # fmt: skip
    """Read a request of any shape, or tell every fault of it; without its price books, against any.

    too_large: what is wrong with one that is to be answered at once; as_parameter: places a fault at the parameter of
    a query that it came from.
    """
    try:
        raw, prices = body_read(asked.body), Prices(shared, asked.named)
        found, faults = _books(raw, prices)
        against = found or ([prices.stand_in] if prices.stand_in else [])
        reader = Reader(against[0] if against else None, registry.designs())
        reader.shape += [*asked.faults, *faults]
        wanted = reading(reader, raw, against)
        if told := reader.faults():
            by_name = asked.query and isinstance(raw, dict)
            raise problems.faulty([*map(as_parameter, told)], "parameter") if by_name else problems.faulty(told)
        assert wanted is not None, "a request without a fault can be read"
        if asked.at_once and (fault := too_large(wanted)) is not None:
            raise problems.faulty([fault], "parameter" if asked.query else "pointer")
    except Problem as problem:
        return problem
    at = {id(book): place for place, book in enumerate(shared)}
    return Read(raw, wanted, tuple(at.get(id(book), book) for book in found))


def _books(raw: Any, prices: Prices) -> tuple[list[PriceBook], list[RequestFault]]:
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
