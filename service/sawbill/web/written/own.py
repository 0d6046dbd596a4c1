"""Pages for one person: what he keeps, with the forms that change it."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Any, Final

from flask import Response, redirect

from sawbill.web.admission import callers, sessions
from sawbill.web.http.answers import FORM_POLICY
from sawbill.web.written import render

_MAY: Final[dict[str, callers.Access]] = {"quote": "quote", "price": "price-book", "read": "kept"}


@dataclass(frozen=True, slots=True)
class Person:
    """Who looks at a page. owner: his name; key: of the forms on it, empty where nobody signs in."""

    owner: str
    key: str
    may_quote: bool
    may_price: bool
    may_read: bool


def person() -> Person:
    """Tell who looks at the page at hand."""
    caller = callers.current_caller()
    may = {f"may_{name}": caller.may(access) for name, access in _MAY.items()}
    return Person(caller.owner, sessions.form_key(), **may)


def page(template: str, status: int = 200, **content: Any) -> Response:
    """Send a page that nobody but its reader is to have.

    Its `once` tells its forms from those of any other page, so that one sent twice is done once.
    """
    response = Response(render.for_reader(template, me=person(), once=secrets.token_hex(16), **content), status)
    response.headers["Cache-Control"] = "no-store"
    response.headers["Referrer-Policy"] = FORM_POLICY
    response.vary.add("Cookie")
    return response


def lead_on(address: str) -> Response:
    """Lead on after a form was done, so that the page after it can be loaded again."""
    response = redirect(address, 303)
    assert isinstance(response, Response)
    return response
