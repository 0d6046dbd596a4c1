"""Drawings of a design by its address, and of a stored quote: a view as SVG or PNG, a model, every sheet in a zip."""

from __future__ import annotations

import re
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.answer.declared.quoted.drawings import GLB, PNG, SVG, ZIP
from sawbill.answer.declared.quoted.placed import Placed
from sawbill.asked.request import RequestFault
from sawbill.drawings.catalogue import STAGES, VIEWS
from sawbill.drawings.pixels import DPI
from sawbill.prices.rows.faults import shown
from sawbill.web.http import media, problems
from sawbill.web.http.answers import JSON_UTF8
from sawbill.web.http.queries import DRAWN, parameters
from sawbill.web.openapi import NOT_MODIFIED, parameter, route, shared
from sawbill.web.reckoning import drawings as reckoned
from sawbill.web.routes.designs import NAME, PROBLEMS, QUERY
from sawbill.web.routes.quotes import ID, READS
from sawbill.web.schemas.answered import schema_of
from sawbill.web.work import drawing
from sawbill.web.work.asking import asked_quote
from sawbill.web.work.drawing import Wanted

drawings = Blueprint("drawings", __name__, description="Pictures of the furniture, and of how it goes together.")

USUAL: Final = "isometric"
NUMBERED: Final = re.compile(rf"({'|'.join(STAGES)})-[1-9][0-9]{{0,2}}|{reckoned.CUTTING}(-[1-9][0-9]{{0,2}})?")
"""The views of which furniture has as many as it has stages or boards."""
VIEW: Final = parameter(
    "view",
    f"What to draw. Unset: {USUAL}. The whole piece: {', '.join(VIEWS)}; step-1 and on: how it is put together; "
    "apart-1 and on: how it is taken apart; cutting, cutting-2 and on: how boards are cut.",
    "exploded",
    pattern=f"^({'|'.join(VIEWS)}|{NUMBERED.pattern})$",
)
LINE: Final = parameter("line", "Of which line of the quote. Unset: 0, the first.", "0", pattern="^[0-9]+$")
KEPT: Final = (*READS, "cannot-be-bought", "price-book-at-fault", *problems.RECKONED)
PIXELS: Final = f"The drawing on its sheet, {DPI} pixels to an inch of paper."
MODEL: Final = ("model", GLB, reckoned.model)
SHEETS: Final = Wanted("sheets", ZIP, reckoned.every)


def _described(form: str, words: str) -> dict[str, Any]:
    content = {form: {"schema": media.body(form, words)}}
    return {"200": {"description": words, "content": content}, "304": NOT_MODIFIED}


@route(drawings, "GET /v1/designs/<design>/drawing.svg", None, "", *PROBLEMS, access="read", path=NAME,
       parameters=shared([*QUERY, VIEW]), responses=_described(SVG, "The drawing, in millimetres."))  # fmt: skip
def draw_design(design: str) -> Response:
    """Draw one design: as it stands, taken apart, its sides to scale, or one step of putting it together."""
    asked = asked_quote(design, DRAWN)
    view = request.args.get("view", USUAL)
    return drawing.of_design(asked, _view(view), _view_faults(view))


@route(drawings, "GET /v1/designs/<design>/drawing.png", None, "", *PROBLEMS, "not-installed", access="read", path=NAME,
       parameters=shared([*QUERY, VIEW]), responses=_described(PNG, PIXELS))  # fmt: skip
def picture_design(design: str) -> Response:
    """Draw one design as drawing.svg does, in pixels."""
    asked = asked_quote(design, DRAWN)
    view = request.args.get("view", USUAL)
    return drawing.of_design(asked, _view(view, form="png"), _view_faults(view))


@route(drawings, "GET /v1/designs/<design>/model.glb", None, "", *PROBLEMS, access="read", path=NAME,
       parameters=shared(QUERY), responses=_described(GLB, "The model, binary glTF 2.0."))  # fmt: skip
def model_design(design: str) -> Response:
    """Give one design as a model to turn around, with a node for each part, named by its letter."""
    return drawing.of_design(asked_quote(design), Wanted(*MODEL))


@route(drawings, "GET /v1/designs/<design>/drawings.zip", None, "", *PROBLEMS, access="read", path=NAME,
       parameters=shared(QUERY), responses=_described(ZIP, "Every sheet as SVG, and the model."))  # fmt: skip
def sheets_of_design(design: str) -> Response:
    """Give every sheet to build one design from: pictures, pieces, drilled parts, and how its boards are cut."""
    return drawing.of_design(asked_quote(design), SHEETS)


@route(drawings, "GET /v1/quotes/<quote_id>/drawing.svg", None, "", *KEPT, access="stored-quote", path=ID,
       parameters=[*shared([VIEW]), LINE], responses=_described(SVG, "The drawing, in millimetres."))  # fmt: skip
def draw_quote(quote_id: str) -> Response:
    """Draw the furniture of a line of a stored quote, as it was when the quote was made, or how its boards are cut."""
    view = request.args.get("view", USUAL)
    return drawing.of_stored(quote_id, _view(view, _line("view", faults=_view_faults(view))))


@route(drawings, "GET /v1/quotes/<quote_id>/drawing.png", None, "", *KEPT, "not-installed", access="stored-quote",
       path=ID, parameters=[*shared([VIEW]), LINE], responses=_described(PNG, PIXELS))  # fmt: skip
def picture_quote(quote_id: str) -> Response:
    """Draw the furniture of a line of a stored quote as drawing.svg does, in pixels."""
    view = request.args.get("view", USUAL)
    return drawing.of_stored(quote_id, _view(view, _line("view", faults=_view_faults(view)), "png"))


@route(drawings, "GET /v1/quotes/<quote_id>/model.glb", None, "", *KEPT, access="stored-quote", path=ID,
       parameters=[LINE], responses=_described(GLB, "The model, binary glTF 2.0."))  # fmt: skip
def model_quote(quote_id: str) -> Response:
    """Give the furniture of a line of a stored quote as a model, with a node for each part, named by its letter."""
    line = _line()
    return drawing.of_stored(quote_id, Wanted(f"model {line}", GLB, reckoned.model, (line,)))


@route(drawings, "GET /v1/quotes/<quote_id>/frame.json", schema_of(Placed), "The frame.", *KEPT, access="stored-quote",
       path=ID, parameters=[LINE], responses={"304": NOT_MODIFIED})  # fmt: skip
def frame_quote(quote_id: str) -> Response:
    """Give the frame of a line of a stored quote as data: its parts in their places, and what joins them."""
    line = _line()
    return drawing.of_stored(quote_id, Wanted(f"frame {line}", JSON_UTF8, reckoned.frame, (line,)))


@route(drawings, "GET /v1/quotes/<quote_id>/drawings.zip", None, "", *KEPT, access="stored-quote", path=ID,
       responses=_described(ZIP, "Every sheet as SVG, and the models."))  # fmt: skip
def sheets_of_quote(quote_id: str) -> Response:
    """Give every sheet to build a stored quote from, and how its boards are cut."""
    parameters()
    return drawing.of_stored(quote_id, SHEETS)


def _view(view: str, line: int = 0, form: reckoned.Form = "svg") -> Wanted:
    return Wanted(f"{view} {line} {form}", SVG if form == "svg" else PNG, reckoned.view, (view, line, form))


def _view_faults(view: str) -> list[RequestFault]:
    if view in VIEWS or NUMBERED.fullmatch(view):
        return []
    known = f"{', '.join(VIEWS)}, step-1, apart-1 or {reckoned.CUTTING}"
    return [RequestFault(("view",), "not-a-choice", f'view is "{shown(view)}"; it may be {known}')]


def _line(*more: str, faults: list[RequestFault] | None = None) -> int:
    """The line that the query names. more: what else it may name; faults: found in it before. Raises Problem."""
    line, found = parameters(*more, "line").get("line", "0"), faults or []
    if not line.isascii() or not line.isdigit() or len(line) > 6:
        found.append(RequestFault(("line",), "not-a-number", f'line is "{shown(line)}"; the first line is 0'))
    if found:
        raise problems.faulty(found, "parameter")
    return int(line)
