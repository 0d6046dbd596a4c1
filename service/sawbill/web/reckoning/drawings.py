"""Drawings of what a request asks for: one view or the model of furniture, or every sheet in a zip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.drawings.catalogue import VIEWS
from sawbill.drawings.model import glb
from sawbill.estimating.boards import NothingFitsError
from sawbill.estimating.drawn import subjects_of
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.quote import make_quote
from sawbill.estimating.request import RequestFault
from sawbill.sheets.drawings import drawings_zip
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.prices import Prices, body_read
from sawbill.web.reckoning.quotes import Asked, read

MODEL: Final = "model"
KINDS: Final = (*VIEWS, MODEL)
"""What is drawn of one piece of furniture, by name."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing, or several in a zip. lasting: whether it comes out alike whenever it is asked for."""

    data: bytes
    lasting: bool = True


def one(shared: Sequence[PriceBook], asked: Asked, what: str, line: int = 0) -> Drawn | Problem:
    """Draw the furniture of a line; what: one of KINDS. A Problem too where the line is of own parts, or is none."""
    try:
        request, _ = read(body_read(asked.body), Prices(shared, asked.named), asked)
        subject = subjects_of(request).get(line)
        if subject is None:
            told = f"line is {line}; the lines with furniture are {', '.join(map(str, subjects_of(request))) or 'none'}"
            raise problems.faulty([RequestFault(("line",), "not-a-choice", told)], "parameter")
        return Drawn(glb(subject) if what == MODEL else VIEWS[what](subject).svg.encode())
    except Problem as problem:
        return problem


def every(shared: Sequence[PriceBook], asked: Asked) -> Drawn | Problem:
    """All sheets and models of a quote, in a zip."""
    try:
        quote = make_quote(*read(body_read(asked.body), Prices(shared, asked.named), asked))
        return Drawn(drawings_zip(quote), quote.proof.lasting)
    except NothingFitsError as error:
        return problems.cannot_be_bought(error)
    except Problem as problem:
        return problem
