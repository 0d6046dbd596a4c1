"""A grown person as large as they are drawn, to see the furniture's size by."""

from __future__ import annotations

from typing import Final

from sawbill.drawings.paper.svg import THIN, Canvas

HEIGHT: Final = 1750.0
"""Of a person between the mean man and the mean woman of many countries (from memory) [mm]."""
WIDTH: Final = 0.32 * HEIGHT
_FILL: Final = "#f4f4f4"
_LINE: Final = "#777"
_HALF: Final = (
    (0.03, 0.875), (0.03, 0.85), (0.06, 0.835), (0.115, 0.825), (0.135, 0.78), (0.148, 0.64), (0.15, 0.5), (0.16, 0.43),
    (0.13, 0.43), (0.118, 0.56), (0.105, 0.73), (0.088, 0.62), (0.103, 0.5), (0.092, 0.28), (0.07, 0.05),
    (0.09, -0.005), (0.028, -0.005), (0.028, 0.28), (0.006, 0.47),
)  # fmt: skip
"""The right half of the outline, as shares of the height, from the neck down."""


def person(canvas: Canvas, x: float, floor: float, scale: float) -> None:
    """Draw a person whose feet are at a place on paper, so many millimetres of paper to one."""
    size = HEIGHT * scale
    half = [(a * size, floor - b * size) for a, b in _HALF]
    outline = [(x + a, y) for a, y in half] + [(x - a, y) for a, y in reversed(half)]
    canvas.curve(outline, _FILL, line=THIN, colour=_LINE)
    canvas.curve([(x + 0.062 * size * a, floor - (0.925 + 0.08 * b) * size) for a, b in _ROUND], _FILL,
                 line=THIN, colour=_LINE)  # fmt: skip


_ROUND: Final = ((1, 0), (0.8, 0.7), (0, 1), (-0.8, 0.7), (-1, 0), (-0.7, -0.75), (0, -1), (0.7, -0.75))
