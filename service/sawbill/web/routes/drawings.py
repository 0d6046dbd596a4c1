"""Drawings of a design by its address: a view as SVG, a model, every sheet in a zip. Nothing is stored."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.drawings.catalogue import VIEWS
from sawbill.estimating.request import RequestFault
from sawbill.files.faults import shown
from sawbill.web import books, handing_in
from sawbill.web.asking import Asked, asked_quote, tag_of, tagged
from sawbill.web.forms import NOT_MODIFIED
from sawbill.web.openapi import parameter, route, shared
from sawbill.web.queries import DRAWN
from sawbill.web.quoting import service
from sawbill.web.reckoning import drawings as reckoned
from sawbill.web.reckoning import quotes
from sawbill.web.reckoning.drawings import Drawn
from sawbill.web.routes.designs import NAME, PROBLEMS, QUERY

drawings = Blueprint("drawings", __name__, description="What furniture looks like, and how it goes together.")

SVG: Final = "image/svg+xml"
GLB: Final = "model/gltf-binary"
ZIP: Final = "application/zip"
USUAL: Final = "isometric"
VIEW: Final = parameter(
    "view", f"What is drawn. Unset: {USUAL}. sides: front, side and top, to scale.", "exploded", enum=list(VIEWS)
)


def _described(media: str, words: str) -> dict[str, Any]:
    schema = {"type": "string", "description": words, "contentMediaType": media}
    return {"200": {"description": words, "content": {media: {"schema": schema}}}, "304": NOT_MODIFIED}


@route(drawings, "GET /v1/designs/<design>/drawing.svg", None, "", *PROBLEMS, access="read", path=NAME,
       parameters=shared([*QUERY, VIEW]), responses=_described(SVG, "The drawing, in millimetres."))  # fmt: skip
def draw_design(design: str) -> Response:
    """Draw one design: as it stands, taken apart, or its sides to scale, with the letters of the cut list."""
    asked = asked_quote(design, DRAWN)
    view = request.args.get("view", USUAL)
    told = f'view is "{shown(view)}"; it may be {", ".join(VIEWS)}'
    faults = [] if view in VIEWS else [RequestFault(("view",), "not-a-choice", told)]
    return _send(asked, faults, view, SVG, reckoned.one, view)


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
    drawn, _ = asker.done(room, function, (asked, *more), found.shared)
    assert isinstance(drawn, Drawn)
    return drawn
