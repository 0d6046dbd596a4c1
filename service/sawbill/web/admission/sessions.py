"""Who is signed in to the pages: a cookie that stands for a token, and the proof that a form came from one of ours.

A browser sends its cookie wherever it is led to, so a cookie alone reads and changes nothing. What a form changes takes
an `Origin` that is this service's, which no page elsewhere can have its browser send (RFC 6454, section 7; Fetch
Standard, "append a request Origin header"); no `Sec-Fetch-Site` but same-origin, where the browser tells it; and a key
in the form that follows from the session. A form that only asks changes nothing, and needs no key: a cookie opens what
it reads, unless the browser says that the form stood elsewhere. The interface for programs takes no cookie for what it
changes.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, TypeVar

from flask import Response, current_app, g, request

from sawbill.store import Session, Store, TokenRefusedError
from sawbill.web.admission.callers import Caller
from sawbill.web.http.problems import Problem

View = TypeVar("View", bound=Callable[..., Any])

COOKIE: Final = "sawbill-session"
TLS_COOKIE: Final = f"__Host-{COOKIE}"
"""The same over TLS: no other host, and nobody on the way, can set one of this name (RFC 6265bis, section 4.1.3.2)."""
FORM_KEY: Final = "form_key"
"""The field of a form that holds its key."""
TLS: Final = "https"
_READING: Final = ("GET", "HEAD")
_HERE: Final = "same-origin"
"""What a browser says in `Sec-Fetch-Site` of a request that a page of this service makes."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A session, and the secret that its cookie showed."""

    session: Session
    secret: str


def by_form(view: View) -> View:
    """Declare that an address is where forms of our pages lead."""
    view.by_form = True  # type: ignore[attr-defined]  # a function has any
    return view


def takes_fields(most: int) -> Callable[[View], View]:
    """Declare that the form of an address may have more fields than usual."""

    def declared(view: View) -> View:
        view.most_fields = most  # type: ignore[attr-defined]  # a function has any
        return view

    return declared


def asks_by_form(view: View) -> View:
    """Declare that an address is where forms of our pages lead that only ask, and change nothing."""
    view.asks_by_form = True  # type: ignore[attr-defined]  # a function has any
    return view


def takes_form() -> bool:
    """Tell whether the request at hand is to an address where forms lead that change something."""
    return bool(_declared("by_form"))


def signed_in(store: Store) -> Caller | None:
    """Tell who asks by his cookie; None: there is none that opens anything here, which is no fault."""
    if request.method not in _READING and not takes_form() and not (_declared("asks_by_form") and _from_here()):
        return None
    shown = shown_by_cookie(store)
    if shown is None:
        return None
    g.session = shown
    return Caller(shown.session.token.owner, shown.session.token.scopes)


def shown_by_cookie(store: Store) -> Shown | None:
    """Give the session of the cookie of the request at hand, None where it has none."""
    name = TLS_COOKIE if TLS_COOKIE in request.cookies else COOKIE
    secret = request.cookies.get(name)
    if secret is None:
        return None
    try:
        session = store.sessions.check(secret)
    except TokenRefusedError:
        return None
    return Shown(session, secret) if session.over_tls == (name == TLS_COOKIE) else None


def let_fields() -> None:
    """Let the form at hand have as many fields as its address takes."""
    request.max_form_parts = _declared("most_fields") or request.max_form_parts


def check_form() -> None:
    """See that the request at hand came from a form of our pages. Raises Problem."""
    here = request.headers.get("Origin") in (f"http://{request.host}", f"{TLS}://{request.host}")
    session: Shown | None = g.get("session")
    known = session is None or hmac.compare_digest(request.form.get(FORM_KEY, "").encode(), form_key().encode())
    if not here or not _from_here() or not known:
        raise Problem("not-from-here", "this was not sent by a page that this service gave you; open the page again")


def _from_here() -> bool:
    """Tell whether a page of this service makes the request at hand, as far as its browser says."""
    return request.headers.get("Sec-Fetch-Site", _HERE) == _HERE


def _declared(what: str) -> Any:
    return getattr(current_app.view_functions.get(request.endpoint or ""), what, False)


def form_key() -> str:
    """Give the key of the forms on a page for who asks; empty where nobody is signed in."""
    session: Shown | None = g.get("session")
    return "" if session is None else hmac.new(session.secret.encode(), b"form", hashlib.sha256).hexdigest()


def came_over_tls() -> bool:
    """Tell whether the browser that sent a form came over TLS: its own word, for a proxy may have taken it off."""
    return request.headers.get("Origin", "").startswith(f"{TLS}:")


def hand_out(response: Response, secret: str) -> None:
    """Give a browser its session; it is forgotten when the browser ends, and over after a while in any case."""
    name, other = (TLS_COOKIE, COOKIE) if came_over_tls() else (COOKIE, TLS_COOKIE)
    _forget(response, other)
    response.set_cookie(name, secret, path=_path(name), secure=name == TLS_COOKIE, httponly=True, samesite="Lax")


def take_back(store: Store, response: Response) -> None:
    """End the session at hand, and have its browser forget it."""
    if (shown := g.get("session")) is not None:
        store.sessions.end(shown.secret)
    for name in (COOKIE, TLS_COOKIE):
        _forget(response, name)


def _forget(response: Response, name: str) -> None:
    if name in request.cookies:
        response.delete_cookie(name, path=_path(name), secure=name == TLS_COOKIE, httponly=True, samesite="Lax")


def _path(name: str) -> str:
    """Where a cookie is sent: under our prefix alone, but for one whose name says everywhere (RFC 6265bis, __Host-)."""
    return "/" if name == TLS_COOKIE else f"{request.script_root}/"


def keep_private(response: Response) -> Response:
    """See that nothing between keeps for others what somebody's cookie has opened, and that no page shows it."""
    if g.get("session") is None:
        return response
    response.vary.add("Cookie")
    kept = response.headers.get("Cache-Control", "no-store")
    if "no-store" not in kept and "private" not in kept:
        response.headers["Cache-Control"] = f"private, {kept.replace('public, ', '')}"
    response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return response
