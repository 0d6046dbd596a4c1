"""A whole price book as it is sent and received: as JSON, and in the forms of `sawbill.prices.forms.forms`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import PurePath
from typing import Any

from flask import Response, request

from sawbill.prices.forms import forms
from sawbill.prices.pricebook import PriceBook
from sawbill.web.http import bodies
from sawbill.web.http.answers import JSON_UTF8
from sawbill.web.http.bodies import JSON_TYPE
from sawbill.web.http.problems import Problem
from sawbill.web.library import packing
from sawbill.web.reckoning import books as reckoning
from sawbill.web.work import handing_in
from sawbill.web.work.quoting import service


def answer(book: PriceBook, suffix: str) -> Response:
    """Send a price book, unless the client has it; its suffix wins over what it accepts."""
    types = [JSON_TYPE, *forms.BY_MEDIA_TYPE]
    accepted = request.accept_mimetypes.best_match(types, JSON_TYPE) or JSON_TYPE
    form = forms.BY_SUFFIX.get(suffix) if suffix else forms.BY_MEDIA_TYPE.get(accepted)
    # At one address, another form is another representation, which must not have the tag of the first.
    tag = book.revision if suffix or form is None else f"{book.revision}{form.suffix}"
    had = request.if_none_match.contains_weak(tag)
    response = Response(status=304) if had else _written(book, form)
    response.set_etag(tag)
    # Its tag is what a client names to replace the book, and so has to stand for its very bytes.
    response.headers["Cache-Control"] = "private, no-cache, no-transform"
    if not suffix:
        response.headers["Vary"] = "Accept"
    return response


def _written(book: PriceBook, form: forms.Form | None) -> Response:
    data = worked_out(reckoning.written, (form.suffix if form else "",), book)
    response = Response(data, content_type=form.media_type if form else JSON_UTF8)
    if form is not None:
        response.headers["Content-Disposition"] = f'attachment; filename="{book.name}{form.suffix}"'
    return response


def worked_out(function: Callable[..., bytes], arguments: tuple[Any, ...], *given: PriceBook) -> bytes:
    """Do something with all rows of price books: of small ones here, of large ones in the back room. Raises Problem."""
    if all(map(packing.is_small, given)):
        return function(given, *arguments)
    shared = tuple(map(packing.shared, given))
    found: bytes = handing_in.asker().done(service().room, function, arguments, shared)[0]
    return found


def sent(name: str) -> PriceBook:
    """Read the price book that the request at hand brings. Raises Problem: with every fault of it."""
    return _read(name, request.mimetype, bodies.body_of(JSON_TYPE, *forms.BY_MEDIA_TYPE))


def uploaded(name: str, field: str) -> PriceBook:
    """Read the price book that a form brings as a file. Raises Problem: with every fault of it, or that there is none.

    field: of the form, by name.
    """
    file = request.files.get(field)
    form = forms.BY_SUFFIX.get(PurePath(file.filename or "").suffix.lower()) if file else None
    if file is None or form is None:
        known = " or ".join(forms.BY_SUFFIX) + (forms.saved_otherwise(file.filename or "") if file else "")
        raise Problem("invalid-request", f"choose a file that holds the price book; its name ends in {known}")
    return _read(name, form.media_type, file.read())


def _read(name: str, media_type: str, data: bytes) -> PriceBook:
    found, _ = handing_in.asker().done(service().room, reckoning.book, (name, media_type, data))
    return packing.opened(found)
