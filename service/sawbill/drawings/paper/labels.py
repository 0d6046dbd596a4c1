"""Where the letters of parts are written: on the wood if it has room, else beside it with a leader to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import cos, radians, sin
from typing import Final

import numpy as np

from sawbill.drawings.lines.view import Floats
from sawbill.drawings.paper import lettering
from sawbill.drawings.paper.ink import Ink
from sawbill.drawings.paper.sheet import Area
from sawbill.drawings.paper.svg import THIN, Canvas

CLEARANCE: Final = 0.9
"""How far a letter on the wood is from any line [mm]."""
DOT: Final = 0.5
PER_CROSSING: Final = 4.0
"""What a leader that crosses a line counts for, in millimetres of its length."""
ANGLES: Final = (60, 45, 30, 120, 135, 150, -60, -45, -30, -120, -135, -150)
"""How leaders may lie [degrees] (ISO 128-2: not parallel to what they cross)."""
LENGTHS: Final = tuple(range(5, 24, 2)) + tuple(range(24, 130, 6))
_TRIED: Final = 16
_ANCHORS: Final = 4


@dataclass(frozen=True, slots=True)
class Label:
    """A letter for parts alike; count: how many there are; points: places on them that are seen (n, 2) [mm]."""

    text: str
    count: int
    points: Floats

    @property
    def counted(self) -> str:
        """How many, as it is written after the letter."""
        return f"\u00d7{self.count}" if self.count > 1 else ""

    @property
    def width(self) -> float:
        """Of letter and count together [mm]."""
        count = lettering.width(self.counted, lettering.SMALL) + 0.7 if self.counted else 0.0
        return lettering.width(self.text, lettering.NORMAL, bold=True) + count


def write(canvas: Canvas, ink: Ink, labels: Iterable[Label]) -> list[str]:
    """Write each label where it is clear; the texts for which nothing is seen or no place is left are returned."""
    left, beside = [], []
    for label in labels:
        if not len(label.points):
            left.append(label.text)
        elif not _on_wood(canvas, ink, label):
            beside.append(label)
    for label in sorted(beside, key=lambda label: len(label.points)):
        if not _beside(canvas, ink, label):
            left.append(label.text)
    return left


def _on_wood(canvas: Canvas, ink: Ink, label: Label) -> bool:
    width, height = label.width + 2 * CLEARANCE, lettering.NORMAL + 2 * CLEARANCE
    clear = np.flatnonzero(ink.clear(label.points, width, height))
    if not len(clear):
        return False
    _text(canvas, ink, label, label.points[clear[0]])
    return True


def _beside(canvas: Canvas, ink: Ink, label: Label) -> bool:
    """The shortest leader that crosses least, from a few places on the parts."""
    best: tuple[float, Floats, Floats, Floats] | None = None
    for point in label.points[:: max(1, len(label.points) // _ANCHORS)]:
        found = _leader(ink, label, point)
        if found and (best is None or found[0] < best[0] - 0.01):
            best = found
    if best is None:
        return False
    _, point, end, centre = best
    (x, y), line = point.tolist(), (*point.tolist(), *end.tolist())
    canvas.circle(x, y, DOT, line=0, fill="#000", kind="leader")
    canvas.strokes([line], THIN, kind="leader")
    ink.bar(line)
    _text(canvas, ink, label, centre)
    return True


def _leader(ink: Ink, label: Label, point: Floats) -> tuple[float, Floats, Floats, Floats] | None:
    width, height = label.width + 1.2, lettering.NORMAL + 1.2
    ways, lengths = _fan()
    half = np.array((width / 2, height / 2))
    reach = np.min(half / np.abs(ways), axis=1)
    ends = point + ways * lengths[:, None]
    centres = ends + ways * reach[:, None]
    there = np.flatnonzero(ink.room(centres, width, height))[:_TRIED]
    if not len(there):
        return None
    starts = np.repeat(point[None], len(there), axis=0)
    cost = lengths[there] + PER_CROSSING * ink.crossings(starts, ends[there])
    cost[ink.stopped(starts, ends[there])] = np.inf
    best = int(np.argmin(cost))
    if np.isinf(cost[best]):
        return None
    return float(cost[best]), point, ends[there[best]], centres[there[best]]


@cache
def _fan() -> tuple[Floats, Floats]:
    """All ways and lengths of leaders, the shortest first."""
    pairs = [(length, angle) for length in LENGTHS for angle in ANGLES]
    ways = np.array([(cos(radians(angle)), -sin(radians(angle))) for _, angle in pairs])
    return ways, np.array([float(length) for length, _ in pairs])


def _text(canvas: Canvas, ink: Ink, label: Label, centre: Floats) -> None:
    x, y = float(centre[0]) - label.width / 2, float(centre[1]) + lettering.NORMAL / 2
    canvas.text(x, y, label.text, lettering.NORMAL, bold=True, kind="label")
    wide = lettering.width(label.text, lettering.NORMAL, bold=True)
    canvas.text(x + wide + 0.7, y, label.counted, lettering.SMALL, kind="count")
    ink.write(Area(x, y - lettering.NORMAL, x + label.width, y))
