"""How wide a text is on paper, measured with the font that is shipped: DejaVu Sans Condensed.

`data/` holds the font cut down to the letters of European languages (its licence beside it lets anybody do so, and
ship it), for pages and printed sheets, and its advance widths as a table. A text says its width in the drawing too,
so that it takes no more room where a reader lacks the font.
"""

from __future__ import annotations

import csv
from functools import cache, lru_cache
from importlib.resources import files
from typing import Final

FAMILY: Final = "DejaVu Sans Condensed, DejaVu Sans, Verdana, sans-serif"
UNITS: Final = 2048
"""To the em, as the font's table `head` says."""
CAPITAL: Final = 1493 / UNITS
"""Height of a capital, to the em: the H of the font."""
SMALL: Final = 2.5
NORMAL: Final = 3.5
LARGE: Final = 5.0
"""Heights of capitals (ISO 3098-1: 2.5, 3.5, 5 and 7; 2.5 the smallest) [mm]."""


def size(height: float) -> float:
    """The font size whose capitals are so high [mm]."""
    return height / CAPITAL


@lru_cache(maxsize=8192)
def width(text: str, height: float, *, bold: bool = False) -> float:
    """How wide a text is whose capitals are so high [mm]; a letter the font lacks counts as its widest."""
    table = _advances()[bold]
    units = sum(table.get(letter, UNITS) for letter in text)
    return units / UNITS * size(height)


def wrapped(text: str, height: float, room: float, *, bold: bool = False) -> list[str]:
    """A text in lines no wider than the room [mm], broken between words; a longer word stands alone."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, height, bold=bold) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


@cache
def _advances() -> tuple[dict[str, int], dict[str, int]]:
    text = (files("sawbill.drawings.paper") / "data" / "advances.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    regular = {chr(int(row["codepoint"], 16)): int(row["regular"]) for row in rows}
    return regular, {chr(int(row["codepoint"], 16)): int(row["bold"]) for row in rows}
