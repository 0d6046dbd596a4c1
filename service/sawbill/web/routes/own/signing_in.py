"""Signing in to the pages with a token, and out again."""

from __future__ import annotations

import re
from typing import Final

from flask import Blueprint, Response, g, request

from sawbill.web.admission import access, callers, sessions
from sawbill.web.admission.access import takes
from sawbill.web.admission.callers import LOCAL
from sawbill.web.admission.sessions import by_form
from sawbill.web.http.answers import FORM_POLICY
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.written import own, render

signing_in = Blueprint("signing_in", __name__)

SIGN_IN: Final = "/sign-in"
HOME: Final = "/kept"
"""Where a person's pages begin."""
_OWN_PATH: Final = re.compile(r"/(?![/\\])[!-~]*", re.ASCII)
"""An address of this service and no other: browsers read two slashes, of either kind, as another host."""


@signing_in.get(SIGN_IN)
@takes("open")
def sign_in_page() -> Response:
    """Ask for a token."""
    parameters()
    return _asked(kept.store().tokens.exist(), HOME)


@signing_in.post(SIGN_IN)
@takes("open")
@by_form
def sign_in() -> Response:
    """Open a session with a token, and go on to where it was asked for."""
    parameters()
    exist = kept.store().tokens.exist()
    to = request.form.get("to", HOME)
    to = to if _OWN_PATH.fullmatch(to) else HOME
    try:
        secret = access.sign_in(request.form.get("token", "").strip())
    except Problem as problem:
        if problem.kind not in ("token-refused", "too-many-requests"):
            raise
        return _asked(exist, to, problem)
    response = own.lead_on(to)
    sessions.hand_out(response, secret)
    return response


@signing_in.post("/sign-out")
@takes("open")
@by_form
def sign_out() -> Response:
    """End the session."""
    parameters()
    store = kept.store()
    g.session = sessions.shown_by_cookie(store)
    sessions.check_form()
    response = own.lead_on("/")
    sessions.take_back(store, response)
    return response


def _asked(exist: bool, to: str, problem: Problem | None = None) -> Response:
    """Send the page that asks for a token; exist: whether there is any."""
    needless = not exist and callers.current_caller() == LOCAL
    told = "" if problem is None else problem.detail
    status = 200 if problem is None else problem.status
    response = Response(render.for_reader("own/sign_in.html", to=to, needless=needless, fault=told), status)
    response.headers.extend({} if problem is None else dict(problem.headers))
    response.headers["Cache-Control"] = "no-store"
    response.headers["Referrer-Policy"] = FORM_POLICY
    return response
