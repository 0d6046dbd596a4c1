"""From a request to its quote: the price books found here, all else reckoned in the back room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from flask import current_app

from sawbill.answer.declared.quoted.drawings import Place
from sawbill.asked.request import RequestFault
from sawbill.backroom import Here, Once, Room
from sawbill.backroom.apart import IN_HAND
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import Shelf
from sawbill.trade.design import Design
from sawbill.web.admission import callers
from sawbill.web.library import books
from sawbill.web.library.books import Library
from sawbill.web.library.keeping import Keeper
from sawbill.web.reckoning import quotes
from sawbill.web.reckoning.prices import Body
from sawbill.web.reckoning.quotes import Asked, Quoted
from sawbill.web.running.metrics import Meters
from sawbill.web.running.settings import Settings
from sawbill.web.work import handing_in
from sawbill.web.work.recent import Recent


@dataclass(frozen=True, slots=True)
class Service:
    """What every request may use: the designs on offer, the price books, the settings, the store, recent quotes.

    room: who reckons.
    """

    designs: Mapping[str, Design]
    shelf: Shelf
    settings: Settings
    keeper: Keeper
    recent: Recent = field(default_factory=Recent)
    meters: Meters = field(default_factory=Meters)
    room: Room = field(default_factory=lambda: Once(Here()))

    def in_hand(self, usual: int) -> int:
        """How many tasks of one asker are handed in before the first is done; usual: where engines are here."""
        return usual if self.settings.cluster is None else IN_HAND

    @property
    def library(self) -> Library:
        """The price books that may be named by who asks."""
        return Library(self.shelf, self.keeper, self.room, callers.who, self.recent.book)


@dataclass(frozen=True, slots=True)
class Made:
    """A quote that was made, the price book it was made from, and how long an engine was at it [ms]."""

    quote: Quoted
    book: PriceBook
    milliseconds: float


def service() -> Service:
    """Give the service of the application at hand."""
    found = current_app.extensions["sawbill"]
    assert isinstance(found, Service)
    return found


def make(
    body: Body, faults: Sequence[RequestFault] = (), place: str = "pointer", form: str = "lines", *,
    figures: bool = False, at: Place | None = None,
) -> Made:  # fmt: skip
    """Make the quote a request asks for.

    faults: what was found wrong before; place: how a fault is placed, by `pointer` or by query `parameter`; form: one
    of `quotes.FORMS`; figures: whether those of a row are wanted; at: where the quote's drawings are.
    Raises Problem: the request has faults, or cannot be bought, or costs more than may be.
    """
    asker, room = handing_in.asker(), service().room
    found = books.for_request(service().library, asker.names(room, body))
    asked = Asked(body, found.named, form, tuple(faults), place, figures, at)
    quoted, seconds = asker.done(room, quotes.quote, (asked,), found.shared)
    assert isinstance(quoted, Quoted)
    service().meters.count_quote(quoted.proof)
    return Made(quoted, quoted.inline or found.books[0], seconds * 1000)
