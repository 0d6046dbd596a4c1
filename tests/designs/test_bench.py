"""The bench: what practice says of it, and what it does with unusual wood."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.designs.mending import built, too_narrow, width_of

from sawbill.testing import exact, frame_faults, reading
from sawbill.trade.frame import Bolted, Frame, Screwed
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import sections
from sawbill_designs.bench import DESIGN
from sawbill_designs.common.places import board_run, clear_place

SECTIONS = st.sampled_from(sorted(sections()))


def bench(**written: str) -> Frame:
    return DESIGN.frame({"rail": "2x6", **written}, reading())


def test_what_it_measures_over_all_is_what_was_asked_for() -> None:
    assert bench(length="60 in", height="17 in", depth="15 in").bounds.size == (60 * INCH, 15 * INCH, 17 * INCH)


@pytest.mark.parametrize("board", ["1x4", "2x4", "22x120"])
def test_a_back_leaves_the_seat_as_deep_as_asked(board: str) -> None:
    """From the front edge of the seat to the boards one leans against; to a step, as a board is no whole number."""
    frame = bench(back="yes", depth="17 in", back_board=board)
    free = min(part.box.low[1] for part in frame.parts if part.name == "back board")
    assert 17 * INCH <= free < 17 * INCH + INCH // 16
    assert not frame_faults(frame)


def test_the_back_rises_as_far_above_the_seat_as_asked() -> None:
    back = bench(back="yes", back_height="20 in")
    assert back.bounds.high[2] == (18 + 20) * INCH
    boards = [part.box for part in back.parts if part.name == "back board"]
    assert max(box.high[2] for box in boards) == (18 + 20) * INCH
    assert min(box.low[2] for box in boards) >= 18 * INCH


def test_the_bolts_of_the_rails_are_all_that_holds_the_pieces_of_the_frame_together() -> None:
    frame = bench(back="yes")
    piece_of = {key: piece.name for piece in frame.carried_pieces for key in piece.parts if piece.count == 1}
    for joint in frame.joints:
        names = {piece_of[key] for key in joint.parts if key in piece_of}
        assert len(names) < 2 or isinstance(joint, Bolted), joint


@pytest.mark.parametrize(
    ("rail", "length", "pairs"),
    [("2x4", "59 in", 2), ("2x4", "60 in", 3), ("2x6", "91 in", 2), ("2x6", "92 in", 3), ("2x3", "96 in", 4)],
)
def test_a_rail_reaches_sixteen_of_its_widths_from_leg_to_leg(rail: str, length: str, pairs: int) -> None:
    """Common practice, no source: 56 in for 2x4 and 88 in for 2x6, from one leg's edge to the next one's."""
    frame = bench(rail=rail, length=length)
    assert sum(part.name == "cross board" for part in frame.parts) == pairs


def test_legs_left_out_of_the_middle_are_told_of() -> None:
    frame = bench(rail="2x4", length="72 in", middle_legs="none")
    assert [note.code for note in frame.notes] == ["long-rails"]
    assert "choose a wider rail" in frame.notes[0].message
    assert not bench(rail="2x4", length="72 in").notes


@settings(max_examples=40)
@given(SECTIONS, st.integers(16 * 16, 96 * 16), st.integers(0, 2 * INCH))
def test_seat_boards_cover_the_seat_end_to_end_within_the_widest_gap(board: str, sixteenths: int, gap: int) -> None:
    length = sixteenths * INCH // 16
    frame = DESIGN.frame({"seat_board": board, "length": exact(length), "seat_gap": exact(gap)}, reading())
    spans = [part.box.span("x") for part in frame.parts if part.name.endswith("seat board")]
    assert (spans[0][0], spans[-1][1]) == (0, length)
    assert all(0 <= start - end <= gap for (_, end), (start, _) in pairwise(spans))


@pytest.mark.parametrize("bolt_size", ["1/4 in", "5/16 in", "1/2 in", "M6", "M8", "M12"])
@pytest.mark.parametrize("wood", ["2x2", "4x4", "1x4", "5/4x6", "2x8"])
def test_any_wood_takes_any_bolt_or_the_thinner_one_that_is_advised(wood: str, bolt_size: str) -> None:
    woods = dict.fromkeys(("rail", "leg", "cross_board", "seat_board"), wood)
    written = {**woods, "bolt_size": bolt_size, "back": "yes", "depth": "20 in", "height": "24 in"}
    assert not frame_faults(built(DESIGN, written))


@settings(max_examples=60)
@given(SECTIONS, SECTIONS)
def test_a_seat_screw_keeps_an_eighth_of_an_inch_off_every_bolt(board: str, rail: str) -> None:
    asked = {"seat_board": board, "rail": rail, "height": "30 in"}
    if too_narrow(DESIGN, asked):
        assert width_of(rail) < INCH * 33 // 16, "5-1/2 diameters"
        return
    frame = DESIGN.frame(asked, reading())
    bolts = [joint.head[0] for joint in frame.joints if isinstance(joint, Bolted) and joint.parts[0] == "front rail"]
    screws = [joint.head[0] for joint in frame.joints if isinstance(joint, Screwed)]
    half = INCH * 7 // 32 + INCH // 8  # half the barrel of a 3/8 in tee nut, and the wood between
    assert min(abs(bolt - screw) for bolt in bolts for screw in screws) > half


@pytest.mark.parametrize(
    ("written", "option", "told"),
    [
        ({"depth": "10 in"}, "depth", "at least 10 1/8 in deep"),
        ({"height": "10 in", "rail": "2x10"}, "rail", "choose a narrower one, or a higher seat"),
        ({"length": "16 in", "leg": "2x12"}, "length", "at least 27 1/2 in long"),
        ({"shelf": "yes", "height": "16 in"}, "height", "a seat 16 1/2 in high at least"),
        ({"shelf": "yes", "length": "96 in"}, "shelf", "middle_legs none, or no shelf"),
        ({"back": "yes", "back_height": "6 in", "back_board": "1x8"}, "back_board", "a back_height of at least 8 1/4"),
    ],
)  # fmt: skip
def test_what_cannot_stand_is_refused_with_what_would_do(written: dict[str, str], option: str, told: str) -> None:
    with pytest.raises(ValueError, match=f"^{option}: .*{told}"):
        bench(**written)


def test_the_least_height_that_a_shelf_wants_leaves_room_for_a_hand_under_the_rails() -> None:
    frame = bench(shelf="yes", height="17 in", cross_board="2x6")
    shelf, above = frame.boxes["shelf board 1"], frame.boxes["left cross board"]
    assert above.low[2] - shelf.high[2] == 5 * INCH // 2 <= frame.boxes["front rail"].low[2] - shelf.high[2]
    assert frame.by_key["left stretcher"].section.name == "2x4", "of the legs, which is narrower"
    assert not frame_faults(frame)


def test_the_least_depth_that_a_refusal_tells_of_does() -> None:
    assert not frame_faults(bench(depth="10 1/8 in"))


# ---- what it shares with other designs


@settings(max_examples=200)
@given(st.integers(1, 400), st.integers(1, 60), st.integers(0, 8))
def test_boards_cover_any_room_with_no_board_wider_than_it_is(room: int, width: int, gap: int) -> None:
    run = board_run(5, 5 + room, width, gap, 1)
    assert run[0][0] == 5 and sum(run[-1]) == 5 + room
    assert all(0 <= after - (start + wide) <= gap + 1 for (start, wide), (after, _) in pairwise(run))
    assert all(0 < wide <= width for _, wide in run) or gap * 2 > width  # gaps as wide as boards can leave no last one


@settings(max_examples=200)
@given(st.integers(-5, 45), st.lists(st.integers(0, 40), max_size=5), st.integers(0, 6))
def test_a_clear_place_is_the_nearest_there_is(wanted: int, taken: list[int], room: int) -> None:
    clear = [n for n in range(41) if all(abs(n - place) >= room for place in taken)]
    best = min(clear, key=lambda n: (abs(n - wanted), n), default=None)
    found = clear_place(wanted, (0, 40), taken, room, 1)
    assert (found is None) == (best is None)
    assert found is None or best is None or (found in clear and abs(found - wanted) == abs(best - wanted))
