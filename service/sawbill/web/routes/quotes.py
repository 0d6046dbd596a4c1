"""Quotes: several lines in one purchase."""

from __future__ import annotations

from typing import Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.web.answers import json_answer
from sawbill.web.bodies import json_body
from sawbill.web.openapi import JSON, route
from sawbill.web.queries import parameters
from sawbill.web.quoting import make
from sawbill.web.schemas.answer import QuoteSchema
from sawbill.web.schemas.quote import quote_json
from sawbill.web.schemas.request import QuoteRequestSchema

quotes = Blueprint("quotes", __name__, description="Several lines, one purchase.")

EXAMPLE: Final = {
    "price_book": "sample-inch",
    "lines": [
        {"label": "guest room", "design": "slatted-bed", "options": {"mattress": "queen", "clear_height": "8 in"}},
        {"label": "wall shelf", "parts": [{"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 3}]},
    ],
    "on_hand": [{"section": "2x4", "species": "SPF", "grade": "No.2", "length": "36 in", "quantity": 5}],
    "shop": {"kerf": "1/8 in", "end_trim": "1/2 in"},
}
BODY: Final = {
    "required": True,
    "description": "What is to be made, from which prices, with what at hand. Which values fit each other is for the "
    "engine to say: a body of this shape may still be answered with 422.",
    "content": {JSON: {"schema": QuoteRequestSchema, "example": EXAMPLE}},
}
PROBLEMS: Final = ("price-book-changed", "too-large", "wrong-content-type", "cannot-be-bought", "price-book-at-fault")


@route(quotes, "POST /v1/quotes", QuoteSchema, "The quote.", *PROBLEMS, access="read", requestBody=BODY)
def make_quote() -> Response:
    """Quote several lines, designs and own parts, as one purchase."""
    parameters()
    quote, milliseconds = make(json_body())
    return json_answer(
        quote_json(quote), cache="no-store", headers=[("Server-Timing", f"engine;dur={milliseconds:.1f}")]
    )
