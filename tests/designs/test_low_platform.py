"""The low platform: what practice says of it, its stops, and what it refuses."""

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from sawbill.checks.beds.bed import check_beds
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.testing import frame_faults, reading
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Frame, Screwed
from sawbill.trade.lengths import INCH
from sawbill_designs.low_platform import DESIGN


def frame(**written: object) -> Frame:
    return DESIGN.frame({"rail": "2x6", **written}, reading())


def refusal(**written: object) -> tuple[str, str]:
    with pytest.raises(OptionFaultsError) as caught:
        frame(**written)
    (fault,) = caught.value.faults
    return fault.option, fault.message


def test_nothing_stands_above_the_deck_without_stops_and_a_note_says_what_holds_the_mattress() -> None:
    flat = frame(stops="no")
    assert flat.bounds.high[2] == flat.sleeping_places[0].opening.low[2] == 10 * INCH
    assert [note.code for note in flat.notes] == ["held-by-friction"]
    assert [each.rule for each in check_beds(flat) if each.status == "warn"] == ["mattress-held"]


def test_nothing_is_found_against_it_with_its_stops() -> None:
    findings = check_beds(frame())
    assert len(findings) >= 7
    assert [finding.rule for finding in findings if finding.status != "pass"] == []


@pytest.mark.parametrize("base", ["legs", "plinth"])
def test_the_deck_reaches_beyond_the_base_by_the_overhang(base: str) -> None:
    platform = frame(base=base, overhang="3 in")
    deck = platform.boxes["slat 1"].span("y")
    base_parts = [box for key, box in platform.boxes.items() if "slat" not in key and "stop" not in key]
    assert min(box.low[1] for box in base_parts) - deck[0] == 3 * INCH
    assert deck[1] - max(box.high[1] for box in base_parts) == 3 * INCH


def test_a_plinth_reaches_the_floor_and_a_box_on_legs_does_not() -> None:
    assert min(box.low[2] for key, box in frame(base="plinth").boxes.items() if "rail" in key) == 0
    assert min(box.low[2] for key, box in frame().boxes.items() if "rail" in key) == 3 * INCH


@pytest.mark.parametrize("rail", ["2x6", "19x89", "28x145"])
@pytest.mark.parametrize("post", ["2x4", "1x12", "34x45"])
def test_every_slat_is_screwed_to_both_rails_beside_the_bolts_of_the_posts(rail: str, post: str) -> None:
    platform = frame(rail=rail, post=post)
    held = {joint.parts for joint in platform.joints if isinstance(joint, Screwed)}
    assert {(slat, f"{side} rail") for slat in platform.sleeping_places[0].slats for side in ("left", "right")} <= held


@pytest.mark.parametrize(
    ("written", "option", "words"),
    [
        ({"rail": "2x12"}, "height", "12 3/4 in or more would do"),
        ({"ledger": "2x10"}, "height", "10 3/4 in or more would do"),
        ({"rail": "2x2", "bolt_size": "1/2 in"}, "rail", "a section at least 2 3/4 in wide"),
        ({"mattress": "18 in x 75 in", "overhang": "6 in"}, "overhang", "or less would do"),
        (
            {"mattress": "18 in x 75 in", "rail": "4x4", "post": "3x4", "centre_support": "beam"},
            "post",
            "thinner posts or rails would do",
        ),
    ],
)
def test_what_cannot_stand_is_refused_with_what_would_do(written: dict[str, object], option: str, words: str) -> None:
    named, message = refusal(**written)
    assert named == option
    assert words in message


@pytest.mark.parametrize("height", ["12 3/4 in", "24 in"])
def test_the_height_a_refusal_names_stands(height: str) -> None:
    assert not frame_faults(frame(rail="2x12", height=height))


def test_slats_that_stand_back_from_the_ends_carry_no_stops_there_and_a_note_says_so() -> None:
    platform = frame(slat="1x10", slat_gap="1/2 in", mattress="38 in x 75 in")
    assert platform.boxes["slat 1"].low[0] > 0
    assert not frame_faults(platform)
    assert {"left stop", "right stop"} <= platform.by_key.keys()
    assert "head stop" not in platform.by_key
    assert "no-end-stops" in [note.code for note in platform.notes]


@pytest.mark.parametrize("stops", ["yes", "no"])
def test_a_headboard_stands_outside_the_deck_and_the_mattress_lies_against_its_boards(stops: str) -> None:
    whole, without = frame(headboard="yes", stops=stops), frame(stops=stops)
    (place,), boxes = whole.sleeping_places, whole.boxes
    uprights = [key for key in boxes if "headboard upright" in key]
    assert all(boxes[key].high[0] <= 0 for key in uprights)
    assert boxes["headboard board 1"].high[0] == place.opening.low[0]
    assert boxes["headboard board 1"].high[2] - place.opening.high[2] == 14 * INCH
    assert place.opening.size == without.sleeping_places[0].opening.size
    assert frame_faults(whole) == []
    assert [each.rule for each in check_beds(whole) if each.status == "fail"] == []


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
def test_a_headboard_bears_who_leans_on_it(
    book: str, samples: Mapping[str, PriceBook], quote: Callable[[PriceBook, dict[str, Any]], Quote]
) -> None:  # fmt: skip
    made = quote(samples[book], {"lines": [{"design": "low-platform", "options": {"headboard": "yes"}}]})
    findings = [each for _, each in made.findings]
    assert not [each for each in findings if each.status in ("fail", "unreckoned")]
    assert {"pushed-boards", "pushed-uprights", "pushed-fasteners"} <= {each.rule for each in findings}


def test_a_headboard_without_room_is_refused() -> None:
    option, message = refusal(mattress="24 in x 60 in", headboard="yes", post="2x8")
    assert option == "headboard"
    assert "narrower post" in message
