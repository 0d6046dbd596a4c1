"""Ways out looked for to the end, as a job: what is not met, changes tried many at a time, and the quote at last."""

from __future__ import annotations

from collections.abc import Sequence

from sawbill import cutting, registry
from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import until
from sawbill.buying.takeoff import take_off
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import held
from sawbill.quoting.ways_out import Seen, Trial, Trials, Unmet, WaysOut, unmet
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.prices import Prices, body_read
from sawbill.web.reckoning.quotes import Asked, quoted, read

SECONDS = 50.0
"""The emergency stop of the trials that are handed in together [s]."""


def checked(shared: Sequence[PriceBook], asked: Asked) -> PriceBook | int | Problem:
    """See that a request has no fault, and give its price book; one that was shared by its place."""
    try:
        _, book = _read(shared, asked)
    except Problem as problem:
        return problem
    return next((place for place, each in enumerate(shared) if each is book), book)


def not_met(shared: Sequence[PriceBook], asked: Asked) -> list[Unmet] | Problem:
    """Buy for a request, and give the checks that fail or warn then."""
    request, book = _read(shared, asked)
    try:
        off = take_off(request.lines, request.shop.rounding_step)
        return unmet(request, book, registry.designs(), held(off, request, book, until(cutting.EMERGENCY)))
    except NothingFitsError as error:
        return problems.cannot_be_bought(error)


def tried(shared: Sequence[PriceBook], asked: Asked, trials: Sequence[Trial]) -> list[Seen]:
    """Try changes, in their order."""
    request, book = _read(shared, asked)
    return [*map(Trials(request, book, registry.designs(), until(SECONDS)).seen, trials)]


def quote(shared: Sequence[PriceBook], asked: Asked, found: Sequence[WaysOut]) -> bytes:
    """The JSON of the quote, with the ways out that were found."""
    request, book = _read(shared, asked)
    return quoted(body_read(asked.body), request, book, asked, found).data


def _read(shared: Sequence[PriceBook], asked: Asked) -> tuple[Request, PriceBook]:
    return read(body_read(asked.body), Prices(shared, asked.named), asked)
