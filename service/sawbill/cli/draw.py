"""The command `draw`: pictures, sheets and models of a design, without prices where none are needed."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from sawbill.answer.drawings import drawings_zip
from sawbill.asked.request import Request
from sawbill.drawings.catalogue import names, page
from sawbill.drawings.model import glb
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.drawn import subjects_of
from sawbill.quoting.quote import Quote, make_quote
from sawbill.web.written.extras import NoWriterError, pdf, png
from sawbill.web.written.printed import KINDS as DOCUMENTS
from sawbill.web.written.printed import Wishes

KINDS: Final = {
    ".svg": "one view", ".png": "the same in pixels", ".glb": "the model",
    ".zip": "all sheets, the cutting diagrams among them",
    ".html": "the shop's sheet, to build from", ".pdf": "the same, for the printer",
}  # fmt: skip
"""What is written, by the suffix of the file."""


def drawn(request: Request, book: PriceBook, view: str, file: Path | None, wishes: Wishes, kind: str) -> bytes:
    """What a file of that name is to hold; a view where there is none. Raises NothingFitsError, for all sheets.

    wishes, kind: how a document for the printer is to be, and which.
    """
    suffix = file.suffix.lower() if file else ".svg"
    if suffix in (".html", ".pdf"):
        return _document(make_quote(request, book), wishes, kind, suffix)
    if suffix == ".zip":
        return drawings_zip(make_quote(request, book))
    (subject,) = subjects_of(request).values()
    if suffix == ".glb":
        return glb(subject)
    if suffix in (".svg", ".png"):
        if (found := page(subject, view)) is None:
            raise click.UsageError(f"--view {view}: it may be {', '.join(names(subject))}")
        return found.svg.encode() if suffix == ".svg" else _pixels(found.svg)
    told = ", ".join(f"{suffix} for {words}" for suffix, words in KINDS.items())
    raise click.UsageError(f"--output {file}: end its name with {told}")


def _pixels(svg: str) -> bytes:
    try:
        return png(svg)
    except NoWriterError:
        raise click.UsageError("PNG takes resvg: install sawbill[png], or write .svg") from None


def _document(quote: Quote, wishes: Wishes, kind: str, suffix: str) -> bytes:
    try:
        html = DOCUMENTS[kind](quote, wishes)
        return pdf(html) if suffix == ".pdf" else html.encode()
    except NoWriterError:
        told = "PDF takes WeasyPrint, and Pango: install sawbill[pdf], or write .html and print it"
        raise click.UsageError(told) from None
