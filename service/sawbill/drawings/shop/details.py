"""Where pieces are bolted to each other, drawn large: what lies on what, and where each bolt goes.

What is within a hand's breadth of the bolts is shown from two sides and from above; the rest is cut off.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Final

import numpy as np

from sawbill.drawings.lines.seen import Line, seen_lines
from sawbill.drawings.lines.view import BACK, FRONT, LEFT, RIGHT, TOP, Floats, View, spans
from sawbill.drawings.paper import dimensions, lettering
from sawbill.drawings.paper.ink import Ink
from sawbill.drawings.paper.labels import Label, write
from sawbill.drawings.paper.scale import DENOMINATORS, printed
from sawbill.drawings.paper.sheet import Area, Page, Sheet
from sawbill.drawings.paper.svg import CENTRE, DASHED, THICK, THIN, Canvas, Stroke
from sawbill.drawings.paper.table import Table, draw_tables, height
from sawbill.drawings.pictures.picture import SEAM, Fit, seen_places
from sawbill.drawings.subject import Subject
from sawbill.making.holes import Fastener, fasteners_of
from sawbill.trade.boxes import AXES, Box, Point, bounds, point
from sawbill.trade.frame import Bolted
from sawbill.trade.lengths import INCH, MM

AROUND: Final = 4 * INCH
"""How far around its bolts a joint is shown [nm]."""
TOGETHER: Final = 8 * INCH
"""Bolts no farther apart are shown together [nm]."""
LARGEST: Final = 4
"""The scale, 1:4, or 1:5 in millimetres; smaller where there is no room."""
MOST: Final = 6
"""No more kinds of joints are drawn than this."""
LEFT_OF: Final = 22.0
BETWEEN: Final = 20.0
ABOVE: Final = 13.0
BELOW: Final = 26.0
INSET: Final = 4.0
"""Room around the views [mm]."""
EDGE: Final = 2.0
"""Between texts, and from them to the frame [mm]."""
NOTE: Final = "Dash-dotted frame: the parts go on beyond it. Filled: the head of a bolt; dashed: hidden edges."


@dataclass(frozen=True)
class Detail:
    """A joint: the bolts between pieces, and the space that is shown."""

    subject: Subject
    fasteners: tuple[Fastener, ...]
    zone: Box

    @cached_property
    def parts(self) -> Mapping[str, Box]:
        """What of each part lies in the zone."""
        found = {key: _common(box, self.zone) for key, box in self.subject.frame.boxes.items()}
        return {key: box for key, box in found.items() if box is not None}

    @cached_property
    def views(self) -> tuple[View, View, View]:
        """From the two outer sides that are nearest, and from above."""
        whole, middle = self.subject.frame.bounds, _middle(self.zone)
        at_left = 2 * middle[0] < whole.low[0] + whole.high[0]
        at_front = 2 * middle[1] < whole.low[1] + whole.high[1]
        return FRONT if at_front else BACK, LEFT if at_left else RIGHT, TOP

    @cached_property
    def kind(self) -> tuple[object, ...]:
        """What is alike in joints of which one is drawn."""
        letters = sorted(self.subject.labels[key].rstrip("0123456789") for key in self.parts)
        bolts = sorted((each.words, self.zone.low[2]) for each in self.fasteners)
        return (*letters, *bolts, tuple(sorted(self.zone.size)))

    def along(self, axis: int, at: int) -> int:
        """How far a place is from the nearer end or side of the furniture, or from the floor [nm]."""
        low, high = self.subject.frame.bounds.low[axis], self.subject.frame.bounds.high[axis]
        near = axis == 2 or 2 * _middle(self.zone)[axis] < low + high
        return at - low if near else high - at

    def side(self, axis: int) -> str:
        """From where that is counted."""
        if axis == 2:
            return "above the floor"
        low, high = self.subject.frame.bounds.low[axis], self.subject.frame.bounds.high[axis]
        near = 2 * _middle(self.zone)[axis] < low + high
        return f"from the {self.subject.frame.sides.name(AXES[axis], -1 if near else 1)}"


def detail_sheets(subject: Subject) -> list[Page]:
    """A sheet for each kind of bolted joint between pieces."""
    alike: dict[tuple[object, ...], list[Detail]] = {}
    for each in _details(subject):
        alike.setdefault(each.kind, []).append(each)
    groups = list(alike.values())[:MOST]
    return [_sheet(number, each[0], len(each)) for number, each in enumerate(groups, 1)]


def _details(subject: Subject) -> Iterator[Detail]:
    """The joints, one after another: bolts between pieces, those near each other together."""
    between = {
        (joint.parts, joint.head)
        for joint in subject.frame.joints
        if isinstance(joint, Bolted) and len({subject.piece_of[key] for key in joint.parts}) > 1
    }
    groups: list[list[Fastener]] = []
    for each in fasteners_of(subject.frame):
        if (each.parts, each.head) in between:
            near = [group for group in groups if any(_near(each, other) for other in group)]
            groups = [group for group in groups if group not in near]
            groups.append([fastener for group in near for fastener in group] + [each])
    whole = subject.frame.bounds
    for group in sorted(groups, key=lambda group: group[0].head):
        ends = bounds([_line(subject, each) for each in group])
        low = point(max(a - AROUND, b) for a, b in zip(ends.low, whole.low, strict=True))
        high = point(min(a + AROUND, b) for a, b in zip(ends.high, whole.high, strict=True))
        yield Detail(subject, tuple(group), Box(low, high))


def _near(one: Fastener, other: Fastener) -> bool:
    return max(abs(a - b) for a, b in zip(one.head, other.head, strict=True)) <= TOGETHER


def _line(subject: Subject, fastener: Fastener) -> Box:
    """From the head of a bolt to where it comes out, without thickness."""
    through = bounds(subject.boxes(fastener.parts))
    low, high = list(fastener.head), list(fastener.head)
    low[fastener.axis], high[fastener.axis] = through.low[fastener.axis], through.high[fastener.axis]
    return Box(point(low), point(high))


def _common(box: Box, zone: Box) -> Box | None:
    low = point(max(a, b) for a, b in zip(box.low, zone.low, strict=True))
    high = point(min(a, b) for a, b in zip(box.high, zone.high, strict=True))
    return Box(low, high) if all(a < b for a, b in zip(low, high, strict=True)) else None


def _middle(box: Box) -> Point:
    return point((a + b) // 2 for a, b in zip(box.low, box.high, strict=True))


def _sheet(number: int, detail: Detail, count: int) -> Page:
    subject = detail.subject
    pieces = dict.fromkeys(
        subject.pieces[subject.piece_of[key]].kind for each in detail.fasteners for key in each.parts
    )
    drawing = f"joint of {' and '.join(pieces)}" + (f" ({count} alike)" if count > 1 else "")
    tables = [_table(detail)]
    denominator, areas, table = _layout(detail, tables)
    page = subject.sheet(
        f"detail-{number}", drawing, f"{drawing}, from two sides and from above, with where each bolt goes.",
        f"1:{denominator}", projected=False, note=NOTE,
    )  # fmt: skip
    for view, area in zip(detail.views, areas, strict=True):
        _view(page, detail, view, area, denominator)
    draw_tables(page.canvas, tables, table)
    return Page(page.name, drawing, page.canvas.svg())


def _layout(detail: Detail, tables: Sequence[Table]) -> tuple[int, list[Area], Area]:
    """The largest scale at which the views have room beside each other, where they stand, and where the table does.

    The table stands under them, or beside them where their running dimensions alone leave it no room there.
    """
    paper = detail.subject.sheet("", "", "").area.inset(INSET)
    scales = [each for each in DENOMINATORS[detail.subject.system] if each >= LARGEST]
    for beside, denominator in product((False, True), scales):
        areas, right, free = _placed(detail, paper, denominator)
        bottom = areas[0].bottom + BELOW
        if beside:
            table = Area(free, paper.top, paper.right, paper.bottom)
        else:
            table = Area(paper.left, bottom, paper.right, paper.bottom)
        fits = right <= paper.right and bottom <= paper.bottom and table.width > 0
        if fits and height(tables, table.width) <= table.height:
            break
    return denominator, areas, table


def _placed(detail: Detail, paper: Area, denominator: int) -> tuple[list[Area], float, float]:
    """The views at a scale, where they and their dimensions end on the right, and what is free beyond [mm]."""
    runs = [dimensions.length(len(_told(detail, axis))) for axis in range(3)]
    x, areas = paper.left + LEFT_OF, []
    tall = max(_size(detail, view, denominator)[1] for view in detail.views)
    bottom = paper.top + max(ABOVE + tall, runs[2] - BELOW + EDGE)
    for view in detail.views:
        wide, high = _size(detail, view, denominator)
        areas.append(Area(x, bottom - high, x + wide, bottom))
        right = x + max(wide, runs[_axis(view.right)] - EDGE)
        caption = lettering.width(_caption(detail, view), lettering.SMALL)
        x = max(x + wide + BETWEEN, x + caption + EDGE, right + 2 * EDGE)
    return areas, right, x


def _size(detail: Detail, view: View, denominator: int) -> tuple[float, float]:
    left, bottom, right, top = view.bounds(*spans((detail.zone,)))
    return (right - left) / denominator, (top - bottom) / denominator


def _table(detail: Detail) -> Table:
    """Where each bolt goes, in words and numbers."""
    subject = detail.subject
    rows = []
    for number, each in enumerate(_ordered(detail), 1):
        places = ["" if k == each.axis else _printed(detail, k, each.head[k]) for k in range(3)]
        from_ = subject.frame.sides.name(AXES[each.axis], -1 if each.toward > 0 else 1)
        through = ", ".join(subject.labels[key] for key in each.parts)
        rows.append((str(number), each.words, through, f"from the {from_}", each.end, *places))
    headings = ("no.", "what", "through", "goes in", "at its end", *(detail.side(k) for k in range(3)))
    return Table(
        "BOLTS", "where the middle of each is, and through which parts, from its head on", headings, tuple(rows)
    )


def _ordered(detail: Detail) -> list[Fastener]:
    return sorted(detail.fasteners, key=lambda each: (each.axis, each.head[2], each.head))


def _printed(detail: Detail, axis: int, at: int) -> str:
    return printed(detail.along(axis, at), detail.subject.system)


def _view(page: Sheet, detail: Detail, view: View, area: Area, denominator: int) -> None:
    """One view: edges, bolts with their numbers, letters, running dimensions."""
    canvas = page.canvas
    left, _, _, top = view.bounds(*spans((detail.zone,)))
    fit = Fit(1 / denominator, area.left - left / denominator, area.top + top / denominator)
    canvas.text(area.left, area.top - ABOVE + 3.5, _caption(detail, view), kind="caption")
    right = min(area.right + 14, page.area.right - EDGE)
    ink = Ink(Area(area.left - 5, area.top - ABOVE + 4.5, right, area.bottom + 1), ())
    (a, b), (c, d) = (area.left, area.top), (area.right, area.bottom)
    frame = [(a, b, c, b), (c, b, c, d), (c, d, a, d), (a, d, a, b)]
    boxes = tuple(detail.parts.values())
    lines = seen_lines(view, boxes, hidden=True, least=0.3 * denominator)
    for kind, width, dash in (("hidden", THIN, DASHED), ("seam", SEAM, ()), ("outline", THICK, ())):
        strokes = [fit.stroke(line) for line in lines if line.kind == kind and not _cut(detail, view, line)]
        canvas.strokes(strokes, width, dash=dash, kind=kind)
        ink.draw(*strokes)
    canvas.strokes(frame, SEAM, dash=CENTRE, kind="beyond")
    ink.cross(*frame)
    ink.cross(*_run(page, detail, view, fit, area))
    for low, high in zip(*spans(boxes), strict=True):
        x1, y1, x2, y2 = view.bounds(low[None], high[None])
        ink.cover(fit.points(np.array(((x1, y1), (x2, y1), (x2, y2), (x1, y2)))))
    _bolts(canvas, ink, detail, view, fit)
    low, high = spans(boxes)
    found = []
    for mark in sorted({detail.subject.labels[key] for key in detail.parts}):
        mine = [i for i, key in enumerate(detail.parts) if detail.subject.labels[key] == mark]
        points = fit.points(view.flat(seen_places(view, low, high, mine)))
        clear = ink.clear(points, 1.3, 1.3)
        found.append(Label(mark, 1, points[clear] if clear.any() else points))
    write(canvas, ink, found)


def _cut(detail: Detail, view: View, line: Line) -> bool:
    """Whether a line is there only because parts are cut off: it lies on the zone's edge, within the furniture."""
    low, high = detail.zone.low, detail.zone.high
    whole = detail.subject.frame.bounds
    flat = view.flat(np.array((low, high), np.float64) / MM)
    for k, (a, b) in enumerate(((line.x1, line.x2), (line.y1, line.y2))):
        axis = _axis((view.right, view.up)[k])
        for end, edge in ((low, whole.low), (high, whole.high)):
            at = float(flat[0 if end is low else 1][k])
            if end[axis] != edge[axis] and abs(a - at) < 0.05 and abs(b - at) < 0.05:
                return True
    return False


def _caption(detail: Detail, view: View) -> str:
    return f"seen {detail.subject.seen_from(view)}"


def _run(page: Sheet, detail: Detail, view: View, fit: Fit, area: Area) -> list[Stroke]:
    """Running dimensions of part ends and bolts: below, and for the first view from the floor up."""
    lines: list[Stroke] = []
    for which, way in enumerate((view.right, view.up)):
        axis = _axis(way)
        if which and view is not detail.views[0]:
            continue
        places = _told(detail, axis)
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


def _axis(way: Sequence[float]) -> int:
    """Along which axis of the furniture a view's right or up is."""
    return next(k for k, each in enumerate(way) if each)


def _told(detail: Detail, axis: int) -> dict[str, int]:
    """By what is written, one of the places along an axis that are told so [nm]."""
    return {_printed(detail, axis, at): at for at in sorted(_places(detail, axis))}


def _places(detail: Detail, axis: int) -> set[int]:
    """Where parts end within the zone along an axis, and where bolts are."""
    found = {each.head[axis] for each in detail.fasteners if each.axis != axis}
    for key in detail.parts:
        box = detail.subject.frame.boxes[key]
        found |= {at for at in (box.low[axis], box.high[axis]) if detail.zone.low[axis] <= at <= detail.zone.high[axis]}
    return found


def _bolts(canvas: Canvas, ink: Ink, detail: Detail, view: View, fit: Fit) -> None:
    """Circles where the eye looks along a bolt, else its middle line with its head; the number beside each."""
    along = next(k for k in range(3) if abs(view.toward[k]) > 0.5)
    told: dict[tuple[float, float], str] = {}
    for number, each in enumerate(_ordered(detail), 1):
        radius = each.drillings[0].diameter / MM / 2 * fit.scale
        if each.axis == along:
            x, y = _paper(view, fit, each.head)
            canvas.circle(x, y, radius, kind="hole")
            cross = [(x - radius - 0.8, y, x + radius + 0.8, y), (x, y - radius - 0.8, x, y + radius + 0.8)]
            canvas.strokes(cross, SEAM, kind="centre")
            ink.cross(*cross)
            told[x, y] = f"{told[x, y]}, {number}" if (x, y) in told else str(number)
            continue
        line = _line(detail.subject, each)
        (x1, y1), (x2, y2) = _paper(view, fit, line.low), _paper(view, fit, line.high)
        head, tip = ((x1, y1), (x2, y2)) if each.toward > 0 else ((x2, y2), (x1, y1))
        size = max(float(np.hypot(tip[0] - head[0], tip[1] - head[1])), 1e-9)
        dx, dy = (tip[0] - head[0]) / size, (tip[1] - head[1]) / size
        shank = (head[0] - 2.5 * dx, head[1] - 2.5 * dy, tip[0] + 2.5 * dx, tip[1] + 2.5 * dy)
        canvas.strokes([shank], THIN, dash=CENTRE, kind="bolt")
        wide = 1.6 * radius + 0.4
        a, b = head[0] - 1.2 * dx, head[1] - 1.2 * dy
        canvas.polygon(
            ((head[0] - dy * wide, head[1] + dx * wide), (head[0] + dy * wide, head[1] - dx * wide),
             (a + dy * wide, b - dx * wide), (a - dy * wide, b + dx * wide)), "#000",
        )  # fmt: skip
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
