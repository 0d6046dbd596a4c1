"""The command `draw`: pictures, sheets and models of a design, without prices where none are needed."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from sawbill.drawings.catalogue import VIEWS
from sawbill.drawings.model import glb
from sawbill.estimating.drawn import subjects_of
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.quote import make_quote
from sawbill.estimating.request import Request
from sawbill.sheets.drawings import drawings_zip

KINDS: Final = {".svg": "one view", ".glb": "the model", ".zip": "all sheets, the cutting diagrams among them"}
"""What is written, by the suffix of the file."""


def drawn(request: Request, book: PriceBook, view: str, file: Path | None) -> bytes:
    """What a file of that name is to hold; a view where there is none. Raises NothingFitsError, for all sheets."""
    suffix = file.suffix.lower() if file else ".svg"
    if suffix == ".zip":
        return drawings_zip(make_quote(request, book))
    (subject,) = subjects_of(request).values()
    if suffix == ".glb":
        return glb(subject)
    if suffix == ".svg":
        return VIEWS[view](subject).svg.encode()
    told = ", ".join(f"{suffix} for {words}" for suffix, words in KINDS.items())
    raise click.UsageError(f"--output {file}: end its name with {told}")
