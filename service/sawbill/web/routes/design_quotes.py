"""Quotes of one design by its address alone: the whole, its tables, its single values. Nothing is stored."""

from __future__ import annotations

from collections.abc import Sequence

from flask import Response
from flask_smorest import Blueprint

from sawbill.answer.declared.quoted.placed import Placed
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.quote import Quote
from sawbill.web.http import problem_answers
from sawbill.web.http.media import HTML, JSON, TABLE_FORMS, Media
from sawbill.web.http.problems import Problem
from sawbill.web.routes.designs import NAME, PROBLEMS, QUERY
from sawbill.web.routes.table_lists import PATH, TABLE, VALUE_SCHEMA, table_schema
from sawbill.web.schemas.answered import schema_of
from sawbill.web.work import drawing
from sawbill.web.work.asking import asked_quote, design_called, send
from sawbill.web.work.recent import Made
from sawbill.web.written import forms, tabled
from sawbill.web.written.asking import page as asking

design_quotes = Blueprint(
    "quotes of a design", __name__, description="One design by its address: the quote, its tables, its values."
)


def quote_design(form: Media, more: Sequence[str], design: str) -> Response:
    """Quote one design: its options and how it is cut are query parameters; nothing is stored."""
    if form is HTML:
        return _page(design, more)
    asked = asked_quote(design, more)

    def write(made: Made) -> Response:
        if form is JSON:
            return Response(made.data, content_type=form.content_type)
        pictures = drawing.shown_of_design(asked, form)
        return tabled.quote_answer(made.data, form, made.title, asked.design, pictures)

    return send(asked, tabled.form_of(form, "quote"), write, tabled.form_faults())


def _page(design: str, more: Sequence[str]) -> Response:
    """The quote as a page, with the form that it was asked by; to a person, what is wrong is told there too."""
    found, given = design_called(design), asking.asked_now()
    try:
        asked, form = asked_quote(design, more), asking.questions_of(found, given)

        def write(made: Made) -> Response:
            pictures = drawing.shown_of_design(asked, HTML)
            return tabled.quote_answer(made.data, HTML, made.title, found, pictures, asked_by=form)

        return send(asked, tabled.form_of(HTML, "quote", repr(form)), write, tabled.form_faults())
    except Problem as problem:
        if not problem_answers.for_people():
            raise
        return asking.at_fault(found, given, problem)


def design_frame(form: Media, more: Sequence[str], design: str) -> Response:
    """Give the frame of a design as data: its parts in their places, their letters and marks, and what joins them."""
    asked = asked_quote(design, more, placed=True)

    def write(made: Made) -> Response:
        return Response(json_bytes(tabled.answer_of(made.data)["frame"]["placed"]), content_type=form.content_type)

    return send(asked, tabled.form_of(form, "frame"), write)


def design_table(form: Media, more: Sequence[str], design: str, table: str) -> Response:
    """Give one table of the quote of a design."""
    design_called(design)
    found, asked = tabled.table_called(table), asked_quote(design, more)

    def write(made: Made) -> Response:
        return tabled.one_table(found, made.data, form)

    return send(asked, tabled.form_of(form, "table", table), write, tabled.form_faults())


def design_value(form: Media, more: Sequence[str], design: str, path: str) -> Response:
    """Give one value of the quote of a design, for one cell of a sheet."""
    asked, faults = asked_quote(design, more), tabled.form_faults(path)

    def write(made: Made) -> Response:
        return tabled.value_answer(tabled.answer_of(made.data), path, form)

    return send(asked, tabled.form_of(form, "value", path), write, faults)


forms.serve(
    design_quotes, "/v1/designs/<design>/quote", quote_design, tabled.QUOTE_FORMS, schema_of(Quote), *PROBLEMS,
    access="read", path=NAME, parameters=QUERY,
)  # fmt: skip
forms.serve(
    design_quotes, "/v1/designs/<design>/frame", design_frame, [JSON], schema_of(Placed), *PROBLEMS,
    access="read", path=NAME, parameters=QUERY,
)  # fmt: skip
forms.serve(
    design_quotes, "/v1/designs/<design>/<table>", design_table, TABLE_FORMS, table_schema(), *PROBLEMS,
    access="read", path=[*NAME, TABLE], parameters=QUERY,
)  # fmt: skip
forms.serve(
    design_quotes, "/v1/designs/<design>/value/<path>", design_value, tabled.VALUE_FORMS, VALUE_SCHEMA, *PROBLEMS,
    access="read", path=[*NAME, PATH], parameters=QUERY, written=[forms.UNIT],
)  # fmt: skip
