"""The order of assembly: a queen bed as a maker would put it up, and every design over its options."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.making.assembly import assembly
from sawbill.making.stages import stages
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, CarriedPiece, Frame, Part, Placement, Resting
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import section


def test_a_beam_waits_for_the_end_boards_that_carry_its_hangers_and_the_slats_come_last() -> None:
    placed = assembly(designs()["slatted-bed"].frame({}, reading()))
    assert [each.name for each in placed] == [
        "left rail", "right rail", "head end board", "foot end board", "centre beam", "slat",
    ]  # fmt: skip
    assert placed[2].onto == ("left rail", "right rail")
    bolts = [sum(isinstance(joint, Bolted) for joint in (*each.stays, *each.joins)) for each in placed]
    assert bolts == [4, 4, 2, 2, 2, 0], "two for each post in the shop, one a corner on site, two for the leg"
    assert [sum(isinstance(joint, Bolted) for joint in each.joins) for each in placed] == [0, 0, 2, 2, 0, 0]


@pytest.mark.parametrize(("name", "rail"), [("bunk-bed", "upper left rail"), ("loft-bed", "left rail")])
def test_a_ladder_and_a_guard_go_up_once_there_is_a_rail_to_join_them_to(name: str, rail: str) -> None:
    order = [each.name for each in assembly(designs()[name].frame({}, reading()))]
    assert set(order[:2]) == {"foot end", "head end"}
    assert order.index("ladder") > order.index(rail)
    assert order.index(rail.replace("rail", "guard")) > order.index(rail)


@pytest.mark.parametrize("name", designs())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_what_is_joined_to_nothing_yet_stands_on_the_floor(name: str, data: Any) -> None:
    try:
        frame = designs()[name].frame(data.draw(written_options(designs()[name])), reading())
    except OptionFaultsError:
        return
    alone = [each for each in assembly(frame) if not each.joins]
    assert all(min(frame.boxes[key].low[2] for key in each.parts) == 0 for each in alone)


def blocks(*carried: CarriedPiece, joints: Any = ()) -> Frame:
    """A block on the floor and a board above it."""
    low = Part("low", "block", section("2x4"), 10 * INCH, Placement((0, 0, 0), "x", "y"))
    high = Part("high", "board", section("2x4"), 10 * INCH, Placement((0, 0, 3 * INCH // 2), "x", "y"))
    return Frame((high, low), joints, carried)


def test_what_lies_on_another_is_placed_after_it() -> None:
    frame = blocks(CarriedPiece("board", ("high",)), CarriedPiece("block", ("low",)),
                   joints=(Resting(("high", "low")),))  # fmt: skip
    assert [(each.name, each.onto) for each in assembly(frame)] == [("block", ()), ("board", ("block",))]


def test_parts_that_no_carried_piece_names_are_placed_as_well() -> None:
    assert {key for each in assembly(blocks()) for key in each.parts} == {"high", "low"}


def test_two_pieces_that_rest_on_each_other_are_still_placed() -> None:
    frame = blocks(CarriedPiece("board", ("high",)), CarriedPiece("block", ("low",)),
                   joints=(Resting(("high", "low")), Resting(("low", "high"))))  # fmt: skip
    assert [each.name for each in assembly(frame)] == ["block", "board"]


@pytest.mark.parametrize("name", designs())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_part_is_placed_once_and_every_joint_made_once_when_all_it_joins_is_there(name: str, data: Any) -> None:
    try:
        frame = designs()[name].frame(data.draw(written_options(designs()[name])), reading())
    except OptionFaultsError:
        return
    there: set[str] = set()
    made = 0
    for each in assembly(frame):
        assert not there & set(each.parts)
        there |= set(each.parts)
        made += len(each.stays) + len(each.joins)
        assert all(there >= set(joint.parts) for joint in (*each.stays, *each.joins))
    assert there == set(frame.by_key)
    assert made == len(frame.joints)


def test_what_hangs_at_one_end_and_lies_on_a_leg_is_told_so() -> None:
    frame = designs()["slatted-bed"].frame({"mattress": "king", "in_halves": "yes"}, reading())
    texts = [each.text for each in stages(frame, assembly(frame), "inch")]
    assert "head beam: lower it into the hanger of head end board, and lay it on beam leg" in texts
