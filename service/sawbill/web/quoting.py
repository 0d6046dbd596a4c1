"""From the JSON of a request to its quote: every fault of shape, price book and meaning told at once."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Condition
from typing import Any, Final

from flask import current_app
from marshmallow import Schema

from sawbill.estimating.boards import NothingFitsError
from sawbill.estimating.crew import Crew
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.quote import Quote, make_quote
from sawbill.estimating.request import Request, RequestFault, RequestFaultsError, read_pieces, read_request
from sawbill.files.shelf import Shelf
from sawbill.trade.design import Design
from sawbill.web import books, callers, limits, problems, shape
from sawbill.web.books import Library
from sawbill.web.keeping import Keeper
from sawbill.web.metrics import Meters
from sawbill.web.recent import Recent
from sawbill.web.schemas.request import CuttingPlanRequestSchema, QuoteRequestSchema
from sawbill.web.settings import Settings

PATIENCE: Final = 0.25
"""How long a quote waits for the one before it, before it is worked out beside it [s]."""


class Turns:
    """Whose quote a process works out: one after the other, for two at once only hold each other up.

    One that has waited its patience is worked out beside the one that takes so long, so that none holds up all.
    More than two at once would run out of the time that a search is given.
    """

    def __init__(self) -> None:
        self._changed, self._running = Condition(), 0

    @contextmanager
    def taken(self) -> Iterator[None]:
        """Wait for a turn, and take it."""
        patient_until = time.monotonic() + PATIENCE
        with self._changed:
            while self._running and (self._running > 1 or time.monotonic() < patient_until):
                self._changed.wait(max(0.0, patient_until - time.monotonic()) if self._running == 1 else None)
            self._running += 1
        try:
            yield
        finally:
            with self._changed:
                self._running -= 1
                self._changed.notify_all()


@dataclass(frozen=True, slots=True)
class Service:
    """What every request may use: the designs on offer, the price books, the settings, the store, recent quotes.

    turns: taken while a quote is worked out.
    """

    designs: Mapping[str, Design]
    shelf: Shelf
    settings: Settings
    keeper: Keeper
    recent: Recent = field(default_factory=Recent)
    meters: Meters = field(default_factory=Meters)
    crew: Crew = field(default_factory=Crew)
    turns: Turns = field(default_factory=Turns)

    @property
    def library(self) -> Library:
        """The price books that may be named by who asks."""
        return Library(self.shelf, self.keeper, callers.who)


@dataclass(frozen=True, slots=True)
class Form:
    """A form in which a quote may be asked for: its shape, and the reader of what it means."""

    schema: Schema
    read: Callable[[Mapping[str, Any], PriceBook, Mapping[str, Design]], Request]


LINES: Final = Form(QuoteRequestSchema(), read_request)
PIECES: Final = Form(CuttingPlanRequestSchema(), lambda raw, book, _: read_pieces(raw, book))


def service() -> Service:
    """Give the service of the application at hand."""
    found = current_app.extensions["sawbill"]
    assert isinstance(found, Service)
    return found


def make(
    raw: object, faults: Sequence[RequestFault] = (), place: str = "pointer", form: Form = LINES
) -> tuple[Quote, float]:
    """Make the quote a request asks for, and tell how long the engine took [ms].

    faults: what was found wrong before; place: how a fault is placed, by `pointer` or by query `parameter`.
    Raises Problem: the request has faults, or cannot be bought, or costs more than is left to its caller.
    """
    request, book = read(raw, service(), faults, place, form)
    limits.charge_lines(len(request.lines))
    with service().turns.taken():
        start = time.perf_counter()
        try:
            quote = make_quote(request, book)
        except NothingFitsError as error:
            raise problems.cannot_be_bought(error) from error
        took = (time.perf_counter() - start) * 1000
    service().meters.count_quote(quote.proof.status)
    return quote, took


def read(
    raw: object,
    service: Service,
    faults: Sequence[RequestFault] = (),
    place: str = "pointer",
    form: Form = LINES,
) -> tuple[Request, PriceBook]:
    """Read a request of any shape. Raises Problem: with every fault of it."""
    shape_faults = [*faults, *shape.faults_of(raw, form.schema)]
    if not isinstance(raw, dict):
        raise problems.faulty(shape_faults, place)
    sound = shape.without(raw, shape_faults)
    found = books.find(service.library, sound["price_book"]) if "price_book" in sound else []
    book = found if isinstance(found, PriceBook) else None
    shape_faults += [] if isinstance(found, PriceBook) else found
    request, meaning = _meaning(sound, book, service, form)
    if book is None or request is None or shape_faults:
        raise problems.faulty(shape.merged(shape_faults, meaning), place)
    return request, book


def _meaning(
    sound: Mapping[str, Any], book: PriceBook | None, service: Service, form: Form
) -> tuple[Request | None, list[RequestFault]]:
    """Read what a request means; without its price book, against any, as far as that makes no difference."""
    against = book or books.stand_in(service.library)
    if against is None:
        return None, []
    try:
        return form.read(sound, against, service.designs), []
    except RequestFaultsError as error:
        return None, [fault for fault in error.faults if book or fault.code != "refused"]
