"""Bunk and loft beds in two lengths: what goes into a small car, what stands in the middle, and what holds there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.checks.beds.high_beds import check_high_beds
from sawbill.checks.carrying import carried_box, check_carrying
from sawbill.checks.finding import Status
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.site import Site
from sawbill.checks.statics.model import Model
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.registry import designs
from sawbill.testing import frame_faults, reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, Frame
from sawbill.trade.lengths import INCH, MM, System

Make = Callable[[PriceBook, dict[str, Any]], Quote]
MATTRESSES = {"bunk-bed": ("upper_mattress", "lower_mattress"), "loft-bed": ("mattress",)}
SMALL_CAR = 70 * INCH


def built(design: str, mattress: str = "queen", **options: str) -> Frame:
    return designs()[design].frame({**dict.fromkeys(MATTRESSES[design], mattress), **options}, reading())


def longest(frame: Frame) -> int:
    return max(max(carried_box(frame, each).size) for each in frame.carried_pieces)


@pytest.mark.parametrize("design", MATTRESSES)
def test_no_piece_of_a_queen_bed_in_halves_is_longer_than_a_small_car(design: str) -> None:
    whole, halves = built(design), built(design, in_halves="yes")
    assert longest(halves) <= SMALL_CAR < longest(whole)
    site = Site(vehicle_length=SMALL_CAR)
    told = {frame: next(each for each in check_carrying(frame, site, {}) if each.rule == "vehicle-length")
            for frame in (whole, halves)}  # fmt: skip
    assert told[halves].status is Status.PASS
    assert told[whole].status is Status.WARN


@pytest.mark.parametrize("clear_between", ["20 in", "40 in"])
@pytest.mark.parametrize("thick", ["6 in", "12 in"])
def test_scabs_wider_than_posts_and_rail_stay_above_the_lower_mattress(thick: str, clear_between: str) -> None:
    """A 1x6 is 5-1/2 in wide; four layers of it and a rail are 4-1/2 in."""
    mattress = f"38 in x 75 in x {thick}"
    frame = built("bunk-bed", mattress, in_halves="yes", post="1x6", bolt_size="M8", clear_between=clear_between)
    lower = frame.sleeping_places[0].opening
    inward = [box for key, box in frame.boxes.items() if "scab" in key and box.low[1] < lower.low[1] < box.high[1]]
    assert inward and all(box.low[2] >= lower.low[2] + frame.sleeping_places[0].mattress.thickness for box in inward)
    assert not frame_faults(frame)


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("design", MATTRESSES)
@settings(max_examples=8, derandomize=True, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_halves_of_any_wood_can_be_built_and_break_no_rule_or_are_refused(
    design: str, system: System, data: Any
) -> None:  # fmt: skip
    """No two parts in one place, every bolt in what it joins; no rule of the market about guards or openings fails."""
    options = {**data.draw(written_options(designs()[design], system)), "in_halves": "yes"}
    if design == "bunk-bed":  # two widths are refused, and would be most of the samples
        options["lower_mattress"] = options.get("upper_mattress", "twin")
    try:
        frame = designs()[design].frame(options, reading(system))
    except OptionFaultsError:
        return
    assert frame_faults(frame) == []
    assert [each for each in check_high_beds(frame) if each.status in (Status.WARN, Status.FAIL)] == []


@pytest.mark.parametrize("design", MATTRESSES)
@pytest.mark.parametrize(
    ("system", "mattress"), [("inch", "twin"), ("inch", "queen"), ("metric", "eu-90"), ("metric", "eu-140")]
)
def test_every_check_of_the_halves_holds_and_they_take_one_wrench(
    design: str, system: System, mattress: str, samples: Mapping[str, PriceBook], quote: Make
) -> None:  # fmt: skip
    options = {**dict.fromkeys(MATTRESSES[design], mattress), "in_halves": "yes"}
    made = quote(samples[f"sample-{system}"], {"lines": [{"design": design, "options": options}]})
    assert {each.rule for _, each in made.findings if each.status not in (Status.PASS, Status.NOT_CHECKED)} <= {
        "one-person"
    }
    frame = designs()[design].frame(options, reading(system))
    assert {joint.size for joint in frame.joints if isinstance(joint, Bolted)} == {
        "3/8 in" if system == "inch" else "M8"
    }


def test_a_load_on_one_half_bends_the_rail_of_the_other_next_to_nothing() -> None:
    """By hand: a beam on its two posts passes no moment to what stands beside it (statics)."""
    paths = LoadPaths(built("loft-bed", "twin", in_halves="yes"))
    rail, other = paths.of["left head rail"], paths.of["left foot rail"]
    model, middle = Model(paths), (rail.low + rail.high) / 2
    solved = model.solve({}, [{rail: [(middle, middle, 1000.0)]}])

    def most(member: Any) -> float:
        first = model.first_piece(member)
        return float(np.abs(solved.moments[first : first + len(model.pieces[member])]).max())

    assert most(other) < 0.05 * most(rail)
    assert 0.5 < most(rail) / (1000 * (rail.high - rail.low) / 4) <= 1, "no more than P L / 4"


def test_what_hangs_on_both_halves_in_the_middle_is_bolted_through_both() -> None:
    frame = built("bunk-bed", in_halves="yes")
    through = [
        joint.parts
        for joint in frame.joints
        if isinstance(joint, Bolted) and joint.axis == "x" and "lower head middle cross board" in joint.parts
    ]
    assert through
    both = {"lower head middle cross board", "lower foot middle cross board"}
    assert all({parts[0], parts[-1]} == both and len(parts) == 4 for parts in through)


@pytest.mark.parametrize("way", ["separable", "in_halves"])
def test_screws_of_an_end_board_between_two_large_bolts_keep_off_each_other(way: str) -> None:
    """Two were 4 mm apart, moved from either edge of a deep board to the one place that its bolts leave."""
    options = {
        "upper_mattress": "eu-140",
        "lower_mattress": "eu-140",
        "end_board": "45x120",
        "bolt_size": "M10",
        "post": "45x120",
    }
    assert frame_faults(designs()["bunk-bed"].frame({**options, way: "yes"}, reading("metric"))) == []


@pytest.mark.parametrize("way", ["separable", "in_halves"])
def test_a_scab_too_narrow_for_its_bolts_is_refused_by_the_option_that_wants_it(way: str) -> None:
    options = {"post": "19x38", way: "yes"}
    with pytest.raises(OptionFaultsError, match=rf"^{way}: scabs of 19x38 are too narrow .* choose a wider post"):
        designs()["bunk-bed"].frame(options, reading("metric"))
    assert frame_faults(designs()["bunk-bed"].frame({**options, "post": "45x70"}, reading("metric"))) == []


def test_two_widths_in_halves_are_refused_with_what_would_do() -> None:
    with pytest.raises(OptionFaultsError, match=r"in_halves: .*one width, or leave the bed whole"):
        designs()["bunk-bed"].frame({"upper_mattress": "twin", "lower_mattress": "full", "in_halves": "yes"}, reading())


def test_a_bed_too_low_for_its_cross_board_is_told_how_high_it_must_be() -> None:
    with pytest.raises(OptionFaultsError, match=r"in_halves: .*raise clear_height to 11 1/4 in"):
        built("bunk-bed", in_halves="yes", end_board="2x12")
    assert built("bunk-bed", in_halves="yes", end_board="2x12", clear_height="11 1/4 in")


def test_posts_too_wide_for_the_longest_bolt_are_refused() -> None:
    with pytest.raises(OptionFaultsError, match=r"in_halves: no 3/8 in bolt is long enough .* choose a narrower post"):
        built("loft-bed", in_halves="yes", post="2x8")


@pytest.mark.parametrize("way_up", ["ladder", "steps"])
def test_who_climbs_has_something_to_hold_on_either_side_up_to_the_guard(way_up: str) -> None:
    """A post and the guard's upright stand beside the stiles, at most a hand's width off, as high as the guards."""
    frame = built("loft-bed", "twin", way_up=way_up)
    post, upright = frame.boxes["left foot post 1"], frame.boxes["left guard upright 1"]
    stiles = sorted(frame.boxes[key].span("x") for key in frame.by_key if key.split()[1:2] == ["stile"])
    sides = sorted((post.span("x"), upright.span("x")))
    assert sides[0][1] <= stiles[0][0] and stiles[-1][1] <= sides[1][0]
    assert stiles[0][0] - sides[0][1] <= 100 * MM and sides[1][0] - stiles[-1][1] <= 100 * MM
    top = max(box.high[2] for key, box in frame.boxes.items() if "guard board" in key)
    assert min(post.high[2], upright.high[2]) >= top
