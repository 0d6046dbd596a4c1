"""From the JSON of a comparison to its rows: faults told at once, rows worked out by the crew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from sawbill.estimating.compared import Compared, read_comparison
from sawbill.estimating.comparison import Row, Run, compare, in_turn
from sawbill.estimating.crew import FEW
from sawbill.estimating.grid import MOST_ROWS
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.request import Pointer, RequestFault, RequestFaultsError
from sawbill.web import books, problems, shape
from sawbill.web.asking import row_key
from sawbill.web.quoting import Service
from sawbill.web.schemas.comparison import ComparisonRequestSchema

MOST_AT_ONCE: Final = 60
"""How many rows an answer has that is sent when all of them are done."""
_SCHEMA: Final = ComparisonRequestSchema()
_PARAMETERS: Final = {"price_books": "price_book", "quantities": "quantity"}


@dataclass(frozen=True, slots=True)
class Comparing:
    """A comparison that can be made."""

    compared: Compared
    books: tuple[PriceBook, ...]

    def rows(self, service: Service) -> Iterator[Row]:
        """Make its rows, one after the other; those whose figures are known already are not worked out again."""
        combinations, common = self.compared.combinations, self.compared.common
        keys = [
            row_key(common, each.design.name, each.options, each.quantity, self.books[each.book])
            for each in combinations
        ]
        held = service.recent.figures(keys)
        known = {each.number: held[key] for each, key in zip(combinations, keys, strict=True) if key in held}
        run: Run = in_turn if len(combinations) - len(known) <= FEW else service.crew.run
        for row, key in zip(compare(combinations, common, self.books, run, known), keys, strict=True):
            if row.figures is not None and key not in held:
                service.meters.count_quote(row.figures.proof)
                service.recent.hold_figures(key, row.figures)
            yield row


def read(
    raw: object, service: Service, faults: Sequence[RequestFault] = (), *, query: bool = False, at_once: bool = True
) -> Comparing:  # fmt: skip
    """Read a request of any shape; query: whether it was one; at_once: whether all rows are sent together.

    Raises Problem: with every fault of it.
    """
    shape_faults = [*faults, *shape.faults_of(raw, _SCHEMA)]
    if not isinstance(raw, dict):
        raise problems.faulty(shape_faults)
    sound = shape.without(raw, shape_faults)
    found, missing = _books(sound.get("price_books", []), service)
    shape_faults += missing
    compared, meaning = _meaning(sound, found, service)
    if compared is None or shape_faults or meaning:
        told = shape.merged(shape_faults, meaning)
        raise problems.faulty(_as_parameters(told), "parameter") if query else problems.faulty(told)
    rows = len(compared.combinations)
    if at_once and rows > MOST_AT_ONCE:
        detail = (
            f"the comparison has {rows} rows; up to {MOST_AT_ONCE} are sent at once: ask for /v1/comparisons.ndjson, "
            f"or accept application/x-ndjson, which sends up to {MOST_ROWS} row by row, or post it with Prefer: "
            "respond-async, which makes it a job"
        )
        fault = RequestFault(("designs",), "too-many-rows", detail)
        raise problems.faulty([fault], "parameter" if query else "pointer")
    return Comparing(compared, tuple(found))


def _books(asked: Sequence[Any], service: Service) -> tuple[list[PriceBook], list[RequestFault]]:
    """The price books in their order, and what is wrong with how they are asked for."""
    found: list[PriceBook] = []
    faults: list[RequestFault] = []
    for i, each in enumerate(asked):
        if each == {}:
            continue  # its shape is at fault, which is told already
        book = books.find(service.library, each)
        if not isinstance(book, PriceBook):
            faults += [replace(fault, pointer=("price_books", i, *fault.pointer[1:])) for fault in book]
        elif any(book.name == other.name and book.revision == other.revision for other in found):
            detail = f"the price book {book.name} is named twice; name it once"
            faults.append(RequestFault(("price_books", i), "repeated", detail))
        else:
            found.append(book)
    if not asked:
        faults.append(RequestFault(("price_books",), "missing", "the request has no price_books; name at least one"))
    return found, faults


def _meaning(
    sound: Mapping[str, Any], found: Sequence[PriceBook], service: Service
) -> tuple[Compared | None, list[RequestFault]]:
    """Read what a request means; without its price books, against any."""
    stand_in = None if found else books.stand_in(service.library)
    against = [*found] or ([stand_in] if stand_in else [])
    try:
        return read_comparison(sound, against, service.designs), []
    except RequestFaultsError as error:
        return None, list(error.faults)


def _as_parameters(faults: Sequence[RequestFault]) -> list[RequestFault]:
    """Place faults at the parameters that they came from."""
    return [_as_parameter(fault) for fault in faults]


def _as_parameter(fault: RequestFault) -> RequestFault:
    first = str(fault.pointer[0]) if fault.pointer else ""
    if first in _PARAMETERS:
        name = _PARAMETERS[first]
        return RequestFault((name,), fault.code, fault.detail.replace(first, name, 1))
    if first == "filter":
        end: Pointer = fault.pointer[2:3]
        return RequestFault(end or ("most",), fault.code, fault.detail)
    return fault
