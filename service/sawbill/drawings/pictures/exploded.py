"""The furniture taken apart into its carried pieces."""

from __future__ import annotations

from collections import Counter

from sawbill.drawings.lines.view import ISOMETRIC
from sawbill.drawings.paper.sheet import NOT_TO_SCALE, Heading, sheet
from sawbill.drawings.pictures.exploding import explode
from sawbill.drawings.pictures.picture import Picture, draw
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import Box, Point


def exploded(subject: Subject) -> tuple[str, list[str]]:
    """The pieces moved apart along the ways they come off: SVG, and the letters that are not in it."""
    apart = explode(subject)
    boxes = {
        key: _moved(subject.frame.boxes[key], move)
        for piece, move in apart.moves.items()
        for key in subject.pieces[piece].parts
    }
    picture = Picture(
        ISOMETRIC, boxes, subject.grain(tuple(boxes)), subject.labels,
        Counter(subject.labels.values()), trails=apart.trails,
    )  # fmt: skip
    counts = Counter(piece.kind for piece in subject.pieces)
    left_out = "; ".join(
        f"{counts[kind]} x {kind}: {counts[kind] - hidden} shown" for kind, hidden in apart.hidden.items()
    )
    words = f"{len(subject.pieces)} pieces, moved apart along the ways they come off. {left_out}".strip()
    page = sheet(
        Heading("exploded", subject.title, "taken apart", NOT_TO_SCALE, subject.system, words, note=left_out)
    )  # fmt: skip
    left = draw(page.canvas, page.area, picture)
    return page.canvas.svg(), left


def _moved(box: Box, move: Point) -> Box:
    (dx, dy, dz), (a, b, c), (d, e, f) = move, box.low, box.high
    return Box((a + dx, b + dy, c + dz), (d + dx, e + dy, f + dz))
