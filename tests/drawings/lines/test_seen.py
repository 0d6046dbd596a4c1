"""Computed lines held against eyes that walk: points along each edge, and rays from them through every box."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from tests.drawings.subjects import NAMES, subject

from sawbill.drawings.lines.edges import standing_out
from sawbill.drawings.lines.seen import seen_lines
from sawbill.drawings.lines.tones import faces, from_far_to_near
from sawbill.drawings.lines.view import BACK, FROM_BEHIND, FROM_BELOW, FRONT, ISOMETRIC, RIGHT, TOP, View, spans
from sawbill.drawings.pictures.exploding import explode
from sawbill.trade.boxes import Box
from sawbill.trade.lengths import MM

VIEWS = (ISOMETRIC, FROM_BEHIND, FROM_BELOW, FRONT, BACK, RIGHT, TOP)


def blocked(at: np.ndarray, view: View, boxes: list[tuple[np.ndarray, np.ndarray]]) -> bool:
    """Whether a ray from a point to the eye passes through any box that is a hair smaller than it is."""
    for low, high in boxes:
        first, last = 0.0, 1e9
        for k in range(3):
            a, b, way = low[k] + 0.02 - at[k], high[k] - 0.02 - at[k], view.toward[k]
            if abs(way) < 1e-12:
                if not a < 0 < b:
                    last = -1.0
            else:
                first, last = max(first, min(a / way, b / way)), min(last, max(a / way, b / way))
        if first < last:
            return True
    return False


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_an_edge_is_drawn_where_an_eye_sees_it_and_nowhere_else(view: View, name: str) -> None:
    boxes = list(subject(name).frame.boxes.values())
    lines = [line for line in seen_lines(view, boxes) if line.kind != "grain"]
    a = np.array([(line.x1, line.y1) for line in lines])
    b = np.array([(line.x2, line.y2) for line in lines])
    solid = [(np.array(box.low) / MM, np.array(box.high) / MM) for box in boxes]
    corners = np.array(solid)
    rng = np.random.default_rng(7)
    checked = 0
    for box in (boxes[i] for i in rng.choice(len(boxes), min(12, len(boxes)), replace=False)):
        for axis, (p, q) in product(range(3), product((0, 1), repeat=2)):
            first, second = (k for k in range(3) if k != axis)
            at = np.zeros(3)
            at[first], at[second] = (box.low, box.high)[p][first] / MM, (box.low, box.high)[q][second] / MM
            at[axis] = (box.low[axis] + float(rng.uniform(0.02, 0.98)) * box.size[axis]) / MM
            if abs(view.toward[axis]) > 0.999 or _inside(box, boxes, at):
                continue
            way = np.eye(3)[axis]
            around = {blocked(at + step * way, view, solid) for step in (-0.3, 0.0, 0.3)}
            if len(around) == 1:  # not where something begins to hide it
                (hidden,) = around
                drawn = _nearest(view.flat(at[None])[0], *_along(view.flat(way[None])[0], a, b)) < 0.03
                checked += 1
                if not hidden:
                    assert drawn, (box, axis, at)
                elif not _another_lies_there(view, axis, at, corners):
                    assert not drawn, (box, axis, at)
    assert checked > 20 / 12 * min(12, len(boxes))


def _inside(box: Box, boxes: list[Box], at: np.ndarray) -> bool:
    """Whether all four quarters around a point of an edge are wood, or two that make one flat face of one box."""
    near = [other for other in boxes if other is not box
            and all(other.low[k] / MM - 0.5 < at[k] < other.high[k] / MM + 0.5 for k in range(3))]  # fmt: skip
    return bool(near)


def _another_lies_there(view: View, axis: int, at: np.ndarray, corners: np.ndarray) -> bool:
    """Whether an edge elsewhere in space runs through the same point of the picture; corners: of boxes (n, 2, 3) [mm].

    In flat views many do; in the others it is chance: the near edge of another leg may lie 0.02 mm beside it.
    """
    first, second = (k for k in range(3) if k != axis)
    for p, q in product((0, 1), repeat=2):
        starts, ends = corners[:, 0].copy(), corners[:, 1].copy()
        starts[:, first] = ends[:, first] = corners[:, p, first]
        starts[:, second] = ends[:, second] = corners[:, q, second]
        other = np.abs(starts - at)[:, (first, second)].max(axis=1) > 1e-6
        a, b = view.flat(starts[other]), view.flat(ends[other])
        if other.any() and _nearest(view.flat(at[None])[0], a, b) < 0.2:
            return True
    return False


def _along(way: np.ndarray, a: np.ndarray, b: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The lines that run the way of an edge: others may cross it anywhere."""
    turn = (b - a)[:, 0] * way[1] - (b - a)[:, 1] * way[0]
    same = np.abs(turn) < 1e-6 * np.hypot(*(b - a).T)
    return a[same], b[same]


def _nearest(point: np.ndarray, a: np.ndarray, b: np.ndarray) -> float:
    way = b - a
    t = np.clip(((point - a) * way).sum(axis=1) / (way**2).sum(axis=1), 0, 1)
    return float(np.hypot(*(a + t[:, None] * way - point).T).min())


def test_a_cube_shows_nine_edges_and_a_brick_behind_it_only_what_stands_out() -> None:
    cube = Box((0, 0, 0), (100 * MM,) * 3)
    assert len(seen_lines(ISOMETRIC, [cube])) == 9
    behind = Box((10 * MM, 200 * MM, 10 * MM), (90 * MM, 210 * MM, 90 * MM))
    assert len(seen_lines(FRONT, [cube, behind])) == 4, "from the front it is hidden by the cube"
    hidden = seen_lines(FRONT, [cube, behind], hidden=True)
    assert sum(line.kind == "hidden" for line in hidden) == 4


def test_flush_faces_meet_in_a_seam_and_glued_wood_has_no_lines_inside() -> None:
    half = Box((0, 0, 0), (100 * MM, 50 * MM, 50 * MM))
    other = Box((100 * MM, 0, 0), (200 * MM, 50 * MM, 50 * MM))
    kinds = [line.kind for line in seen_lines(ISOMETRIC, [half, other])]
    assert kinds.count("seam") == 2
    assert kinds.count("outline") == 9


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_painted_over_what_stands_in_front_of_it(name: str) -> None:
    """At points of faces that an eye sees, the face painted last is that one."""
    boxes = list(subject(name).frame.boxes.values())
    low, high = spans(tuple(boxes))
    order = from_far_to_near(ISOMETRIC, low, high)
    painted = [
        (box, axis, ISOMETRIC.flat(points)) for box in order for axis, points in faces(ISOMETRIC, low[box], high[box])
    ]
    rng = np.random.default_rng(3)
    solid = list(zip(low, high, strict=True))
    checked = 0
    for box in rng.choice(len(boxes), min(15, len(boxes)), replace=False).tolist():
        for axis, points in faces(ISOMETRIC, low[box], high[box]):
            a, b = rng.uniform(0.1, 0.9, 2)
            at = points[0] + a * (points[1] - points[0]) + b * (points[3] - points[0])
            if not blocked(at, ISOMETRIC, solid):
                flat = ISOMETRIC.flat(at[None])[0]
                last = [(other, side) for other, side, shape in painted if _within(flat, shape)][-1]
                assert last == (box, axis)
                checked += 1
    assert checked > 3


def _within(at: np.ndarray, shape: np.ndarray) -> bool:
    ways, off = np.roll(shape, -1, axis=0) - shape, at - shape
    sides = ways[:, 0] * off[:, 1] - ways[:, 1] * off[:, 0]
    return bool((sides > 0).all() or (sides < 0).all())


@pytest.mark.parametrize("name", NAMES)
def test_pieces_taken_apart_share_no_room(name: str) -> None:
    drawn = subject(name)
    moves = explode(drawn).moves
    moved = {
        i: [(np.array(box.low) + move, np.array(box.high) + move) for box in drawn.boxes(drawn.pieces[i].parts)]
        for i, move in moves.items()
    }
    for one, other in product(moved, moved):
        if one < other:
            for (a, b), (c, d) in product(moved[one], moved[other]):
                assert not ((a < d) & (c < b)).all(), (drawn.pieces[one].name, drawn.pieces[other].name)


def test_isometric_axes_are_true_to_their_angles() -> None:
    """Azimuth 305, elevation 28: by hand, x runs 18 degrees down, y 34 degrees up, z straight up."""
    x, y, z = (ISOMETRIC.flat(axis[None])[0] for axis in np.eye(3))
    assert [round(float(np.degrees(np.arctan2(each[1], each[0])))) for each in (x, y, z)] == [-18, 34, 90]
    assert Fraction(round(float(z[1]) * 1000), 1000) == Fraction(883, 1000), "the cosine of 28 degrees"


def let_in() -> tuple[list[Box], list[Box]]:
    """A rung let into two uprights by a third, and the same with the uprights sawn to pieces around it [mm]."""

    def box(*sides: int) -> Box:
        (a, b, c, d, e, f) = (side * MM for side in sides)
        return Box((a, c, e), (b, d, f))

    whole = [box(0, 38, 0, 90, 0, 600), box(338, 376, 0, 90, 0, 600), box(25, 351, 20, 70, 300, 338)]
    sawn = [whole[2]]
    for low, high, outer in ((0, 38, (0, 25)), (338, 376, (351, 376))):
        sawn += [box(low, high, 0, 90, 0, 300), box(low, high, 0, 90, 338, 600)]
        sawn += [box(*outer, 0, 90, 300, 338)]
        inner = (25, 38) if low == 0 else (338, 351)
        sawn += [box(*inner, 0, 20, 300, 338), box(*inner, 70, 90, 300, 338)]
    return whole, sawn


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_what_is_let_in_is_drawn_as_if_its_housing_were_sawn_out(view: View) -> None:
    whole, sawn = let_in()
    cracks = whole[:2]  # an eye looks through between pieces that touch
    drawn, expected = (
        {tuple(round(at, 6) for at in (line.x1, line.y1, line.x2, line.y2)) for line in lines if line.kind == "outline"}
        for lines in (seen_lines(view, whole), seen_lines(view, sawn, before=cracks))
    )
    assert drawn == expected
    assert standing_out(whole)[2] == Box((38 * MM, 20 * MM, 300 * MM), (338 * MM, 70 * MM, 338 * MM))
