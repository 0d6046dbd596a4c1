"""Tables, workbenches and sawhorses: what practice says of them, and what they do with unusual wood."""

import re
from collections import Counter
from fractions import Fraction
from itertools import pairwise

import pytest

from sawbill.checks.joinery import joinery_faults
from sawbill.checks.load_paths import LoadPaths
from sawbill.registry import designs
from sawbill.testing import exact, reading
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, Frame, Glued, Resting, Screwed
from sawbill.trade.lengths import INCH, parse_length

USUAL = {
    "table": {"leg": "2x6"},
    "workbench": {"leg": "2x6", "rail": "2x6"},
    "sawhorse": {"beam": "2x6", "post": "2x6"},
}


def made(name: str, **written: str) -> Frame:
    return designs()[name].frame({**USUAL[name], **written}, reading())


def codes(name: str, **written: str) -> set[str]:
    return {note.code for note in made(name, **written).notes}


def refused(name: str, **written: str) -> str:
    with pytest.raises(OptionFaultsError) as caught:
        made(name, **written)
    [fault] = caught.value.faults
    return fault.message


@pytest.mark.parametrize("name", ["table", "workbench"])
def test_the_rails_stand_on_wood_and_do_not_hang_on_their_bolts(name: str) -> None:
    frame = made(name)
    rests = {joint.parts for joint in frame.joints if isinstance(joint, Resting)}
    for side in ("front", "rear"):
        for end in ("left", "right"):
            under = f"{end} {side} leg under rail"
            assert (f"{side} rail", under) in rests
            assert frame.boxes[under].high[2] == frame.boxes[f"{side} rail"].low[2]


@pytest.mark.parametrize("name", ["table", "workbench", "sawhorse"])
def test_only_bolts_and_screws_that_come_out_hold_carried_pieces_together(name: str) -> None:
    frame = made(name)
    piece_of = {key: piece.name for piece in frame.carried_pieces for key in piece.parts}
    for joint in frame.joints:
        if isinstance(joint, Glued):
            assert len({piece_of[key] for key in joint.parts}) == 1, joint
        elif len({piece_of[key] for key in joint.parts}) > 1:
            assert isinstance(joint, Bolted | Screwed | Resting), joint


@pytest.mark.parametrize(("name", "bolts"), [("table", 8), ("workbench", 8), ("sawhorse", 4)])
def test_so_many_bolts_take_it_apart(name: str, bolts: int) -> None:
    frame = made(name)
    piece_of = {key: piece.name for piece in frame.carried_pieces for key in piece.parts}
    between = [j for j in frame.joints if isinstance(j, Bolted) and len({piece_of[key] for key in j.parts}) > 1]
    assert len(between) == bolts


@pytest.mark.parametrize("gap", ["0 in", "1/8 in", "1/2 in"])
def test_no_board_of_a_table_is_ripped_and_its_gaps_are_alike(gap: str) -> None:
    frame = made("table", top_gap=gap, length="71 in")
    boards = sorted((part.box for part in frame.parts if part.name == "top board"), key=lambda box: box.low[0])
    assert all(part.ripped is None for part in frame.parts)
    gaps = {b.low[0] - a.high[0] for a, b in pairwise(boards)}
    assert gaps == {int(Fraction(gap.removesuffix(" in")) * INCH)}
    pitch = boards[1].low[0]
    assert 71 * INCH - pitch < boards[-1].high[0] <= 71 * INCH


def test_little_room_for_knees_is_told_of_a_table_that_is_sat_at_alone() -> None:
    told = {"little-knee-room"}
    assert told <= codes("table", rail="2x6")
    assert not told & codes("table", rail="2x6", height="36 in")
    assert not told & codes("table", height="18 in"), "one sits beside a low one, not at it"
    assert not told & codes("table")


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("table", {}),
        ("table", {"rail": "2x3", "leg": "2x3"}),
        ("table", {"cross_board": "2x8"}),
        ("workbench", {}),
        ("workbench", {"cross_board": "2x3"}),
        ("sawhorse", {}),
        ("sawhorse", {"beam": "2x3", "post": "2x3"}),
    ],
)
def test_each_joint_that_one_bolt_holds_is_told_and_no_other(name: str, written: dict[str, str]) -> None:
    frame = made(name, **written)
    holds = Counter(joint.parts for joint in frame.joints if isinstance(joint, Bolted))
    alone = {frame.by_key[key].name for parts, bolts in holds.items() if bolts == 1 for key in parts}
    told = {frame.by_key[key].name for note in frame.notes if note.code.startswith("one-") for key in note.parts}
    assert told == alone & {"rail", "cross board", "stretcher", "beam"}


def test_a_driver_reaches_the_screws_of_a_shelf_under_the_cross_boards() -> None:
    message = refused("workbench", height="23 in")
    frame = made("workbench", height=message.split("want ")[1].split(" at least")[0])
    shelf = max(part.box.high[2] for part in frame.parts if part.name == "shelf board")
    over = min(part.box.low[2] for part in frame.parts if part.name == "cross board")
    assert 10 * INCH <= over - shelf < 10 * INCH + INCH // 8
    assert joinery_faults(made("workbench", height="23 in", shelf="no")) == []


@pytest.mark.parametrize(("work", "bearers"), [("hand tools", 3), ("heavy", 4)])
def test_heavy_work_has_its_bearers_as_far_apart_as_joists(work: str, bearers: int) -> None:
    frame = made("workbench", work=work)
    assert sum(part.name == "bearer" for part in frame.parts) == bearers


def test_glued_slabs_bear_as_one_each() -> None:
    frame = made("workbench", top="slabs", slabs="2")
    paths = LoadPaths(frame)
    slabs = {paths.of[part.key] for part in frame.parts if part.name == "slab board"}
    assert [len(slab.parts) for slab in slabs] == [8, 8]


def test_how_the_beam_of_a_sawhorse_comes_to_fit_is_told_of_it_and_of_both_posts() -> None:
    frame = made("sawhorse")
    note = frame.notes[0]
    meets = {"beam"} | {part.key for part in frame.parts if part.name.endswith("post lamination")}
    assert note.code == "beam-drops-in" and {*note.parts} == meets


def test_that_slabs_move_is_told_and_of_boards_is_nothing() -> None:
    [note] = [note for note in made("workbench", top="slabs").notes if note.code == "slabs-move"]
    assert "slots along the bearers, 1/8 in longer" in note.message
    assert "slabs-move" not in codes("workbench")


@pytest.mark.parametrize(
    ("name", "written", "told"),
    [
        ("table", {"height": "16 in", "cross_board": "2x8"}, "height: legs with 2x4 rails and two 2x8 boards across"),
        ("table", {"length": "24 in"}, "length: two leg frames of 2x6 and 2x4 have no room"),
        (
            "table",
            {"depth": "14 in", "side_overhang": "6 in"},
            "depth: rails of 2x4 and legs of 2x6 want a top at least",
        ),
        ("workbench", {"top": "slabs", "slabs": "6", "depth": "16 in"}, "slabs: 6 of 2x4 have not two boards each"),
        (
            "workbench",
            {"top_board": "2x2", "bearer": "2x2", "side_overhang": "6 in"},
            "top_board: the screws of a 2x2 bearer leave no room for those of 2x2; choose",
        ),
        ("sawhorse", {"post": "4x4"}, "post: a beam of 2x6 drops between posts of wood as thick as itself"),
        ("sawhorse", {"length": "20 in"}, "length: two posts of 2x6 have no room"),
    ],
)
def test_what_cannot_stand_is_refused_with_what_would_do(name: str, written: dict[str, str], told: str) -> None:
    message = refused(name, **written)
    assert message.startswith(told) and ("make it" in message or "choose" in message)


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("table", {"height": "17-1/4 in", "rail": "2x10", "cross_board": "1x6"}),
        ("workbench", {"top_board": "4x4", "bearer": "2x2", "side_overhang": "4-3/16 in"}),
        ("table", {"leg": "3x4", "bolt_size": "1/2 in"}),
    ],
)
def test_in_low_or_thin_legs_and_under_thick_boards_nothing_runs_into_another(
    name: str, written: dict[str, str]
) -> None:
    assert joinery_faults(made(name, **written)) == []


@pytest.mark.parametrize(
    ("name", "written", "option", "told"),
    [
        ("table", {"height": "16 in", "cross_board": "2x8"}, "height", "want (.+?) at least"),
        ("table", {"length": "24 in"}, "length", "make it at least (.+?) long"),
        ("table", {"depth": "14 in", "side_overhang": "6 in"}, "depth", "want a top at least (.+?) deep"),
        ("workbench", {"height": "20 in", "cross_board": "2x8"}, "height", "want (.+?) at least"),
        ("sawhorse", {"length": "20 in"}, "length", "make it (.+?) at least"),
    ],
)
def test_what_a_refusal_advises_was_tried_and_nothing_less_does(
    name: str, written: dict[str, str], option: str, told: str
) -> None:
    advised = re.search(told, refused(name, **written))
    assert advised
    least = parse_length(advised[1])
    assert joinery_faults(made(name, **{**written, option: exact(least)})) == []
    assert refused(name, **{**written, option: exact(least - INCH)})
