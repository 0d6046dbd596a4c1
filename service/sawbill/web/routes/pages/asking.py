"""The pages that a design is asked for on: its form, what was filled in, and its picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import IO, Final
from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, request
from werkzeug.datastructures import FileStorage, MultiDict
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.formparser import FormDataParser
from werkzeug.wrappers import Response as AnyResponse

from sawbill.prices.forms import forms
from sawbill.prices.pricebook import canonical
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import asks_by_form
from sawbill.web.http.bodies import JSON_TYPE, body_of
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import books, packing
from sawbill.web.reckoning import books as reckoning
from sawbill.web.work import drawing, handing_in
from sawbill.web.work.asking import Asked, design_called
from sawbill.web.work.quoting import service
from sawbill.web.written.asking import page as pages
from sawbill.web.written.asking.questions import FILE, MEASURED

asking = Blueprint("asking", __name__)

FORM: Final = "multipart/form-data"
MOST_PARTS: Final = 300
"""How many fields a form may send: the largest of ours has some ninety."""
MOST_TEXT: Final = 100_000
"""How much all that is typed may have together [bytes]."""
_TYPES: Final = {**{suffix: form.media_type for suffix, form in forms.BY_SUFFIX.items()}, ".json": JSON_TYPE}


@asking.get("/designs/<design>")
@takes("read")
def design_page(design: str) -> Response:
    """Ask for a design."""
    return pages.page(design_called(design), pages.asked_now())


@asking.post("/designs/<design>")
@takes("read")
@asks_by_form
def design_filled_in(design: str) -> AnyResponse:
    """Take what was filled in, and lead to the quote of it, whose address says it all."""
    found = design_called(design)
    given, files = filled_in()
    try:
        given |= sent_prices(files)
    except Problem as problem:
        return pages.at_fault(found, given, problem, FILE)
    return redirect(f"/v1/designs/{found.name}/quote.html?{urlencode(given)}", 303)


@asking.get("/designs/<design>/picture.svg")
@takes("open")
def design_picture(design: str) -> Response:
    """Draw a design as it comes, in the measures of the first price book there is."""
    found = design_called(design)
    parameters()
    named = service().shelf.names()
    if not named:
        raise Problem("not-found", "there is no price book to draw it with; put one into the folder of price books")
    raw = {"price_book": named[0], "lines": [{"label": found.title, "design": found.name, "options": {}}]}
    return drawing.of_design(Asked.of(found, raw), drawing.PICTURE)


def filled_in() -> tuple[dict[str, str], MultiDict[str, FileStorage]]:
    """Read the form at hand, in memory alone: what was typed, as an address has it, and the files sent along.

    Several values of one name have commas between; what is empty is left out. A tab at the beginning stays: it is that
    of an empty cell where rows of a sheet are pasted. Raises Problem: it is no form, or too large.
    """
    data = body_of(FORM)
    parser = FormDataParser(
        stream_factory=_in_memory, max_form_memory_size=MOST_TEXT, max_form_parts=MOST_PARTS, silent=False
    )  # fmt: skip
    try:
        _, typed, files = parser.parse(BytesIO(data), FORM, len(data), dict(request.mimetype_params))
    except RequestEntityTooLarge:
        told = f"this form may have at most {MOST_PARTS} fields, and {MOST_TEXT} bytes that are typed into them"
        raise Problem("too-large", told) from None
    except ValueError:
        raise Problem("bad-request", "the form cannot be read; send it as a browser does") from None
    return as_typed(typed.lists()), files


def as_typed(fields: Iterable[tuple[str, Sequence[str]]]) -> dict[str, str]:
    """What stands in the fields of a form, as an address has it; a measured mattress stands for a listed one."""
    given = {name: ",".join(filter(None, map(_bare, values))) for name, values in fields}
    given = {name: text for name, text in given.items() if text}
    for name in [name for name in given if name.endswith(MEASURED)]:
        given[name.removesuffix(MEASURED)] = given.pop(name)
    return given


def _bare(text: str) -> str:
    return text.rstrip().lstrip(" \r\n")


def _in_memory(*_: object, **__: object) -> IO[bytes]:
    """Where what is sent along is put: nothing of it touches a disk."""
    return BytesIO()


def sent_prices(files: MultiDict[str, FileStorage]) -> dict[str, str]:
    """Take a price book that was sent along, if one was, in place of the one that was chosen. Raises Problem."""
    sent = files.get(FILE)
    return {"price_book": f"{books.SENT}@{_held(sent)}"} if sent is not None and sent.filename else {}


def _held(sent: FileStorage) -> str:
    """Read a price book that was sent along, hold it in memory for a while, and give its revision. Raises Problem."""
    name = sent.filename or ""
    media_type = _TYPES.get(name[name.rfind(".") :].lower())
    if media_type is None:
        detail = (
            f"choose a price book as a workbook or a zip of its files: {', '.join(_TYPES)}{forms.saved_otherwise(name)}"
        )
        raise Problem("wrong-content-type", detail)
    read, _ = handing_in.asker().done(service().room, reckoning.book, (books.SENT, media_type, sent.read()))
    book = packing.opened(read)
    if not service().recent.hold_book(book.revision, canonical(book)):
        raise Problem("too-large", "this price book is too large to be used for one quote alone; store it to use it")
    return book.revision
