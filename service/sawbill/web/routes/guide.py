"""The guide, page by page: to read, and as the Markdown it is written in."""

from __future__ import annotations

from flask import Blueprint, Response, redirect
from werkzeug.wrappers import Response as AnyResponse

from sawbill.answer.quote import ENGINE
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import shown
from sawbill.web.admission.access import takes
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.written import guide as written
from sawbill.web.written import render

guide = Blueprint("guide", __name__)


@guide.get("/guide")
@takes("open")
def guide_index() -> Response:
    """Send the contents of the guide."""
    parameters()
    return _sent(_page(written.INDEX))


@guide.get("/guide/<name>")
@takes("open")
def guide_page(name: str) -> AnyResponse:
    """Send a page of the guide."""
    parameters()
    page = _page(name)
    return redirect(page.address) if name == written.INDEX else _sent(page)


@guide.get("/guide/<name>.md")
@takes("open")
def guide_source(name: str) -> Response:
    """Send a page of the guide as the Markdown it is written in."""
    parameters()
    return _fresh(Response(_page(name).source, content_type="text/markdown; charset=utf-8"))


@guide.get("/guide/pictures/<name>.svg")
@takes("open")
def guide_picture(name: str) -> Response:
    """Send a picture of the guide."""
    parameters()
    known = {file.stem: file for file in written.PICTURES.glob("*.svg")}
    if name not in known:
        raise Problem("not-found", f"the guide has no picture called {shown(name)}; {nearest(name[:60], known)}")
    return _fresh(Response(known[name].read_bytes(), content_type="image/svg+xml"))


def _page(name: str) -> written.Page:
    """Find a page. Raises Problem: there is none of this name."""
    page = written.pages().get(name)
    if page is None:
        raise Problem("not-found", f"the guide has no page called {shown(name)}; {nearest(name[:60], written.pages())}")
    return page


def _sent(page: written.Page) -> Response:
    before, after = written.neighbours(page.name)
    parts = written.contents(page)
    return _fresh(
        Response(render.for_reader("guide.html", page=page, parts=parts, before=before, after=after, engine=ENGINE))
    )


def _fresh(response: Response) -> Response:
    response.headers["Cache-Control"] = "no-cache"
    return response
