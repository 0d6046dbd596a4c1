"""The boundary tables of the published rules for bunk beds, each value on a plain bed of boxes.

US: 16 CFR 1213 and 1513 (1999), as the rule and the Commission's summary of it have them. UK: SI 1987/1337, and all
that holds in the EU.
EU: EN 747-1, at second hand and from memory. AU: the safety notice on AS/NZS 4220.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.checks.beds.bunks import LENGTH, POST, Bunk, inches

from sawbill.checks.beds.high_beds import check_high_beds
from sawbill.checks.beds.walls import Around
from sawbill.checks.finding import Finding, Status
from sawbill.trade.lengths import INCH, MM

PASS, FAIL, UNCHECKED = Status.PASS, Status.FAIL, Status.NOT_CHECKED


def findings(bed: Bunk) -> dict[str, Finding]:
    """The findings on a bed by rule."""
    return {each.rule: each for each in check_high_beds(bed.frame())}


def gapped(gap: int, **changes: Any) -> dict[str, Any]:
    """A guard of boards with one opening, so wide, among others that every rule allows."""
    return {"boards": (90 * MM, 90 * MM, 90 * MM, 90 * MM), "gaps": (0, 70 * MM, gap, 70 * MM), **changes}


def guard(over_mattress: int) -> dict[str, Any]:
    """A guard whose top is so far over the mattress."""
    height = over_mattress + 150 * MM
    return {"boards": (90 * MM, height - 160 * MM), "gaps": (0, 70 * MM)}


# What is changed in a bed that passes, the rule it is about, how it comes out, and the clause it names.
US = [
    ({"base": 30 * INCH + 38 * MM}, "rules-apply", UNCHECKED, "1213.2"),
    ({"base": inches("30.01") + 38 * MM, "guards": False}, "guards", FAIL, "1213.3(a)(1)"),
    ({"base": inches("30.01") + 38 * MM}, "guards", PASS, "1213.3(a)(1)"),
    ({"far_gap": inches(".22")}, "guard-continuous", PASS, "1213.3(a)(2)"),
    ({"far_gap": inches(".23")}, "guard-continuous", FAIL, "1213.3(a)(2)"),
    ({"access": 15 * INCH}, "guard-end-gap", PASS, "1213.3(a)(3)"),
    ({"access": inches("15.1")}, "guard-end-gap", FAIL, "1213.3(a)(3)"),
    ({"access": inches("15.2")}, "guard-end-gap", FAIL, "1213.3(a)(3)"),
    (guard(5 * INCH), "guard-height", PASS, "1213.3(a)(5)"),
    (guard(inches("4.99")), "guard-height", FAIL, "1213.3(a)(5)"),
    (guard(inches("4.9")), "guard-height", FAIL, "1213.3(a)(5)"),
    (gapped(inches("3.49")), "guard-openings", PASS, "1213.3(a)(6)"),
    (gapped(inches("3.51")), "guard-openings", FAIL, "1213.3(a)(6)"),
    (gapped(inches("3.6")), "guard-openings", FAIL, "1213.3(a)(6)"),
    (gapped(inches("3.49")), "end-openings", PASS, "1213.3(b)(2)"),
    (gapped(inches("3.51")), "end-openings", FAIL, "1213.3(b)(2)"),
    ({"end_share": 870}, "end-openings", FAIL, "1213.3(b)(2)"),
    ({"end_share": 500}, "end-height", PASS, "1213.3(b)(1)"),
    ({"end_share": 490}, "end-height", FAIL, "1213.3(b)(1)"),
    ({"fastened": False}, "guard-fastened", FAIL, "1213.3(a)"),
    ({"lower_base": 300 * MM, "lower_end": inches("3.4")}, "lower-end-openings", PASS, "1213.3(b)(3)"),
    ({"lower_base": 300 * MM, "lower_end": inches("3.5")}, "lower-end-openings", FAIL, "1213.3(b)(3)"),
    ({"lower_base": 300 * MM, "lower_end": inches("8.9")}, "lower-end-openings", FAIL, "1213.3(b)(3)"),
    ({"lower_base": 300 * MM, "lower_end": 9 * INCH}, "lower-end-openings", PASS, "1213.3(b)(3)"),
    ({"thickness": 163 * MM, **guard(0), "boards": (150 * MM, 70 * MM)}, "thickest-mattress", PASS, "1213.3(a)(5)"),
    ({"thickness": 164 * MM, **guard(0), "boards": (150 * MM, 70 * MM)}, "thickest-mattress", FAIL, "1213.3(a)(5)"),
]  # fmt: skip
UK = [
    ({"base": 799 * MM}, "regulations-apply", UNCHECKED, ""),
    ({"base": 800 * MM}, "lawful-access", PASS, ""),
    ({"slat_gap": 75 * MM}, "lawful-surface-gaps", PASS, ""),
    ({"slat_gap": 76 * MM}, "lawful-surface-gaps", FAIL, ""),
    ({"slat_end": 75 * MM}, "lawful-surface-gaps", PASS, ""),
    ({"slat_end": 76 * MM}, "lawful-surface-gaps", FAIL, ""),
    ({"end_share": 870}, "lawful-access", FAIL, ""),
    (gapped(59 * MM), "guard-gaps", FAIL, ""),
    (gapped(60 * MM), "guard-gaps", PASS, ""),
    (gapped(75 * MM), "guard-gaps", PASS, ""),
    (gapped(76 * MM), "guard-gaps", FAIL, ""),
    ({"access": 299 * MM}, "lawful-access", FAIL, ""),
    ({"access": 300 * MM}, "lawful-access", PASS, ""),
]
EU = [
    ({"base": 599 * MM}, "rules-apply", UNCHECKED, ""),
    ({"base": 600 * MM}, "guard-height", PASS, ""),
    (guard(160 * MM), "guard-height", PASS, ""),
    (guard(159 * MM), "guard-height", FAIL, ""),
    ({"access": 299 * MM}, "access", FAIL, ""),
    ({"access": 300 * MM}, "access", PASS, ""),
    ({"access": 400 * MM}, "access", PASS, ""),
    ({"access": 401 * MM}, "access", FAIL, ""),
    ({"lower_base": (1400 - 38 - 750) * MM}, "clear-between", PASS, ""),
    ({"lower_base": (1400 - 38 - 749) * MM}, "clear-between", FAIL, ""),
    ({"slat_gap": 75 * MM}, "sleeping-surface-gaps", PASS, ""),
    ({"slat_gap": 76 * MM}, "sleeping-surface-gaps", FAIL, ""),
    ({"tread_spacing": 200 * MM}, "tread-spacing", PASS, ""),
    ({"tread_spacing": 199 * MM}, "tread-spacing", FAIL, ""),
    ({"tread_spacing": 300 * MM}, "tread-spacing", PASS, ""),
    ({"tread_spacing": 301 * MM}, "tread-spacing", FAIL, ""),
    ({"tread_width": 300 * MM}, "tread-width", PASS, ""),
    ({"tread_width": 299 * MM}, "tread-width", FAIL, ""),
    ({"tread_depth": 90 * MM}, "tread-depth", PASS, ""),
    ({"tread_depth": 89 * MM}, "tread-depth", FAIL, ""),
    ({"end_boards": False}, "guard-all-round", FAIL, ""),
    ({"guards": False}, "guard-all-round", FAIL, ""),
]
AU = [
    (guard(160 * MM), "guard-height", PASS, ""),
    (guard(159 * MM), "guard-height", FAIL, ""),
    ({"thickness": 60 * MM, "boards": (90 * MM, 100 * MM), "gaps": (0, 70 * MM)}, "guard-over-base", PASS, ""),
    ({"thickness": 60 * MM, "boards": (90 * MM, 99 * MM), "gaps": (0, 70 * MM)}, "guard-over-base", FAIL, ""),
    (gapped(29 * MM), "limb-gaps", PASS, ""),
    (gapped(30 * MM), "limb-gaps", FAIL, ""),
    (gapped(50 * MM), "limb-gaps", FAIL, ""),
    (gapped(51 * MM), "limb-gaps", PASS, ""),
    (gapped(94 * MM), "body-gaps", PASS, ""),
    (gapped(95 * MM), "body-gaps", FAIL, ""),
    (gapped(230 * MM), "body-gaps", FAIL, ""),
    (gapped(231 * MM, thickness=60 * MM), "body-gaps", PASS, ""),
    ({"access": 230 * MM}, "body-gaps", FAIL, ""),
    ({"access": 231 * MM}, "body-gaps", PASS, ""),
    ({"access": 400 * MM}, "widest-gap", PASS, ""),
    ({"access": 401 * MM}, "widest-gap", FAIL, ""),
]
TABLES = [(market, *row) for market, rows in (("US", US), ("UK", [*UK, *EU]), ("EU", EU), ("AU", AU)) for row in rows]


@pytest.mark.parametrize(("market", "changes", "rule", "status", "clause"), TABLES)
def test_each_value_passes_or_fails_as_published(
    market: Any, changes: dict[str, Any], rule: str, status: Status, clause: str
) -> None:
    found = findings(replace(Bunk(market), **changes))[rule]
    assert (found.status, found.clause) == (status, clause), found


@pytest.mark.parametrize("market", ["US", "UK", "EU", "AU"])
def test_a_bed_that_keeps_every_value_fails_none_and_is_told_what_was_not_checked(market: Any) -> None:
    found = check_high_beds(Bunk(market, lower_base=300 * MM).frame())
    assert {each.status for each in found} == {PASS, UNCHECKED}
    rules = {each.rule for each in found if each.status is UNCHECKED}
    assert {"ages", "not-a-certificate"} <= rules
    assert all(each.source and each.message for each in found)


def test_the_thickest_mattress_a_guard_allows_is_told() -> None:
    """Guards of 90, 70, 90, 70 and 90 mm rise 410 mm over the base; 5 in of it is over the mattress."""
    found = findings(Bunk("US"))["thickest-mattress"]
    assert (found.found, found.most) == (150 * MM, 410 * MM - 5 * INCH)


def test_each_finding_on_a_bed_wrong_in_four_ways_names_its_clause() -> None:
    wrong = Bunk(
        "US", boards=(90 * MM, 90 * MM), gaps=(inches("3.6"), inches("4.9") + 150 * MM - inches("3.6") - 180 * MM),
        access=inches("15.2"),
    )  # fmt: skip
    failed = {each.clause for each in check_high_beds(wrong.frame()) if each.status is FAIL}
    assert {"1213.3(a)(5)", "1213.3(a)(3)"} <= failed
    openings = replace(Bunk("US"), **gapped(inches("3.6")))
    assert findings(openings)["guard-openings"].clause == "1213.3(a)(6)"
    bare = replace(Bunk("US"), base=inches("30.01") + 38 * MM, guards=False)
    assert findings(bare)["guards"].clause == "1213.3(a)(1)"


def test_a_mattress_in_place_may_make_a_gap_that_traps() -> None:
    """A gap of 231 mm may be left open; 100 mm of mattress in it leave 131 mm, which may not (AU)."""
    gap = {"boards": (90 * MM, 90 * MM), "gaps": (231 * MM, 70 * MM)}
    trapped = findings(replace(Bunk("AU", thickness=100 * MM), **gap))["body-gaps"]
    assert (trapped.status, trapped.found) == (FAIL, 131 * MM)


@pytest.mark.parametrize("market", ["US", "UK", "EU", "AU"])
def test_a_bed_without_a_way_up_is_told_that_none_was_checked(market: Any) -> None:
    frame = Bunk(market).frame()
    (high,) = frame.high_beds
    rungs = set(high.ladder.parts) if high.ladder else set()
    parts = tuple(part for part in frame.parts if part.key not in rungs)
    found = check_high_beds(replace(frame, parts=parts, high_beds=(replace(high, ladder=None),)))
    assert {each.status for each in found if "tread" in each.rule} <= {UNCHECKED}
    if market == "EU":
        assert any(each.rule == "treads" and each.status is UNCHECKED for each in found)


def test_a_way_up_at_an_end_stands_at_neither_side() -> None:
    frame = Bunk("US").frame()
    (high,) = frame.high_beds
    assert high.ladder
    moved = tuple(
        replace(part, placement=replace(part.placement, origin=(LENGTH + POST, *part.placement.origin[1:])))
        if part.key in high.ladder.treads else part
        for part in frame.parts
    )  # fmt: skip
    (place,) = frame.sleeping_places
    assert Around(frame, high, place).ladder_side == "left"
    assert Around(replace(frame, parts=moved), high, place).ladder_side is None


def test_a_surface_that_no_slats_make_has_no_gaps_between_them() -> None:
    frame = Bunk("EU").frame()
    (place,), (high,) = frame.sleeping_places, frame.high_beds
    assert Around(frame, high, place).slat_gaps
    assert Around(frame, high, replace(place, slats=())).slat_gaps == []


def test_a_high_bed_that_names_no_market_is_pointed_out() -> None:
    frame = replace(Bunk("US").frame(), high_beds=())
    (found,) = check_high_beds(frame)
    assert (found.rule, found.status) == ("high-bed", Status.WARN)
    assert check_high_beds(replace(Bunk("US", base=599 * MM).frame(), high_beds=())) == []


def test_a_low_bed_beneath_is_no_high_one() -> None:
    assert "high-bed" not in findings(Bunk("US", lower_base=300 * MM))
    assert "high-bed" in findings(Bunk("US", lower_base=900 * MM))
