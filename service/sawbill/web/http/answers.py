"""How answers are sent: JSON, and headers that bound their use."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from flask import Response
from flask.json.provider import DefaultJSONProvider

from sawbill.answer.forms.jsonform import json_bytes
from sawbill.web.http import languages

PAGE_POLICY: Final = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'"
)
_DATA_POLICY: Final = "default-src 'none'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'"


FORM_POLICY: Final = "same-origin"
"""The Referrer-Policy of a page whose forms have to say where they come from, which no-referrer would have them hide
(Fetch Standard, "append a request Origin header")."""
JSON_UTF8: Final = "application/json; charset=utf-8"


def json_answer(value: object, *, cache: str = "no-cache", headers: Iterable[tuple[str, str]] = ()) -> Response:
    """Answer with JSON."""
    response = Response(json_bytes(value), content_type=JSON_UTF8)
    response.headers["Cache-Control"] = cache
    response.headers.extend(list(headers))
    return response


def protect(response: Response) -> Response:
    """Add the headers that every answer carries."""
    page = response.mimetype == "text/html"
    if page and languages.offered():
        response.vary.add("Accept-Language")
    response.headers.setdefault("Cache-Control", "no-store")
    response.headers.setdefault("Content-Security-Policy", PAGE_POLICY if page else _DATA_POLICY)
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers.setdefault("Referrer-Policy", "no-referrer")
    return response


class StrictJson(DefaultJSONProvider):
    """Flask's own JSON, as far as an extension uses it: without NaN, keys in their order."""

    sort_keys = False

    def dumps(self, obj: Any, **kwargs: Any) -> str:
        """Write JSON. Raises ValueError: a number that JSON has no way to write."""
        return super().dumps(obj, **{**kwargs, "allow_nan": False})
