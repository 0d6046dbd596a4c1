"""Who may what: every address declares what it takes, and one that declares nothing is closed.

Secrets come as `Authorization: Bearer …`. The exceptions are link tokens, which read one stored quote, or one table of
it, and stand in the address as `?link=…` because sheets can send nothing else; and the cookies of people who signed in
to the pages (`sessions`). Both can be revoked.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable
from typing import Any, Final, TypeVar
from urllib.parse import unquote

from flask import Flask, current_app, g, request

from sawbill.asked.request import RequestFault
from sawbill.store import Store, TokenRefusedError
from sawbill.store.kept.secret import PREFIX
from sawbill.web.admission import limits, sessions
from sawbill.web.admission.callers import ENOUGH, LOCAL, STRANGER, Access, Caller, current_caller, identify
from sawbill.web.admission.limits import Budget, Failures
from sawbill.web.http.problems import Problem, faulty
from sawbill.web.work.quoting import service

View = TypeVar("View", bound=Callable[..., Any])

LINK: Final = "link"
"""The parameter that holds a link token."""
SCHEME: Final = 'Bearer realm="sawbill"'
_BEARER: Final = re.compile(r"bearer +([!-+\--~]+)", re.ASCII | re.IGNORECASE)
_SECRET: Final = re.compile(rf"{PREFIX}[A-Za-z0-9_-]{{20,}}", re.ASCII)
_LOOPBACK_NAMES: Final = ("localhost", "127.0.0.1", "[::1]")
_FAILURES: Final = "sawbill-failures"


def takes(access: Access) -> Callable[[View], View]:
    """Declare what an address takes."""

    def decorate(view: View) -> View:
        view.access = access  # type: ignore[attr-defined]  # a function has any
        return view

    return decorate


def access_of(app: Flask, endpoint: str) -> Access | None:
    """Tell what an address takes; None: it declares nothing."""
    return getattr(app.view_functions[endpoint], "access", None)


def require(access: Access, otherwise: str = "") -> None:
    """See that who asks may do what takes a token; otherwise: what he could do instead. Raises Problem."""
    caller = current_caller()
    if caller.may(access):
        return
    scopes, instead = ENOUGH[access], f"; {otherwise}" if otherwise else ""
    if caller == STRANGER:
        detail = f"this needs a token with the scope {' or '.join(scopes)}; send it as Authorization: Bearer TOKEN"
        raise Problem("token-needed", f"{detail}{instead}", headers={"WWW-Authenticate": SCHEME})
    detail = f"this needs a token with the scope {' or '.join(scopes)}, which yours does not have{instead}"
    told = f'{SCHEME}, error="insufficient_scope", scope="{scopes[0]}"'
    raise Problem("not-allowed", detail, headers={"WWW-Authenticate": told})


def guard(app: Flask) -> None:
    """Let nobody reach an address of an application who may not.

    Raises LookupError: an address declares nothing.
    """
    closed = [rule.rule for rule in app.url_map.iter_rules() if access_of(app, rule.endpoint) is None]
    if closed:
        raise LookupError(f'{", ".join(closed)}: declare what it takes, such as access="read"')
    app.extensions[_FAILURES] = Failures()
    identify(app.extensions, _without_token)
    app.before_request(_admit)
    app.after_request(limits.settle)
    app.after_request(sessions.keep_private)


def _admit() -> None:
    """Refuse whoever may not have what he asks for, and spend what it costs. Raises Problem."""
    rule = request.url_rule
    if rule is None:
        return  # there is nothing here, or not by this method: the framework says so
    _refuse_what_is_no_name()
    _refuse_secrets_in_address()
    access = access_of(current_app, rule.endpoint)
    if access is None:
        raise LookupError(f"{rule.rule} declares nothing, so it is closed")
    sessions.let_fields()
    form = sessions.takes_form() and service().keeper.keeps
    if access == "open":
        if form:
            sessions.check_form()
        return
    shown = _shown(access)
    if shown is not None:
        g.caller = shown
    if access == "read":
        if service().settings.reading == "token" and current_caller() == STRANGER:
            detail = "you need a token to read here; send it as Authorization: Bearer TOKEN"
            raise Problem("token-needed", detail, headers={"WWW-Authenticate": SCHEME})
    elif access == "metrics" and service().settings.metrics == "open":
        return
    elif shown is None or shown.link is None:
        require(access)
    if form and "Authorization" not in request.headers:
        sessions.check_form()
    _spend()


def sign_in(secret: str) -> str:
    """Open a session with a token, in place of any at hand, and give its secret. Raises Problem: it opens nothing."""
    store = service().keeper.store
    before = sessions.shown_by_cookie(store)
    try:
        session, own = store.sessions.begin(
            secret, over_tls=sessions.came_over_tls(), instead_of=before.secret if before else ""
        )
    except TokenRefusedError as error:
        raise _refused(store, str(error)) from None
    g.caller = Caller(session.token.owner, session.token.scopes)
    _spend()
    return own


def _refuse_what_is_no_name() -> None:
    """Refuse control characters in the path: nothing has one in its name, and no database holds them all.

    Raises Problem.
    """
    faults = [
        RequestFault((name,), "not-a-name", f"{name} has a control character in it; remove it")
        for name, value in (request.view_args or {}).items()
        if not value.isprintable()
    ]
    if faults and request.method in ("GET", "HEAD"):
        raise Problem("not-found", "; ".join(fault.detail for fault in faults))
    if faults:
        raise faulty(faults, "parameter")


def _refuse_secrets_in_address() -> None:
    """Refuse a token in the path or the query, for addresses are written down on their way. Raises Problem."""
    path, query = request.path, request.query_string
    if PREFIX not in path and PREFIX.encode() not in query and b"%" not in query and "%" not in path:
        return
    for name, value in (("", path), *request.args.items(multi=True)):
        told = (_decoded(name), "" if name == LINK else _decoded(value))
        if any(text.startswith(PREFIX) or _SECRET.search(text) for text in told):
            remedy = "send it as Authorization: Bearer TOKEN, and have it replaced: this one may have been seen"
            raise Problem("bad-request", f"a token does not belong in an address; {remedy}")


def _decoded(text: str) -> str:
    """Undo what percent signs hide, as often as somebody on the way may."""
    for _ in range(3):
        text = unquote(text)
    return text


def _shown(access: Access) -> Caller | None:
    """Tell who asks by what he shows; None: he shows nothing. Raises Problem: it opens nothing."""
    if not service().keeper.keeps:
        return LOCAL
    links = request.args.getlist(LINK) if access == "stored-quote" and request.query_string else []
    header = request.headers.get("Authorization")
    store = service().keeper.store
    if not links and header is None:
        return sessions.signed_in(store)
    try:
        if links:
            return _by_link(store, links)
        return _by_token(store, header or "")
    except TokenRefusedError as error:
        raise _refused(store, str(error)) from None


def _by_link(store: Store, links: list[str]) -> Caller:
    if len(links) > 1 or "Authorization" in request.headers:
        raise Problem("bad-request", "send one thing: a token or one link")
    where = request.view_args or {}
    link = store.links.check(links[0], where.get("quote_id", ""), where.get("table"))
    return Caller("", frozenset(), link)


def _by_token(store: Store, header: str) -> Caller:
    read = _BEARER.fullmatch(header.strip())
    if read is None:
        raise TokenRefusedError("the header Authorization cannot be read; send one, as Authorization: Bearer TOKEN")
    token = store.tokens.check(read[1])
    return Caller(token.owner, token.scopes)


def _refused(store: Store, detail: str) -> Problem:
    """The problem of a token that opens nothing, of which few a minute may come from one address."""
    failures = current_app.extensions[_FAILURES]
    assert isinstance(failures, Failures)
    wait = failures.add(store, limits.client_address())
    if wait:
        detail = f"too many invalid tokens came from this address; try again in {wait} s"
        return Problem("too-many-requests", detail, headers={"Retry-After": str(wait)})
    return Problem("token-refused", detail, headers={"WWW-Authenticate": f'{SCHEME}, error="invalid_token"'})


def _without_token() -> Caller:
    """Tell who asks without a token: somebody alone on his own machine, or a stranger."""
    found = service()
    if not found.keeper.keeps:
        return LOCAL
    if not found.settings.local or not _from_this_machine():
        return STRANGER
    return STRANGER if found.keeper.store.tokens.exist() else LOCAL


def _from_this_machine() -> bool:
    """Tell whether a request is its user's own: not passed on by a proxy, nor sent by a page from elsewhere.

    A page of another site can have a browser ask a service on its user's machine, by its address or by a name of the
    site's own that leads there.
    """
    headers = request.headers
    try:
        near = ipaddress.ip_address(request.remote_addr or "").is_loopback
    except ValueError:
        near = False
    name = request.host.rpartition(":")[0] if re.search(r":[0-9]+$", request.host) else request.host
    own = headers.get("Sec-Fetch-Site", "none") in ("none", "same-origin")
    origin = headers.get("Origin")
    passed_on = "X-Forwarded-For" in headers or "Forwarded" in headers
    return near and own and not passed_on and name in _LOOPBACK_NAMES and origin in (None, f"http://{request.host}")


def _spend() -> None:
    """Tell for the request at hand whose work it is, and spend what it costs. Raises Problem."""
    found = service()
    rate = found.settings.rate
    caller: Caller | None = g.get("caller")
    if caller is not None and caller.link is not None:
        bucket = f"link {caller.link.id}"
    elif caller is not None and caller.owner:
        bucket = f"owner {caller.owner}"
    else:
        bucket = f"address {limits.client_address()}"
    g.bucket = bucket
    if rate is not None and found.keeper.keeps:
        limits.begin(Budget(found.keeper.store, rate, bucket))
