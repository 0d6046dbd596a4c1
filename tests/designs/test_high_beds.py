"""Bunk and loft beds over all their options: no published rule of their market fails, and a second opinion agrees."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.designs.sweep import Rectangle, maximal_free

from sawbill.checks.beds.high_beds import check_high_beds
from sawbill.checks.beds.walls import Wall, around
from sawbill.checks.finding import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.boxes import bounds
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import MM

SAMPLES = 200
HIGH = ("bunk-bed", "loft-bed")
HAND = 90 * MM
Quoting = Callable[[PriceBook, dict[str, Any]], Quote]


def sampled(name: str, check: Callable[[Frame, dict[str, Any]], None], examples: int = SAMPLES) -> int:
    """Build frames for sampled options and check each; tells how many were built."""
    design, built = designs()[name], 0

    @settings(max_examples=examples, suppress_health_check=list(HealthCheck))
    @given(written_options(design), st.sampled_from(["US", "UK", "EU", "AU"]), st.sampled_from(["inch", "metric"]))
    def run(written: dict[str, Any], market: str, system: Any) -> None:
        nonlocal built
        if "upper_mattress" in written:  # beds of unlike length are refused, and would be most of the samples
            written["lower_mattress"] = written["upper_mattress"]
        try:
            frame = design.frame({**written, "market": market}, reading(system))
        except OptionFaultsError:
            return
        built += 1
        check(frame, written)

    run()
    return built


@pytest.mark.parametrize("name", HIGH)
def test_no_rule_of_any_market_fails_whatever_is_asked_for(name: str) -> None:
    def check(frame: Frame, written: dict[str, Any]) -> None:
        said = [each for each in check_high_beds(frame) if each.status in (Status.WARN, Status.FAIL)]
        assert said == [], (written, said)

    assert sampled(name, check) > SAMPLES // 2


@pytest.mark.parametrize("name", HIGH)
@pytest.mark.parametrize("market", ["US", "UK", "EU", "AU"])
@pytest.mark.parametrize("system", ["inch", "metric"])
def test_as_it_comes_it_is_held_against_its_market(name: str, market: str, system: Any) -> None:
    frame = designs()[name].frame({"market": market}, reading(system))
    found = check_high_beds(frame)
    assert {each.status for each in found} == {Status.PASS, Status.NOT_CHECKED}
    assert sum(each.status is Status.PASS for each in found) >= 3


@pytest.mark.parametrize("name", HIGH)
@pytest.mark.parametrize("way", ["ladder", "steps"])
@pytest.mark.parametrize("options", [{}, {"in_halves": "yes"}, {"braced": "no"}], ids=str)
@pytest.mark.parametrize("system", ["inch", "metric"])
def test_who_climbs_holds_on_to_a_post_on_one_side_and_an_upright_on_the_other(
    name: str, way: str, options: dict[str, str], system: Any
) -> None:
    """Both stand beside the stiles, no farther off than a hand is wide (practice), and rise as high as the guard."""
    frame = designs()[name].frame({"way_up": way, **options}, reading(system))
    place = next(place for place in frame.sleeping_places if place.name == frame.high_beds[0].place)
    ladder = frame.high_beds[0].ladder
    assert ladder
    (first, _, _), (last, _, _) = bounds(frame.boxes[key] for key in ladder.parts)
    high = place.opening.low[2] + place.mattress.thickness + 160 * MM
    held = [part.box for part in frame.parts if part.placement.along == "z" and part.key not in ladder.parts]
    held = [box for box in held if box.low[2] <= place.opening.low[2] and box.high[2] >= high]
    assert any(0 <= first - box.high[0] <= HAND for box in held)
    assert any(0 <= box.low[0] - last <= HAND for box in held)


def gaps_by_sweep(frame: Frame, wall: Wall, low: int, high: int) -> Iterator[int]:
    """The shorter sides of the openings in a wall, by cells: its parts picked and flattened from the boxes anew."""
    across, along = (0, 1) if wall.side in ("head", "foot") else (1, 0)
    opening = next(place for place in frame.sleeping_places if place.name == frame.high_beds[0].place).opening
    ladder = frame.high_beds[0].ladder
    climbed = set(ladder.parts) if ladder else set()
    seen: list[Rectangle] = []
    for key, box in frame.boxes.items():
        before = box.high[across] <= opening.low[across]
        after = box.low[across] >= opening.high[across]
        if (before if wall.side in ("head", "left") else after) and key not in climbed:
            seen.append(((box.low[along], box.high[along]), (box.low[2], box.high[2])))
    for (left, right), (bottom, top) in maximal_free(seen, ((wall.start, wall.end), (low, high))):
        if top < high:
            yield min(right - left, top - bottom)


@pytest.mark.parametrize("name", HIGH)
def test_a_second_opinion_finds_the_same_openings_in_every_wall(name: str) -> None:
    def check(frame: Frame, written: dict[str, Any]) -> None:
        bed = around(frame, frame.high_beds[0])
        level = bed.top + 160 * MM
        for wall in bed.walls.values():
            highest = max(each.top for each in wall.outline(bed.base))
            ours = sorted(wall.gaps(level, bed.base))
            assert ours == sorted(gaps_by_sweep(frame, wall, bed.base, highest)), (written, wall.side)

    assert sampled(name, check, SAMPLES // 2) > SAMPLES // 4


@pytest.mark.parametrize("way_up", ["ladder", "steps"])
@pytest.mark.parametrize("design", HIGH)
@pytest.mark.parametrize(("book", "post"), [("sample-inch", "2x6"), ("sample-metric", "45x145")])
def test_the_way_up_of_a_bed_on_wide_posts_is_of_boards_as_they_are_sold_and_holds(
    book: str, post: str, design: str, way_up: str, samples: Mapping[str, PriceBook], quote: Quoting
) -> None:
    quoted = quote(samples[book], {"lines": [{"design": design, "options": {"post": post, "way_up": way_up}}]})
    frame = quoted.request.lines[0].frame
    assert frame is not None
    assert not [part.key for part in frame.parts if part.section.name == post and part.ripped]
    assert [each.rule for _, each in quoted.findings if each.status in (Status.FAIL, Status.UNRECKONED)] == []


@pytest.mark.parametrize("bolt_size", ["M10", "M12"])
@pytest.mark.parametrize("separable", [True, False])
def test_bolts_too_thick_for_a_metric_post_are_refused_and_the_thinner_ones_named_hold(
    bolt_size: str, separable: bool, samples: Mapping[str, PriceBook], quote: Quoting
) -> None:
    """EN 1995-1-1, Table 8.4: 7 d from the end and 3 d from the edge are 100 mm of M10, more than a post of 95 mm."""
    options = {"separable": separable, "bolt_size": bolt_size}
    with pytest.raises(OptionFaultsError, match=r"^bolt_size: .* posts of 45x95 .* choose a bolt_size of M8$"):
        designs()["bunk-bed"].frame(options, reading("metric"))
    for mended in ({"bolt_size": "M8"}, {"bolt_size": "M10", "post": "45x120"}):
        line = {"design": "bunk-bed", "options": {**options, **mended}}
        findings = quote(samples["sample-metric"], {"lines": [line]}).findings
        assert [each.rule for _, each in findings if each.status in (Status.FAIL, Status.UNRECKONED)] == []
