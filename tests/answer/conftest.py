"""Quotes as JSON, made from the sample books, that the tables are drawn from."""

import json

import pytest

from sawbill.answer.quote import quote_json
from sawbill.asked.request import read_request
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.quoting.quote import make_quote
from sawbill.registry import designs

FORMULA = "=1+2"
OWN = [
    {"name": FORMULA, "section": "1x8", "length": "30 in", "quantity": 3},
    {"name": "+44 (0) 1", "section": "2x4", "length": "20 in", "quantity": 2},
    {"name": "'quoted", "section": "2x4", "length": "15 in", "quantity": 1},
]


def quoted(book_name, *lines, **more):
    """The JSON of a quote, as a client reads it."""
    book = Shelf(sample_folder()).get(book_name)
    request = read_request({"lines": [*lines], **more}, book, designs())
    return json.loads(json.dumps(quote_json(make_quote(request, book))))


@pytest.fixture(scope="session")
def bed():
    """A queen bed from the inch book: prices without tax, bolts, glue, checks, steps."""
    options = {"mattress": "queen"}
    return quoted("sample-inch", {"label": "guest room", "design": "slatted-bed", "options": options, "quantity": 3})


@pytest.fixture(scope="session")
def metric():
    """A bed from the metric book: prices that hold the tax."""
    return quoted("sample-metric", {"label": "bed", "design": "slatted-bed", "options": {}})


@pytest.fixture(scope="session")
def hostile():
    """A bed and own parts whose names a sheet would compute, and wood on hand."""
    return quoted(
        "sample-inch",
        {"label": "@SUM(A1)", "design": "slatted-bed", "options": {"mattress": "twin"}},
        {"label": FORMULA, "parts": OWN},
        on_hand=[{"section": "2x4", "length": "60 in", "quantity": 2}],
    )


@pytest.fixture(params=["bed", "metric", "hostile"])
def answer(request):
    """Each of them."""
    return request.getfixturevalue(request.param)
