"""Quotes that are kept: written once, whole and for ever; only their label changes, which is no part of them."""

from __future__ import annotations

import json
import re
from typing import Any, Final

from flask import Response, request

from sawbill.answer.declared.quoted.drawings import Place
from sawbill.answer.quote import ENGINE
from sawbill.backroom.task import Shared
from sawbill.prices.pricebook import PriceBook
from sawbill.store import IdempotencyKey, Kept, NewQuote, Store, StoredQuote, make_id
from sawbill.web.admission import callers
from sawbill.web.http.media import JSON, Media
from sawbill.web.http.problems import Problem
from sawbill.web.library import packing
from sawbill.web.reckoning import books as reckoning
from sawbill.web.work.handing_in import asker
from sawbill.web.work.quoting import Made, make, service
from sawbill.web.written import tabled

KEY: Final = "Idempotency-Key"
LONGEST_KEY: Final = 255
"""The longest idempotency key [characters]."""

_STRING: Final = re.compile(r'"((?:[ !#-\[\]-~]|\\["\\])*)"', re.ASCII)
"""A string as RFC 9651 has it (section 3.3.3), which the key is by draft-ietf-httpapi-idempotency-key-header."""
_BARE: Final = re.compile(r"[!#-+\--~]+", re.ASCII)
"""What many send in its place: the same without quotes, spaces and commas."""

PLACE: Final = Place(f"/v1/quotes/{'0' * 20}", lines=True)
"""Where the drawings of a quote are that has no id yet: all who ask the same at once have it made once for them."""


def keeps() -> bool:
    """Tell whether the service keeps anything at all."""
    return service().keeper.keeps


def store() -> Store:
    """Give the store. Raises Problem: the service keeps nothing."""
    if not keeps():
        raise Problem(
            "nothing-kept", "this service keeps no quotes; start it with a store: sawbill serve --data FOLDER"
        )
    return service().keeper.store


def owner() -> str:
    """Tell whose a quote is that is kept now."""
    return callers.current_caller().owner


def find(quote_id: str) -> StoredQuote:
    """Give a quote that the caller reaches. Raises Problem: nothing is kept; UnknownQuoteError."""
    return store().quotes.get(quote_id, callers.reach())


def key_of(body: bytes) -> IdempotencyKey | None:
    """Read the idempotency key of the request at hand, and what it is for: address and body.

    Raises Problem: it is not written as a key.
    """
    given = request.headers.getlist(KEY)
    if not given:
        return None
    text = given[0].strip()
    quoted = _STRING.fullmatch(text)
    key = re.sub(r"\\(.)", r"\1", quoted[1]) if quoted else text if _BARE.fullmatch(text) else ""
    if len(given) > 1 or not 0 < len(key) <= LONGEST_KEY:
        remedy = f'write one string of 1 to {LONGEST_KEY} ASCII characters in quotes, such as "8e03978e-40d5-43dd"'
        raise Problem("bad-request", f"the header {KEY} cannot be read; {remedy}")
    return IdempotencyKey(key, b"%s\n%s" % (request.full_path.encode(), body))


def keep(made: Made, label: str, key: IdempotencyKey | None) -> Kept:
    """Keep a quote made for `PLACE` as the caller's own, with the request it answers, under its own id."""
    quote_id = make_id()
    quote = made.quote
    new = NewQuote(
        owner=owner(),
        label=label,
        book=quote.book,
        engine=ENGINE,
        currency=quote.currency,
        total=quote.total,
        request=quote.request,
        result=quote.data.replace(PLACE.path.encode(), address(quote_id).encode()),
        designs=quote.designs,
        id=quote_id,
    )
    return store().quotes.add(new, made.book, key)


def asked_again(stored: StoredQuote) -> dict[str, Any]:
    """The request of a stored quote, to be priced by what its price book is today."""
    raw: dict[str, Any] = json.loads(stored.request)
    if isinstance(raw["price_book"], str):
        raw["price_book"] = raw["price_book"].partition("@")[0]
    return raw


def content(stored: StoredQuote) -> dict[str, Any]:
    """A stored quote as JSON."""
    found: dict[str, Any] = json.loads(stored.result)
    return found


def today(before: StoredQuote, at: Place | None = None) -> tuple[Made, dict[str, Any]]:
    """Make the request of a stored quote again by today's prices, and tell what became of it. Raises Problem."""
    made = make(asked_again(before), at=at)
    return made, drift_of(before, made.quote.data, packing.shared(made.book))


def drift_of(before: StoredQuote, after: bytes, book: Shared) -> dict[str, Any]:
    """What became of a stored quote; after, book: the quote of the same request now, and what it was made from.

    Raises Problem.
    """
    both = (revision(before), book)
    found: dict[str, Any] = asker().done(service().room, reckoning.drifted, (before.result, after), both)[0]
    return found


def revision(stored: StoredQuote) -> Shared:
    """The price book that a stored quote was made from, as it was then."""
    of = stored.summary
    return packing.stored(of.book, of.revision, store().books.revision(of.revision))


def book_of(stored: StoredQuote) -> PriceBook:
    """The price book that a stored quote was made from, read. Raises BookFaultsError. Problem. StoreError."""
    return service().library.opened(stored.summary.book, store().books.revision(stored.summary.revision))


def in_form(stored: StoredQuote, form: Media, pictures: bytes, change: str | None = None) -> Response:
    """Send a stored quote in a form that people read.

    pictures: of its furniture, as JSON; change: where a page asks for another like it.
    """
    day = stored.summary.stored.date().isoformat()
    of = stored.summary
    return tabled.quote_answer(stored.result, form, of.book, pictures=pictures, label=of.label, day=day, change=change)


def quote_answer(stored: StoredQuote, status: int = 200, form: Media = JSON, pictures: bytes = b"[]") -> Response:
    """Send a stored quote: as JSON its own bytes and nothing else, with where to read about it."""
    if form is JSON:
        response = Response(stored.result, status, content_type=JSON.content_type)
    else:
        response = in_form(stored, form, pictures)
        response.status_code = status
    response.headers["Cache-Control"] = "no-store"
    response.headers["Link"] = f'<{address(stored.summary.id)}/about>; rel="describedby"'
    response.add_etag()
    if status == 201:
        response.headers["Location"] = address(stored.summary.id)
        return response
    response.make_conditional(request)
    return response


def address(quote_id: str) -> str:
    """Where a stored quote is."""
    return f"/v1/quotes/{quote_id}"
