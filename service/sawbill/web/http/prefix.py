"""Addresses under a prefix that a proxy takes away before it passes a request on, and tells in X-Forwarded-Prefix.

Everything here is written from the root of the service. So the prefix goes before every address on the way out: in the
headers, in pages, and in JSON. In tables of other forms, addresses stay as from the root of the service.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any, Final

from flask import Flask, Response, request
from werkzeug.middleware.proxy_fix import ProxyFix

HEADER: Final = "HTTP_X_FORWARDED_PREFIX"
_PREFIX: Final = re.compile(r"(/[A-Za-z0-9._~-]+)+")
_IN_PAGES: Final = re.compile(rb'(\s(?:href|action|formaction|src|data-frame)=")(?=/(?!/))')
_IN_JSON: Final = re.compile(rb'("(?!label")[a-z_]+":"|\[")(?=/(?:v1|problems)/)')
_OPENAPI: Final = re.compile(rb'("servers":\[\{"url":")/(?=")')
_IN_LINK: Final = re.compile(r"<(?=/(?!/))")


def believe(app: Flask, proxies: int) -> None:
    """Believe so many proxies about who asks, and the nearest of them under what prefix."""
    inner = ProxyFix(app.wsgi_app, x_for=proxies, x_proto=0, x_prefix=1)

    def only_a_path(environ: dict[str, Any], start: Callable[..., Any]) -> Iterable[bytes]:
        """What is no path is no prefix: it would lead elsewhere. A slash at its end is none of it."""
        told = environ.pop(HEADER, "").rpartition(",")[2].strip().removesuffix("/")
        if _PREFIX.fullmatch(told):
            environ[HEADER] = told
        return inner(environ, start)

    app.wsgi_app = only_a_path  # type: ignore[method-assign, assignment]  # Flask's way
    app.after_request(_before_addresses)


def _before_addresses(response: Response) -> Response:
    """Put the prefix before all addresses of an answer."""
    prefix = request.script_root
    if not prefix:
        return response
    location = response.headers.get("Location", "")
    if location.startswith("/") and not location.startswith("//"):
        response.headers["Location"] = prefix + location
    if "Link" in response.headers:
        links = response.headers.getlist("Link")
        response.headers.setlist("Link", [_IN_LINK.sub(f"<{prefix}", each) for each in links])
    write = _writer(response.mimetype or "", prefix.encode())
    if response.direct_passthrough:
        return response
    if write is not None and response.is_streamed:
        response.response = map(write, response.iter_encoded())
    elif write is not None:
        response.set_data(write(response.get_data()))
    return response


def _writer(mimetype: str, prefix: bytes) -> Callable[[bytes], bytes] | None:
    """What puts the prefix into a body; None: there are no addresses in it."""
    after = rb"\g<1>" + prefix
    if mimetype == "text/html":
        return lambda body: _IN_PAGES.sub(after, body)
    if mimetype.endswith("json"):
        return lambda body: _OPENAPI.sub(after, _IN_JSON.sub(after, body))
    return None
