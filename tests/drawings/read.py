"""What stands in a drawing, read from its SVG alone: texts with the room they take, lines, tables. Shares no code with
what draws; widths of texts are those of the font itself, as the file asks for them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from defusedxml import ElementTree

from sawbill.trade.lengths import INCH, MM

NS = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Text:
    """A text, what it is, and the rectangle its capitals take: left, top, right, bottom [mm]."""

    text: str
    kind: str
    box: tuple[float, float, float, float]


@dataclass(frozen=True)
class Stroke:
    """A straight line and what it is [mm]."""

    kind: str
    x1: float
    y1: float
    x2: float
    y2: float


class Drawing:
    """One SVG."""

    def __init__(self, svg: str) -> None:
        self.svg = svg
        self.root = ElementTree.fromstring(svg)

    @cached_property
    def title(self) -> str:
        return self.root.findtext(f"{NS}title") or ""

    @cached_property
    def texts(self) -> list[Text]:
        return [_text(each) for each in self.root.iter(f"{NS}text")]

    @cached_property
    def strokes(self) -> list[Stroke]:
        return [
            Stroke(path.get("class", ""), *(float(each) for each in four))
            for path in self.root.iter(f"{NS}path")
            for four in re.findall(r"M(\S+) (\S+?)L(\S+?) ([^M]+)", path.get("d", ""))
        ]

    @cached_property
    def frame(self) -> tuple[float, float, float, float]:
        (each,) = (each for each in self.root.iter(f"{NS}rect") if each.get("class") == "frame")
        x, y, w, h = (float(each.get(name, "")) for name in ("x", "y", "width", "height"))
        return x, y, x + w, y + h

    def table(self, name: str) -> list[dict[str, str]]:
        """The rows of a table by their headings, also those that are continued."""
        found = []
        for table in self.groups("table"):
            if next(_own(table, "name"), "").removesuffix(" (continued)") == name:
                headings = [cell for row in self.groups("heading", table) for cell in _cells(row)]
                found += [dict(zip(headings, _cells(row), strict=True)) for row in self.groups("row", table)]
        return found

    def remarks(self, name: str) -> list[str]:
        """What stands behind the name of a table."""
        tables = [table for table in self.groups("table") if next(_own(table, "name"), "") == name]
        return [" ".join(_own(table, "remark")) for table in tables]

    def groups(self, kind: str, within: object = None) -> Iterator[object]:
        start = self.root if within is None else within
        yield from (each for each in start.iter(f"{NS}g") if each.get("class") == kind)  # type: ignore[attr-defined]

    def kind(self, kind: str) -> list[str]:
        """The texts that are so marked."""
        return [each.text for each in self.texts if each.kind == kind]


def number(text: str, system: str) -> int:
    """A printed length [nm]."""
    *whole, last = text.replace("\u00a0", " ").split(" ")
    value = sum((Fraction(each) for each in whole), Fraction(0))
    value = value - Fraction(last) if text.startswith("-") and whole else value + Fraction(last)
    return int(value * (INCH if system == "inch" else MM))


def numbers(cell: str, system: str) -> list[int]:
    return [number(each, system) for each in cell.split(", ")]


def spans(cell: str, system: str) -> list[tuple[int, int]]:
    pairs = (each.replace("\u00a0", " ").split(" to ") for each in cell.split(", "))
    return [(number(a, system), number(b, system)) for a, b in pairs]


def _own(table: object, kind: str) -> Iterator[str]:
    for each in table.iter(f"{NS}text"):  # type: ignore[attr-defined]
        if each.get("class") == kind:
            yield each.text


def _cells(row: object) -> list[str]:
    cells = [each for each in row.iter(f"{NS}g") if each.get("class") == "cell"]  # type: ignore[attr-defined]
    return [" ".join(text.text for text in cell.iter(f"{NS}text")) for cell in cells]


def _text(each: object) -> Text:
    x, y, size, wide = (float(each.get(name)) for name in ("x", "y", "font-size", "textLength"))  # type: ignore[attr-defined]
    high = size * 1493 / 2048
    anchor = each.get("text-anchor", "start")  # type: ignore[attr-defined]
    before = {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    if each.get("transform"):  # type: ignore[attr-defined]
        box = (x - high, y + before - wide, x, y + before)
    else:
        box = (x - before, y - high, x - before + wide, y)
    return Text(each.text, each.get("class", ""), box)  # type: ignore[attr-defined]


def meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    """Whether two rectangles share room."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def crosses(stroke: Stroke, box: tuple[float, float, float, float]) -> bool:
    """Whether a line passes through a rectangle: clipped by its four sides (Liang and Barsky, 1984)."""
    dx, dy = stroke.x2 - stroke.x1, stroke.y2 - stroke.y1
    low, high = 0.0, 1.0
    for p, q in ((-dx, stroke.x1 - box[0]), (dx, box[2] - stroke.x1), (-dy, stroke.y1 - box[1]),
                 (dy, box[3] - stroke.y1)):  # fmt: skip
        if p == 0:
            if q <= 0:
                return False
        elif p < 0:
            low = max(low, q / p)
        else:
            high = min(high, q / p)
    return low < high
