"""One design asked for by its address: what decides the answer, its tag, and the quote, made only where it must be."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.metadata import entry_points
from typing import Any, Final

from flask import Response, request

from sawbill.answer.declared.quoted.drawings import Place
from sawbill.answer.quote import ENGINE
from sawbill.asked.offered import no_such_design
from sawbill.asked.request import PLACED, TRACE, RequestFault
from sawbill.prices.pricebook import PriceBook
from sawbill.registry import GROUP
from sawbill.trade.design import Design
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import CUSTOMER, DRAWN, FORM, PRINTED, quote_request
from sawbill.web.library import books
from sawbill.web.work.quoting import make, service
from sawbill.web.work.recent import Made

CACHE: Final = "private, no-cache"
"""What an answer's use is bound to: to be kept by its caller alone, and asked for again by its tag."""
BESIDE: Final = (*FORM, *DRAWN, *PRINTED, *CUSTOMER, TRACE.name, PLACED.name)
"""What of a query changes no drawing."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A request by query: its JSON, what is wrong with it so far, and what decides its quote; None: a fault does.

    at: where its drawings are.
    """

    design: Design
    raw: dict[str, Any]
    faults: Sequence[RequestFault]
    key: str | None
    at: Place

    @classmethod
    def of(cls, design: Design, raw: dict[str, Any]) -> Asked:
        """What is asked for by no query."""
        return cls(design, raw, (), _key(raw), Place(f"/v1/designs/{design.name}", ()))


def asked_quote(name: str, more: Sequence[str] = (), **also: object) -> Asked:
    """Read the request at hand; more: what its query may hold beside a quote's; also: what it asks besides.

    Raises Problem: no such design.
    """
    design = design_called(name)
    raw, faults = quote_request(design, more)
    raw |= also
    query = tuple((name, text) for name, text in sorted(request.args.items()) if name not in BESIDE)
    place = Place(f"/v1/designs/{design.name}", query)
    return Asked(design, raw, faults, None if faults else _key(raw), place)


def design_called(name: str) -> Design:
    """Find a design. Raises Problem: there is none."""
    known = service().designs
    if name not in known:
        raise Problem("not-found", no_such_design(name, known))
    return known[name]


def send(
    asked: Asked, form: Sequence[str], write: Callable[[Made], Response], faults: Sequence[RequestFault] = ()
) -> Response:
    """Answer with a quote in some form: nothing is made where the caller holds the same already.

    form: all that decides the bytes beside the quote; faults: what is wrong with how the form is asked for.
    Raises Problem: the request has faults, or cannot be bought.
    """
    tag = None if asked.key is None or faults else tag_of(asked.key, *form)
    if tag is not None and request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag)
    made, timing = _made(asked, faults)
    response = write(made)
    response.headers["Server-Timing"] = timing
    if tag is not None and made.lasting:
        return tagged(response, tag)
    response.headers["Cache-Control"] = "no-store"
    return response


def tag_of(*what: str) -> str:
    """Name what decides an answer's bytes."""
    return hashlib.sha256(json.dumps(what).encode()).hexdigest()[:32]


def tagged(response: Response, tag: str, cache: str = CACHE) -> Response:
    """Give an answer its tag."""
    response.set_etag(tag)
    response.headers["Cache-Control"] = cache
    return response


def _made(asked: Asked, faults: Sequence[RequestFault]) -> tuple[Made, str]:
    recent = service().recent
    made = None if asked.key is None or faults else recent.quote(asked.key)
    milliseconds = 0.0
    if made is None:
        fresh = make(asked.raw, [*asked.faults, *faults], "parameter", figures=True, at=asked.at)
        quote, milliseconds = fresh.quote, fresh.milliseconds
        made = Made(quote.data, quote.title, quote.lasting)
        if asked.key is not None:
            recent.hold_quote(asked.key, made)
            if quote.figures is not None:
                recent.hold_figures(_key_as_row(asked.raw, fresh.book), quote.figures)
    return made, f"engine;dur={milliseconds:.1f}"


def _key(raw: dict[str, Any]) -> str | None:
    """Name what decides a quote: the request in one order, the book's revision, the engine, the designs on offer."""
    name = raw.get("price_book")
    book = books.named(service().library, name, "price_book") if isinstance(name, str) else None
    if not isinstance(book, PriceBook):
        return None
    return tag_of(json.dumps(raw, sort_keys=True), book.revision, ENGINE, offered())


def row_key(
    common: Mapping[str, Any], design: str, options: Mapping[str, Any], quantity: object, book: PriceBook
) -> str:  # fmt: skip
    """Name what decides the figures of a quote for one design; common: all that is asked beside it."""
    asked = [{key: value for key, value in common.items() if value}, design, dict(options), quantity]
    return tag_of(json.dumps(asked, sort_keys=True), book.revision, ENGINE, offered())


_OF_THE_ANSWER: Final = ("price_book", "lines", "trace", "placed", "ways_out")
"""What a request says that does not change the figures of its quote, or is told beside them."""


def _key_as_row(raw: Mapping[str, Any], book: PriceBook) -> str:
    (line,) = raw["lines"]
    common = {key: value for key, value in raw.items() if key not in _OF_THE_ANSWER}
    return row_key(common, line["design"], line["options"], line.get("quantity", 1), book)


@cache
def offered() -> str:
    """Name the packages that designs come from, whose next version may build another frame."""
    packages = {(point.dist.name, point.dist.version) for point in entry_points(group=GROUP) if point.dist}
    return json.dumps(sorted(packages))
