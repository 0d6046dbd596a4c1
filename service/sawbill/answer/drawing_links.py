"""Where the drawings of a quote are, and its sheets: the rows behind `drawings`. Needs no web framework."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from sawbill.drawings.catalogue import VIEWS, stage_names

Json = dict[str, Any]
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


def drawings_json(place: Place | None, lines: Mapping[int, Sequence[str]], cutting: Sequence[str]) -> list[Json]:
    """Give a row for each drawing and sheet; none where the quote has no address.

    lines: of those with furniture, what goes up in each stage; cutting: the names of the sheets of how boards are cut.
    """
    return [] if place is None else [*_rows(place, lines, cutting)]


def _rows(place: Place, lines: Mapping[int, Sequence[str]], cutting: Sequence[str]) -> Iterator[Json]:
    for line, stages in lines.items():
        told = {**{name: view.title for name, view in VIEWS.items()}, **_stage_titles(stages)}
        for name, title in told.items():
            yield _row(line, name, title, SVG, place.address("drawing.svg", line, view=name))
        yield _row(line, "model", "a model to turn around", GLB, place.address("model.glb", line))
        yield _row(line, "frame", "every part in its place, as data", JSON, place.address("frame.json", line))
    for number, name in enumerate(cutting, 1):
        title = f"how boards are cut{f', sheet {number}' if len(cutting) > 1 else ''}"
        yield _row(None, name, title, SVG, place.address("drawing.svg", None, view=name))
    for name, title in DOCUMENTS.items():
        for suffix, media in (("html", HTML), ("pdf", PDF)):
            yield _row(
                None, f"{name}.{suffix}", f"{title}, {suffix.upper()}", media, place.address(f"{name}.{suffix}", None)
            )
    yield _row(None, "drawings", "every sheet and the models", ZIP, place.address("drawings.zip", None))


def _stage_titles(stages: Sequence[str]) -> dict[str, str]:
    """What each picture of a stage shows; taking apart goes backwards."""
    count = len(stages)
    words = [f"step {i} of {count}: {each}" for i, each in enumerate(stages, 1)]
    words += [f"taking apart {i} of {count}: {each}" for i, each in enumerate(reversed(stages), 1)]
    return dict(zip(stage_names(count), words, strict=False))


def _row(line: int | None, name: str, title: str, media: str, address: str) -> Json:
    return {"line": line, "name": name, "title": title, "type": media, "address": address}
