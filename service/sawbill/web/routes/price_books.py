"""Price books: those on the shelf, each whole."""

from __future__ import annotations

from typing import Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.estimating.pricebook import PriceBook
from sawbill.files.faults import BookFaultsError
from sawbill.files.shelf import UnknownBookError
from sawbill.web import books
from sawbill.web.answers import json_answer
from sawbill.web.openapi import parameter, route
from sawbill.web.problems import Problem
from sawbill.web.queries import parameters
from sawbill.web.quoting import service
from sawbill.web.schemas.price_book import BookListSchema, PriceBookSchema, book_json, summary_json

price_books = Blueprint("price books", __name__, description="What the suppliers sell, and at what prices.")

NAME: Final = [parameter("name", "The price book, by name.", "sample-inch", place="path", pattern="^[a-z0-9-]+$")]


@route(price_books, "GET /v1/price-books", BookListSchema, "The price books.", access="read")
def list_price_books() -> Response:
    """List the price books; one that is at fault is listed as not usable."""
    parameters()
    return json_answer({"price_books": [summary_json(name, _usable(name)) for name in service().shelf.names()]})


@route(
    price_books,
    "GET /v1/price-books/<name>",
    PriceBookSchema,
    "The price book.",
    "not-found",
    "price-book-at-fault",
    access="read",
    path=NAME,
)
def get_price_book(name: str) -> Response:
    """Give a whole price book, as a request for a quote may bring it."""
    parameters()
    try:
        return json_answer(book_json(books.stored(service().shelf, name)))
    except UnknownBookError as error:
        raise Problem("not-found", str(error)) from None


def _usable(name: str) -> PriceBook | None:
    try:
        return service().shelf.get(name)
    except (BookFaultsError, UnknownBookError):
        return None
