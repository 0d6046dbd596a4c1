"""Joinery: a good frame has no fault, and each deliberate fault is told by name."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from sawbill.checks.joinery import bore, joinery_faults, rod
from sawbill.trade.boxes import Box, Point
from sawbill.trade.frame import Bolted, Frame, Glued, Housed, Hung, Joint, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import section

KEYS = ("rail", "post 1", "post 2")
RADIUS = 7 * INCH // 32  # of a 3/8 in tee nut's barrel (MEMORY, as in bolts.csv)


def point(x: float, y: float, z: float) -> Point:
    """A point given in inches, exact to 1/64 in."""
    return tuple(round(64 * n) * INCH // 64 for n in (x, y, z))  # type: ignore[return-value]


def block(key: str, at: Point, length: int = 4 * INCH) -> Part:
    """A 2x4 on end at a point: 3-1/2 in along x, 1-1/2 along y."""
    return Part(key, key, section("2x4"), length, Placement(at, "z", "x"))


def moved(frame: Frame, key: str, x: int = 0, y: int = 0, z: int = 0) -> Frame:
    def turned(part: Part) -> Part:
        origin = tuple(a + b for a, b in zip(part.placement.origin, (x, y, z), strict=True))
        return replace(part, placement=replace(part.placement, origin=origin))

    return replace(frame, parts=tuple(turned(part) if part.key == key else part for part in frame.parts))


def with_joints(frame: Frame, *joints: Joint, parts: tuple[Part, ...] = ()) -> Frame:
    """The frame with more parts and joints."""
    return replace(frame, parts=(*frame.parts, *parts), joints=(*frame.joints, *joints))


def end_bolt(y: int, z: int, parts: tuple[str, ...] = ("end", "post 1")) -> tuple[Part, Bolted]:
    """An end board across the post, 8-1/2 to 10 in along x, and a bolt along x through it into the post."""
    end = Part("end", "end", section("2x6"), 10 * INCH, Placement(point(8.5, 1.5, 0), "y", "z"))
    return end, Bolted(parts, "3/8 in", (INCH * 17 // 2, y, z), "x", 1)


def test_a_good_frame_has_no_fault(stand: Frame) -> None:
    assert joinery_faults(stand) == []


def test_a_frame_without_parts_has_none_either() -> None:
    assert joinery_faults(Frame(())) == []


def test_a_bolt_between_glue_line_and_edge_is_good(stand: Frame) -> None:
    """In the middle of the lamination from 1-1/2 to 3 in; below the rail's bolts."""
    end, bolt = end_bolt(INCH * 9 // 4, 4 * INCH)
    assert joinery_faults(with_joints(stand, bolt, parts=(end,))) == []


def test_a_bolt_just_within_the_edge_is_good_and_one_nanometre_further_breaks_out(stand: Frame) -> None:
    for off, good in ((0, True), (-1, False)):
        bolt = Bolted(KEYS, "3/8 in", (10 * INCH + RADIUS + off, 0, 9 * INCH), "y", 1)
        faults = joinery_faults(replace(stand, joints=(stand.joints[0], bolt)))
        assert faults == (
            [] if good else [f"the 3/8 in bolt from rail breaks out of the edge of post {n}" for n in (1, 2)]
        )


def test_a_bolt_that_misses_wood_meets_a_gap(stand: Frame) -> None:
    faults = joinery_faults(moved(stand, "post 2", y=1))
    assert "post 1 does not touch post 2" in faults
    assert faults.count("the 3/8 in bolt from rail meets a gap before post 2") == 2


def test_a_bolt_whose_head_is_off_the_face_meets_a_gap(stand: Frame) -> None:
    off = Bolted(KEYS, "3/8 in", (INCH * 47 // 4, -1, 9 * INCH), "y", 1)
    faults = joinery_faults(replace(stand, joints=(stand.joints[0], off)))
    assert "the 3/8 in bolt from rail meets a gap before rail" in faults


def test_a_bolt_named_in_the_wrong_order_meets_a_gap(stand: Frame) -> None:
    backwards = Bolted(KEYS[::-1], "3/8 in", (INCH * 47 // 4, 0, 9 * INCH), "y", 1)
    assert "the 3/8 in bolt from post 2 meets a gap before post 2" in joinery_faults(with_joints(stand, backwards))
    right = Bolted(KEYS[::-1], "3/8 in", (INCH * 47 // 4, INCH * 9 // 2, 9 * INCH), "y", -1)
    assert joinery_faults(replace(stand, joints=(stand.joints[0], right))) == []


def test_a_bolt_along_a_glue_line_is_told(stand: Frame) -> None:
    end, bolt = end_bolt(3 * INCH, 4 * INCH)
    faults = joinery_faults(with_joints(stand, bolt, parts=(end,)))
    assert "the bolt from end runs along the glue line of post 1 and post 2" in faults


def test_a_bolt_may_touch_a_glue_line_and_not_cut_it_by_a_nanometre(stand: Frame) -> None:
    for off, good in ((0, True), (1, False)):
        end, bolt = end_bolt(3 * INCH - RADIUS + off, 4 * INCH)
        faults = joinery_faults(with_joints(stand, bolt, parts=(end,)))
        assert any("glue line" in fault for fault in faults) is not good


def test_a_bolt_across_a_glue_line_is_good(stand: Frame) -> None:
    assert not [fault for fault in joinery_faults(stand) if "glue line" in fault]


def test_bores_that_cross_are_told_and_bores_that_touch_are_not(stand: Frame) -> None:
    for z, good in ((9 * INCH, False), (9 * INCH - 2 * RADIUS + 1, False), (9 * INCH - 2 * RADIUS, True)):
        end, bolt = end_bolt(INCH * 9 // 4, z)
        end = replace(end, placement=replace(end.placement, origin=point(8.5, 1.5, 6)))
        faults = joinery_faults(with_joints(stand, bolt, parts=(end,)))
        assert ("the bores from rail and end run into each other" in faults) is not good


def test_two_bolts_in_one_place_run_into_each_other(stand: Frame) -> None:
    assert "the bores from rail and rail run into each other" in joinery_faults(with_joints(stand, stand.joints[1]))


@pytest.mark.parametrize(
    ("joint", "fault"),
    [
        (Glued(("rail", "post 2")), "rail does not touch post 2"),
        (Resting(("post 2", "rail")), "post 2 does not touch rail"),
        (Resting(("post 1", "rail")), "post 1 does not lie on rail"),
        (Resting(("post 2", "post 1")), "post 2 does not lie on post 1"),
        (Hung(("post 2", "rail"), "1-9/16 in"), "post 2 does not reach rail"),
        (Glued(("rail", "door")), "a joint names door, which is no part"),
    ],
)  # fmt: skip
def test_a_joint_that_does_not_touch_is_told(stand: Frame, joint: Joint, fault: str) -> None:
    assert joinery_faults(with_joints(stand, joint)) == [fault]


def test_a_hanger_may_leave_the_gap_it_names_and_no_more(stand: Frame) -> None:
    lamination = INCH * 3 // 2
    for gap, faults in ((lamination, []), (lamination - 1, ["post 2 does not reach rail"])):
        assert joinery_faults(with_joints(stand, Hung(("post 2", "rail"), "1-9/16 in", gap))) == faults


def test_a_part_that_lies_on_another_is_good(stand: Frame) -> None:
    lid = block("lid", point(11, 0, 13.5))
    assert joinery_faults(with_joints(stand, Resting(("lid", "rail")), parts=(lid,))) == []


def test_parts_that_no_chain_of_joints_connects_are_told(stand: Frame) -> None:
    alone = block("alone", point(30, 5, 0)), block("friend", point(30, 6.5, 0))
    faults = joinery_faults(with_joints(stand, Glued(("alone", "friend")), parts=alone))
    assert faults == ["alone is joined to nothing", "friend is joined to nothing"]


@pytest.mark.parametrize(
    ("at", "blocked"),
    [
        pytest.param(point(11, 4.5, 8), True, id="in the way of the bolt's tip"),
        pytest.param(point(12.25, 4.5, 8), False, id="beside the tee nut's flange of 1 in"),
        pytest.param(point(12.234375, 4.5, 8), True, id="under the flange by 1/64 in"),
        pytest.param(point(12.25, -1.5, 8), False, id="beside the washer of 1 in"),
        pytest.param(point(12.234375, -1.5, 8), True, id="under the washer by 1/64 in"),
        pytest.param(point(11, -2, 8), False, id="behind the washer"),
    ],
)
def test_what_stands_where_a_bolt_begins_or_ends_is_told(stand: Frame, at: Point, blocked: bool) -> None:
    faults = joinery_faults(with_joints(stand, parts=(block("block", at),)))
    assert ("the 3/8 in bolt from rail runs into block" in faults) is blocked


def test_a_bolt_through_a_part_it_does_not_join_is_told(stand: Frame) -> None:
    """Named from the rail to the second lamination, it goes through the first."""
    bolt = Bolted(("rail", "post 2"), "3/8 in", (INCH * 47 // 4, 0, 9 * INCH), "y", 1)
    faults = joinery_faults(replace(stand, joints=(stand.joints[0], bolt)))
    assert "the 3/8 in bolt from rail runs into post 1" in faults
    assert "the 3/8 in bolt from rail meets a gap before post 2" in faults


def test_a_grip_that_no_fastener_suits_is_told_and_no_error(stand: Frame) -> None:
    thick = replace(section("2x4"), thickness=20 * INCH)
    deep = replace(stand, parts=(*stand.parts[:2], replace(stand.parts[2], section=thick)))
    faults = joinery_faults(deep)
    assert len([fault for fault in faults if "no 3/8 in bolt is long enough for a grip of 23 in" in fault]) == 2


def test_screws_hold_to_the_same_rules(stand: Frame) -> None:
    """The laminations screwed as well: through 1-1/2 into 1-1/2 in, from the inside of the second."""
    good = Screwed(("post 2", "post 1"), "#8", (11 * INCH, INCH * 9 // 2, 2 * INCH), "y", -1)
    assert joinery_faults(with_joints(stand, good)) == []
    edge = replace(good, head=(10 * INCH, *good.head[1:]))
    assert "the #8 screw from post 2 breaks out of the edge of post 2" in joinery_faults(with_joints(stand, edge))
    far = replace(good, head=(good.head[0], good.head[1] + 1, good.head[2]))
    assert "the #8 screw from post 2 meets a gap before post 2" in joinery_faults(with_joints(stand, far))


# ---- the bores themselves


@pytest.mark.parametrize(
    ("axis", "toward", "low", "high"),
    [
        ("x", 1, (0, -2, -2), (10, 3, 3)),
        ("x", -1, (-10, -2, -2), (0, 3, 3)),
        ("z", -1, (-2, -2, -10), (3, 3, 0)),
    ],
)
def test_a_rod_runs_from_its_start_and_is_as_wide_as_told(axis: Any, toward: Any, low: Point, high: Point) -> None:
    assert rod((0, 0, 0), axis, toward, 10, 5) == Box(low, high)


def test_a_bolts_bore_is_its_grip_long_and_its_shank_what_is_left_below_the_washer(stand: Frame) -> None:
    """Grip 4-1/2 in, bolt 5 in, washer 0.083 in; the barrel of the tee nut is 7/16 in wide."""
    bolt = stand.joints[1]
    assert isinstance(bolt, Bolted)
    found = bore(stand, bolt)
    assert found.wood.span("y") == (0, INCH * 9 // 2)
    assert found.shank.span("y") == (0, 5 * INCH - 83 * INCH // 1000)
    assert found.wood.span("x") == (INCH * 47 // 4 - RADIUS, INCH * 47 // 4 + RADIUS)


@pytest.mark.parametrize(
    ("apart", "faults"),
    [
        ("1", []),  # washers and flanges of 1 in touch: ASME B18.21.1-2009, Table 1a, 3/8 in wide series
        ("63/64", ["washers or flanges of the bolts from front and front overlap"]),
        ("3/4", ["washers or flanges of the bolts from front and front overlap"]),
    ],
)
def test_washers_and_flanges_lie_flat_beside_each_other(apart: str, faults: list[str]) -> None:
    front, back = block("front", (0, 0, 0), 10 * INCH), block("back", point(0, 1.5, 0), 10 * INCH)
    z = 4 * INCH + int(Fraction(apart) * INCH)
    bolts = tuple(Bolted(("front", "back"), "3/8 in", (INCH * 7 // 4, 0, at), "y", 1) for at in (4 * INCH, z))
    assert [fault for fault in joinery_faults(Frame((front, back), bolts)) if "washers" in fault] == faults


def test_a_socket_goes_over_each_head() -> None:
    """3/8 in: flats of 9/16 in, a socket of 27/32 in and a head of 0.65 in over its corners: 0.747 in at the least."""
    front, back = block("front", (0, 0, 0), 10 * INCH), block("back", point(0, 1.5, 0), 10 * INCH)
    told = []
    for apart in (750, 740):
        heads = (4 * INCH, 4 * INCH + apart * INCH // 1000)
        bolts = tuple(Bolted(("front", "back"), "3/8 in", (INCH * 7 // 4, 0, z), "y", 1) for z in heads)
        faults = joinery_faults(Frame((front, back), bolts))
        told.append("no socket goes over the heads from front and front" in faults)
    assert told == [False, True]


def housed(deep: float = 0.5, *, z: float = 6, y: float = 0) -> list[str]:
    """The faults of a rung let into the face of a 2x4 that stands, 1-1/2 in along x and 3-1/2 along y [in]."""
    post = Part("post", "post", section("2x4"), 12 * INCH, Placement((0, 0, 0), "z", "y"))
    rung = Part("rung", "rung", section("2x4"), 10 * INCH, Placement(point(1.5 - deep, y, z), "x", "y"))
    screw = Screwed(("post", "rung"), "#8", point(0, y + 1.5, z + 0.75), "x", 1)
    return joinery_faults(Frame((post, rung), (Housed(("rung", "post")), screw)))


def test_an_end_in_its_housing_is_good_with_a_screw_through_what_is_left() -> None:
    assert housed() == [] == housed(0.75)


@pytest.mark.parametrize(
    ("faults", "told"),
    [
        (housed(0.0), "has no depth"),
        (housed(0.78125), "cut deeper than half"),
        (housed(z=0), "no wood above or below"),
        (housed(z=10.5), "no wood above or below"),
        (housed(y=0.5), "rung is wider than post, in which it is housed"),
    ],
)
def test_a_housing_that_cannot_be_is_told(faults: list[str], told: str) -> None:
    assert any(told in fault for fault in faults)


def test_housings_from_either_side_leave_half_of_what_stands_between_them() -> None:
    """Of 1-1/2 in: 3/8 in from each side leave 3/4 in; 1/2 in each leave 1/2 in, unless one is above the other."""

    def faults(deep: float, z: float = 6) -> list[str]:
        post = Part("post", "post", section("2x4"), 12 * INCH, Placement((0, 0, 0), "z", "y"))
        right = Part("right", "rung", section("2x4"), 10 * INCH, Placement(point(1.5 - deep, 0, 6), "x", "y"))
        left = Part("left", "rung", section("2x4"), 10 * INCH, Placement(point(deep - 10, 0, z), "x", "y"))
        return joinery_faults(Frame((post, right, left), (Housed(("right", "post")), Housed(("left", "post")))))

    assert faults(0.375) == [] == faults(0.5, z=7.5)
    assert faults(0.5) == [
        f"the housing of {key} in post is cut deeper than half, with that behind it" for key in ("right", "left")
    ]
    assert faults(0.5, z=7)


def test_only_the_face_of_what_stands_takes_a_housing() -> None:
    lying = Part("post", "post", section("2x4"), 12 * INCH, Placement((0, 0, 0), "y", "z"))
    rung = Part("rung", "rung", section("2x3"), 10 * INCH, Placement(point(1, 2, 0.5), "x", "y"))
    faults = joinery_faults(Frame((lying, rung), (Housed(("rung", "post")),)))
    assert "the housing of rung in post is not for an end that lies, in the face of what stands" in faults
