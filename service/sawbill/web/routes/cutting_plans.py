"""Cutting plans: anyone's own pieces against any price book, no design needed."""

from __future__ import annotations

from typing import Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.answer.quote import PiecesPlan
from sawbill.web.http import media
from sawbill.web.http.bodies import JSON_TYPE, body_of
from sawbill.web.http.queries import parameters
from sawbill.web.openapi import JSON, route
from sawbill.web.routes.quotes import POSTED, PROBLEMS
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.request import CuttingPlanRequestSchema
from sawbill.web.work.quoting import make
from sawbill.web.written import tabled

cutting_plans = Blueprint(
    "cutting plans", __name__, description="Cutting only: pieces of your own, which boards to buy, and how to cut them."
)

EXAMPLE: Final = {
    "price_book": "sample-inch",
    "pieces": [
        {"name": "leg", "section": "2x4", "length": "28 1/2 in", "quantity": 4},
        {"name": "shelf", "section": "1x8", "length": "32 in", "shortest": "31 3/4 in", "quantity": 6},
    ],
    "on_hand": [{"section": "2x4", "length": "36 in", "quantity": 1}],
    "shop": {"kerf": "1/8 in", "no_slivers": True},
}
BODY: Final = {
    "required": True,
    "description": "What to cut, at which prices, with what you have already: like a quote with nothing but your own "
    "parts. A body of this shape may still be refused with 422.",
    "content": {JSON: {"schema": CuttingPlanRequestSchema, "example": EXAMPLE}},
}


@route(
    cutting_plans,
    "POST /v1/cutting-plans",
    None,
    "",
    *PROBLEMS,
    "not-acceptable",
    access="read",
    requestBody=BODY,
    responses={"200": {"description": "The plan.", "content": media.content(POSTED, schema_of(PiecesPlan))}},
)
def plan_cutting() -> Response:
    """Plan which boards to buy for your own pieces, and how to cut them: as JSON, as a workbook or as text."""
    parameters()
    form = media.accepted(POSTED, "")
    made = make(body_of(JSON_TYPE), form="pieces")
    content = made.quote.data
    response = (
        Response(content, content_type=form.content_type) if form is media.JSON else tabled.plan_answer(content, form)
    )
    response.headers.extend([("Cache-Control", "no-store"), ("Server-Timing", f"engine;dur={made.milliseconds:.1f}")])
    response.vary.add("Accept")
    return response
