"""Where the drawings of a quote are, and its sheets: the rows behind `drawings`. Needs no web framework."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple
from urllib.parse import urlencode

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.drawings.catalogue import VIEWS, stage_names

SVG: Final = "image/svg+xml"
PNG: Final = "image/png"
GLB: Final = "model/gltf-binary"
ZIP: Final = "application/zip"
HTML: Final = "text/html"
PDF: Final = "application/pdf"
JSON: Final = "application/json"
DOCUMENTS: Final = {"shop-sheet": "the shop's sheet, to build from", "customer-sheet": "the customer's sheet"}
"""Documents for the printer, by name."""


@dataclass(frozen=True, slots=True)
class Place:
    """The address that a quote's drawings are under, and its query; lines: whether it may be of several lines."""

    path: str
    query: tuple[tuple[str, str], ...] = ()
    lines: bool = False

    def address(self, name: str, line: int | None, **more: str) -> str:
        """Of one of them."""
        which = {"line": str(line)} if self.lines and line is not None else {}
        query = urlencode([*self.query, *more.items(), *which.items()])
        return f"{self.path}/{name}{f'?{query}' if query else ''}"


class DrawingLink(NamedTuple):
    """A drawing or a sheet, and where it is; line: None where it is of the whole quote."""

    line: int | None
    name: str
    title: str
    type: str
    address: str


class Drawing(Answered):
    """A drawing or a sheet, and where it is."""

    line = f.whole("The line whose furniture it shows, from 0; null: it is of the whole quote.", 0, none=True)
    name = f.text("Its name; of an SVG also what `view` asks for.", "step-1")
    title = f.text("What it shows, in words.", "step 1 of 6: left rail")
    type = f.text("Its media type.", "image/svg+xml")
    address = f.text(
        "Its address, from the root of the service.", "/v1/quotes/1f0c9a5be2d47a8036cd/drawing.svg?view=step-1&line=0"
    )


def drawing_links(place: Place, lines: Mapping[int, Sequence[str]], cutting: Sequence[str]) -> Iterator[DrawingLink]:
    """Give a row for each drawing and sheet of a quote.

    lines: of those with furniture, what goes up in each stage; cutting: the names of the sheets of how boards are cut.
    """
    for line, stages in lines.items():
        told = {**{name: view.title for name, view in VIEWS.items()}, **_stage_titles(stages)}
        for name, title in told.items():
            yield DrawingLink(line, name, title, SVG, place.address("drawing.svg", line, view=name))
        yield DrawingLink(line, "model", "a model to turn around", GLB, place.address("model.glb", line))
        yield DrawingLink(line, "frame", "every part in its place, as data", JSON, place.address("frame.json", line))
    for number, name in enumerate(cutting, 1):
        title = f"how boards are cut{f', sheet {number}' if len(cutting) > 1 else ''}"
        yield DrawingLink(None, name, title, SVG, place.address("drawing.svg", None, view=name))
    for name, title in DOCUMENTS.items():
        for suffix, media in (("html", HTML), ("pdf", PDF)):
            yield DrawingLink(
                None, f"{name}.{suffix}", f"{title}, {suffix.upper()}", media, place.address(f"{name}.{suffix}", None)
            )
    yield DrawingLink(None, "drawings", "every sheet and the models", ZIP, place.address("drawings.zip", None))


def _stage_titles(stages: Sequence[str]) -> dict[str, str]:
    """What each picture of a stage shows; taking apart goes backwards."""
    count = len(stages)
    words = [f"step {i} of {count}: {each}" for i, each in enumerate(stages, 1)]
    words += [f"taking apart {i} of {count}: {each}" for i, each in enumerate(reversed(stages), 1)]
    return dict(zip(stage_names(count), words, strict=False))
