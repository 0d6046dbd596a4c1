"""A piece as it is looked at on its sheet, and its end beside it, with holes, letters and running dimensions."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sawbill.drawings.lines.seen import seen_lines
from sawbill.drawings.lines.view import Floats, View, spans
from sawbill.drawings.paper import dimensions, lettering
from sawbill.drawings.paper.ink import Ink
from sawbill.drawings.paper.labels import Label, write
from sawbill.drawings.paper.scale import printed
from sawbill.drawings.paper.sheet import Area
from sawbill.drawings.paper.svg import CENTRE, DASHED, THICK, THIN, Canvas, Stroke
from sawbill.drawings.pictures.picture import MATTRESS_DASH, SEAM, Fit, seen_places
from sawbill.drawings.shop.datum import end_view
from sawbill.drawings.shop.work import Work
from sawbill.making.holes import Drilling
from sawbill.trade.lengths import MM

LEFT: Final = 23.0
ABOVE: Final = 12.5
BELOW: Final = 15.0
BETWEEN: Final = 16.0
BESIDE: Final = 6.0
"""Room around the views, for dimensions, letters and what they are called [mm]."""
HIDDEN_UP_TO: Final = 12
"""To this denominator hidden edges are drawn."""
CROSS: Final = 0.8
"""How far the cross of a hole passes its circle [mm]."""
SMALLEST: Final = 0.5
"""The least radius a hole is drawn with [mm]."""
_AROUND: Final = tuple(
    (x * far, y * far)
    for far in (2.6, 3.6, 5.0)
    for x, y in ((1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (-1, 0))
)


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the two views stand on a sheet, at 1:denominator [mm]."""

    denominator: int
    main: Area
    end: Area
    below: float

    @property
    def right(self) -> float:
        """Where the views end, with room for what is beside them."""
        return self.end.right + BESIDE

    @property
    def bottom(self) -> float:
        """Where the views end, with their dimensions."""
        return self.main.bottom + self.below


def laid_out(work: Work, area: Area, denominator: int) -> Layout:
    """Both views from the upper left of an area."""
    end = end_view(work.look, work.subject.system)
    box = spans(work.subject.boxes(work.keys))
    (wide, high), (deep, _) = (_size(view, box, denominator) for view in (work.look.view, end))
    left, top = area.left + LEFT, area.top + ABOVE
    main = Area(left, top, left + wide, top + high)
    starts = _chosen([work.look.span(box, 0) for box in work.subject.boxes(work.keys)], main.width)
    texts = max(lettering.width(printed(at, work.subject.system), lettering.SMALL) for at in starts)
    free = left + lettering.width(_caption(work), lettering.SMALL) + 4
    over = lettering.width("right-hand end", lettering.SMALL) - deep - BESIDE
    from_ = max(main.right + BETWEEN, free + max(over, 0))
    beside = Area(from_, top, from_ + deep, top + high)
    return Layout(denominator, main, beside, max(texts, 8.0) + BELOW)


def draw_views(canvas: Canvas, work: Work, layout: Layout) -> list[str]:
    """Draw both views; the letters that are nowhere to be seen are returned."""
    end = end_view(work.look, work.subject.system)
    side = "right" if work.subject.system == "inch" else "left"
    canvas.text(layout.main.left, layout.main.top - ABOVE + 3, _caption(work), kind="caption")
    caption = f"{side}-hand end"
    start = min(layout.end.left, layout.right - lettering.width(caption, lettering.SMALL))
    canvas.text(start, layout.end.top - ABOVE + 3, caption, kind="caption")
    around = Area(layout.main.left - 2, layout.main.top - ABOVE + 4, layout.right, layout.main.bottom + 1)
    ink = Ink(around, ())
    ink.draw(*_dimensions(canvas, work, layout))
    for view, place in ((work.look.view, layout.main), (end, layout.end)):
        fit = _fit(view, work, place, layout.denominator)
        _edges(canvas, ink, work, view, fit, layout.denominator)
        _housings(canvas, ink, work, view, fit)
        _hangers(canvas, ink, work, view, fit)
        _holes(canvas, ink, work, view, fit, main=view is work.look.view)
    left = [work.subject.labels[key] for key in work.keys]
    for view, place in ((work.look.view, layout.main), (end, layout.end)):
        left = _letters(canvas, ink, work, view, _fit(view, work, place, layout.denominator), set(left))
    return left


def _caption(work: Work) -> str:
    return f"seen {work.seen}"


def _size(view: View, box: tuple[Floats, Floats], denominator: int) -> tuple[float, float]:
    left, bottom, right, top = view.bounds(*box)
    return (right - left) / denominator, (top - bottom) / denominator


def _fit(view: View, work: Work, place: Area, denominator: int) -> Fit:
    left, _, _, top = view.bounds(*spans(work.subject.boxes(work.keys)))
    return Fit(1 / denominator, place.left - left / denominator, place.top + top / denominator)


def _edges(canvas: Canvas, ink: Ink, work: Work, view: View, fit: Fit, denominator: int) -> None:
    boxes = work.subject.boxes(work.keys)
    lines = seen_lines(view, boxes, hidden=denominator <= HIDDEN_UP_TO, least=0.3 * denominator)
    looks = (("hidden", THIN, DASHED), ("seam", SEAM, ()), ("outline", THICK, ()))
    for kind, width, dash in looks:
        strokes = [fit.stroke(line) for line in lines if line.kind == kind]
        canvas.strokes(strokes, width, dash=dash, kind=kind)
        ink.draw(*strokes)
    for box in zip(*spans(boxes), strict=True):
        left, bottom, right, top = view.bounds(box[0][None], box[1][None])
        corners = np.array(((left, bottom), (right, bottom), (right, top), (left, top)))
        ink.cover(fit.points(corners))


def _housings(canvas: Canvas, ink: Ink, work: Work, view: View, fit: Fit) -> None:
    """Housings whose ends are not drawn here, in outline: dashed where the eye does not see into them."""
    for end, _, axis, toward, cut in work.housings:
        if end not in work.keys:
            left, bottom, right, top = view.bounds(*spans((cut,)))
            (x1, y1), (x2, y2) = fit.points(np.array(((left, bottom), (right, top)))).tolist()
            lines = [(x1, y1, x2, y1), (x2, y1, x2, y2), (x2, y2, x1, y2), (x1, y2, x1, y1)]
            seen = view.toward[axis] * -toward > 0.5
            canvas.strokes(lines, THICK if seen else THIN, dash=() if seen else DASHED, kind="housing")
            ink.draw(*lines)


def _hangers(canvas: Canvas, ink: Ink, work: Work, view: View, fit: Fit) -> None:
    """What hangs in a hanger, in outline, where the eye looks along it."""
    for axis, hung in work.hung:
        if abs(view.toward[axis]) > 0.5:
            low, high = spans((hung,))
            left, bottom, right, top = view.bounds(low, high)
            (x1, y1), (x2, y2) = fit.points(np.array(((left, bottom), (right, top)))).tolist()
            lines = [(x1, y1, x2, y1), (x2, y1, x2, y2), (x2, y2, x1, y2), (x1, y2, x1, y1)]
            canvas.strokes(lines, THIN, dash=MATTRESS_DASH, kind="hanger")
            ink.cross(*lines)


def _holes(canvas: Canvas, ink: Ink, work: Work, view: View, fit: Fit, *, main: bool) -> None:
    """Circles where the drill goes along the look, else lines along its way; numbers beside both, each once."""
    along = next(k for k in range(3) if abs(view.toward[k]) > 0.5)
    start = work.look.axes[0][0]
    numbers: list[tuple[Floats, str]] = []
    ways: list[Stroke] = []
    for row in work.hole_rows:
        for fastener, holes in row.drilled:
            at = fit.points(view.flat(np.array(fastener.head, np.float64) / MM))
            if fastener.axis == along:
                _circle(canvas, ink, at, max(hole.diameter for hole in holes) / MM / 2 * fit.scale)
                numbers.append((at, str(row.number)))
            elif main:
                ways.append(_way(work, view, fit, fastener.head, holes))
                if fastener.axis != start:
                    numbers.append((np.array(ways[-1][:2]), str(row.number)))
    canvas.strokes(ways, THIN, dash=CENTRE, kind="drilling")
    ink.cross(*ways)
    for at, text in numbers:
        _number(canvas, ink, at, text)


def _circle(canvas: Canvas, ink: Ink, at: Floats, radius: float) -> None:
    x, y = float(at[0]), float(at[1])
    radius = max(radius, SMALLEST)
    reach = radius + CROSS
    cross = [(x - reach, y, x + reach, y), (x, y - reach, x, y + reach)]
    canvas.circle(x, y, radius, line=THIN, fill="#fff", kind="hole")
    canvas.strokes(cross, 0.13, kind="hole")
    ink.cross(*cross)


def _way(work: Work, view: View, fit: Fit, head: tuple[int, int, int], holes: Sequence[Drilling]) -> Stroke:
    """The middle line of holes, along all parts they are in."""
    axis = holes[0].axis
    boxes = [work.subject.frame.boxes[hole.part] for hole in holes]
    ends = np.array((head, head), np.float64)
    ends[0, axis] = min(box.low[axis] for box in boxes)
    ends[1, axis] = max(box.high[axis] for box in boxes)
    (x1, y1), (x2, y2) = fit.points(view.flat(ends / MM)).tolist()
    size = float(np.hypot(x2 - x1, y2 - y1)) or 1.0
    dx, dy = (x2 - x1) / size, (y2 - y1) / size
    return x1 - dx, y1 - dy, x2 + dx, y2 + dy


def _number(canvas: Canvas, ink: Ink, at: Floats, text: str) -> None:
    """A number close to its hole where no line or other text is; none if there is no such place."""
    wide = lettering.width(text, lettering.SMALL)
    centres = at + np.array(_AROUND) * (0.6 + 0.16 * wide, 0.9)
    clear = np.flatnonzero(ink.clear(centres, wide + 0.5, lettering.SMALL + 0.5))
    if len(clear):
        x, y = centres[clear[0]].tolist()
        canvas.text(x, y + lettering.SMALL / 2, text, anchor="middle", kind="number")
        ink.write(Area(x - wide / 2, y - lettering.SMALL / 2, x + wide / 2, y + lettering.SMALL / 2))


def _letters(canvas: Canvas, ink: Ink, work: Work, view: View, fit: Fit, wanted: Collection[str]) -> list[str]:
    """Write the letters wanted on or beside their parts in one view; those that are not seen are returned."""
    low, high = spans(work.subject.boxes(work.keys))
    found = []
    for label in sorted(wanted):
        mine = [i for i, key in enumerate(work.keys) if work.subject.labels[key] == label]
        points = fit.points(view.flat(seen_places(view, low, high, mine)))
        clear = ink.clear(points, 1.3, 1.3)
        found.append(Label(label, 1, points[clear] if clear.any() else points))
    return write(canvas, ink, found)


def _dimensions(canvas: Canvas, work: Work, layout: Layout) -> list[Stroke]:
    """Where parts begin and end, from the left end, from below, and from the face seen. Their lines."""
    look, frame, scale = work.look, work.subject.frame, 1 / layout.denominator / MM
    system, main = work.subject.system, layout.main
    boxes = [frame.boxes[key] for key in work.keys]
    starts = _chosen([look.span(box, 0) for box in boxes], main.width)
    lines = dimensions.run_across(canvas, [(main.left + at * scale, printed(at, system)) for at in starts], main.bottom)
    ups = _chosen([look.span(box, 1) for box in boxes], main.height)
    lines += dimensions.run_upward(
        canvas, [(main.bottom - at * scale, printed(at, system)) for at in ups], main.left, long=7
    )
    if layout.end.width > 2:
        deeps = sorted({at for box in boxes for at in look.span(box, 2)})
        if len(deeps) <= 6:
            near = layout.end.left if system == "inch" else layout.end.right
            way = scale if system == "inch" else -scale
            places = [(near + at * way, printed(at, system)) for at in deeps]
            lines += dimensions.run_across(canvas, places, layout.end.bottom)
    return lines


def _chosen(found: Sequence[tuple[int, int]], room: float) -> list[int]:
    """Where parts begin, and where all ends; as many as have room, those of most parts last."""
    counts: dict[int, int] = {}
    for span in found:
        for at in span:
            counts[at] = counts.get(at, 0) + 1
    ends = {min(counts), max(counts)}
    starts = {low for low, _ in found} | ends
    most = max(2, int((room + 14) / dimensions.PITCH))
    kept = sorted(starts) if len(starts) <= most else sorted(ends)
    if len(set(counts)) <= most:
        kept = sorted(counts)
    return kept
