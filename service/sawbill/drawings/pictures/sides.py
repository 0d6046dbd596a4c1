"""The furniture from the front, from one side and from above, to scale, with its main dimensions.

Third angle with inches, first angle with millimetres: where each view stands says from where it is seen.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.drawings.lines.seen import seen_lines
from sawbill.drawings.lines.view import FRONT, LEFT, RIGHT, TOP, View, spans
from sawbill.drawings.paper import dimensions, lettering
from sawbill.drawings.paper.scale import DENOMINATORS, printed
from sawbill.drawings.paper.sheet import Area, Page, blank
from sawbill.drawings.paper.svg import DASHED, THICK, THIN, Canvas
from sawbill.drawings.pictures.person import HEIGHT, WIDTH, person
from sawbill.drawings.pictures.picture import MATTRESS_DASH, OUTLINE, SEAM, Fit, mattress_strokes
from sawbill.drawings.pictures.standing import mattress_box
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.lengths import MM

LEVELS: Final = 9
"""More running dimensions than this on one side of a view are a thicket."""
NO_HIDDEN: Final = 16
"""From this denominator up hidden lines run into each other and are left out."""
FINE: Final = 20
"""From this denominator up outlines are thinner."""
MARGIN: Final = 24.0
"""Room for dimensions left of a view and below it [mm]."""
BETWEEN: Final = 14.0
SMALLER: Final = 1.6
"""How much smaller all may be drawn for a person to stand beside it."""
HEAD: Final = 8.0
"""Room above a view for what it is called [mm]."""
LEAST: Final = 0.4


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a view stands on paper: its left upper corner [mm]."""

    view: View
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where views and the person stand, and how much room all take [mm]."""

    spots: Sequence[_Spot]
    person: tuple[float, float] | None
    width: float
    height: float


def sides(subject: Subject, views: Sequence[View] | None = None) -> Page:
    """Three views on a sheet, or those asked for."""
    chosen = tuple(views or (FRONT, LEFT if subject.system == "metric" else RIGHT, TOP))
    area = blank(subject.paper).inset(3)
    every = (*subject.frame.boxes.values(), *map(mattress_box, subject.frame.sleeping_places))
    denominator, layout = _largest(subject, chosen, every, area)
    names = f"seen {subject.seen_from(chosen[0])}" if len(chosen) == 1 else "front, side and top"
    page = subject.sheet(
        chosen[0].name if len(chosen) == 1 else "sides", names,
        f"Views at 1:{denominator}, {', '.join(map(subject.seen_from, chosen))}, with running dimensions.",
        f"1:{denominator}", projected=len(chosen) > 1,
        note="Dimensions run from the left-hand end and from the floor; dash-dotted: the mattress.",
    )  # fmt: skip
    dx = area.left + (area.width - layout.width) / 2
    dy = area.top + (area.height - layout.height) / 2
    for spot in layout.spots:
        _view(page.canvas, subject, every, _Spot(spot.view, spot.x + dx, spot.y + dy), denominator, len(chosen))
    if layout.person:
        person(page.canvas, layout.person[0] + dx, layout.person[1] + dy, 1 / denominator)
    return Page(page.name, names, page.canvas.svg())


def _largest(subject: Subject, views: Sequence[View], boxes: Sequence[Box], area: Area) -> tuple[int, _Layout]:
    """The largest scale that fits, with a person beside the furniture unless that makes all much smaller."""
    alone, together = (_fitting(subject, views, boxes, area, tall) for tall in (0.0, HEIGHT))
    return together if together[0] <= alone[0] * SMALLER else alone


def _fitting(
    subject: Subject, views: Sequence[View], boxes: Sequence[Box], area: Area, tall: float
) -> tuple[int, _Layout]:
    for denominator in DENOMINATORS[subject.system]:
        layout = _layout(subject, views, boxes, 1 / denominator, tall / denominator)
        if layout.width <= area.width and layout.height <= area.height:
            break
    return denominator, layout


def _layout(subject: Subject, views: Sequence[View], boxes: Sequence[Box], scale: float, tall: float) -> _Layout:
    """Where all stands at a scale; tall: how high a person is on paper, 0 for none [mm]."""
    sizes = {view.name: _size(view, boxes, scale) for view in views}
    stood = [view for view in views if view is not TOP]
    top = sizes.get(TOP.name)
    above = subject.system == "inch"
    beneath = HEAD + top[1] + MARGIN if top else 0.0
    row = max((sizes[view.name][1] for view in stood), default=0.0)
    if stood:  # a person may stand up into the corner beside the view from above
        row = max(row, tall - beneath - HEAD if above else tall - HEAD)
    base = (beneath if above else 0.0) + (HEAD + row if stood else 0.0)
    spots, x = [], MARGIN
    for view in stood:
        spots.append(_Spot(view, x, base - sizes[view.name][1]))
        x += max(sizes[view.name][0], lettering.width(_caption(subject, view), lettering.SMALL) - 6) + BETWEEN
    height = base + (MARGIN if stood else 0.0)
    wide = tall * WIDTH / HEIGHT
    feet = (x + wide / 2, base) if stood and tall else None
    if top:
        spots.append(_Spot(TOP, MARGIN, HEAD if above else height + HEAD))
        height = height if above else height + beneath
    width = max(x + (wide if feet else -BETWEEN), MARGIN + (top[0] if top else 0.0))
    return _Layout(spots, feet, width, max(height, beneath))


def _size(view: View, boxes: Sequence[Box], scale: float) -> tuple[float, float]:
    left, bottom, right, top = view.bounds(*spans(tuple(boxes)))
    return (right - left) * scale, (top - bottom) * scale


def _view(canvas: Canvas, subject: Subject, every: Sequence[Box], spot: _Spot, denominator: int, views: int) -> None:
    """One view with its lines, what it is called, and its dimensions."""
    view, boxes = spot.view, tuple(subject.frame.boxes.values())
    left, bottom, right, top = view.bounds(*spans(tuple(every)))
    fit = Fit(1 / denominator, spot.x - left / denominator, spot.y + top / denominator)
    lines = seen_lines(view, boxes, hidden=denominator < NO_HIDDEN, least=LEAST * denominator)
    ghosts = mattress_strokes(view, [mattress_box(each) for each in subject.frame.sleeping_places], boxes, fit)
    canvas.strokes([fit.stroke(line) for line in lines if line.kind == "hidden"], THIN, dash=DASHED, kind="hidden")
    canvas.strokes(ghosts, SEAM, dash=MATTRESS_DASH, kind="mattress")
    canvas.strokes([fit.stroke(line) for line in lines if line.kind == "seam"], SEAM, kind="seam")
    outline = [fit.stroke(line) for line in lines if line.kind == "outline"]
    canvas.strokes(outline, THICK if denominator < FINE else OUTLINE, kind="outline")
    box = Area(spot.x, spot.y, spot.x + (right - left) / denominator, spot.y + (top - bottom) / denominator)
    canvas.text(box.left, box.top - 3, _caption(subject, view), lettering.SMALL)
    _dimensions(canvas, subject, view, fit, box, views)


def _caption(subject: Subject, view: View) -> str:
    return f"seen {subject.seen_from(view)}"


def _dimensions(canvas: Canvas, subject: Subject, view: View, fit: Fit, box: Area, views: int) -> None:
    """Running ones along the floor or up from it; no dimension is told twice on a sheet of several views."""
    whole = subject.frame.bounds
    across, up = _axis(view.right), _axis(view.up)
    alone = views == 1
    if view is not TOP or alone:
        _run_across(canvas, subject, view, fit, box, across, whole)
    if view is FRONT or alone:
        places = [(fit.y - fit.scale * z / MM * _sign(view.up), printed(z - whole.low[up], subject.system))
                  for z in _levels(subject, up)]  # fmt: skip
        dimensions.run_upward(canvas, places, box.left)
    elif view is TOP:
        wide = printed(whole.size[up], subject.system)
        y1, y2 = (fit.y - fit.scale * each / MM for each in (whole.high[up], whole.low[up]))
        dimensions.upward(canvas, y1, y2, box.left, box.left - 10, f"({wide})")


def _run_across(canvas: Canvas, subject: Subject, view: View, fit: Fit, box: Area, axis: int, whole: Box) -> None:
    sign = _sign(view.right)
    start = whole.low[axis] if sign > 0 else whole.high[axis]
    places = [
        (fit.x + fit.scale * sign * each / MM, printed(abs(each - start), subject.system))
        for each in _levels(subject, axis)
    ]
    dimensions.run_across(canvas, places, box.bottom)


def _levels(subject: Subject, axis: int) -> list[int]:
    """Where carried pieces begin and end along an axis, and what carries the mattress; those of most pieces first."""
    whole = subject.frame.bounds.span(AXES[axis])
    always = set(whole)
    if axis == 2:
        always |= {place.opening.low[2] for place in subject.frame.sleeping_places}
    counts: Counter[int] = Counter()
    for placed in subject.placed:
        if placed.count == 1:
            counts.update(bounds(subject.boxes(placed.parts)).span(AXES[axis]))
    more = sorted(set(counts) - always, key=lambda at: (-counts[at], at))
    return sorted([*always, *more[: max(0, LEVELS - len(always))]])


def _axis(way: Iterable[float]) -> int:
    return next(k for k, each in enumerate(way) if each)


def _sign(way: Iterable[float]) -> int:
    return 1 if sum(way) > 0 else -1
