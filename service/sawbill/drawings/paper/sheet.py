"""A sheet of paper with its frame and its title block (ISO 5457, ISO 7200): A4 by default, letter for inches."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from sawbill.drawings.paper import lettering
from sawbill.drawings.paper.svg import THICK, THIN, Canvas, number
from sawbill.trade.lengths import System

BORDER: Final = 10.0
FILING: Final = 20.0
"""How far the frame is from the edges of the paper, and from the one it is filed by (ISO 5457) [mm]."""
FRAME: Final = 0.7
BLOCK: Final = 14.0
"""How high the title block is [mm]; it is as wide as ISO 7200 lets it be at most."""
BLOCK_WIDTH: Final = 180.0
UNIT_NAME: Final[dict[System, str]] = {"inch": "inches", "metric": "mm"}
NOT_TO_SCALE: Final = "none"
SHEET: Final = "sheet"
"""What the frame and the title block are marked as."""
_DRAWN: Final = re.compile(rf'<g class="{SHEET}">.*?</g>\n', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper as it lies [mm]."""

    name: str
    width: float
    height: float


PAPERS: Final[dict[System, Paper]] = {"metric": Paper("A4", 297, 210), "inch": Paper("letter", 279.4, 215.9)}
"""What is printed on where people measure so."""


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle on paper, from its left and top [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom [mm]."""
        return self.bottom - self.top

    def inset(self, by: float) -> Area:
        """The rectangle so much smaller on each side [mm]."""
        return Area(self.left + by, self.top + by, self.right - by, self.bottom - by)


@dataclass(frozen=True, slots=True)
class Heading:
    """What the title block says. name: of the drawing, unique among those of one frame; scale: as it is printed."""

    name: str
    furniture: str
    drawing: str
    scale: str
    system: System
    description: str
    paper: Paper
    projected: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A finished drawing. name: unique among those of one frame; unseen: the letters of parts that it does not show."""

    name: str
    title: str
    svg: str
    unseen: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet to draw on: its name, its canvas, and the area that is free above the title block."""

    name: str
    canvas: Canvas
    area: Area


def blank(paper: Paper) -> Area:
    """The area that a sheet leaves free."""
    return Area(FILING, BORDER, paper.width - BORDER, paper.height - BORDER - BLOCK)


def inner(page: Page, paper: Paper, ids: str) -> str:
    """What is drawn on a sheet without the sheet: for a page of its own, as wide as there is room.

    ids: what its title and description are called by there, where other drawings are beside it.
    """
    area = blank(paper).inset(FRAME)
    w, h = number(paper.width), number(paper.height)
    box = " ".join(number(each) for each in (area.left, area.top, area.width, area.height))
    old = f'width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}"'
    bare = _DRAWN.sub("", page.svg, count=1)
    return bare.replace(old, f'width="100%" viewBox="{box}"', 1).replace(f"{page.name}-", f"{ids}-", 4)


def sheet(heading: Heading) -> Sheet:
    """A sheet with its frame and title block drawn."""
    paper = heading.paper
    title = f"{heading.furniture}: {heading.drawing}"
    canvas = Canvas(paper.width, paper.height, heading.name, title, heading.description)
    with canvas.group(SHEET):
        canvas.rectangle(
            FILING, BORDER, paper.width - FILING - BORDER, paper.height - 2 * BORDER, line=FRAME, kind="frame"
        )  # fmt: skip
        _title_block(canvas, heading, paper)
    return Sheet(heading.name, canvas, blank(heading.paper))


def _title_block(canvas: Canvas, heading: Heading, paper: Paper) -> None:
    right, bottom = paper.width - BORDER, paper.height - BORDER
    left, top = right - BLOCK_WIDTH, bottom - BLOCK
    canvas.strokes(((left, top, right, top), (left, top, left, bottom)), THICK)
    cells = [
        ("Title", heading.furniture, 64.0), ("Drawing", heading.drawing, 66.0), ("Scale", heading.scale, 15.0),
        ("Units", UNIT_NAME[heading.system], 18.0),
    ]  # fmt: skip
    at = left
    for caption, text, wide in cells:
        canvas.text(at + 1.5, top + 4.2, caption, lettering.SMALL)
        _fitted(canvas, at + 1.5, bottom - 2.6, text, wide - 3)
        at += wide
        canvas.strokes([(at, top, at, bottom)], THIN)
    if heading.projected:
        _projection_symbol(canvas, (at + right) / 2, (top + bottom) / 2, heading.system)
    _fitted(canvas, FILING + 2, bottom - 2.6, heading.note, left - FILING - 4, lettering.SMALL, 3)


def _fitted(
    canvas: Canvas, x: float, y: float, text: str, room: float, height: float = lettering.NORMAL, most: int = 2
) -> None:
    """A text at its height if there is room, else smaller, in up to `most` lines; what is too long is cut short."""
    if lettering.width(text, height) <= room:
        canvas.text(x, y, text, height)
        return
    lines = lettering.wrapped(text, lettering.SMALL, room)
    if len(lines) > most:
        lines[most - 1 :] = [_cut_short(" ".join(lines[most - 1 :]), room)]
    for i, line in enumerate(reversed(lines)):
        canvas.text(x, y + 0.8 - i * 3.7, line, lettering.SMALL)


def _cut_short(text: str, room: float) -> str:
    """As many letters as there is room for, and that some are missing."""
    while text and lettering.width(f"{text}…", lettering.SMALL) > room:
        text = text[:-1]
    return f"{text}…"


def _projection_symbol(canvas: Canvas, x: float, y: float, system: System) -> None:
    """A cone from its side and its end (ISO 128-3): third angle with inches, first angle with millimetres."""
    side = -1 if system == "metric" else 1  # the end view stands right of the side view in first angle
    cone, end = x + side * 2.6, x - side * 2.6
    canvas.polygon(((cone - 2, y - 1.1), (cone + 2, y - 2), (cone + 2, y + 2), (cone - 2, y + 1.1)), "none", line=THIN)
    canvas.circle(end, y, 2)
    canvas.circle(end, y, 1.1)
    canvas.strokes([(cone - 2.8, y, cone + 2.8, y), (end - 2.5, y, end + 2.5, y), (end, y - 2.5, end, y + 2.5)], 0.13,
                   dash=(1.5, 0.4, 0.2, 0.4))  # fmt: skip
