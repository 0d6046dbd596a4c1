"""The description of the interface as pages for people: one for each resource, and those of what several share."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response

from sawbill.answer.quote import ENGINE
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import shown
from sawbill.web.admission.access import takes
from sawbill.web.described import described
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.written import reader, render

interface = Blueprint("interface", __name__)


@interface.get(reader.HOME)
@takes("open")
def all_resources() -> Response:
    """Lead to the pages of all resources."""
    parameters()
    api = described().content
    about, schemes = api["info"]["description"], api["components"]["securitySchemes"]
    return _page("index", about=about, schemes=schemes, resources=reader.resources(api))


@interface.get(reader.PAGE)
@takes("open")
def one_part(part: str) -> Response:
    """Lay out the addresses of one resource, the parameters that several have, or the names of all schemas."""
    parameters()
    api = described().content
    if part == reader.PARAMETERS:
        return _page(part, parameters=reader.parameters(api))
    if part == reader.SCHEMAS:
        return _page(part, shapes=reader.shapes(api))
    if part not in (found := reader.parts(api)):
        raise Problem("not-found", f"there is no page called {shown(part)}; {nearest(part[:60], found)}")
    return _page("resource", resource=reader.resource(api, part))


@interface.get(reader.SHAPE)
@takes("open")
def one_shape(name: str) -> Response:
    """Lay out one schema."""
    parameters()
    api = described().content
    if name not in (found := api["components"]["schemas"]):
        raise Problem("not-found", f"there is no schema called {shown(name)}; {nearest(name[:60], found)}")
    return _page("schema", shape=reader.shape(api, name))


def _page(template: str, **content: Any) -> Response:
    page = render.for_reader(f"openapi/{template}.html", engine=ENGINE, **content)
    return Response(page, headers={"Cache-Control": "no-cache"})
