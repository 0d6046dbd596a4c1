"""The daybed: what practice says of it, its trundle, and what it refuses."""

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.designs.mending import built, too_narrow, width_of

from sawbill.checks.beds.bed import check_beds
from sawbill.checks.finding import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.testing import exact, frame_faults, reading
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, Frame, Screwed
from sawbill.trade.lengths import INCH, MM, System
from sawbill.trade.lumber import sections
from sawbill.trade.mattresses import mattress_sizes
from sawbill_designs.daybed import DESIGN

Raw = dict[str, Any]
TRUNDLE = {"rail": "2x6", "mattress": "twin x 8 in", "seat_height": "16 in", "trundle": "yes"}


@pytest.fixture(scope="module")
def with_trundle() -> Frame:
    return DESIGN.frame(TRUNDLE, reading())


def refusal(**written: object) -> tuple[str, str]:
    with pytest.raises(OptionFaultsError) as caught:
        DESIGN.frame(written, reading())
    (fault,) = caught.value.faults
    return fault.option, fault.message


def test_nothing_is_found_against_a_daybed_of_common_wood_and_its_trundle(with_trundle: Frame) -> None:
    findings = check_beds(with_trundle)
    assert len(findings) >= 14
    assert [finding.rule for finding in findings if finding.status != "pass"] == []


def test_only_bolts_hold_the_carried_pieces_to_each_other(with_trundle: Frame) -> None:
    piece_of = {key: piece.name for piece in with_trundle.carried_pieces for key in piece.parts}
    between = [
        joint
        for joint in with_trundle.joints
        if isinstance(joint, Bolted | Screwed) and len({piece_of[key] for key in joint.parts}) > 1
    ]
    assert between
    assert all(isinstance(joint, Bolted) for joint in between)
    longest = max(max(box.size) for box in with_trundle.boxes.values())
    assert longest == with_trundle.boxes["front rail"].size[0]


def test_the_mattress_lies_between_boards_on_three_sides_and_a_rail_in_front(with_trundle: Frame) -> None:
    room, boxes = with_trundle.sleeping_places[0].opening, with_trundle.boxes
    assert room.low[0] == boxes["left end board 1"].high[0]
    assert room.high[0] == boxes["right end board 1"].low[0]
    assert room.high[1] == boxes["back board 1"].low[1]
    assert room.low[1] == boxes["front rail"].high[1]


def test_a_trundle_lies_underneath_with_half_an_inch_to_spare(with_trundle: Frame) -> None:
    main, trundle = with_trundle.sleeping_places
    assert (main.name, trundle.name) == ("mattress", "trundle mattress")
    assert with_trundle.boxes["front rail"].low[2] - trundle.opening.high[2] == INCH // 2


def test_a_trundle_without_room_is_refused_with_the_seat_that_would_do() -> None:
    option, message = refusal(**{**TRUNDLE, "seat_height": "15 15/16 in"})
    assert option == "seat_height"
    assert "16 in or more would do" in message
    assert not frame_faults(DESIGN.frame(TRUNDLE, reading()))


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_a_seat_that_nobody_asked_for_is_as_high_as_a_trundle_wants(system: System) -> None:
    """The least of the seats that is not refused, by trying them; one that is asked for is left as it is."""
    step = INCH // 16 if system == "inch" else MM
    frame = DESIGN.frame({"trundle": "yes"}, reading(system))
    seat = frame.sleeping_places[0].opening.low[2]
    assert not frame_faults(frame) and "seat-over-trundle" in {note.code for note in frame.notes}
    same = DESIGN.frame({"trundle": "yes", "seat_height": exact(seat)}, reading(system))
    assert same.parts == frame.parts and same.joints == frame.joints
    with pytest.raises(OptionFaultsError, match="or more would do"):
        DESIGN.frame({"trundle": "yes", "seat_height": exact(seat - step)}, reading(system))
    assert DESIGN.frame({}, reading(system)).sleeping_places[0].opening.low[2] < seat


@pytest.mark.parametrize(
    ("mattress", "words"),
    [
        ("38 in x 96 in x 6 in", "too long for the room between the posts; up to 78 1/2 in would do"),
        ("60 in x 75 in x 6 in", "too wide for the bed; up to 38 in would do"),
        ("38 in x 75 in x 24 in", "too thick to go under any seat up to 30 in"),
    ],
)
def test_a_trundle_mattress_that_fits_nowhere_is_refused_with_its_reason(mattress: str, words: str) -> None:
    option, message = refusal(**TRUNDLE, trundle_mattress=mattress)
    assert option == "trundle_mattress"
    assert words in message


def test_a_trundle_narrower_than_its_two_ledgers_is_refused_with_the_width_that_would_do() -> None:
    narrow = {**TRUNDLE, "ledger": "2x12", "seat_height": "26 in"}
    assert "22 1/2 in wide or more" in refusal(**narrow, trundle_mattress="21 in x 75 in x 4 in")[1]
    boxes = DESIGN.frame({**narrow, "trundle_mattress": "22 1/2 in x 75 in x 4 in"}, reading()).boxes
    assert boxes["trundle front ledger"].high[1] <= boxes["trundle back ledger"].low[1]


USUAL = [(book, size) for book in ("sample-inch", "sample-metric")
         for size in ("twin", "twin-xl", "full", "eu-90", "eu-140", "uk-single")]  # fmt: skip


@pytest.mark.parametrize(("book", "size"), USUAL)
def test_a_trundle_of_a_usual_size_holds_in_boards_that_are_sold(
    book: str, size: str, samples: Mapping[str, PriceBook], quote: Callable[[PriceBook, Raw], Quote]
) -> None:
    """Under the lowest seat that its refusal names."""
    seat, thick = ("16 in", "6 in") if book == "sample-inch" else ("410 mm", "150 mm")
    options = {"trundle": "yes", "mattress": size, "trundle_mattress": f"{size} x {thick}", "seat_height": seat}
    findings = [
        each for _, each in quote(samples[book], {"lines": [{"design": "daybed", "options": options}]}).findings
    ]
    assert {"bending", "bolt-distance", "torsion"} <= {each.rule for each in findings}
    assert [each.rule for each in findings if each.status in (Status.FAIL, Status.UNRECKONED)] == []


def test_who_sits_on_a_trundle_presses_on_the_runners_and_on_no_front_or_back(with_trundle: Frame) -> None:
    """Told by the boxes alone: the ledgers lie between floor-borne runners and slats, and are fixed to nothing else."""
    for side in ("front", "back"):
        ledger, board = (with_trundle.boxes[f"trundle {side}{word}"] for word in (" ledger", ""))
        assert ledger.low[2] == with_trundle.boxes["trundle runner 1"].high[2] == board.low[2]
        joined = [set(joint.parts) for joint in with_trundle.joints if f"trundle {side} ledger" in joint.parts]
        assert all(any(" runner " in key or " slat " in key for key in each) for each in joined)


@pytest.mark.parametrize("bolt_size", ["M6", "M8", "M10"])
def test_a_lock_bolt_has_its_end_distances_in_post_and_front(bolt_size: str) -> None:
    """EN 1995-1-1, Table 8.4: 7 d from the end of the front, and 80 mm from the post's foot."""
    frame = DESIGN.frame({"trundle": "yes", "seat_height": "450 mm", "post": "45x120", "bolt_size": bolt_size},
                         reading("metric"))  # fmt: skip
    locks = frame.bolts["trundle front"]
    d = int(bolt_size[1:]) * MM
    ends = frame.boxes["trundle front"].span("x")
    assert len(locks) == 2
    assert all(min(bolt.head[0] - ends[0], ends[1] - bolt.head[0]) >= 7 * d for bolt in locks)
    assert all(bolt.head[2] >= 80 * MM for bolt in locks)


def test_a_wide_bed_has_a_leg_only_where_no_trundle_is_in_its_way() -> None:
    plain, wide = DESIGN.frame({"mattress": "queen"}, reading()), {**TRUNDLE, "mattress": "queen"}
    assert "leg beside beam" in plain.by_key
    assert "leg beside beam" not in DESIGN.frame(wide, reading()).by_key
    assert refusal(**wide, centre_support="beam and leg")[0] == "centre_support"


@pytest.mark.parametrize(
    ("written", "option", "remedy"),
    [
        ({"ledger": "2x12", "seat_height": "10 in"}, "seat_height", "12 3/4 in or more would do"),
        (
            {"mattress": "38 in x 75 in x 2 in", "end_board": "2x12", "arm_height": "0 in"},
            "arm_height",
            "4 1/4 in or more would do",
        ),
        (
            {"mattress": "38 in x 75 in x 2 in", "rail": "2x12", "back_height": "0 in"},
            "back_height",
            "7 3/4 in or more would do",
        ),
    ],
)
def test_what_cannot_stand_is_refused_and_what_the_refusal_names_stands(
    written: dict[str, object], option: str, remedy: str
) -> None:
    named, message = refusal(**written)
    assert named == option
    assert remedy in message
    mended = {**written, option: remedy.removesuffix(" or more would do")}
    assert not frame_faults(DESIGN.frame(mended, reading()))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(sections())), st.integers(0, 36 * INCH), st.integers(0, 36 * INCH))
def test_no_gap_between_the_boards_of_ends_and_back_is_wider_than_three_inches(board: str, arm: int, back: int) -> None:
    written = {"end_board": board, "arm_height": exact(arm), "back_height": exact(back)}
    if too_narrow(DESIGN, written):
        assert width_of(board) < INCH * 33 // 16 or arm < INCH * 4 or back < INCH * 4, "5-1/2 diameters; ripped ones"
        return
    boxes = DESIGN.frame(written, reading()).boxes
    for name in ("left end board", "back board"):
        spans = sorted(box.span("z") for key, box in boxes.items() if key.startswith(name))
        assert all(0 <= start - end <= 3 * INCH + 1 for (_, end), (start, _) in pairwise(spans))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(mattress_sizes())), st.sampled_from(["inch", "metric"]))
def test_every_listed_mattress_with_its_tolerance_fits_at_the_default_allowance(name: str, system: str) -> None:
    (place,) = DESIGN.frame({"mattress": name}, reading(system)).sleeping_places  # type: ignore[arg-type]
    length, width, _ = place.opening.size
    assert width >= place.mattress.width + place.mattress.tolerance
    assert length >= place.mattress.length + place.mattress.tolerance


@pytest.mark.parametrize("bolt_size", ["1/4 in", "1/2 in", "M12"])
@pytest.mark.parametrize("wood", ["2x2", "4x4", "1x2", "5/4x6", "2x8"])
def test_any_wood_takes_any_bolt_or_the_thinner_one_that_is_advised(wood: str, bolt_size: str) -> None:
    woods = dict.fromkeys(("rail", "ledger", "end_board", "post", "slat", "trundle_side"), wood)
    written = {**woods, "bolt_size": bolt_size, "seat_height": "30 in", "trundle_mattress": "36 in x 70 in x 4 in"}
    for trundle in (True, False):
        assert not frame_faults(built(DESIGN, {**written, "trundle": trundle}))


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_the_board_that_a_beam_hangs_from_is_bolted_to_both_posts_below_the_slats(system: System) -> None:
    frame = DESIGN.frame({"mattress": "queen", **({"rail": "2x6"} if system == "inch" else {})}, reading(system))
    for side in ("left", "right"):
        bolts = frame.bolts[f"{side} end board 1"]
        assert {bolt.parts[0].rsplit(" ", 1)[0] for bolt in bolts} == {f"{side} front post", f"{side} back post"}
        assert all(bolt.head[2] < frame.boxes["slat 1"].low[2] for bolt in bolts)
    assert "left end board 1" not in DESIGN.frame({}, reading(system)).bolts, "nothing hangs from it"


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("mattress", ["queen", "king"])
def test_a_wide_beam_with_no_leg_between_hangs_from_boards_that_stand_on_legs_of_their_own(
    system: System, mattress: str
) -> None:
    """Outside, between the posts, and under the board: in no trundle's way."""
    narrow = {"mattress": "twin", "centre_support": "beam"}
    assert "left leg under end board" not in DESIGN.frame(narrow, reading(system)).by_key
    frame = DESIGN.frame({"mattress": mattress, "centre_support": "beam"}, reading(system))
    for side in ("left", "right"):
        board, under, beside = (
            frame.boxes[f"{side} {name}"] for name in ("end board 1", "leg under end board", "leg beside end board")
        )
        assert under.high[2] == board.low[2] and under.contact(board) and beside.contact(board)
        assert under.low[2] == beside.low[2] == 0
    low = {"seat_height": "400 mm", "trundle": "yes", "trundle_mattress": "1000 mm x 2060 mm x 100 mm"}
    option, message = refusal(mattress=mattress, **low, rail="2x6")
    assert option == "trundle_mattress" and "the room between the legs" in message
    most = message.partition("up to ")[2].partition(" would")[0]
    shorter = {**low, "rail": "2x6", "mattress": mattress, "trundle_mattress": f"1000 mm x {most} x 100 mm"}
    assert not frame_faults(DESIGN.frame(shorter, reading()))
