"""Designs: the catalogue, and what may be asked of each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.answer.declared.designs import Design, DesignList, design_json, designs_json
from sawbill.asked.request import RequestFault
from sawbill.prices.rows.faults import shown
from sawbill.prices.shelf import UnknownBookError
from sawbill.web.http import problems
from sawbill.web.http.answers import json_answer
from sawbill.web.http.media import HTML, JSON, Media
from sawbill.web.http.queries import ASKED, PRICED, TOLD, asked_units, parameters
from sawbill.web.openapi import UNITS, parameter
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.declared import parameter_of
from sawbill.web.work.asking import design_called
from sawbill.web.work.quoting import service
from sawbill.web.written import catalogues, forms
from sawbill.web.written.asking import page as asking

designs = Blueprint("designs", __name__, description="The designs on offer, and their options.")

BOOK: Final = {**parameter_of(ASKED[0]), "required": False}
NAME: Final = [parameter("design", "The design, by name.", "slatted-bed", place="path", pattern="^[a-z0-9-]+$")]
_OPTIONS: Final = {
    "name": "options",
    "in": "query",
    "required": False,
    "style": "form",
    "explode": True,
    "description": "The design's options, each a parameter by its own name: clear_height=8in.",
    "schema": {"type": "object", "additionalProperties": {"type": "string"}},
    "example": {"mattress": "queen", "clear_height": "8in"},
}
COMMON: Final = [*map(parameter_of, ASKED), _OPTIONS]
"""What quotes, comparisons and proposals by query have in common."""
QUERY: Final = [*map(parameter_of, (*ASKED, *PRICED, *TOLD)), _OPTIONS]
PROBLEMS: Final = (
    "not-found", "price-book-changed", "cannot-be-bought", "price-book-at-fault", *problems.READS_STORE,
    *problems.RECKONED,
)  # fmt: skip


catalogues.serve(
    designs, "designs", "list_designs", "List the designs on offer.", schema_of(DesignList),
    lambda _: designs_json(service().designs.values()),
)  # fmt: skip


def get_design(form: Media, more: Sequence[str], design: str) -> Response:
    """Describe a design: its options, with their ranges and defaults."""
    found, given = design_called(design), parameters("price_book", "units", *more)
    name = given.get("price_book")
    try:
        book = None if name is None else service().library.get(name)
    except UnknownBookError as error:
        fault = RequestFault(("price_book",), "unknown-price-book", f'price_book is "{shown(name or "")}": {error}')
        raise problems.faulty([fault], "parameter") from None
    units = asked_units(given) or (book.units if book else "inch")
    return asking.page(found, given) if form is HTML else json_answer(design_json(found, book, units))


forms.serve(
    designs, "/v1/designs/<design>", get_design, [JSON], schema_of(Design), "not-found", "price-book-at-fault",
    *problems.READS_STORE, *problems.RECKONED, access="read", path=NAME, own=[BOOK, UNITS], also=[HTML],
)  # fmt: skip
