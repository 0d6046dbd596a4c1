"""Practice for beds: each finding on a real frame, at its limit and one step beyond."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from sawbill.checks.beds.bed import INCHES, MILLIMETRES, check_beds
from sawbill.checks.finding import PRACTICE, Finding, Status
from sawbill.registry import designs
from sawbill.testing import exact, reading
from sawbill.trade.boxes import Box, point
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.frame import Frame, Part
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import Section, section


def bed(rail: Section | None = None, **options: Any) -> Frame:
    """A slatted bed of 2x6 rails and 2x4 for the rest; rail: a 2x6 that measures otherwise."""

    def find(name: str) -> Section:
        return rail if rail is not None and name == "2x6" else section(name)

    known = Reading("inch", lambda role: "2x6" if role == "rail" else "2x4", find)
    return designs()["slatted-bed"].frame(options, known)


def found(frame: Frame) -> dict[str, Finding]:
    return {finding.rule: finding for finding in check_beds(frame)}


def with_place(frame: Frame, **changes: Any) -> Frame:
    return replace(frame, sleeping_places=(replace(frame.sleeping_places[0], **changes),))


def moved(frame: Frame, keys: tuple[str, ...], x: int) -> Frame:
    def turned(part: Part) -> Part:
        at = part.placement.origin
        return replace(part, placement=replace(part.placement, origin=(at[0] + x, *at[1:])))

    return replace(frame, parts=tuple(turned(part) if part.key in keys else part for part in frame.parts))


def side_gap(gap: int) -> Frame:
    """A bed for a mattress that leaves so much beside it on each side."""
    frame = bed(mattress_allowance="3 in")
    place = frame.sleeping_places[0]
    mattress = replace(place.mattress, width=place.opening.size[1] - 2 * gap)
    return with_place(frame, mattress=mattress)


def long_mattress(spare: int) -> Frame:
    """A bed with a mattress whose label is so much shorter than the opening."""
    frame = bed()
    place = frame.sleeping_places[0]
    return with_place(frame, mattress=replace(place.mattress, length=place.opening.size[0] - spare))


def first_gap(gap: int) -> Frame:
    """A bed whose first slat lies so far from the second."""
    frame = bed()
    first, second = (frame.boxes[key].span("x") for key in frame.sleeping_places[0].slats[:2])
    return moved(frame, frame.sleeping_places[0].slats[:1], second[0] - first[1] - gap)


def overhang(length: int) -> Frame:
    """A bed whose last slat ends so far before the mattress does."""
    frame = bed()
    place = frame.sleeping_places[0]
    end = place.opening.high[0] - (place.opening.size[0] - place.mattress.length) // 2
    return moved(frame, place.slats[-1:], end - length - frame.boxes[place.slats[-1]].high[0])


def rails(width: int) -> Frame:
    """A bed on 3-1/2 in ledgers and 1-1/2 in slats, its rails so wide."""
    return bed(replace(section("2x6"), width=width))


LIMITS: list[tuple[str, Callable[[int], Frame], int, int, int]] = [
    # rule, a bed by the length in question, the limit, the step that goes beyond it, the length the rule finds
    ("mattress-width", lambda n: bed(mattress_allowance=exact(n)), INCH // 2, -INCH // 16, 121 * INCH // 2),
    ("mattress-length", long_mattress, INCH // 2, -1, 82 * INCH),
    ("side-gap", side_gap, 2 * INCH, 1, 2 * INCH),
    ("bedding-gap", side_gap, INCH // 4, -1, INCH // 4),
    ("slat-gap", first_gap, 3 * INCH, 1, 3 * INCH),
    (
        "slat-span",
        lambda n: bed(mattress=f"{exact(n)} x 80 in", centre_support="none", mattress_allowance="0 in"),
        56 * INCH, MM, 53 * INCH,
    ),
    ("mattress-overhang", overhang, 6 * INCH, 1, 6 * INCH),
    ("mattress-held", rails, INCH * 21 // 4, -1, INCH // 4),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "make", "limit", "beyond", "measured"), LIMITS, ids=[each[0] for each in LIMITS])
def test_a_finding_passes_at_its_limit_and_warns_beyond(
    rule: str, make: Callable[[int], Frame], limit: int, beyond: int, measured: int
) -> None:
    at, over = found(make(limit))[rule], found(make(limit + beyond))[rule]
    assert (at.status, at.found) == (Status.PASS, measured)
    assert over.status is Status.WARN
    assert over.message != at.message
    assert (at.least is None, at.most is None, at.source) == (over.least is None, over.most is None, over.source)


def test_a_metric_shop_has_the_same_limits_in_round_millimetres_to_the_safe_side() -> None:
    for inch, metric, (name, sign) in zip(INCHES, MILLIMETRES, SIDES.items(), strict=True):
        assert metric % MM == 0 and 0 <= sign * (inch - metric) < 3 * MM, name
    frame = designs()["bunk-bed"].frame({}, reading("metric"))
    limits = {rule: finding.most or finding.least for rule, finding in found(frame).items()}
    assert [limits[rule] for rule in ("slat-gap", "slat-span", "side-gap", "bedding-gap", "mattress-held")] == [
        75 * MM, 1345 * MM, 50 * MM, 7 * MM, 7 * MM,
    ]  # fmt: skip
    assert all(finding.status is Status.PASS for finding in found(frame).values())


SIDES = {"slat_gap": 1, "slat_span": 1, "side_gap": 1, "bedding_gap": -1, "upstand": -1, "overhang": 1}
"""On which side of each limit it is safe: below it, or above."""
LABELS = "label size as printed by makers; tolerance as sellers state it"


def test_every_finding_has_its_limit_here_and_its_source() -> None:
    findings = found(bed())
    assert list(findings) == [rule for rule, *_ in LIMITS]
    for rule, finding in findings.items():
        assert finding.source == PRACTICE or rule in ("mattress-width", "mattress-length")
        assert finding.parts == () or finding.parts[0].startswith("slat")
    assert findings["mattress-width"].source == f"{PRACTICE}: {LABELS}"


def test_the_guard_of_an_upper_bed_keeps_no_mattress_of_the_lower_in_place() -> None:
    frame = designs()["bunk-bed"].frame({}, reading())
    lower = frame.sleeping_places[0]
    (x, y, z), rail = lower.opening.low, frame.boxes["lower left rail 2"].high[2]

    def held(base: int) -> Finding:
        place = replace(lower, opening=Box(point((x, y, base)), lower.opening.high))
        return found(replace(frame, sleeping_places=(place,)))["mattress-held"]

    assert (held(z).status, held(z).found) == (Status.PASS, rail - z)
    assert (held(rail).status, held(rail).found) == (Status.WARN, 0)


def test_a_measured_mattress_has_no_tolerance_to_hold() -> None:
    fit = found(bed(mattress="60 in x 80 in", mattress_allowance="0 in"))["mattress-width"]
    assert (fit.status, fit.found, fit.least) == (Status.PASS, 60 * INCH, 60 * INCH)
    assert fit.source == "the mattress as measured"


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_the_default_bed_passes_all(system: Any) -> None:
    findings = check_beds(designs()["slatted-bed"].frame({}, reading(system)))
    low_rail = {"mattress-held"}  # 2x4 or 45x95 for all the parts: the rails do not stand above the slats
    assert {finding.rule for finding in findings if finding.status is not Status.PASS} == low_rail
    assert {finding.status for finding in check_beds(bed())} == {Status.PASS}


def test_a_centre_beam_halves_the_span() -> None:
    """61 in between the rails, less two ledgers and the beam of 1-1/2 in each: 28-1/4 in a side."""
    assert found(bed())["slat-span"].found == INCH * 113 // 4
    assert found(bed(centre_support="none"))["slat-span"].found == 58 * INCH


def test_a_place_without_slats_is_checked_for_its_size_alone() -> None:
    rules = found(with_place(bed(), slats=()))
    assert list(rules) == ["mattress-width", "mattress-length", "side-gap", "bedding-gap"]


def test_bedding_is_tucked_in_between_two_sides_alone() -> None:
    """A platform without stops leaves the mattress free at its sides, however narrow its deck."""
    asked = {"mattress": "60 in x 80 in", "mattress_allowance": "0 in"}
    platform = designs()["low-platform"]
    tight, free = (found(platform.frame({**asked, "stops": stops}, reading("inch"))) for stops in (True, False))
    assert tight["bedding-gap"].status is Status.WARN
    assert "bedding-gap" not in free


def test_a_frame_without_a_sleeping_place_has_no_finding() -> None:
    assert check_beds(replace(bed(), sleeping_places=())) == []
