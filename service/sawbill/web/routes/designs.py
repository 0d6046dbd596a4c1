"""Designs: the catalogue, and what may be asked of each."""

from __future__ import annotations

from typing import Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.asked.request import RequestFault
from sawbill.prices.rows.faults import shown
from sawbill.prices.shelf import UnknownBookError
from sawbill.web.http import problems
from sawbill.web.http.answers import json_answer
from sawbill.web.http.queries import MUST_HOLD, asked_units, parameters
from sawbill.web.openapi import UNITS, parameter, route
from sawbill.web.schemas.catalogue import DesignListSchema, DesignSchema, design_json, summary_json
from sawbill.web.schemas.fields import YesNo
from sawbill.web.schemas.request import (
    EXTRA_FOR_FEWER_SETUPS,
    NO_SLIVERS,
    OFFCUT_VALUE,
    PLACED,
    TRACE,
    WAYS_OUT,
    YARD_CUTS,
    LumberAskedSchema,
    LumberThatHoldsSchema,
    SiteAskedSchema,
)
from sawbill.web.work.asking import design_called
from sawbill.web.work.quoting import service
from sawbill.web.written import catalogues

designs = Blueprint("designs", __name__, description="What can be quoted, and what may be asked of it.")

NAME: Final = [parameter("design", "The design, by name.", "slatted-bed", place="path", pattern="^[a-z0-9-]+$")]
BOOK: Final = parameter(
    "price_book", "The prices: a price book by name, or by name@revision where it must not have changed.", "sample-inch"
)
QUERY: Final = [
    {**BOOK, "required": True},
    parameter("quantity", "How many; unset: 1.", "2", pattern="^[0-9]+$"),
    {**UNITS, "description": "The system lengths are written in; unset: the price book's."},
    *(
        parameter(name, f"{field.metadata['description']} With commas between.", example)
        for (name, field), example in zip(LumberAskedSchema().fields.items(), ("SPF", "No.2,No.1"), strict=True)
    ),
    parameter(
        MUST_HOLD, LumberThatHoldsSchema().fields[MUST_HOLD].metadata["description"], "yes",
        enum=["yes", "no", "true", "false"],
    ),
    parameter("kerf", "Wood lost to one cut, with its unit.", "1/8 in"),
    parameter("end_trim", "Wood lost at the end of a new board to square it, with its unit.", "1/2 in"),
    parameter("rounding_step", "The step cut lengths are set to, with its unit.", "1/16 in"),
    parameter("longest_board", "The longest board that can be carried or stored, with its unit.", "12 ft"),
    parameter("keep_offcut", "The shortest leftover worth keeping, with its unit.", "12 in"),
    parameter("spare_boards", "Boards to buy beyond the plan, of each section.", "1", pattern="^[0-9]+$"),
    parameter("offcut_value", OFFCUT_VALUE, "25 %"),
    parameter("extra_for_fewer_setups", EXTRA_FOR_FEWER_SETUPS, "2 %"),
    parameter("no_slivers", NO_SLIVERS, "yes", enum=["yes", "no", "true", "false"]),
    parameter("yard_cuts", YARD_CUTS, "yes", enum=["yes", "no", "true", "false"]),
    *(
        parameter(name, field.metadata["description"], "yes", enum=["yes", "no", "true", "false"])
        if isinstance(field, YesNo)
        else parameter(name, field.metadata["description"], field.metadata["examples"][0])
        for name, field in SiteAskedSchema().fields.items()
    ),
    parameter("ways_out", WAYS_OUT, "yes", enum=["yes", "no", "true", "false"]),
    parameter("placed", PLACED, "yes", enum=["yes", "no", "true", "false"]),
    parameter("trace", f"{TRACE} With commas between.", "bolts,bending"),
    {
        "name": "options",
        "in": "query",
        "required": False,
        "style": "form",
        "explode": True,
        "description": "The design's options, each a parameter by its own name: clear_height=8in.",
        "schema": {"type": "object", "additionalProperties": {"type": "string"}},
        "example": {"mattress": "queen", "clear_height": "8in"},
    },
]  # fmt: skip
PROBLEMS: Final = (
    "not-found", "price-book-changed", "cannot-be-bought", "price-book-at-fault", *problems.READS_STORE,
    *problems.RECKONED,
)  # fmt: skip


catalogues.serve(
    designs, "designs", "list_designs", "List the designs on offer.", DesignListSchema,
    lambda _: {"designs": [summary_json(design) for design in service().designs.values()]},
)  # fmt: skip


@route(
    designs,
    "GET /v1/designs/<design>",
    DesignSchema,
    "The design.",
    "not-found",
    "price-book-at-fault",
    *problems.READS_STORE,
    access="read",
    path=NAME,
    parameters=[BOOK, UNITS],
)
def get_design(design: str) -> Response:
    """Tell all that may be asked of a design: its options, with their ranges and defaults."""
    found, given = design_called(design), parameters("price_book", "units")
    name = given.get("price_book")
    try:
        book = None if name is None else service().library.get(name)
    except UnknownBookError as error:
        fault = RequestFault(("price_book",), "unknown-price-book", f'price_book is "{shown(name or "")}": {error}')
        raise problems.faulty([fault], "parameter") from None
    units = asked_units(given) or (book.units if book else "inch")
    return json_answer(design_json(found, book, units))
