"""The tables of the trade that designs, price books and requests draw their words from."""

from __future__ import annotations

from flask_smorest import Blueprint

from sawbill.web.http.queries import asked_units
from sawbill.web.openapi import UNITS
from sawbill.web.schemas import tables as rows
from sawbill.web.schemas.tables import FastenersSchema, LumberSchema, MattressesSchema
from sawbill.web.written import catalogues

tables = Blueprint("tables", __name__, description="Lumber, mattresses and fasteners, each number with its source.")

catalogues.serve(
    tables, "lumber", "list_lumber", "List sections, species and grades of lumber.", LumberSchema,
    lambda given: rows.lumber_json(asked_units(given)), query=[UNITS],
)  # fmt: skip
catalogues.serve(
    tables, "mattresses", "list_mattresses", "List mattress sizes by market.", MattressesSchema,
    lambda given: rows.mattresses_json(asked_units(given)), query=[UNITS],
)  # fmt: skip
catalogues.serve(
    tables, "fasteners", "list_fasteners", "List bolts, screws and hangers.", FastenersSchema,
    lambda given: rows.fasteners_json(asked_units(given)), query=[UNITS],
)  # fmt: skip
