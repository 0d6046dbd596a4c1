"""The take-off: ids, cut lengths, hardware and areas, on frames small enough to count by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import product
from string import ascii_uppercase
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.asked.lines import Line, Need, OwnPart
from sawbill.asked.request import Request
from sawbill.buying.takeoff import frame_hardware, letters, take_off
from sawbill.making.operations import areas_of
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.frame import Bolted, Frame, Glued, Hung, Joint, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section

TWO_BY_FOUR = section("2x4")  # 1-1/2 by 3-1/2 in
SQUARE_INCH = INCH**2
STEP = INCH // 16


def part(key: str, length: int, *, y: int = 0, name: str = "", **changes: Any) -> Part:
    """A 2x4 lying flat on the floor along x, its lower edge at y [nm]; length [nm]."""
    return replace(Part(key, name or key, TWO_BY_FOUR, length, Placement((0, y, 0), "x", "y")), **changes)


def pair(*joints: Joint) -> Frame:
    """Two 10 in pieces of 2x4 that stand face to face on their edges: 10 by 1-1/2 by 3-1/2 in each."""
    parts = tuple(
        Part(key, "stick", TWO_BY_FOUR, 10 * INCH, Placement((0, y, 0), "x", "z"))
        for key, y in (("left", 0), ("right", TWO_BY_FOUR.thickness))
    )
    return Frame(parts, joints)


# ---- ids


def test_letters_run_from_a_to_z_then_aa() -> None:
    named = [letters(n) for n in range(26 + 26 * 26 + 1)]
    assert named[:26] == list(ascii_uppercase)
    assert named[26:-1] == ["".join(pair) for pair in product(ascii_uppercase, repeat=2)]
    assert named[-1] == "AAA"


@given(st.lists(st.integers(0, 10**6), unique=True, min_size=2, max_size=50))
def test_no_two_places_have_the_same_letters(numbers: list[int]) -> None:
    assert len({letters(n) for n in numbers}) == len(numbers)


def test_ids_run_on_over_all_lines_in_the_order_of_the_request() -> None:
    frame = Frame((part("a", 10 * INCH), part("b", 20 * INCH, y=4 * INCH)))
    own = OwnPart("shelf", TWO_BY_FOUR, 30 * INCH, 2)
    lines = [Line("first", 1, frame=frame), Line("second", 3, parts=(own,)), Line("third", 1, frame=frame)]
    cuts = take_off(lines, STEP).cut_list
    assert [(cut.id, cut.line, cut.name, cut.quantity) for cut in cuts] == [
        ("A", 0, "a", 1), ("B", 0, "b", 1), ("C", 1, "shelf", 6), ("D", 2, "a", 1), ("E", 2, "b", 1),
    ]  # fmt: skip
    assert [cut.keys for cut in cuts] == [("a",), ("b",), (), ("a",), ("b",)]


def test_a_beds_ids_stay_when_only_its_quantity_or_a_later_line_changes(
    inch: PriceBook, ask: Callable[[PriceBook, Any], Request]
) -> None:
    def ids(*lines: dict[str, Any]) -> list[tuple[str, str]]:
        return [(cut.id, cut.name) for cut in take_off(ask(inch, {"lines": list(lines)}).lines, STEP).cut_list]

    bed = {"design": "slatted-bed"}
    alone = ids(bed)
    assert ids({**bed, "quantity": 3}) == alone
    assert ids(bed, {**bed, "options": {"mattress": "twin"}})[: len(alone)] == alone


# ---- cut lengths


@given(st.integers(10 * MM, 3000 * MM), st.integers(MM // 10, 10 * MM), st.sampled_from(["up", "down"]))
def test_a_cut_length_is_on_the_step_within_one_step_to_the_safe_side(length: int, step: int, rounding: str) -> None:
    [cut] = take_off([Line("", 1, frame=Frame((part("a", length, rounding=rounding),)))], step).cut_list
    assert cut.length % step == 0
    off = cut.length - length if rounding == "up" else length - cut.length
    assert 0 <= off < step


def test_a_length_on_the_step_is_cut_as_it_is() -> None:
    frame = Frame((part("a", 10 * STEP), part("b", 10 * STEP, y=4 * INCH, rounding="down")))
    assert [cut.length for cut in take_off([Line("", 1, frame=frame)], STEP).cut_list] == [10 * STEP] * 2


def test_an_own_part_is_cut_as_the_request_says() -> None:
    own = OwnPart("odd", TWO_BY_FOUR, 10 * STEP + 1, 1)
    assert take_off([Line("", 1, parts=(own,))], STEP).cut_list[0].length == 10 * STEP + 1


# ---- grouping


def test_parts_cut_alike_are_one_line_in_the_order_they_first_appear() -> None:
    frame = Frame(
        (
            part("slat 1", 20 * INCH, name="slat"),
            part("rail", 40 * INCH, name="rail", y=4 * INCH),
            part("slat 2", 20 * INCH, name="slat", y=8 * INCH),
            part("slat 3", 20 * INCH - 1, name="slat", y=12 * INCH),
            part("slat 4", 20 * INCH + 1, name="slat", y=16 * INCH),
            part("slat 5", 20 * INCH, name="slat", y=20 * INCH, ripped=INCH),
            part("slat 6", 20 * INCH, name="slat", y=24 * INCH, section=section("2x6")),
        )
    )
    cuts = take_off([Line("", 2, frame=frame)], STEP).cut_list
    assert [(cut.keys, cut.quantity, cut.length) for cut in cuts] == [
        (("slat 1", "slat 2", "slat 3"), 6, 20 * INCH),
        (("rail",), 2, 40 * INCH),
        (("slat 4",), 2, 20 * INCH + STEP),
        (("slat 5",), 2, 20 * INCH),
        (("slat 6",), 2, 20 * INCH),
    ]
    assert [(cut.ripped, cut.section.name) for cut in cuts[3:]] == [(INCH, "2x4"), (None, "2x6")]


# ---- hardware

HEAD = (5 * INCH, 0, 2 * INCH)


@pytest.mark.parametrize(
    ("joint", "needs"),
    [
        # Grip 3 in. Into a tee nut: washer 0.083 + 3 in, so 3-1/4 in. With a nut: 3 + 2 x 0.083 + 0.337 + 2/16 = 3.628
        # in, so 3-3/4 in.
        pytest.param(
            Bolted(("left", "right"), "3/8 in", HEAD, "y", 1),
            {("hex bolt", "3/8 in", 13 * INCH // 4): 1, ("tee nut", "3/8 in", None): 1, ("washer", "3/8 in", None): 1},
            id="a bolt into a tee nut has one washer",
        ),
        pytest.param(
            Bolted(("left", "right"), "3/8 in", HEAD, "y", 1, end="nut"),
            {("hex bolt", "3/8 in", 15 * INCH // 4): 1, ("hex nut", "3/8 in", None): 1, ("washer", "3/8 in", None): 2},
            id="a bolt into a nut has two",
        ),
        # No washer under a round head: 3 + 0.083 + 0.337 + 2/16 = 3.545 in.
        pytest.param(
            Bolted(("left", "right"), "3/8 in", HEAD, "y", 1, end="capped nut", round_head=True),
            {
                ("round-head bolt", "3/8 in", 15 * INCH // 4): 1,
                ("hex nut", "3/8 in", None): 1,
                ("washer", "3/8 in", None): 1,
                ("nut cap", "3/8 in", None): 1,
            },
            id="a round-head bolt has one washer, under its nut",
        ),
        # Through 1-1/2 into 1-1/2 in less 1/8 in of cover: at most 2-7/8 in, of 3/4 to 2, 2-1/2 and 3 in.
        pytest.param(
            Screwed(("left", "right"), "#8", HEAD, "y", 1),
            {("wood screw", "#8", 5 * INCH // 2): 1},
            id="a screw",
        ),
        pytest.param(
            Hung(("left", "right"), "1-9/16 in"),
            {("joist hanger", "1-9/16 in", None): 1, ("hanger nail", "", 3 * INCH // 2): 4},
            id="a hanger has its nails",
        ),
        pytest.param(Glued(("left", "right")), {}, id="glue is no hardware"),
        pytest.param(Resting(("left", "right")), {}, id="what only lies needs none"),
    ],
)
def test_the_hardware_of_a_joint_is_counted(joint: Joint, needs: dict[tuple[Any, ...], int]) -> None:
    assert frame_hardware(pair(joint)) == {Need(*need): count for need, count in needs.items()}


def test_hardware_is_summed_over_joints_frames_and_lines_and_listed_by_item_size_and_length() -> None:
    bolt = Bolted(("left", "right"), "3/8 in", HEAD, "y", 1)
    screw = Screwed(("left", "right"), "#8", HEAD, "y", 1)
    own = (Need("wood screw", "#8", 5 * INCH // 2), 5), (Need("hex nut", "1/4 in", None), 2)
    lines = [Line("", 3, frame=pair(bolt, bolt, screw)), Line("", 2, hardware=own)]
    assert take_off(lines, STEP).hardware == (
        (Need("hex bolt", "3/8 in", 13 * INCH // 4), 6),
        (Need("hex nut", "1/4 in", None), 4),
        (Need("washer", "3/8 in", None), 6),
        (Need("tee nut", "3/8 in", None), 6),
        (Need("wood screw", "#8", 5 * INCH // 2), 3 + 10),
    )


# ---- areas


def test_glued_and_bare_areas_are_those_of_the_faces() -> None:
    """Each stick is 10 by 1-1/2 by 3-1/2 in; they meet on a face of 10 by 3-1/2 in, 35 square inches.

    One has 2 (10 x 1.5 + 1.5 x 3.5 + 3.5 x 10) = 110.5 square inches, both 221, less the face on either side: 151.
    """
    glued = pair(Glued(("left", "right")))
    assert areas_of(glued) == (35 * SQUARE_INCH, 151 * SQUARE_INCH)
    loose = pair(Resting(("left", "right")))
    assert areas_of(loose) == (0, 221 * SQUARE_INCH)


def test_only_the_shared_part_of_a_face_is_glued() -> None:
    """Moved 4 in along and 1 in up, the faces share 6 by 2-1/2 in."""
    left, right = pair().parts
    moved = replace(right, placement=replace(right.placement, origin=(4 * INCH, TWO_BY_FOUR.thickness, INCH)))
    assert areas_of(Frame((left, moved), (Glued(("left", "right")),)))[0] == 15 * SQUARE_INCH


def test_areas_are_those_of_all_frames_together() -> None:
    glued = pair(Glued(("left", "right")))
    off = take_off([Line("", 2, frame=glued), Line("", 3, frame=glued), Line("", 9, hardware=())], STEP)
    assert (off.glued, off.exposed) == (5 * 35 * SQUARE_INCH, 5 * 151 * SQUARE_INCH)
