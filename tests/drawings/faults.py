"""What is wrong with a drawing as one looks at it, found from its SVG alone."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from tests.drawings.read import Drawing, Text, crosses, meet

EASE = 0.05
"""How far a text may touch what is beside it [mm]."""
NO_MATTER = {"rip", "leftover"}
"""Lines that text may stand on: it has white behind it."""


def faults(drawing: Drawing) -> list[str]:
    """Texts outside the frame, texts over each other, texts with a line through them."""
    return [*_outside(drawing), *_over_texts(drawing), *_over_lines(drawing)]


def _outside(drawing: Drawing) -> Iterator[str]:
    left, top, right, bottom = drawing.frame
    for text in drawing.texts:
        a, b, c, d = text.box
        if a < left or b < top or c > right or d > bottom:
            yield f"{text.text!r} ({text.kind}) leaves the frame: {text.box}"
    for stroke in drawing.strokes:
        if not (left <= min(stroke.x1, stroke.x2) and max(stroke.x1, stroke.x2) <= right):
            yield f"a line ({stroke.kind}) leaves the frame on a side"
        if not (top <= min(stroke.y1, stroke.y2) and max(stroke.y1, stroke.y2) <= bottom):
            yield f"a line ({stroke.kind}) leaves the frame above or below"


def _over_texts(drawing: Drawing) -> Iterator[str]:
    boxes = [(text, _eased(text)) for text in drawing.texts]
    for i, (one, a) in enumerate(boxes):
        for other, b in boxes[i + 1 :]:
            if meet(a, b):
                yield f"{one.text!r} ({one.kind}) and {other.text!r} ({other.kind}) meet at {a[:2]}"


def _over_lines(drawing: Drawing) -> Iterator[str]:
    strokes = [stroke for stroke in drawing.strokes if stroke.kind not in NO_MATTER]
    ends = np.array([(each.x1, each.y1, each.x2, each.y2) for each in strokes]).reshape(-1, 4)
    low, high = np.minimum(ends[:, :2], ends[:, 2:]), np.maximum(ends[:, :2], ends[:, 2:])
    for text in drawing.texts:
        a, b, c, d = _eased(text)
        near = np.flatnonzero((low <= (c, d)).all(axis=1) & (high >= (a, b)).all(axis=1))
        through = next((strokes[i] for i in near if crosses(strokes[i], (a, b, c, d))), None)
        if through:
            yield f"a line ({through.kind}) runs through {text.text!r} ({text.kind}) at {(a, b)}"


def _eased(text: Text) -> tuple[float, float, float, float]:
    a, b, c, d = text.box
    return a + EASE, b + EASE, c - EASE, d - EASE
