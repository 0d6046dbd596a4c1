"""Beds in two lengths: what goes into a small car, how it is joined, and what the joint bears."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any
from urllib.parse import parse_qsl

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.answer.quote import quote_json
from sawbill.checks.carrying import carried_box, check_carrying
from sawbill.checks.finding import Status
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.site import Site
from sawbill.checks.statics.model import Model, Solved
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.registry import designs
from sawbill.testing import frame_faults, reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, Frame, Screwed
from sawbill.trade.lengths import INCH, MM, System
from sawbill.web.written import guide

Make = Callable[[PriceBook, dict[str, Any]], Quote]
SPLIT = ("slatted-bed", "low-platform", "daybed")
SMALL_CAR = 70 * INCH


def built(design: str, **options: str) -> Frame:
    return designs()[design].frame({"mattress": "queen", "rail": "2x6", **options}, reading())


@pytest.mark.parametrize("design", SPLIT)
def test_no_piece_of_a_queen_bed_in_halves_is_longer_than_a_small_car(design: str) -> None:
    whole, halves = built(design), built(design, in_halves="yes")
    longest = {frame: max(max(carried_box(frame, each).size) for each in frame.carried_pieces)
               for frame in (whole, halves)}  # fmt: skip
    assert longest[halves] <= SMALL_CAR < longest[whole]
    assert halves.bounds.size[0] - whole.bounds.size[0] in (0, INCH // 16), "no longer than two even halves take"


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("design", SPLIT)
@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_halves_of_any_wood_can_be_built_or_are_refused(design: str, system: System, data: Any) -> None:
    """No two parts in one place, every bolt inside what it joins, off screws and glue lines: as of whole beds."""
    options = {**data.draw(written_options(designs()[design], system)), "in_halves": "yes"}
    try:
        frame = designs()[design].frame(options, reading(system))
    except OptionFaultsError:
        return
    assert frame_faults(frame) == []


@pytest.mark.parametrize("design", SPLIT)
def test_a_bed_in_halves_takes_one_wrench(design: str) -> None:
    frame = built(design, in_halves="yes")
    assert {joint.size for joint in frame.joints if isinstance(joint, Bolted)} == {"3/8 in"}


def test_the_vehicle_is_long_enough_for_the_halves_and_not_for_the_whole() -> None:
    [found] = [
        each for each in check_carrying(built("slatted-bed"), Site(vehicle_length=SMALL_CAR), {})
        if each.rule == "vehicle-length"
    ]  # fmt: skip
    assert found.status is Status.WARN
    [found] = [
        each for each in check_carrying(built("slatted-bed", in_halves="yes"), Site(vehicle_length=SMALL_CAR), {})
        if each.rule == "vehicle-length"
    ]  # fmt: skip
    assert (found.status, found.found) == (Status.PASS, 61 * INCH), "the end boards"


@pytest.fixture(scope="module")
def pressed() -> tuple[LoadPaths, Member, Solved]:
    """The head length of the left rail, with 1000 N halfway between its post and its leg."""
    paths = LoadPaths(built("slatted-bed", in_halves="yes"))
    rail = paths.of["left head rail"]
    middle = (middle_of(paths, "left head post 1") + middle_of(paths, "left head leg under rail")) / 2
    return paths, rail, Model(paths).solve({}, [{rail: [(middle, middle, 1000.0)]}])


def middle_of(paths: LoadPaths, key: str) -> float:
    low, high = paths.frame.boxes[key].span("x")
    return (low + high) / 2 / MM


def test_a_length_is_a_beam_on_its_post_and_its_leg_and_hangs_on_no_scab(
    pressed: tuple[LoadPaths, Member, Solved],
) -> None:
    """By hand: half of what stands in the middle of a span goes to either end, and nothing beyond (statics)."""
    paths, rail, solved = pressed
    by_leg = np.zeros(solved.forces.shape[1])
    scab = paths.of["left rail scab"]
    for number, link in enumerate(paths.links):
        if link.member is rail and link.carrier is paths.of["left head leg under rail"]:
            by_leg += solved.forces[number]
        if scab in (link.member, link.carrier):
            assert np.abs(solved.forces[number]).max() < 10, "N of 1000 pass through the scab"
    assert by_leg == pytest.approx(500, rel=0.02)
    assert solved.floor[paths.of["left head leg under rail"].number] == pytest.approx(500, rel=0.02)


def test_no_moment_passes_over_the_joint(pressed: tuple[LoadPaths, Member, Solved]) -> None:
    """Where the legs stand under the ends, a length bends as a beam held at both: P L / 4 in the middle (statics)."""
    paths, rail, solved = pressed
    span = middle_of(paths, "left head leg under rail") - middle_of(paths, "left head post 1")
    first = Model(paths).first_piece(rail)
    pieces = Model(paths).pieces[rail]
    moments = np.abs(solved.moments[first : first + len(pieces)])
    assert moments.max() == pytest.approx(1000 * span / 4, rel=0.03)
    other = paths.of["left foot rail"]
    start = Model(paths).first_piece(other)
    beyond = np.abs(solved.moments[start : start + len(Model(paths).pieces[other])])
    assert beyond.max() < 0.01 * moments.max()


@pytest.mark.parametrize(
    ("design", "options", "word"),
    [
        ("low-platform", {"base": "plinth", "height": "10 in"}, "2 courses"),
        ("daybed", {"trundle": "yes", "seat_height": "16 in"}, "trundle"),
        ("daybed", {"end_board": "1x6"}, "one thickness"),
    ],
)
def test_what_cannot_be_split_says_what_would_do(design: str, options: Mapping[str, str], word: str) -> None:
    with pytest.raises(OptionFaultsError, match=f"in_halves: .*{word}") as caught:
        built(design, in_halves="yes", **options)
    assert [fault.option for fault in caught.value.faults] == ["in_halves"]


def test_the_guide_tells_which_queen_bed_in_halves_is_cheapest_and_what_the_halves_cost(
    inch: PriceBook, quote: Make
) -> None:
    """Quoted one by one, as whoever looks for it would; no check of it fails, nor one of the whole bed."""

    def total(design: str, in_halves: str) -> Decimal:
        made = quote(inch, {"lines": [{"design": design, "options": {"mattress": "queen", "in_halves": in_halves}}]})
        assert not [each for _, each in made.findings if each.status in (Status.FAIL, Status.UNRECKONED)]
        return Decimal(quote_json(made)["totals"]["total"])

    told = guide.pages()["site"].source.replace("\n", " ")
    ((cheapest, more),) = re.findall(r"slatted bed in halves, ([\d.]+): ([\d.]+) more than whole", told)
    halves = {design: total(design, "yes") for design in SPLIT}
    assert min(halves, key=halves.__getitem__) == "slatted-bed"
    assert halves["slatted-bed"] == Decimal(cheapest)
    assert total("slatted-bed", "no") + Decimal(more) == Decimal(cheapest)


@pytest.mark.parametrize("design", ["slatted-bed", "low-platform"])
def test_a_way_into_a_small_car_is_found_and_costs_what_its_quote_does(
    design: str, inch: PriceBook, quote: Make
) -> None:  # fmt: skip
    line: dict[str, Any] = {"design": design, "options": {"mattress": "queen"}}
    asked = {"lines": [line], "site": {"vehicle_length": "70 in"}}
    made = quote(inch, {**asked, "ways_out": "yes"})
    [found] = [each for each in quote_json(made)["ways_out"] if each["rule"] == "vehicle-length"]
    [way] = [each for each in found["ways"] if dict(parse_qsl(each["query"])) == {"in_halves": "yes"}]
    line["options"] = {"mattress": "queen", "in_halves": "yes"}
    then = quote(inch, asked)
    assert way["total"] == quote_json(then)["totals"]["total"]
    assert not [each for _, each in then.findings if each.status in (Status.FAIL, Status.UNRECKONED)]


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
def test_who_leans_on_the_back_of_a_daybed_in_halves_breaks_nothing(
    book: str, samples: Mapping[str, PriceBook], quote: Make
) -> None:  # fmt: skip
    """The legs of the back rail hold the back alone where its boards meet (every rule of strength)."""
    made = quote(samples[book], {"lines": [{"design": "daybed", "options": {"in_halves": "yes"}}]})
    findings = [each for _, each in made.findings]
    assert not [each for each in findings if each.status in (Status.FAIL, Status.UNRECKONED)]
    assert {"pushed-boards", "pushed-uprights", "pushed-fasteners"} <= {each.rule for each in findings}


def test_the_back_of_a_daybed_comes_off_with_its_legs() -> None:
    """Either length of the back is carried with the leg that it is screwed to, and every screw stays in one piece."""
    frame = built("daybed", in_halves="yes")
    piece_of = {key: piece.name for piece in frame.carried_pieces for key in piece.parts}
    assert piece_of["left back board 1"] == piece_of["back left leg beside rail 1"] == "left back"
    screwed = [joint for joint in frame.joints if isinstance(joint, Screwed)]
    assert screwed and all(len({piece_of[key] for key in joint.parts}) == 1 for joint in screwed)


@pytest.mark.parametrize(
    ("design", "height", "least", "options"),
    [
        ("low-platform", "height", "7 1/2 in", {"height": "7 in", "rail": "2x6", "mattress": "twin"}),
        ("daybed", "seat_height", "9 1/4 in", {"seat_height": "9 in", "rail": "2x4", "mattress": "twin"}),
    ],
)
def test_a_bed_too_low_for_a_scab_is_told_how_high_it_must_be(
    design: str, height: str, least: str, options: dict[str, str]
) -> None:
    options = {**options, "in_halves": "yes", "ledger": "2x8"}
    with pytest.raises(OptionFaultsError, match=rf"in_halves: .* raise {height} to {least} or more"):
        designs()[design].frame(options, reading())
    assert designs()[design].frame({**options, height: least}, reading())
