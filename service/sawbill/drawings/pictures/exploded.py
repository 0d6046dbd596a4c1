"""The furniture taken apart into its carried pieces."""

from __future__ import annotations

from collections import Counter

from sawbill.drawings.lines.view import ISOMETRIC, View
from sawbill.drawings.paper.sheet import Page
from sawbill.drawings.pictures.exploding import explode
from sawbill.drawings.pictures.moving import moved
from sawbill.drawings.pictures.picture import Picture, draw
from sawbill.drawings.subject import Subject


def exploded(subject: Subject, view: View = ISOMETRIC) -> Page:
    """The pieces moved apart along the ways they come off."""
    apart = explode(subject)
    boxes = {
        key: moved(subject.frame.boxes[key], move)
        for piece, move in apart.moves.items()
        for key in subject.pieces[piece].parts
    }
    picture = Picture(
        view, boxes, subject.grain(tuple(boxes)), subject.labels, Counter(subject.labels.values()), trails=apart.trails
    )
    counts = Counter(piece.kind for piece in subject.pieces)
    left_out = "; ".join(
        f"{counts[kind]} x {kind}: {counts[kind] - hidden} shown" for kind, hidden in apart.hidden.items()
    )
    front = view is ISOMETRIC
    name = "exploded" if front else f"exploded-{view.name.replace(' ', '-')}"
    drawing = "taken apart" if front else f"taken apart, {view.name}"
    words = f"{len(subject.pieces)} pieces, moved apart along the ways they come off. {left_out}".strip()
    page = subject.sheet(name, drawing, words, note=left_out)
    unseen = draw(page.canvas, page.area, picture)
    return Page(name, drawing, page.canvas.svg(), tuple(unseen))
