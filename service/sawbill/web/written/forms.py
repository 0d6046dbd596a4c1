"""One thing at several addresses: by what is accepted, and with the suffix of each form it is to be had in."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.answer.values import UNITS
from sawbill.web.admission.callers import Access
from sawbill.web.http.media import CSV, TXT, Media, accepted, content
from sawbill.web.openapi import NOT_MODIFIED, parameter, route, shared

EXCEL: Final = parameter(
    "excel", "1: CSV starts with a byte order mark, which some spreadsheets need. Unset: 0.", "1", enum=["1", "0"]
)
ON_ERROR: Final = parameter(
    "on_error",
    "text: a problem comes with the status 200, for spreadsheets that show nothing otherwise. Unset: status.",
    "text",
    enum=["text", "status"],
)
UNIT: Final = parameter(
    "unit", "The unit of a length or a mass. Unset: mm, kg.", "in", enum=list(UNITS)
)  # fmt: skip

View = Callable[..., Response]
"""Takes the form chosen, the names of the parameters that say how it is written, and those of the path."""


def serve(
    blueprint: Blueprint,
    address: str,
    view: View,
    offered: Sequence[Media],
    schema: Any,
    *kinds: str,
    access: Access,
    path: Sequence[Mapping[str, Any]],
    parameters: Sequence[Mapping[str, Any]] = (),
    written: Sequence[Mapping[str, Any]] = (),
    own: Sequence[Mapping[str, Any]] = (),
    also: Sequence[Media] = (),
) -> None:
    """Serve a view at an address, and at that address with each suffix.

    schema: of its JSON; parameters: of its query; written: those that say how it is written in any form;
    own: of its query too, described at this address alone; also: forms that are to be had at the bare address, and have
    an address of their own elsewhere.
    """
    for form in (None, *offered):
        more = [*written, *_written(form, offered)]
        names = [each["name"] for each in more]
        forms, kind = ((*offered, *also), ("not-acceptable",)) if form is None else ((form,), ())
        answers: dict[str, Any] = {"description": "What was asked for.", "content": content(forms, schema)}
        if form is CSV and ON_ERROR in more:
            answers["content"] |= content((TXT,), schema)
        route(
            blueprint,
            f"GET {address}{'' if form is None else '.' + form.suffix}",
            None,
            "",
            *kinds,
            *kind,
            access=access,
            path=path,
            parameters=[*own, *shared([*parameters, *more])],
            responses={"200": answers, "304": NOT_MODIFIED},
        )(_view(view, form, (*offered, *also), names))


def _written(form: Media | None, offered: Sequence[Media]) -> list[Mapping[str, Any]]:
    excel = [EXCEL] if CSV in offered and TXT is not offered[0] and form in (None, CSV) else []
    return [*excel, *([ON_ERROR] if form in (CSV, TXT) else [])]


def _view(view: View, form: Media | None, offered: Sequence[Media], names: Sequence[str]) -> View:
    def answer(**where: str) -> Response:
        chosen = accepted(offered) if form is None else form
        response = view(chosen, names, **where)
        if form is None:
            response.vary.add("Accept")
        return response

    answer.__name__ = f"{view.__name__}{'' if form is None else '_' + form.suffix}"
    end = "in the format you prefer" if form is None else f"as {form.suffix.upper()}"
    answer.__doc__ = f"{(view.__doc__ or '').strip().rstrip('.')}, {end}."
    return answer
