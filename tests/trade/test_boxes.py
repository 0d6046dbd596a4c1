"""Exact boxes, held against an interval arithmetic that shares no code with them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.lengths import INCH

small = st.integers(-4, 4)
wide = st.integers(-(10**12), 10**12)


def boxes(numbers: st.SearchStrategy[int]) -> st.SearchStrategy[Box]:
    side = st.tuples(numbers, numbers).filter(lambda ends: ends[0] != ends[1]).map(sorted)
    return st.tuples(side, side, side).map(
        lambda sides: Box(tuple(low for low, _ in sides), tuple(high for _, high in sides))  # type: ignore[arg-type]
    )


def cells(box: Box) -> set[tuple[int, int, int]]:
    """Every unit cube of a small box."""
    x, y, z = (range(low, high) for low, high in zip(box.low, box.high, strict=True))
    return {(i, j, k) for i in x for j in y for k in z}


def moved(box: Box, axis: int, far: int) -> Box:
    step = [far if i == axis else 0 for i in range(3)]
    low, high = (tuple(n + d for n, d in zip(end, step, strict=True)) for end in (box.low, box.high))
    return Box(low, high)  # type: ignore[arg-type]


@given(boxes(small), boxes(small))
def test_boxes_overlap_just_when_they_share_a_unit_cube(a: Box, b: Box) -> None:
    assert a.overlaps(b) == bool(cells(a) & cells(b))


@given(boxes(small), boxes(small))
def test_the_area_of_contact_is_the_unit_faces_they_share(a: Box, b: Box) -> None:
    """A cube of one beside a cube of the other, in a direction; none where the boxes overlap."""
    own, other = cells(a), cells(b)
    steps = [tuple(d if i == axis else 0 for i in range(3)) for axis in range(3) for d in (1, -1)]
    beside = sum((x + i, y + j, z + k) in other for x, y, z in own for i, j, k in steps)
    assert a.contact(b) == (0 if own & other else beside)


@given(boxes(wide), boxes(wide))
def test_overlap_and_contact_do_not_depend_on_who_asks(a: Box, b: Box) -> None:
    assert a.overlaps(b) == b.overlaps(a)
    assert a.contact(b) == b.contact(a)
    assert a.shared(b) == b.shared(a)


@given(boxes(wide), st.sampled_from([0, 1, 2]))
def test_a_box_moved_by_its_own_size_touches_with_its_whole_face_and_one_nanometre_more_or_less_does_not(
    box: Box, axis: int
) -> None:
    size = box.size
    face = size[(axis + 1) % 3] * size[(axis + 2) % 3]
    beside = moved(box, axis, size[axis])
    assert box.contact(beside) == face
    assert not box.overlaps(beside)
    apart, within = moved(box, axis, size[axis] + 1), moved(box, axis, size[axis] - 1)
    assert box.contact(apart) == 0
    assert box.contact(apart, gap=1) == face
    assert box.contact(within, gap=1) == 0
    assert box.overlaps(within)


def test_edges_and_corners_that_meet_are_no_contact() -> None:
    box = Box((0, 0, 0), (2, 2, 2))
    assert box.contact(Box((2, 2, 0), (4, 4, 2))) == 0
    assert box.contact(Box((2, 2, 2), (4, 4, 4))) == 0
    assert box.contact(Box((2, 2, 0), (4, 4, 2)), gap=1) == 0


@given(st.lists(boxes(small), min_size=1, max_size=4))
def test_the_bounds_hold_every_box_and_are_the_smallest(several: list[Box]) -> None:
    found = bounds(several)
    for axis in AXES:
        ends = [box.span(axis) for box in several]
        assert found.span(axis) == (min(low for low, _ in ends), max(high for _, high in ends))


def test_sizes_are_exact_over_metres_of_inches() -> None:
    """84 in is 2133.6 mm."""
    rail = Box((0, 0, 8 * INCH), (84 * INCH, INCH * 3 // 2, INCH * 27 // 2))
    assert rail.size == (2_133_600_000, 38_100_000, 139_700_000)
