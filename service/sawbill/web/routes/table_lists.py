"""Which tables and values a quote has: their names, columns, meanings and units."""

from __future__ import annotations

from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.answer.tables import TABLES
from sawbill.web.http.answers import json_answer
from sawbill.web.http.queries import parameters
from sawbill.web.openapi import parameter, route
from sawbill.web.schemas import tabled as rows
from sawbill.web.schemas.tabled import TableListSchema, ValueListSchema

table_lists = Blueprint("tables of a quote", __name__, description="The tables and values of a quote.")

TABLE: Final = parameter("table", "The table, by name: see /v1/tables.", "cut-list", place="path", enum=list(TABLES))
PATH: Final = parameter(
    "path",
    "The value: a name of /v1/values, or keys and places of the quote's JSON with dots between, such as "
    "frame.size.height.text or cut_list.0.name.",
    "total",
    place="path",
    pattern=r"^(?!.*\.(txt|csv|json)$)[a-z_]+(\.[a-z0-9_]+)*$",
    maxLength=200,
)
VALUE_SCHEMA: Final = rows.OneValueSchema


def table_schema() -> dict[str, Any]:
    """Describe the JSON of a table, which of all its member `table` tells."""
    return {"oneOf": list(rows.ROWS.values())}


@route(table_lists, "GET /v1/tables", TableListSchema, "The tables.", access="open")
def list_quote_tables() -> Response:
    """List the tables of a quote and of the catalogues, with what stands in each column."""
    parameters()
    return json_answer(rows.tables_json())


@route(table_lists, "GET /v1/values", ValueListSchema, "The values.", access="open")
def list_quote_values() -> Response:
    """List the values that a quote has by name, each to be had for one cell."""
    parameters()
    return json_answer(rows.values_json())
