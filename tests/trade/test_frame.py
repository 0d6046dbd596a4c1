"""Frames: where a part's box lies, and what is measured from the boxes."""

from __future__ import annotations

from itertools import permutations

import pytest

from sawbill.trade.boxes import AXES, Axis, Box
from sawbill.trade.fasteners import FastenerError
from sawbill.trade.frame import Bolted, Frame, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section

TWO_BY_FOUR = section("2x4")  # 1-1/2 by 3-1/2 in
HEAD = (5 * INCH, 0, 2 * INCH)


def layered(*thicknesses: str) -> Frame:
    """Pieces of these sections face to face along y, 10 in long and on edge."""
    parts, y = [], 0
    for n, name in enumerate(thicknesses):
        wood = section(name)
        parts.append(Part(f"layer {n}", "layer", wood, 10 * INCH, Placement((0, y, 0), "x", "z")))
        y += wood.thickness
    return Frame(tuple(parts))


@pytest.mark.parametrize(("along", "across"), list(permutations(AXES, 2)))
def test_length_width_and_thickness_lie_along_the_axes_of_the_placement(along: Axis, across: Axis) -> None:
    part = Part("a", "a", TWO_BY_FOUR, 10 * INCH, Placement((1, 2, 3), along, across))
    through = next(axis for axis in AXES if axis not in (along, across))
    sizes = dict(zip(AXES, part.box.size, strict=True))
    assert part.box.low == (1, 2, 3)
    assert (sizes[along], sizes[across], sizes[through]) == (10 * INCH, INCH * 7 // 2, INCH * 3 // 2)


def test_a_ripped_part_is_as_wide_as_it_is_ripped() -> None:
    part = Part("a", "a", TWO_BY_FOUR, 10 * INCH, Placement((0, 0, 0), "x", "z"), ripped=INCH)
    assert part.width == INCH
    assert part.box == Box((0, 0, 0), (10 * INCH, INCH * 3 // 2, INCH))


def test_the_bounds_of_a_frame_hold_all_its_parts() -> None:
    assert layered("2x4", "2x6").bounds == Box((0, 0, 0), (10 * INCH, 3 * INCH, INCH * 11 // 2))


@pytest.mark.parametrize(
    ("layers", "grip", "length"),
    [
        # Tee nut, 7/16 in barrel, 1 in of thread: grip 4-1/2 -> 5 in, grip 5 -> 5-1/2 in (common practice, no source).
        (("2x4", "2x4", "2x4"), INCH * 9 // 2, 5 * INCH),
        (("4x4", "2x4"), 5 * INCH, INCH * 11 // 2),
    ],
)
def test_a_bolts_length_follows_from_its_grip(layers: tuple[str, ...], grip: int, length: int) -> None:
    frame = layered(*layers)
    joint = Bolted(tuple(frame.by_key), "3/8 in", HEAD, "y", 1)
    assert frame.grip(joint) == grip
    assert frame.bolt_length(joint) == length


def test_a_grip_no_bolt_reaches_through_is_an_error_that_names_it() -> None:
    frame = layered(*["4x4"] * 5)
    with pytest.raises(FastenerError, match="17 1/2 in"):
        frame.bolt_length(Bolted(tuple(frame.by_key), "3/8 in", HEAD, "y", 1))


def test_a_screws_length_follows_from_the_two_parts() -> None:
    """Through 1-1/2 into 1-1/2 in: the longest of 2, 2-1/2 and 3 in that leaves 1/8 in of wood."""
    frame = layered("2x4", "2x4")
    assert frame.screw_length(Screwed(("layer 0", "layer 1"), "#8", HEAD, "y", 1)) == 5 * INCH // 2


def test_boxes_in_inches_and_in_their_exact_millimetres_are_the_same() -> None:
    inches = Part("a", "a", TWO_BY_FOUR, 84 * INCH, Placement((0, 0, 8 * INCH), "x", "z"))
    metric = Part("a", "a", TWO_BY_FOUR, 21336 * MM // 10, Placement((0, 0, 2032 * MM // 10), "x", "z"))
    assert inches == metric
    assert inches.box == metric.box
