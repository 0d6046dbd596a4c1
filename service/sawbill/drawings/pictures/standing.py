"""The furniture as it stands, from an eye in front of it, or from behind and below for what is not seen from there."""

from __future__ import annotations

from collections import Counter

from sawbill.drawings.lines.view import ISOMETRIC, View
from sawbill.drawings.paper.sheet import Page
from sawbill.drawings.pictures.picture import Picture, draw
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import Box
from sawbill.trade.frame import SleepingPlace


def standing(subject: Subject, view: View = ISOMETRIC) -> Page:
    """The whole frame; seen from the front with its mattresses as ghosts."""
    keys = tuple(subject.frame.by_key)
    picture = Picture(
        view, subject.frame.boxes, subject.grain(keys), subject.labels, Counter(subject.labels[key] for key in keys),
        [mattress_box(place) for place in subject.frame.sleeping_places] if view is ISOMETRIC else (),
    )  # fmt: skip
    drawing = "as it stands" if view is ISOMETRIC else f"as it stands, {view.name}"
    words = f"Parallel projection of {len(keys)} parts, {view.name}; letters are those of the cut list."
    page = subject.sheet(view.name.replace(" ", "-"), drawing, words)
    unseen = draw(page.canvas, page.area, picture)
    return Page(page.name, drawing, page.canvas.svg(), tuple(unseen))


def mattress_box(place: SleepingPlace) -> Box:
    """The space of a mattress, in the middle of the room it has."""
    (x1, y1, base), (x2, y2, _) = place.opening.low, place.opening.high
    long, wide = place.mattress.length, place.mattress.width
    if x2 - x1 < y2 - y1:
        long, wide = wide, long
    x, y = (x1 + x2 - long) // 2, (y1 + y2 - wide) // 2
    return Box((x, y, base), (x + long, y + wide, base + place.mattress.thickness))
