"""The slatted bed: what practice says of it, and what it does with unusual wood."""

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.designs.mending import built

from sawbill.testing import exact, frame_faults, reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.fasteners import SLAT_STRAPS
from sawbill.trade.frame import Bolted, Frame, Glued
from sawbill.trade.lengths import INCH, parse_length
from sawbill.trade.lumber import sections
from sawbill.trade.mattresses import mattress_sizes
from sawbill_designs.slatted_bed import DESIGN

OWN_SIZE = {"mattress": "60 in x 80 in", "mattress_allowance": "0 in", "slat_clearance": "0 in", "rail": "2x6"}


@pytest.fixture(scope="module")
def queen() -> Frame:
    return DESIGN.frame(OWN_SIZE, reading())


def answer(written: dict[str, object]) -> object:
    """The boxes, or the option that the design refuses."""
    try:
        return DESIGN.frame(written, reading()).boxes
    except OptionFaultsError as error:
        return [(fault.option, fault.code) for fault in error.faults]


def test_straps_hold_every_slat_clear_of_what_it_lies_on() -> None:
    frame = DESIGN.frame({"mattress": "king", "slat_retention": "strap"}, reading())
    slats = [part for part in frame.parts if part.name == "slat"]
    assert all(strap.parts == tuple(part.key for part in slats) for strap in frame.slat_straps)
    under = [box for key, box in frame.boxes.items() if box.high[2] == slats[0].box.low[2] and key != slats[0].key]
    assert under
    assert slats[-1].box.high[0] - slats[0].box.low[0] < SLAT_STRAPS["inch"]
    for strap in frame.slat_straps:
        assert not [box for box in under if box.low[1] - INCH < strap.at < box.high[1] + INCH]


def test_slats_too_thin_for_a_straps_screws_are_refused_with_what_would_do() -> None:
    with pytest.raises(ValueError, match=r"^slat_retention: the shortest #8 screw .* 3/4 in of wood; choose blocks"):
        DESIGN.frame({"slat": "1x4", "slat_retention": "strap"}, reading())


def bolts(frame: Frame, key: str) -> list[Bolted]:
    return [joint for joint in frame.joints if isinstance(joint, Bolted) and key in joint.parts]


def test_gaps_between_the_slats_are_equal_and_two_slats_touch_at_the_middle(queen: Frame) -> None:
    """24 in of gap in 12 gaps is 2 in; twelve slats would leave 3 in and more (common practice, no source)."""
    spans = [queen.boxes[f"slat {i}"].span("x") for i in range(1, 15)]
    gaps = [start - end for (_, end), (start, _) in pairwise(spans)]
    assert gaps[6] == 0
    assert all(abs(12 * gap - 24 * INCH) < 12 * INCH // 16 for gap in gaps[:6] + gaps[7:])


@pytest.mark.parametrize(("mattress", "legs"), [("full", 1), ("queen", 1), ("king", 2), ("uk-king", 1), ("eu-180", 2)])
def test_the_beam_of_a_king_has_two_legs(mattress: str, legs: int) -> None:
    """Common practice, no source. They stand at its thirds, and one in its middle."""
    frame = DESIGN.frame({"mattress": mattress}, reading())
    middles = [sum(part.box.span("x")) / 2 for part in frame.parts if part.name == "leg under beam"]
    whole = frame.bounds.high[0]
    assert middles == pytest.approx([whole * i / (legs + 1) for i in range(1, legs + 1)], abs=INCH // 16)


def test_a_post_has_three_bolts_two_through_the_rail_and_one_through_the_end_board(queen: Frame) -> None:
    rail, board = bolts(queen, "left head post 2"), bolts(queen, "head end board")[:1]
    assert [queen.grip(bolt) for bolt in rail] == [9 * INCH // 2] * 2
    assert [queen.bolt_length(bolt) for bolt in rail] == [5 * INCH] * 2
    assert [(queen.grip(bolt), queen.bolt_length(bolt)) for bolt in board] == [(5 * INCH, 11 * INCH // 2)]


def test_the_end_boards_bolt_runs_in_one_lamination_and_far_enough_from_its_inner_edge(queen: Frame) -> None:
    """Pushed across, the end board presses on the rail outside, and the bolt on the post inward: 4D (NDS 12.5.1C)."""
    (bolt,) = [bolt for bolt in bolts(queen, "head end board") if "left head post 1" in bolt.parts]
    low, high = queen.boxes["left head post 1"].span("y")
    assert low < bolt.head[1] - INCH // 4 and bolt.head[1] + INCH // 4 < high, "not on the glue line"
    assert queen.boxes["left head post 2"].high[1] - bolt.head[1] >= 4 * INCH * 3 // 8
    assert queen.boxes["left ledger"].low[0] - queen.boxes["left head post 1"].high[0] >= INCH // 2, "room for its tip"


def test_posts_rise_beside_the_slats_four_diameters_above_their_bolts_and_no_further(queen: Frame) -> None:
    """NDS 2018, Table 12.5.1A: 4D at an end that bolts press away from."""
    post, (slat, place) = queen.boxes["left head post 1"], (queen.boxes["slat 1"], queen.sleeping_places[0])
    bolts = [joint for joint in queen.joints if isinstance(joint, Bolted) and "left head post 1" in joint.parts]
    highest = max(bolt.head[2] for bolt in bolts)
    assert post.high[2] - highest == 4 * INCH * 3 // 8
    assert post.high[2] <= place.opening.low[2] == slat.high[2], "never into the mattress"
    assert slat.low[0] >= post.high[0], "no slat lies on it"


def test_ledgers_are_glued_flush_with_the_rails_lower_edge(queen: Frame) -> None:
    assert Glued(("left ledger", "left rail")) in queen.joints
    assert queen.boxes["left ledger"].low[2] == queen.boxes["left rail"].low[2]


def test_four_bolts_take_it_apart_into_pieces_no_longer_than_a_rail(queen: Frame) -> None:
    piece_of = {key: piece.name for piece in queen.carried_pieces for key in piece.parts}
    between = [
        joint for joint in queen.joints if isinstance(joint, Bolted) and len({piece_of[key] for key in joint.parts}) > 1
    ]
    assert len(between) == 4
    assert all(max(queen.boxes[part.key].size) <= 84 * INCH for part in queen.parts)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(mattress_sizes())), st.sampled_from(["inch", "metric"]))
def test_every_listed_mattress_with_its_tolerance_fits_at_the_default_allowance(name: str, system: str) -> None:
    frame = DESIGN.frame({"mattress": name}, reading(system))  # type: ignore[arg-type]
    (place,) = frame.sleeping_places
    length, width, _ = place.opening.size
    assert width >= place.mattress.width + place.mattress.tolerance
    assert length >= place.mattress.length + place.mattress.tolerance


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(sorted(sections())),
    st.sampled_from(sorted(sections())),
    st.integers(INCH // 2, 4 * INCH),
)
def test_slats_lie_within_the_widest_gap_for_any_slat_and_post(slat: str, post: str, gap: int) -> None:
    frame = DESIGN.frame({"slat": slat, "post": post, "slat_gap": exact(gap)}, reading())
    spans = [frame.boxes[key].span("x") for key in frame.sleeping_places[0].slats]
    assert all(0 <= start - end <= gap for (_, end), (start, _) in pairwise(spans))


@settings(max_examples=30, deadline=None)
@given(written_options(DESIGN))
def test_options_in_inches_and_in_their_exact_millimetres_give_the_same_boxes(written: dict[str, object]) -> None:
    """Lengths are sampled on the 1/16 in grid and written in millimetres; here they are written in inches."""

    def inches(value: object) -> object:
        if isinstance(value, dict):
            return {side: inches(length) for side, length in value.items()}
        if not (isinstance(value, str) and re.fullmatch(r"\d+\.\d{6} mm", value)):
            return value
        nm = parse_length(value)
        return f"{nm // INCH} {nm % INCH * 16 // INCH}/16 in" if nm % INCH else f"{nm // INCH} in"

    in_inches = {name: inches(value) for name, value in written.items()}
    assert answer(in_inches) == answer(written)


@pytest.mark.parametrize("bolt_size", ["1/4 in", "5/16 in", "1/2 in", "M6", "M8", "M12"])
@pytest.mark.parametrize("wood", ["2x2", "4x4", "1x4", "5/4x6", "2x12"])
def test_any_wood_takes_any_bolt_or_the_thinner_one_that_is_advised(wood: str, bolt_size: str) -> None:
    written = {"bolt_size": bolt_size, "headboard": "no", **dict.fromkeys(("rail", "ledger", "post", "slat"), wood)}
    assert not frame_faults(built(DESIGN, written))


@pytest.mark.parametrize("board", ["1x4", "28x120", "2x4", "4x12", "22x45"])
@pytest.mark.parametrize("post", ["1x4", "28x120", "2x4", "4x4", "45x95"])
def test_boards_of_any_wood_are_screwed_to_uprights_of_any_wood(board: str, post: str) -> None:
    assert not frame_faults(built(DESIGN, {"headboard": "yes", "end_board": board, "post": post}))


def test_an_impossible_headboard_is_refused_with_its_reason() -> None:
    written = {"mattress": {"width": "20 in", "length": "60 in"}, "post": "2x12", "headboard": "yes"}
    with pytest.raises(ValueError, match="two uprights of 2x12 have no room"):
        DESIGN.frame(written, reading())
