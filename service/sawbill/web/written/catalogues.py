"""Catalogues as answers: as JSON, and each as one table in every form that tables have."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.catalogues import CATALOGUES
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.quote import ENGINE
from sawbill.web.admission.callers import Access
from sawbill.web.http import problems
from sawbill.web.http.media import JSON, TABLE_FORMS, Media
from sawbill.web.http.queries import parameters
from sawbill.web.work.asking import tag_of, tagged
from sawbill.web.written import forms, tabled

Asked = Mapping[str, str]


def serve(
    blueprint: Blueprint,
    name: str,
    called: str,
    about: str,
    schema: Any,
    give: Callable[[Asked], Mapping[str, Any]],
    *kinds: str,
    access: Access = "read",
    query: Sequence[Mapping[str, Any]] = (),
) -> None:
    """Serve a catalogue at /v1/ and its name, and there with the suffix of each form.

    called, about: the name of the operation, and what it gives; give: its JSON, by the query; query: its parameters.
    """
    table = CATALOGUES[name]

    def view(form: Media, more: Sequence[str]) -> Response:
        given = parameters(*(each["name"] for each in query), *more)
        faults = tabled.form_faults()
        if faults:
            raise problems.faulty(faults, "parameter")
        answer = dict(give(given))
        data = json_bytes(answer)
        tag = tag_of(data.decode("utf-8", "replace"), ENGINE, *tabled.form_of(form, name), given.get("units", ""))
        if request.if_none_match.contains_weak(tag):
            return tagged(Response(status=304), tag)
        if form is JSON:
            return tagged(Response(data, content_type=form.content_type), tag)
        return tagged(tabled.table_answer(table, {**answer, "units": given.get("units", "metric")}, form), tag)

    view.__name__, view.__doc__ = called, about
    forms.serve(
        blueprint, f"/v1/{name}", view, TABLE_FORMS, schema, *kinds, access=access, path=[], own=query
    )  # fmt: skip
