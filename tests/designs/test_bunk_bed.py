"""The bunk bed: two beds on the same posts, of one width or of two, in one piece or made to lift off."""

import pytest
from hypothesis import HealthCheck, given, settings

from sawbill.checks.beds.openings import Rect, openings
from sawbill.testing import frame_faults, reading, written_options
from sawbill.trade.boxes import Box
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, Frame
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.bunk_bed import DESIGN


def beds(frame: Frame) -> dict[str, Box]:
    return {place.name: place.opening for place in frame.sleeping_places}


def carried_with(frame: Frame) -> dict[str, str]:
    return {key: piece.name for piece in frame.carried_pieces for key in piece.parts}


def hold_between_the_beds(frame: Frame) -> None:
    """Between the beds: 750 mm at least (EN 747-1, from memory), and nothing at the ends to be caught in.

    16 CFR 1213: no opening of 3.5 to 9 in; AS/NZS 4220, by the notice on it: none of 95 to 230 mm.
    """
    lower, upper = beds(frame)["lower mattress"], beds(frame)["upper mattress"]
    rails = [frame.boxes[part.key].low[2] for part in frame.parts if "upper" in part.key and part.name == "side rail"]
    assert min(rails) - lower.low[2] >= 750 * MM
    for beyond in (
        [box for box in frame.boxes.values() if box.high[0] <= lower.low[0]],
        [box for box in frame.boxes.values() if box.low[0] >= lower.high[0]],
    ):
        blocks = [Rect(*box.low[1:], *box.high[1:]) for box in beyond]
        for free in openings(Rect(lower.low[1], lower.low[2], lower.high[1], upper.low[2]), blocks):
            assert 60 * MM <= free.gap <= 75 * MM or free.gap >= 231 * MM


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_any_options_leave_height_between_the_beds_and_safe_openings_at_the_ends(system: str) -> None:
    @settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(written_options(DESIGN, system))  # type: ignore[arg-type]
    def hold(written: dict[str, object]) -> None:
        try:
            frame = DESIGN.frame(written, reading(system))  # type: ignore[arg-type]
        except OptionFaultsError:
            return
        hold_between_the_beds(frame)

    hold()


@pytest.mark.parametrize("board", ["1x4", "2x6", "1x12", "4x12", "22x195"])
@pytest.mark.parametrize("thickness", ["2 in", "24 in"])
def test_the_upper_bed_is_raised_where_boards_or_mattress_want_it(board: str, thickness: str) -> None:
    lower = {"size": "twin", "thickness": thickness}
    written = {"end_board": board, "lower_mattress": lower, "clear_between": "20 in", "rail": "2x8"}
    hold_between_the_beds(DESIGN.frame(written, reading()))


@pytest.mark.parametrize(
    ("upper", "lower"), [("twin", "full"), ("full", "twin"), ("eu-90", "eu-140"), ("queen", "king")]
)
@pytest.mark.parametrize("separable", ["yes", "no"])
def test_beds_of_two_widths_are_flush_on_the_ladders_side(upper: str, lower: str, separable: str) -> None:
    frame = DESIGN.frame({"upper_mattress": upper, "lower_mattress": lower, "separable": separable}, reading())
    assert not frame_faults(frame)
    hold_between_the_beds(frame)
    fronts = [frame.boxes[f"{bed} left rail"].span("y") for bed in ("lower", "upper")]
    backs = [frame.boxes[f"{bed} right rail"].high[1] for bed in ("lower", "upper")]
    assert fronts[0] == fronts[1]
    wider = beds(frame)["lower mattress" if lower in ("full", "eu-140", "king") else "upper mattress"]
    assert max(backs) - min(backs) > 14 * INCH
    assert max(backs) - wider.high[1] == frame.by_key["upper left rail"].section.thickness


def test_an_upper_bed_narrower_than_the_lower_leaves_the_lower_mattress_free_of_posts() -> None:
    frame = DESIGN.frame({"upper_mattress": "twin", "lower_mattress": "full"}, reading())
    inner = frame.boxes["right head inner post 1"]
    assert inner.low[2] > beds(frame)["lower mattress"].high[2]
    boards = [
        joint.parts[-1]
        for joint in frame.joints
        if isinstance(joint, Bolted) and joint.parts[0].startswith("right head inner post")
    ]
    assert "upper head end board 1" in boards
    assert {f"upper right stretcher{n}" for n in ("", " 2")} <= frame.by_key.keys(), "between the corner posts"


def test_a_separable_bed_parts_at_the_scabs_and_at_the_ladder_alone() -> None:
    frame = DESIGN.frame({"separable": "yes"}, reading())
    piece_of = carried_with(frame)
    words = {key: name.split()[0] for key, name in piece_of.items()}
    across = {
        joint.parts for joint in frame.joints
        if isinstance(joint, Bolted) and {"lower", "upper"} <= {words[key] for key in joint.parts}
    }  # fmt: skip
    assert {parts[-1] for parts in across} == {
        f"{side} {end} scab{way}" for side in ("left", "right") for end in ("head", "foot") for way in ("", " beyond")
    }


def test_a_separable_upper_bed_stands_on_legs_below_its_rails() -> None:
    frame = DESIGN.frame({"separable": "yes"}, reading())
    joint = frame.boxes["upper left head post 1"].low[2]
    assert joint == frame.boxes["lower left head post 1"].high[2]
    assert frame.boxes["upper left rail"].low[2] - joint >= 6 * INCH
    assert joint > beds(frame)["lower mattress"].low[2]


def test_mattresses_of_two_lengths_are_refused_with_the_reason() -> None:
    with pytest.raises(ValueError, match=r"equally long within 2 in .* choose a lower mattress as long as twin"):
        DESIGN.frame({"upper_mattress": "twin", "lower_mattress": "queen"}, reading())


def test_widths_that_fit_neither_one_rail_nor_two_posts_are_refused_with_the_reason() -> None:
    with pytest.raises(ValueError, match="too little for posts of its own"):
        DESIGN.frame({"upper_mattress": "eu-90", "lower_mattress": "eu-100"}, reading("metric"))
