"""Drawings had made in the back room, and remembered: of a design by its address, of a stored quote by its id."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from flask import Response, request

from sawbill.answer.quote import ENGINE
from sawbill.asked.request import RequestFault
from sawbill.store import StoredQuote
from sawbill.web.http.answers import JSON_UTF8
from sawbill.web.http.media import HTML, XLSX, Media
from sawbill.web.http.problems import Problem
from sawbill.web.library import books, kept
from sawbill.web.reckoning import drawings as reckoned
from sawbill.web.reckoning import quotes
from sawbill.web.reckoning.drawings import Drawn
from sawbill.web.reckoning.prices import Body, Named
from sawbill.web.work import handing_in
from sawbill.web.work.asking import Asked, tag_of, tagged
from sawbill.web.work.quoting import service

PRIVATE: Final = "no-store"
NOTHING: Final = b"[]"
"""What is shown of no furniture, as JSON."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be drawn: named for its tag, its media type, and the function of `reckoning` that draws it."""

    name: str
    media: str
    function: Callable[..., Any]
    more: tuple[Any, ...] = ()


PICTURES: Final = Wanted("pictures", JSON_UTF8, reckoned.pictures)
"""What a page of a quote shows of its furniture."""
PIXELS: Final = Wanted("pixels", JSON_UTF8, reckoned.pixels)
"""What a workbook shows of it."""
SHOWN: Final = {HTML: PICTURES, XLSX: PIXELS}
"""What is shown of the furniture in each form of a quote that shows it."""
PICTURE: Final = Wanted("picture", "image/svg+xml", reckoned.picture)
"""What a page shows of a design before it is quoted."""


def of_design(asked: Asked, wanted: Wanted, faults: Sequence[RequestFault] = ()) -> Response:
    """Answer with a drawing of a design; with none where the caller holds the same already.

    faults: what is wrong beside the request. Raises Problem: the request has faults, or cannot be bought.
    """
    tag = None if asked.key is None or faults else tag_of(asked.key, "drawing", wanted.name)
    if tag is not None and request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag)
    drawn = drawn_of_design(asked, wanted, faults)
    response = Response(drawn.data, content_type=wanted.media)
    if tag is not None and drawn.lasting:
        return tagged(response, tag)
    response.headers["Cache-Control"] = PRIVATE
    return response


def drawn_of_design(asked: Asked, wanted: Wanted, faults: Sequence[RequestFault] = ()) -> Drawn:
    """The drawing itself, drawn anew only where it is not remembered. Raises Problem."""
    tag = None if asked.key is None or faults else tag_of(asked.key, "drawing", wanted.name)

    def drawn() -> Drawn:
        asker, room = handing_in.asker(), service().room
        found = books.for_request(service().library, asker.names(room, asked.raw))
        told = quotes.Asked(asked.raw, found.named, "lines", (*asked.faults, *faults), "parameter")
        return _done(wanted, told, found.shared, asker)

    return _remembered(tag, drawn)


def shown_of_design(asked: Asked, form: Media) -> bytes:
    """What a form of a design's quote shows of it. Raises Problem."""
    return drawn_of_design(asked, SHOWN[form]).data if form in SHOWN else NOTHING


def shown_of_stored(stored: StoredQuote, form: Media) -> bytes:
    """What a form of a stored quote shows of its furniture. Raises Problem."""
    return drawn_of_stored(stored, SHOWN[form]).data if form in SHOWN and is_drawn(stored) else NOTHING


def shown_of_body(body: Body, form: Media) -> bytes:
    """What a form of a quote that is kept nowhere shows of its furniture. Raises Problem."""
    if form not in SHOWN:
        return NOTHING
    asker, room = handing_in.asker(), service().room
    found = books.for_request(service().library, asker.names(room, body))
    return _done(SHOWN[form], quotes.Asked(body, found.named), found.shared, asker).data


def of_stored(quote_id: str, wanted: Wanted) -> Response:
    """Answer with a drawing of a stored quote, from the price book as it was. Raises Problem."""
    stored = kept.find(quote_id)
    if not is_drawn(stored):
        told = f"this quote was made by {stored.summary.engine}, whose furniture may differ; quote it again to draw it"
        raise Problem("not-found", told)
    tag = _stored_tag(stored, wanted)
    if request.if_none_match.contains_weak(tag):
        return tagged(Response(status=304), tag, PRIVATE)
    return tagged(Response(drawn_of_stored(stored, wanted).data, content_type=wanted.media), tag, PRIVATE)


def is_drawn(stored: StoredQuote) -> bool:
    """Whether a stored quote can be drawn: another engine's furniture may differ from what it lists."""
    return stored.summary.engine == ENGINE


def drawn_of_stored(stored: StoredQuote, wanted: Wanted) -> Drawn:
    """The drawing itself, drawn anew only where it is not remembered. Raises Problem."""

    def drawn() -> Drawn:
        raw = json.loads(stored.request)
        name = raw["price_book"]
        named = Named({name: 0} if isinstance(name, str) else {}, None)
        return _done(wanted, quotes.Asked(raw, named), (kept.revision(stored),), handing_in.asker())

    return _remembered(_stored_tag(stored, wanted), drawn)


def _stored_tag(stored: StoredQuote, wanted: Wanted) -> str:
    return tag_of(stored.summary.id, ENGINE, "drawing", wanted.name)


def _remembered(tag: str | None, drawn: Callable[[], Drawn]) -> Drawn:
    recent = service().recent
    held = recent.drawing(tag) if tag is not None else None
    if held is not None:
        return Drawn(held)
    made = drawn()
    if tag is not None and made.lasting:
        recent.hold_drawing(tag, made.data)
    return made


def _done(wanted: Wanted, asked: quotes.Asked, packed: Sequence[Any], asker: handing_in.Asker) -> Drawn:
    made, _ = asker.done(service().room, wanted.function, (asked, *wanted.more), packed)
    assert isinstance(made, Drawn)
    return made
