"""One picture of boxes on a sheet: toned faces, computed lines, and letters where there is room for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import hypot
from typing import Final

import numpy as np

from sawbill.drawings.lines import hiding, tones
from sawbill.drawings.lines.edges import standing_out
from sawbill.drawings.lines.seen import Line, seen_lines, unhidden
from sawbill.drawings.lines.view import Floats, View, corners, spans
from sawbill.drawings.paper.ink import Ink
from sawbill.drawings.paper.labels import Label, write
from sawbill.drawings.paper.sheet import Area
from sawbill.drawings.paper.svg import CENTRE, THIN, Canvas, Stroke
from sawbill.trade.boxes import Box

OUTLINE: Final = 0.25
SEAM: Final = 0.13
GRAIN: Final = 0.1
"""Widths of the lines of a picture; thicker ones run into blots where slats meet [mm]."""
TONES: Final = ("#dedede", "#efefef", "#ffffff")
"""Of faces square to x, y and z: paper white above, so that letters are black on white and print in grey."""
LIGHT: Final = "#777"
"""Of the lines of what is there already."""
ARROW: Final = 4.0
"""The least that is to be seen of an arrow's way [mm]."""
ARROW_LINE: Final = 0.5
HEAD: Final = 3.0
"""How long an arrow's head is, and how wide its line [mm]."""
LEAST: Final = 0.5
"""Shorter strokes are blots [mm]."""
LEAST_END: Final = 2.0
"""An end narrower than this shows no grain [mm]."""
INSTANCES: Final = 5
"""How many parts alike, the nearest, are looked at for a place for their letter before all others are."""
_PLACES: Final = ((0.5, 0.5), (0.25, 0.5), (0.75, 0.5))
_MORE: Final = tuple((a, b) for b in (0.5, 0.12, 0.88) for a in (0.1, 0.9, 0.38, 0.62, 0.03, 0.97, 0.008, 0.992))
"""Where on a face its part's letter may point to, along and across it; and where else if none of these is seen."""
MATTRESS_DASH: Final = (5 * 0.5, 0.6, 0.5, 0.6, 0.5, 0.6)


@dataclass(frozen=True)
class Picture:
    """What is in a picture: parts by key in the space they are drawn in, as long along an axis each.

    labels: by part, its letter; counts: by letter, how many the furniture has; mattresses: boxes drawn as ghosts;
    trails: ways in space that pieces move along, from point to point [mm]; arrows: of each the ways that one may be
    drawn along, the best is taken; faint: parts that are there already, in light lines and without their letters.
    """

    view: View
    boxes: Mapping[str, Box]
    grain: Sequence[int]
    labels: Mapping[str, str]
    counts: Mapping[str, int]
    mattresses: Sequence[Box] = ()
    trails: Sequence[tuple[Floats, Floats]] = field(default=())
    arrows: Sequence[Sequence[tuple[Floats, Floats]]] = ()
    faint: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Fit:
    """How the plane of a view lies on paper: paper millimetres to one, and where its origin is."""

    scale: float
    x: float
    y: float

    def points(self, flat: Floats) -> Floats:
        """From the plane (…, 2) [mm] to paper [mm]."""
        return flat * (self.scale, -self.scale) + (self.x, self.y)

    def stroke(self, line: Line) -> Stroke:
        """A line of the plane on paper."""
        s = self.scale
        return self.x + s * line.x1, self.y - s * line.y1, self.x + s * line.x2, self.y - s * line.y2


def fitted(bounds: tuple[float, float, float, float], area: Area) -> Fit:
    """As large as an area holds, in its middle."""
    left, bottom, right, top = bounds
    scale = min(area.width / max(right - left, 1e-9), area.height / max(top - bottom, 1e-9))
    x = area.left + (area.width - scale * (right - left)) / 2 - scale * left
    y = area.top + (area.height - scale * (top - bottom)) / 2 + scale * top
    return Fit(scale, x, y)


def draw(canvas: Canvas, area: Area, picture: Picture, *, margin: float = 13.0) -> list[str]:
    """Draw a picture; the letters that stand nowhere in it are returned: nothing of their parts is seen."""
    boxes = tuple(picture.boxes.values())
    low, high = spans((*boxes, *picture.mattresses))
    fit = fitted(picture.view.bounds(low, high), area.inset(margin))
    low, high = spans(tuple(standing_out(boxes)))
    ink = Ink(area.inset(1.5), ())
    faint = [key in picture.faint for key in picture.boxes]
    _tones(canvas, ink, picture.view, low, high, fit, faint)
    wood, free = _lines(canvas, picture, boxes, fit)
    ink.draw(*wood)
    ink.cross(*free)
    return write(canvas, ink, _labels(picture, low, high, fit, ink))


def _tones(
    canvas: Canvas, ink: Ink, view: View, low: Floats, high: Floats, fit: Fit, faint: Sequence[bool]
) -> None:  # fmt: skip
    for box in tones.from_far_to_near(view, low, high):
        for axis, points in tones.faces(view, low[box], high[box]):
            at = fit.points(view.flat(points))
            canvas.polygon([(x, y) for x, y in at.tolist()], TONES[2] if faint[box] else TONES[axis])
            ink.cover(at)


def _lines(canvas: Canvas, picture: Picture, boxes: tuple[Box, ...], fit: Fit) -> tuple[list[Stroke], list[Stroke]]:
    """Draw all lines; those of the wood, and those over free paper, are returned."""
    view, least = picture.view, LEAST / fit.scale
    there = tuple(box for key, box in picture.boxes.items() if key in picture.faint)
    mine = tuple(box for key, box in picture.boxes.items() if key not in picture.faint)
    light = [fit.stroke(line) for line in seen_lines(view, there, least=least, before=mine)] if there else []
    seen = seen_lines(view, mine, _grain(picture, boxes, fit), least=least, before=there) if mine else []
    ghosts = mattress_strokes(view, picture.mattresses, boxes, fit)
    trails = [_flat(view, fit, a, b) for a, b in unhidden(view, boxes, picture.trails)]
    canvas.strokes(ghosts, SEAM, dash=MATTRESS_DASH, kind="mattress")
    canvas.strokes(light, SEAM, colour=LIGHT, kind="faint")
    by_kind = {kind: [fit.stroke(line) for line in seen if line.kind == kind] for kind in ("grain", "seam", "outline")}
    for kind, width in (("grain", GRAIN), ("seam", SEAM), ("outline", OUTLINE)):
        canvas.strokes(by_kind[kind], width, kind=kind)
    canvas.strokes(trails, THIN, dash=CENTRE, kind="way")
    arrows = [_arrow(canvas, view, boxes, fit, ways) for ways in picture.arrows if ways]
    wood = [*by_kind["outline"], *by_kind["seam"], *by_kind["grain"], *light]
    return wood, [*ghosts, *trails, *arrows]


def _arrow(
    canvas: Canvas, view: View, boxes: tuple[Box, ...], fit: Fit, ways: Sequence[tuple[Floats, Floats]]
) -> Stroke:
    """Draw an arrow along the way of which most is seen; along the first, over all else, where too little is."""
    best, length = ways[0], ARROW
    for start, end in ways:
        for a, b in unhidden(view, boxes, [(start, end)]):
            one, two = (a, b) if float((b - a) @ (end - start)) > 0 else (b, a)
            x1, y1, x2, y2 = _flat(view, fit, one, two)
            if hypot(x2 - x1, y2 - y1) > length:
                best, length = (one, two), hypot(x2 - x1, y2 - y1)
    x1, y1, x2, y2 = _flat(view, fit, *best)
    long = max(hypot(x2 - x1, y2 - y1), 1e-9)
    dx, dy = (x2 - x1) / long * HEAD, (y2 - y1) / long * HEAD
    left, right = (x2 - dx - dy / 3, y2 - dy + dx / 3), (x2 - dx + dy / 3, y2 - dy - dx / 3)
    canvas.strokes([(x1, y1, x2 - dx / 2, y2 - dy / 2)], ARROW_LINE, kind="arrow")
    canvas.polygon(((x2, y2), left, right), "#000")
    return x1, y1, x2, y2


def _grain(picture: Picture, boxes: tuple[Box, ...], fit: Fit) -> list[int]:
    """By box that is not faint, the axis whose ends are marked; none (3) where the ends are too small on paper."""
    found = []
    for key, box, axis in zip(picture.boxes, boxes, picture.grain, strict=True):
        if key in picture.faint:
            continue
        across = min(size for k, size in enumerate(box.size) if k != axis) / 1e6
        found.append(axis if across * fit.scale >= LEAST_END else 3)
    return found


def mattress_strokes(view: View, mattresses: Sequence[Box], boxes: Sequence[Box], fit: Fit) -> list[Stroke]:
    """The edges of mattresses that neither the wood nor the mattress itself hides."""
    ways = []
    for mattress in mattresses:
        at = corners(*spans((mattress,)))[0]
        ways += [(at[i], at[i | 1 << k]) for i in range(8) for k in range(3) if not i >> k & 1 and not _to_eye(view, k)]
    return [_flat(view, fit, a, b) for a, b in unhidden(view, (*boxes, *mattresses), ways)]


def _to_eye(view: View, axis: int) -> bool:
    return abs(view.toward[axis]) > 1 - 1e-9


def _flat(view: View, fit: Fit, a: Floats, b: Floats) -> Stroke:
    (x1, y1), (x2, y2) = fit.points(view.flat(np.stack((a, b)))).tolist()
    return x1, y1, x2, y2


def _labels(picture: Picture, low: Floats, high: Floats, fit: Fit, ink: Ink) -> list[Label]:
    """Every letter of the parts drawn, with the places of its parts that are seen."""
    keys = list(picture.boxes)
    depth = ((low + high) / 2) @ np.array(picture.view.toward)
    parts: dict[str, list[int]] = {}
    for i, key in enumerate(keys):
        if key not in picture.faint:
            parts.setdefault(picture.labels[key], []).append(i)
    found = []
    for label, mine in sorted(parts.items(), key=lambda item: (len(item[0]), item[0])):
        nearest = sorted(mine, key=lambda i: (-round(float(depth[i]), 3), i))
        seen = seen_places(picture.view, low, high, nearest[:INSTANCES])
        if not len(seen) and nearest[INSTANCES:]:
            seen = seen_places(picture.view, low, high, nearest[INSTANCES:])
        flat = fit.points(picture.view.flat(seen))
        clear = ink.clear(flat, 1.3, 1.3)
        found.append(Label(label, picture.counts[label], flat[clear] if clear.any() else flat))
    return found


def seen_places(view: View, low: Floats, high: Floats, mine: Sequence[int]) -> Floats:
    """Places on some of many boxes that none of all hides: on the middle of faces if any is seen there."""
    toward = np.array(view.toward)
    for shares in (_PLACES, _MORE):
        points = np.concatenate([_places(view, low[i], high[i], shares) for i in mine])
        found: Floats = points[hiding.free(points, low, high, toward)]
        if len(found):
            break
    return found


def _places(view: View, low: Floats, high: Floats, shares: Sequence[tuple[float, float]]) -> Floats:
    """Places on each face of a box that the eye sees, the largest face first."""
    found = []
    for axis, points in tones.faces(view, low, high):
        first, second = points[1] - points[0], points[3] - points[0]
        long, short = (first, second) if np.linalg.norm(first) >= np.linalg.norm(second) else (second, first)
        places = np.array([points[0] + a * long + b * short for a, b in shares])
        size = abs(np.linalg.norm(first) * np.linalg.norm(second) * view.toward[axis])
        found.append((-size, axis, places))
    return np.concatenate([places for *_, places in sorted(found, key=lambda each: each[:2])])
