"""The pages for people, and whether the service is there."""

from __future__ import annotations

from flask import Blueprint as PlainBlueprint
from flask import Response
from flask_smorest import Blueprint
from marshmallow import Schema

from sawbill.answer.quote import ENGINE
from sawbill.prices.rows.faults import BookFaultsError, shown
from sawbill.web.admission.access import takes
from sawbill.web.described import described
from sawbill.web.http import problems
from sawbill.web.http.answers import JSON_UTF8, json_answer
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.openapi import route
from sawbill.web.schemas import fields as sent
from sawbill.web.work.quoting import service
from sawbill.web.written import render

pages = PlainBlueprint("pages", __name__)
health = Blueprint("service", __name__, description="The service itself.")


class HealthSchema(Schema):
    """That the service answers."""

    status = sent.text("ok, when the service answers.", "ok", choices=["ok"])
    engine = sent.text("The version of its engine.", ENGINE)


@route(health, "GET /healthz", HealthSchema, "The service answers.", access="open")
def healthz() -> Response:
    """Say that the service answers."""
    parameters()
    return json_answer({"status": "ok", "engine": ENGINE}, cache="no-store")


@pages.get("/")
@takes("open")
def start() -> Response:
    """Say what the service does, and show the designs to choose from."""
    parameters()
    found = service()
    books = []
    for name in found.shelf.names():
        try:
            books.append(found.shelf.get(name))
        except BookFaultsError:  # its own address says what is wrong with it
            continue
    offered = list(found.designs.values())
    return _page(render.for_reader("start.html", designs=offered, books=books, engine=ENGINE, keeps=found.keeper.keeps))


@pages.get("/openapi.json")
@takes("open")
def interface_json() -> Response:
    """Describe the interface for programs."""
    parameters()
    return Response(described().data, content_type=JSON_UTF8, headers={"Cache-Control": "no-cache"})


@pages.get("/problems/<kind>")
@takes("open")
def problem_kind(kind: str) -> Response:
    """Explain a kind of problem, at the address that its type gives."""
    parameters()
    if kind not in problems.KINDS:
        raise Problem("not-found", f"there is no kind of problem called {shown(kind)}")
    return _page(render.for_reader("problem_kind.html", kind=problems.KINDS[kind], name=kind))


@pages.get("/style.css")
@takes("open")
def style() -> Response:
    """Send how the pages look."""
    return _file("style.css", "text/css")


@pages.get("/page.js")
@takes("open")
def script() -> Response:
    """Send what pages do beside, where scripts run."""
    return _file("page.js", "text/javascript")


def _file(name: str, media_type: str) -> Response:
    response = Response((render.PAGES / name).read_bytes(), mimetype=media_type)
    response.headers["Cache-Control"] = "public, max-age=3600"
    return response


def _page(page: str) -> Response:
    response = Response(page)
    response.headers["Cache-Control"] = "no-cache"
    return response
