"""All lines of a set of boxes from one eye: outlines, seams, end grain and what is hidden, in the view's plane."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan2, hypot
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from sawbill.drawings.lines import hiding
from sawbill.drawings.lines.edges import Edge, edges
from sawbill.drawings.lines.view import Floats, View, spans
from sawbill.trade.boxes import Box
from sawbill.trade.lengths import MM

Kind = Literal["outline", "seam", "grain", "hidden"]
RANK: Final[dict[Kind, int]] = {"outline": 0, "seam": 1, "grain": 2, "hidden": 3}
"""Where lines coincide the first is drawn."""
AT_ONCE: Final = 256
"""How many edges are held against all boxes at once: what that takes of memory stays small."""
_SAME: Final = 0.05
"""Lines closer than this are one [mm]."""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line in the plane of a view [mm]."""

    kind: Kind
    x1: float
    y1: float
    x2: float
    y2: float


def seen_lines(
    view: View, boxes: Sequence[Box], grain: Sequence[int] | None = None, *, hidden: bool = False, least: float = 0.0,
    before: Sequence[Box] = (),
) -> list[Line]:  # fmt: skip
    """What is seen of boxes. grain: the axis each is long, to mark its ends; least: the shortest line drawn [mm].

    before: boxes that hide as well, and are not drawn.
    """
    low, high = spans((*boxes, *before))
    found = _edge_lines(view, boxes, low, high, hidden=hidden)
    if grain is not None:
        found += _grain_lines(view, low, high, np.asarray([*grain, *(3 for _ in before)]))
    return [line for line in merged(found) if _long(line) >= least]


def unhidden(view: View, boxes: Sequence[Box], points: Iterable[tuple[Floats, Floats]]) -> list[tuple[Floats, Floats]]:
    """What boxes leave to be seen of other lines along an axis, each from point to point in space [mm]."""
    low, high = spans(tuple(boxes))
    toward = np.array(view.toward)
    found = []
    for start, end in points:
        axis = int(np.argmax(np.abs(end - start)))
        first = start if start[axis] <= end[axis] else end
        lengths = np.abs(end - start)[axis][None]
        _, begins, ends = hiding.seen(*hiding.along_axis(axis, first[None], low, high, toward), lengths)
        way = np.eye(3)[axis]
        found += [(first + a * way, first + b * way) for a, b in zip(begins, ends, strict=True)]
    return found


def merged(lines: Iterable[Line]) -> list[Line]:
    """Each stretch of the plane once: lines on each other are joined, the stronger kind over the weaker."""
    rows: dict[tuple[int, int], list[tuple[float, float, Kind]]] = defaultdict(list)
    ways: dict[tuple[int, int], tuple[float, float, float]] = {}
    alone = []
    for line in lines:
        if line.kind == "grain":
            alone.append(line)
            continue
        angle, place, (wx, wy, off) = _direction(line)
        key = next((key for key in ((angle, place + by) for by in (0, -1, 1)) if key in rows), (angle, place))
        wx, wy, _ = ways.setdefault(key, (wx, wy, off))
        a, b = wx * line.x1 + wy * line.y1, wx * line.x2 + wy * line.y2
        rows[key].append((min(a, b), max(a, b), line.kind))
    found = []
    for key, stretches in rows.items():
        wx, wy, off = ways[key]
        for start, end, kind in _strongest(stretches):
            found.append(
                Line(kind, start * wx - off * wy, start * wy + off * wx, end * wx - off * wy, end * wy + off * wx)
            )
    return found + alone


def _edge_lines(view: View, boxes: Sequence[Box], low: Floats, high: Floats, *, hidden: bool) -> list[Line]:
    toward = np.array(view.toward)
    every = edges(boxes)
    found: list[Line] = []
    for axis in range(3):
        if abs(toward[axis]) > 1 - 1e-9:
            continue
        along = [edge for edge in every if edge.axis == axis]
        for first in range(0, len(along), AT_ONCE):
            found += _along(view, axis, along[first : first + AT_ONCE], low, high, hidden=hidden)
    return found


def _along(view: View, axis: int, mine: Sequence[Edge], low: Floats, high: Floats, *, hidden: bool) -> list[Line]:
    """What is seen of edges along one axis; hidden: and all of each, for where nothing else is drawn."""
    toward = np.array(view.toward)
    starts = np.array([edge.start for edge in mine], np.float64) / MM
    lengths = np.array([edge.length for edge in mine], np.float64) / MM
    whose, begins, ends = hiding.seen(*hiding.along_axis(axis, starts, low, high, toward), lengths)
    kinds: list[Kind] = [mine[i].kind for i in whose]
    found = _flat_lines(view, axis, starts[whose], begins, ends, kinds)
    if hidden:
        found += _flat_lines(view, axis, starts, 0 * lengths, lengths, ["hidden"] * len(mine))
    return found


def _flat_lines(
    view: View, axis: int, starts: Floats, begins: Floats, ends: Floats, kinds: Sequence[Kind]
) -> list[Line]:
    way = np.eye(3)[axis]
    one = view.flat(starts + begins[:, None] * way).tolist()
    two = view.flat(starts + ends[:, None] * way).tolist()
    return [Line(kind, *a, *b) for kind, a, b in zip(kinds, one, two, strict=True)]


def _grain_lines(view: View, low: Floats, high: Floats, grain: NDArray[np.int64]) -> list[Line]:
    """Two strokes from corner to corner of each end that faces the eye."""
    toward = np.array(view.toward)
    found: list[Line] = []
    for axis in range(3):
        mine = np.flatnonzero(grain == axis)
        if abs(toward[axis]) < 1e-9 or not len(mine):
            continue
        second = 1 if axis == 2 else 2
        a = low[mine].copy()
        b = high[mine].copy()
        a[:, axis] = b[:, axis] = (high if toward[axis] > 0 else low)[mine, axis]
        c, d = a.copy(), b.copy()
        c[:, second], d[:, second] = b[:, second], a[:, second]
        starts, ends = np.concatenate((a, c)), np.concatenate((b, d))
        lengths = np.linalg.norm(ends - starts, axis=1)
        ways = (ends - starts) / lengths[:, None]
        hidden = hiding.across_face(axis, starts, ways, low, high, toward)
        whose, begin, end = hiding.seen(*hidden, lengths)
        one = view.flat(starts[whose] + begin[:, None] * ways[whose]).tolist()
        two = view.flat(starts[whose] + end[:, None] * ways[whose]).tolist()
        found += [Line("grain", *p, *q) for p, q in zip(one, two, strict=True)]
    return found


def _long(line: Line) -> float:
    return hypot(line.x2 - line.x1, line.y2 - line.y1)


def _direction(line: Line) -> tuple[int, int, tuple[float, float, float]]:
    """The angle of a line and how far it is off the origin, as whole numbers; its way, and the same distance [mm]."""
    dx, dy = line.x2 - line.x1, line.y2 - line.y1
    size = hypot(dx, dy) or 1.0
    dx, dy = dx / size, dy / size
    if dx < -1e-9 or (abs(dx) <= 1e-9 and dy < 0):
        dx, dy = -dx, -dy
    off = dx * line.y1 - dy * line.x1
    return round(atan2(dy, dx) * 1e4), round(off / _SAME), (dx, dy, off)


def _strongest(stretches: list[tuple[float, float, Kind]]) -> list[tuple[float, float, Kind]]:
    """Of stretches on one line: what is drawn of each kind, neighbours of one kind joined."""
    found: list[tuple[float, float, Kind]] = []
    taken: list[tuple[float, float]] = []
    kinds = {kind for *_, kind in stretches}
    for kind in (each for each in RANK if each in kinds):
        joined: list[list[float]] = []
        for start, end in sorted((a, b) for a, b, each in stretches if each == kind):
            if joined and start <= joined[-1][1] + _SAME:
                joined[-1][1] = max(joined[-1][1], end)
            else:
                joined.append([start, end])
        for start, end in joined:
            found += [(a, b, kind) for a, b in _without(start, end, taken) if b - a > _SAME]
        taken = sorted(taken + [(a, b) for a, b in joined])
    return found


def _without(start: float, end: float, taken: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """What is left of a stretch beside others in order."""
    found, at = [], start
    for low, high in taken:
        if low > at:
            found.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    if at < end:
        found.append((at, end))
    return [(a, b) for a, b in found if a < b]
