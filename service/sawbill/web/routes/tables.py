"""The tables of the trade that designs, price books and requests draw their words from."""

from __future__ import annotations

from flask import Response
from flask_smorest import Blueprint

from sawbill.web.answers import json_answer
from sawbill.web.openapi import UNITS, route
from sawbill.web.queries import asked_units, parameters
from sawbill.web.schemas import tables as rows
from sawbill.web.schemas.tables import FastenersSchema, LumberSchema, MattressesSchema

tables = Blueprint("tables", __name__, description="Lumber, mattresses and fasteners, each number with its source.")


@route(tables, "GET /v1/lumber", LumberSchema, "Lumber.", access="read", parameters=[UNITS])
def list_lumber() -> Response:
    """List sections, species and grades of lumber."""
    return json_answer(rows.lumber_json(asked_units(parameters("units"))))


@route(tables, "GET /v1/mattresses", MattressesSchema, "Mattresses.", access="read", parameters=[UNITS])
def list_mattresses() -> Response:
    """List mattress sizes by market."""
    return json_answer(rows.mattresses_json(asked_units(parameters("units"))))


@route(tables, "GET /v1/fasteners", FastenersSchema, "Fasteners.", access="read", parameters=[UNITS])
def list_fasteners() -> Response:
    """List bolts, screws and hangers."""
    return json_answer(rows.fasteners_json(asked_units(parameters("units"))))
