"""From where everything on a shop sheet is measured: start, up and deep, as the sheet is looked at.

start: from the left-hand end; up: from below; deep: from the face that is seen, away from the eye. A piece is looked at
along its thinnest side, and from the inside of the furniture where it has one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from sawbill.drawings.lines.view import BACK, FRONT, LEFT, RIGHT, TOP, View
from sawbill.trade.boxes import Box, Point, bounds
from sawbill.trade.lengths import System

Span = tuple[int, int]
FACES: Final = (("left-hand side", "right-hand side"), ("underside", "top"), ("seen face", "far face"))
"""What the ends of start, up and deep are called on the sheet: the lesser first."""


@dataclass(frozen=True)
class Datum:
    """A way of looking at a piece that fills a box."""

    view: View
    box: Box
    inside: bool

    @cached_property
    def axes(self) -> tuple[tuple[int, int], tuple[int, int], tuple[int, int]]:
        """Start, up and deep as axes of space (0 to 2), each with +1 or -1 for the way it is counted."""
        right, up, toward = (
            next((k, 1 if each > 0 else -1) for k, each in enumerate(way) if each)
            for way in (self.view.right, self.view.up, self.view.toward)
        )
        return right, up, (toward[0], -toward[1])

    def span(self, box: Box, which: int) -> Span:
        """From where to where a box reaches along start (0), up (1) or deep (2) [nm]."""
        axis, sign = self.axes[which]
        low, high = box.low[axis], box.high[axis]
        if sign > 0:
            return low - self.box.low[axis], high - self.box.low[axis]
        return self.box.high[axis] - high, self.box.high[axis] - low

    def place(self, at: Point, which: int) -> int:
        """How far a point is along start, up or deep [nm]."""
        axis, sign = self.axes[which]
        return at[axis] - self.box.low[axis] if sign > 0 else self.box.high[axis] - at[axis]

    def along(self, axis: int) -> tuple[int, int]:
        """Which of start, up and deep runs along an axis of space, and whether with it (+1) or against it (-1)."""
        return next((which, sign) for which, (each, sign) in enumerate(self.axes) if each == axis)

    def face(self, axis: int, toward: int) -> str:
        """What the face is called at which something enters that goes along an axis."""
        which, sign = self.along(axis)
        return FACES[which][0 if sign * toward > 0 else 1]


def datum(boxes: Sequence[Box], whole: Box) -> Datum:
    """How to look at parts within the whole furniture."""
    box = bounds(boxes)
    x, y, z = box.size
    if z < min(x, y):
        return Datum(TOP, box, inside=False)
    axis = 1 if y <= x else 0
    side = (box.low[axis] + box.high[axis]) - (whole.low[axis] + whole.high[axis])
    if abs(side) * 4 < whole.size[axis]:  # in the middle: it has no inside
        return Datum((RIGHT, FRONT)[axis], box, inside=False)
    view = ((RIGHT, LEFT), (BACK, FRONT))[axis][side > 0]
    return Datum(view, box, inside=True)


def end_view(look: Datum, system: System) -> View:
    """What stands right of the main view: its right-hand end in third angle, its left-hand end in first."""
    side = 1 if system == "inch" else -1
    x, y, z = look.view.right
    toward = side * x, side * y, side * z
    return View("end", _cross(look.view.up, toward), look.view.up, toward)


def _cross(a: tuple[float, float, float], b: tuple[float, float, float]) -> tuple[float, float, float]:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
