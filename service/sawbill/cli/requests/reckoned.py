"""Requests reckoned by the same functions as the service's engines call, with no service at hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from sawbill.asked.request import RequestFault
from sawbill.cli.options.books import SAMPLE
from sawbill.cli.output.written import Page
from sawbill.cli.requests.asking import Asking
from sawbill.cli.requests.books import find_book, read_book
from sawbill.cli.requests.designs import designs
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import UnknownBookError
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning import drawings
from sawbill.web.reckoning.prices import Named
from sawbill.web.reckoning.quotes import Asked, Quoted
from sawbill.web.reckoning.writing import Title

T = TypeVar("T")


def reckoned(asking: Asking, work: Callable[..., T | Problem], *more: Any, form: str = "lines") -> T:
    """Have a request reckoned, or end the command with every fault of it. form: one of `quotes.FORMS`."""
    shared, asked = handed_in(asking, form)
    answer = work(shared, asked, *more)
    if isinstance(answer, Problem):
        asking.refuse(answer)
    return answer


def handed_in(asking: Asking, form: str = "lines") -> tuple[list[PriceBook], Asked]:
    """Give a request as engines take it: its price books, and what is asked of them."""
    designs()
    named, shared = books_of([asking.raw.get("price_book")])
    return shared, Asked(asking.raw, named, form, tuple(asking.faults))


def books_of(names: Any) -> tuple[Named, list[PriceBook]]:
    """Find the price books that a request names, for an engine: each once, and any to read on with; names: a list."""
    found: dict[str, int | tuple[RequestFault, ...]] = {}
    shared: list[PriceBook] = []
    listed = names if isinstance(names, list) else []
    for name in dict.fromkeys(each for each in listed if isinstance(each, str)):
        try:
            shared.append(find_book(name))
            found[name] = len(shared) - 1
        except UnknownBookError as error:
            found[name] = (RequestFault(("price_book",), "unknown-price-book", str(error)),)
    if not shared:
        shared.append(read_book(SAMPLE))
    return Named(found, 0), shared


def page_of(asking: Asking, made: Quoted, form: str) -> Page:
    """What a page or a workbook shows beside a quote: the title of its price book, and pictures of its furniture."""
    shown = drawings.pixels if form == "xlsx" else drawings.pictures
    return Page(Title(made.title, label=made.label), reckoned(asking, shown).data)
