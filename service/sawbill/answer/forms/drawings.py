"""All drawings of a quote in one zip: every sheet as SVG, in the order one needs them, and the models."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from typing import Final

from sawbill.drawings.catalogue import sheets
from sawbill.drawings.model import glb
from sawbill.quoting.drawn import cutting_pages, subjects_of
from sawbill.quoting.quote import Quote

FIRST_DAY: Final = (1980, 1, 1, 0, 0, 0)
"""The day every file bears, so that the same quote gives the same bytes."""


def drawings_zip(quote: Quote) -> bytes:
    """The zip, its files numbered."""
    found = io.BytesIO()
    with zipfile.ZipFile(found, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, (name, data) in enumerate(_files(quote), 1):
            entry = zipfile.ZipInfo(f"{number:02}-{name}", FIRST_DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)
    return found.getvalue()


def _files(quote: Quote) -> Iterator[tuple[str, bytes]]:
    """Furniture by furniture, each with its model; then how the boards of all are cut."""
    subjects = subjects_of(quote.request)
    for number, subject in subjects.items():
        line = f"line-{number}-" if len(subjects) > 1 else ""
        yield from ((f"{line}{page.name}.svg", page.svg.encode()) for page in sheets(subject))
        yield f"{line}model.glb", glb(subject)
    for page in cutting_pages(quote):
        yield f"{page.name}.svg", page.svg.encode()
