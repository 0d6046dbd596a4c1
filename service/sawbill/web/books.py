"""Which price book a request means: one of the shelf, by name and perhaps revision, or one it brings itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.request import RequestFault
from sawbill.files.asjson import read_json
from sawbill.files.faults import BookFaultsError, Fault, shown
from sawbill.files.shelf import Shelf, UnknownBookError
from sawbill.web.problems import book_at_fault

INLINE = "inline"
"""What a price book is called that came with its request."""


def stored(shelf: Shelf, name: str) -> PriceBook:
    """Give a price book of the shelf. Raises UnknownBookError; Problem 503: it cannot be used as it is."""
    try:
        return shelf.get(name)
    except BookFaultsError as error:
        raise book_at_fault(name, error) from error


def find(shelf: Shelf, asked: str | Mapping[str, Any]) -> PriceBook | list[RequestFault]:
    """Give the price book that a request asks for, or what is wrong with how it asks."""
    if not isinstance(asked, str):
        try:
            return read_json(INLINE, asked)
        except BookFaultsError as error:
            return [_inline_fault(fault) for fault in error.faults]
    name, at, revision = asked.partition("@")
    try:
        book = stored(shelf, name)
    except UnknownBookError as error:
        return [RequestFault(("price_book",), "unknown-price-book", f'price_book is "{shown(asked)}": {error}')]
    if at and revision != book.revision:
        detail = f"the price book {name} is at revision {book.revision} now, not {shown(revision)}"
        return [RequestFault(("price_book",), "price-book-changed", detail)]
    return book


def stand_in(shelf: Shelf) -> PriceBook | None:
    """Any price book that can be used, to read on with where the one asked for cannot be."""
    for name in shelf.names():
        try:
            return shelf.get(name)
        except (BookFaultsError, UnknownBookError):
            continue
    return None


def _inline_fault(fault: Fault) -> RequestFault:
    steps = fault.pointer.split("/")[1:]
    plain = [step.replace("~1", "/").replace("~0", "~") for step in steps]
    places = [int(step) if i == 1 and fault.row is not None else step for i, step in enumerate(plain)]
    name = fault.column or fault.table
    return RequestFault(("price_book", *places), fault.code, f"{name}: {fault.detail}")
