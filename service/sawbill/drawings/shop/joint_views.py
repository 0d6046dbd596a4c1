"""One view of a bolted joint on its sheet: edges, bolts with their numbers, letters, running dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi, sin
from typing import Final

import numpy as np

from sawbill.drawings.lines.seen import Line, seen_lines
from sawbill.drawings.lines.view import Floats, View, spans
from sawbill.drawings.paper import dimensions, lettering
from sawbill.drawings.paper.ink import Ink
from sawbill.drawings.paper.labels import Label, write
from sawbill.drawings.paper.sheet import Area, Sheet
from sawbill.drawings.paper.svg import CENTRE, DASHED, THICK, THIN, Canvas, Stroke
from sawbill.drawings.pictures.picture import SEAM, Fit, seen_places
from sawbill.drawings.shop.joints import Joint, line_of
from sawbill.trade.boxes import Point
from sawbill.trade.lengths import MM

BETWEEN: Final = 20.0
ABOVE: Final = 13.0
BELOW: Final = 26.0
INSET: Final = 4.0
"""Room around the views [mm]."""
EDGE: Final = 2.0
"""Between texts, and from them to the frame [mm]."""
_HEXAGON: Final = ((-1.0, 0.0), (1.0, 0.0), (1.0, 1.2), (-1.0, 1.2))
_DOME: Final = tuple((1.5 * cos(pi * i / 12), 1.2 * sin(pi * i / 12)) for i in range(13))
"""What a bolt's head looks like from the side: across, in its half widths, and up from the wood [mm]."""


def draw_view(page: Sheet, joint: Joint, view: View, area: Area, denominator: int) -> None:
    """One view: edges, bolts with their numbers, letters, running dimensions."""
    canvas = page.canvas
    left, _, _, top = view.bounds(*spans((joint.zone,)))
    fit = Fit(1 / denominator, area.left - left / denominator, area.top + top / denominator)
    canvas.text(area.left, area.top - ABOVE + 3.5, joint.caption(view), kind="caption")
    right = min(area.right + 14, page.area.right - EDGE)
    ink = Ink(Area(area.left - 5, area.top - ABOVE + 4.5, right, area.bottom + 1), ())
    (a, b), (c, d) = (area.left, area.top), (area.right, area.bottom)
    frame = [(a, b, c, b), (c, b, c, d), (c, d, a, d), (a, d, a, b)]
    boxes = tuple(joint.parts.values())
    lines = seen_lines(view, boxes, hidden=True, least=0.3 * denominator)
    for kind, width, dash in (("hidden", THIN, DASHED), ("seam", SEAM, ()), ("outline", THICK, ())):
        strokes = [fit.stroke(line) for line in lines if line.kind == kind and not _cut(joint, view, line)]
        canvas.strokes(strokes, width, dash=dash, kind=kind)
        ink.draw(*strokes)
    canvas.strokes(frame, SEAM, dash=CENTRE, kind="beyond")
    ink.cross(*frame)
    ink.cross(*_run(page, joint, view, fit, area))
    for low, high in zip(*spans(boxes), strict=True):
        x1, y1, x2, y2 = view.bounds(low[None], high[None])
        ink.cover(fit.points(np.array(((x1, y1), (x2, y1), (x2, y2), (x1, y2)))))
    _bolts(canvas, ink, joint, view, fit)
    low, high = spans(boxes)
    found = []
    for mark in sorted({joint.subject.labels[key] for key in joint.parts}):
        mine = [i for i, key in enumerate(joint.parts) if joint.subject.labels[key] == mark]
        points = fit.points(view.flat(seen_places(view, low, high, mine)))
        clear = ink.clear(points, 1.3, 1.3)
        found.append(Label(mark, 1, points[clear] if clear.any() else points))
    write(canvas, ink, found)


def _cut(joint: Joint, view: View, line: Line) -> bool:
    """Whether a line is there only because parts are cut off: it lies on the zone's edge, within the furniture."""
    low, high = joint.zone.low, joint.zone.high
    whole = joint.subject.frame.bounds
    flat = view.flat(np.array((low, high), np.float64) / MM)
    for k, (a, b) in enumerate(((line.x1, line.x2), (line.y1, line.y2))):
        axis = axis_of((view.right, view.up)[k])
        for end, edge in ((low, whole.low), (high, whole.high)):
            at = float(flat[0 if end is low else 1][k])
            if end[axis] != edge[axis] and abs(a - at) < 0.05 and abs(b - at) < 0.05:
                return True
    return False


def _run(page: Sheet, joint: Joint, view: View, fit: Fit, area: Area) -> list[Stroke]:
    """Running dimensions of part ends and bolts: below, and for the first view from the floor up."""
    lines: list[Stroke] = []
    for which, way in enumerate((view.right, view.up)):
        axis = axis_of(way)
        if which and view is not joint.views[0]:
            continue
        places = joint.told(axis)
        flat = np.array([[at / MM if k == axis else 0.0 for k in range(3)] for at in places.values()])
        told = list(zip(fit.points(view.flat(flat))[:, which].tolist(), places, strict=True))
        if which:
            ends = page.area.top + INSET, area.bottom + BELOW - EDGE
            lines += dimensions.run_upward(page.canvas, told, area.left, long=7, within=_middles(ends))
        else:
            ends = area.left - EDGE, min(area.right + BETWEEN, page.area.right) - EDGE
            lines += dimensions.run_across(page.canvas, told, area.bottom, long=7, within=_middles(ends))
    return lines


def _middles(ends: dimensions.Room) -> dimensions.Room:
    """Where the first and the last of running dimensions stand that keep between two ends."""
    return ends[0] + lettering.SMALL / 2, ends[1] - lettering.SMALL / 2


def axis_of(way: Sequence[float]) -> int:
    """Along which axis of the furniture a view's right or up is."""
    return next(k for k, each in enumerate(way) if each)


def _bolts(canvas: Canvas, ink: Ink, joint: Joint, view: View, fit: Fit) -> None:
    """Circles where the eye looks along a bolt, else its middle line with its head; the number beside each."""
    along = next(k for k in range(3) if abs(view.toward[k]) > 0.5)
    told: dict[tuple[float, float], str] = {}
    for number, each in enumerate(joint.ordered, 1):
        radius = each.drillings[0].diameter / MM / 2 * fit.scale
        if each.axis == along:
            x, y = _paper(view, fit, each.head)
            canvas.circle(x, y, radius, kind="hole")
            cross = [(x - radius - 0.8, y, x + radius + 0.8, y), (x, y - radius - 0.8, x, y + radius + 0.8)]
            canvas.strokes(cross, SEAM, kind="centre")
            ink.cross(*cross)
            told[x, y] = f"{told[x, y]}, {number}" if (x, y) in told else str(number)
            continue
        line = line_of(joint.subject, each)
        (x1, y1), (x2, y2) = _paper(view, fit, line.low), _paper(view, fit, line.high)
        head, tip = ((x1, y1), (x2, y2)) if each.toward > 0 else ((x2, y2), (x1, y1))
        size = max(float(np.hypot(tip[0] - head[0], tip[1] - head[1])), 1e-9)
        dx, dy = (tip[0] - head[0]) / size, (tip[1] - head[1]) / size
        shank = (head[0] - 2.5 * dx, head[1] - 2.5 * dy, tip[0] + 2.5 * dx, tip[1] + 2.5 * dy)
        canvas.strokes([shank], THIN, dash=CENTRE, kind="bolt")
        wide = 1.6 * radius + 0.4
        a, b = head[0] - 1.2 * dx, head[1] - 1.2 * dy
        outline = _DOME if each.round_head else _HEXAGON
        canvas.polygon(
            [
                (head[0] + across * wide * dy - up * dx, head[1] - across * wide * dx - up * dy)
                for across, up in outline
            ],
            "#000",
        )
        ink.cross(shank)
        told.setdefault((a - 1.0 * dx, b - 1.0 * dy), str(number))
    for (x, y), text in told.items():
        _number(canvas, ink, x, y, text)


def _paper(view: View, fit: Fit, at: Point) -> tuple[float, float]:
    x, y = fit.points(view.flat(np.array(at, np.float64) / MM)).tolist()
    return x, y


def _number(canvas: Canvas, ink: Ink, x: float, y: float, text: str) -> None:
    """A number near a bolt where no line or text is, and clear of what stands around the view."""
    wide = lettering.width(text, lettering.SMALL)
    around: Floats = np.array([
        (x + far * a * (1 + wide / 4), y + far * b)
        for far in (2.4, 3.4, 4.6, 6.0, 8.0)
        for a, b in ((1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (-1, 0), (0, 1))
    ])  # fmt: skip
    size = wide + 0.5, lettering.SMALL + 0.5
    clear = np.flatnonzero(ink.within(around, *size) & ink.clear(around, *size))
    if len(clear):
        at, down = around[clear[0]].tolist()
        canvas.text(at, down + lettering.SMALL / 2, text, anchor="middle", kind="number")
        ink.write(Area(at - wide / 2, down - lettering.SMALL / 2, at + wide / 2, down + lettering.SMALL / 2))
