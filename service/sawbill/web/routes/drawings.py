"""Drawings of a design by its address, and of a stored quote: a view as SVG, a model, every sheet in a zip."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.drawings.catalogue import VIEWS
from sawbill.estimating.request import RequestFault
from sawbill.files.faults import shown
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import DRAWN, parameters
from sawbill.web.library import books, kept
from sawbill.web.openapi import parameter, route, shared
from sawbill.web.reckoning import drawings as reckoned
from sawbill.web.reckoning import quotes
from sawbill.web.reckoning.drawings import Drawn
from sawbill.web.reckoning.prices import Named
from sawbill.web.routes.designs import NAME, PROBLEMS, QUERY
from sawbill.web.routes.quotes import ID, READS
from sawbill.web.schemas.quote import ENGINE
from sawbill.web.work import handing_in
from sawbill.web.work.asking import Asked, asked_quote, tag_of, tagged
from sawbill.web.work.quoting import service
from sawbill.web.written.forms import NOT_MODIFIED

drawings = Blueprint("drawings", __name__, description="What furniture looks like, and how it goes together.")

SVG: Final = "image/svg+xml"
GLB: Final = "model/gltf-binary"
ZIP: Final = "application/zip"
PRIVATE: Final = "no-store"
USUAL: Final = "isometric"
VIEW: Final = parameter(
    "view", f"What is drawn. Unset: {USUAL}. sides: front, side and top, to scale.", "exploded", enum=list(VIEWS)
)

LINE: Final = parameter("line", "Of which line of the quote. Unset: 0, the first.", "0", pattern="^[0-9]+$")
KEPT: Final = (*READS, "cannot-be-bought", "price-book-at-fault", *problems.RECKONED)


def _described(media: str, words: str) -> dict[str, Any]:
    schema = {"type": "string", "description": words, "contentMediaType": media}
    return {"200": {"description": words, "content": {media: {"schema": schema}}}, "304": NOT_MODIFIED}


@route(drawings, "GET /v1/designs/<design>/drawing.svg", None, "", *PROBLEMS, access="read", path=NAME,
       parameters=shared([*QUERY, VIEW]), responses=_described(SVG, "The drawing, in millimetres."))  # fmt: skip
def draw_design(design: str) -> Response:
    """Draw one design: as it stands, taken apart, or its sides to scale, with the letters of the cut list."""
    asked = asked_quote(design, DRAWN)
    view = request.args.get("view", USUAL)
    return _send(asked, _view_faults(view), view, SVG, reckoned.one, view)


@route(drawings, "GET /v1/designs/<design>/model.glb", None, "", *PROBLEMS, access="read", path=NAME,
       parameters=shared(QUERY), responses=_described(GLB, "The model, binary glTF 2.0."))  # fmt: skip
def model_design(design: str) -> Response:
    """Give one design as a model to turn around, with a node for each part, named by its letter."""
    return _send(asked_quote(design), (), reckoned.MODEL, GLB, reckoned.one, reckoned.MODEL)


@route(drawings, "GET /v1/designs/<design>/drawings.zip", None, "", *PROBLEMS, access="read", path=NAME,
       parameters=shared(QUERY), responses=_described(ZIP, "Every sheet as SVG, and the model."))  # fmt: skip
def sheets_of_design(design: str) -> Response:
    """Give every sheet to build one design from: pictures, pieces, drilled parts, and how its boards are cut."""
    return _send(asked_quote(design), (), "sheets", ZIP, reckoned.every)


@route(drawings, "GET /v1/quotes/<quote_id>/drawing.svg", None, "", *KEPT, access="stored-quote", path=ID,
       parameters=[*shared([VIEW]), LINE], responses=_described(SVG, "The drawing, in millimetres."))  # fmt: skip
def draw_quote(quote_id: str) -> Response:
    """Draw the furniture of a line of a stored quote, as it was when the quote was made."""
    given = parameters("view", "line")
    view, line, faults = given.get("view", USUAL), given.get("line", "0"), []
    faults += _view_faults(view)
    if not line.isascii() or not line.isdigit() or len(line) > 6:
        faults.append(RequestFault(("line",), "not-a-number", f'line is "{shown(line)}"; the first line is 0'))
    if faults:
        raise problems.faulty(faults, "parameter")
    return _send_kept(quote_id, f"{view} {int(line)}", SVG, reckoned.one, view, int(line))


@route(drawings, "GET /v1/quotes/<quote_id>/drawings.zip", None, "", *KEPT, access="stored-quote", path=ID,
       responses=_described(ZIP, "Every sheet as SVG, and the models."))  # fmt: skip
def sheets_of_quote(quote_id: str) -> Response:
    """Give every sheet to build a stored quote from, and how its boards are cut."""
    parameters()
    return _send_kept(quote_id, "sheets", ZIP, reckoned.every)


def _view_faults(view: str) -> list[RequestFault]:
    told = f'view is "{shown(view)}"; it may be {", ".join(VIEWS)}'
    return [] if view in VIEWS else [RequestFault(("view",), "not-a-choice", told)]


def _send_kept(quote_id: str, what: str, media: str, function: Callable[..., Any], *more: Any) -> Response:
    """Draw what a stored quote is of, from the price book as it was. Raises Problem: an older engine made the quote."""
    stored = kept.find(quote_id)
    if stored.summary.engine != ENGINE:
        told = f"this quote was made by {stored.summary.engine}, whose furniture may differ; quote it anew to draw it"
        raise Problem("not-found", told)
    tag = tag_of(quote_id, ENGINE, "drawing", what)
    if request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag, PRIVATE)
    raw = json.loads(stored.request)
    name = raw["price_book"]
    named = Named({name: 0} if isinstance(name, str) else {}, None)
    asked = quotes.Asked(raw, named)
    drawn = _done(function, (asked, *more), (kept.revision(stored),))
    return tagged(Response(drawn.data, content_type=media), tag, PRIVATE)


def _send(
    asked: Asked, faults: Sequence[RequestFault], what: str, media: str, function: Callable[..., Any], *more: Any
) -> Response:  # fmt: skip
    """Answer with what was drawn last, or have it drawn; with neither where the caller holds the same already.

    function, more: of `reckoning.drawings`, and what it takes beside the request.
    """
    tag = None if asked.key is None or faults else tag_of(asked.key, "drawing", what)
    if tag is not None and request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag)
    recent = service().recent
    held = recent.drawing(tag) if tag is not None else None
    drawn = Drawn(held) if held is not None else _drawn(asked.raw, [*asked.faults, *faults], function, more)
    if held is None and tag is not None and drawn.lasting:
        recent.hold_drawing(tag, drawn.data)
    response = Response(drawn.data, content_type=media)
    if tag is not None and drawn.lasting:
        return tagged(response, tag)
    response.headers["Cache-Control"] = "no-store"
    return response


def _drawn(
    raw: dict[str, Any], faults: Sequence[RequestFault], function: Callable[..., Any], more: Sequence[Any]
) -> Drawn:  # fmt: skip
    """Have it drawn in the back room. Raises Problem: the request has faults, or cannot be bought."""
    asker, room = handing_in.asker(), service().room
    found = books.for_request(service().library, asker.names(room, raw))
    asked = quotes.Asked(raw, found.named, "lines", tuple(faults), "parameter")
    return _done(function, (asked, *more), found.shared, asker)


def _done(
    function: Callable[..., Any],
    arguments: tuple[Any, ...],
    packed: Sequence[Any],
    asker: handing_in.Asker | None = None,
) -> Drawn:  # fmt: skip
    asker = asker or handing_in.asker()
    drawn, _ = asker.done(service().room, function, arguments, packed)
    assert isinstance(drawn, Drawn)
    return drawn
