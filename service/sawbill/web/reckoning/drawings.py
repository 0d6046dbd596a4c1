"""Drawings of what a request asks for: one view, the model or the frame of furniture, pictures, every sheet."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from sawbill.answer.declared.quoted.placed import placed_json
from sawbill.answer.forms import workbook
from sawbill.answer.forms.drawings import drawings_zip
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.asked.request import Request, RequestFault
from sawbill.buying.boards import NothingFitsError
from sawbill.drawings.catalogue import names, page
from sawbill.drawings.model import glb
from sawbill.drawings.paper.sheet import inner
from sawbill.drawings.pixels import NoWriterError, png
from sawbill.drawings.subject import Subject
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import shown
from sawbill.quoting.drawn import cutting_pages, drilled_of, subjects_of
from sawbill.quoting.quote import make_quote
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.prices import Prices, body_read
from sawbill.web.reckoning.quotes import Asked, read

CUTTING: Final = "cutting"
"""What the sheets of how boards are cut are called, those after the first with a number."""
Form = Literal["svg", "png"]
NO_PNG: Final = "this service cannot make PNG; ask for .svg, or have sawbill[png] installed"
MOST_PICTURES: Final = 12
"""Of how many lines a page shows the furniture."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing, or several in a zip. lasting: whether it comes out alike whenever it is asked for."""

    data: bytes
    lasting: bool = True


def view(shared: Sequence[PriceBook], asked: Asked, name: str, line: int = 0, form: Form = "svg") -> Drawn | Problem:
    """Draw the furniture of a line, or how the boards of all are cut."""

    def told() -> Drawn:
        cutting = name.partition("-")[0] == CUTTING
        drawn = _cutting(shared, asked, name) if cutting else Drawn(_drawn(_subject(shared, asked, line), name))
        return drawn if form == "svg" else replace(drawn, data=_pixels(drawn.data))

    return answered(told)


def model(shared: Sequence[PriceBook], asked: Asked, line: int = 0) -> Drawn | Problem:
    """The furniture of a line as a model."""
    return answered(lambda: Drawn(glb(_subject(shared, asked, line))))


def frame(shared: Sequence[PriceBook], asked: Asked, line: int = 0) -> Drawn | Problem:
    """The frame of a line as data."""

    def told() -> Drawn:
        request = _request(shared, asked)
        of = _of_line(request, line)
        return Drawn(json_bytes(placed_json(of.frame, drilled_of(request, line))))

    return answered(told)


def pictures(shared: Sequence[PriceBook], asked: Asked) -> Drawn | Problem:
    """The furniture of each line as it stands, for a page: a JSON list, each without its sheet."""

    def told() -> Drawn:
        found = subjects_of(_request(shared, asked)).items()
        return Drawn(json_bytes([_picture(line, of) for line, of in [*found][:MOST_PICTURES]]))

    return answered(told)


def pixels(shared: Sequence[PriceBook], asked: Asked) -> Drawn | Problem:
    """The same for a workbook: a JSON list, each as PNG in base64 (RFC 4648); null where PNG cannot be made."""

    def told() -> Drawn:
        found = workbook.pictures(subjects_of(_request(shared, asked)).values())
        if found is None:
            return Drawn(json_bytes(None))
        return Drawn(json_bytes([{"title": each.title, "png": base64.b64encode(each.data).decode()} for each in found]))

    return answered(told)


def picture(shared: Sequence[PriceBook], asked: Asked) -> Drawn | Problem:
    """The furniture of the first line as it stands, without its sheet."""
    return answered(lambda: Drawn(str(_picture(0, _subject(shared, asked, 0))["svg"]).encode()))


def every(shared: Sequence[PriceBook], asked: Asked) -> Drawn | Problem:
    """All sheets and models of a quote, in a zip."""

    def told() -> Drawn:
        quote = make_quote(*read(body_read(asked.body), Prices(shared, asked.named), asked))
        return Drawn(drawings_zip(quote), quote.proof.lasting)

    return answered(told)


def answered(told: Callable[[], Drawn]) -> Drawn | Problem:
    """What is made, or why it cannot be."""
    try:
        return told()
    except NothingFitsError as error:
        return problems.cannot_be_bought(error)
    except Problem as problem:
        return problem


def _request(shared: Sequence[PriceBook], asked: Asked) -> Request:
    return read(body_read(asked.body), Prices(shared, asked.named), asked)[0]


def _subject(shared: Sequence[PriceBook], asked: Asked, line: int) -> Subject:
    return _of_line(_request(shared, asked), line)


def _of_line(request: Request, line: int) -> Subject:
    """The furniture of a line. Raises Problem: it is of own parts, or there is none."""
    found = subjects_of(request)
    if line not in found:
        told = f"line is {line}; the lines with furniture are {', '.join(map(str, found)) or 'none'}"
        raise problems.faulty([RequestFault(("line",), "not-a-choice", told)], "parameter")
    return found[line]


def _drawn(subject: Subject, name: str) -> bytes:
    found = page(subject, name)
    if found is None:
        raise no_view(name, names(subject))
    return found.svg.encode()


def _pixels(svg: bytes) -> bytes:
    try:
        return png(svg.decode())
    except NoWriterError:
        raise Problem("not-installed", NO_PNG) from None


def _cutting(shared: Sequence[PriceBook], asked: Asked, name: str) -> Drawn:
    quote = make_quote(*read(body_read(asked.body), Prices(shared, asked.named), asked))
    found = {each.name: each for each in cutting_pages(quote)}
    if name not in found:
        raise no_view(name, [*found])
    return Drawn(found[name].svg.encode(), quote.proof.lasting)


def _picture(line: int, subject: Subject) -> dict[str, object]:
    drawn = page(subject, "isometric")
    assert drawn is not None
    return {"line": line, "title": subject.title, "svg": inner(drawn, subject.paper, f"line-{line}")}


def no_view(name: str, known: Sequence[str]) -> Problem:
    """What a drawing may be, where another was asked for."""
    told = f'view is "{shown(name)}"; it may be {", ".join(known)}'
    return problems.faulty([RequestFault(("view",), "not-a-choice", told)], "parameter")
