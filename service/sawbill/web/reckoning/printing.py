"""Documents for the printer, as HTML or as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from sawbill.asked.request import RequestFault
from sawbill.drawings.pixels import NoWriterError
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import make_quote
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.drawings import Drawn, answered
from sawbill.web.reckoning.prices import Prices, body_read
from sawbill.web.reckoning.quotes import Asked, read
from sawbill.web.written.extras import pdf
from sawbill.web.written.printed import KINDS, NoPriceError, Wishes

Form = Literal["html", "pdf"]
NO_PDF: Final = "this service cannot make PDF; ask for .html and print it, or have sawbill[pdf] installed"


def document(
    shared: Sequence[PriceBook], asked: Asked, kind: str, form: Form, wishes: Wishes
) -> Drawn | Problem:  # fmt: skip
    """Write one of `KINDS`."""
    return answered(lambda: _written(shared, asked, kind, form, wishes))


def _written(shared: Sequence[PriceBook], asked: Asked, kind: str, form: Form, wishes: Wishes) -> Drawn:
    request, book = read(body_read(asked.body), Prices(shared, asked.named), asked)
    quote = make_quote(request, book)
    try:
        html = KINDS[kind](quote, wishes)
    except NoPriceError as error:
        raise problems.faulty([RequestFault(("price_by",), "not-a-choice", str(error))], "parameter") from None
    try:
        return Drawn(html.encode() if form == "html" else pdf(html), quote.proof.lasting)
    except NoWriterError:
        raise Problem("not-installed", NO_PDF) from None
