"""Which tables and values a quote has: their names, columns, meanings and units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.quote import ENGINE
from sawbill.answer.tables import TABLES
from sawbill.web.http.answers import json_answer
from sawbill.web.http.languages import message
from sawbill.web.http.media import HTML, JSON, Media
from sawbill.web.http.queries import parameters
from sawbill.web.openapi import parameter
from sawbill.web.schemas import tabled as rows
from sawbill.web.schemas.tabled import TableListSchema, ValueListSchema
from sawbill.web.written import forms, render

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


def list_quote_tables(form: Media, more: Sequence[str]) -> Response:
    """List the tables of a quote, of the catalogues and of what is kept, with what stands in each column."""
    parameters(*more)
    found = rows.tables_json()
    headings = {
        "tables": message("Tables of a quote"),
        "catalogues": message("Catalogues"),
        "kept": message("What is kept"),
    }
    groups = [(heading, found[key]) for key, heading in headings.items()]
    about = message("Each comes as JSON, CSV, a workbook, text and a page.")
    return _listed(form, found, message("Tables"), about, groups)


def list_quote_values(form: Media, more: Sequence[str]) -> Response:
    """List the values that a quote has by name, each to be had for one cell."""
    parameters(*more)
    found = rows.values_json()
    all_of_them = {"name": "value", "meaning": message("by these names"), "columns": found["values"]}
    about = message("Each can be had by itself, for one cell.")
    return _listed(form, found, message("Values of a quote"), about, [("", [all_of_them])])


def _listed(form: Media, found: Mapping[str, Any], heading: str, about: str, groups: Sequence[Any]) -> Response:
    if form is not HTML:
        return json_answer(found)
    page = render.for_reader(
        "listed.html", heading=heading, about=about, groups=groups, path=request.path,
        engine=ENGINE,
    )  # fmt: skip
    return Response(page, content_type=HTML.content_type, headers={"Cache-Control": "no-cache"})


forms.serve(table_lists, "/v1/tables", list_quote_tables, [JSON], TableListSchema, access="open", path=[], also=[HTML])
forms.serve(table_lists, "/v1/values", list_quote_values, [JSON], ValueListSchema, access="open", path=[], also=[HTML])
