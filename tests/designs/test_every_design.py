"""Every design on offer, ours and anybody's installed, over its options; overlaps by a second opinion too."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.designs.sweep import Spans, overlaps

from sawbill.registry import designs
from sawbill.testing import check_design, frame_faults, reading, written_options
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.frame import Frame, Housed

SAMPLES = settings().max_examples
"""Option sets for each design, of each kind of test: more where the profile searches. Most time of `check_design`
goes into every section by itself, of which the long test tries all.
"""


def spans_of(frame: Frame) -> dict[str, Spans]:
    """The spans of every part, measured from its placement and not by the service's own boxes."""
    spans: dict[str, Spans] = {}
    for part in frame.parts:
        sizes = {part.placement.along: part.length, part.placement.across: part.ripped or part.section.width}
        x, y, z = (
            (at, at + sizes.get(axis, part.section.thickness))
            for axis, at in zip("xyz", part.placement.origin, strict=True)  # type: ignore[call-overload]
        )
        spans[part.key] = (x, y, z)
    return spans


@pytest.fixture(params=sorted(designs()), scope="module")
def design(request: pytest.FixtureRequest) -> Design:
    return designs()[request.param]


def test_it_passes_what_every_design_must(design: Design) -> None:
    check_design(design, examples=SAMPLES // 4, whole=False)


@pytest.mark.long
def test_it_passes_with_every_value_in_both_systems(design: Design) -> None:
    check_design(design, examples=1)


def test_a_second_opinion_finds_no_two_parts_in_one_place(design: Design) -> None:
    built = 0

    @settings(max_examples=SAMPLES, suppress_health_check=list(HealthCheck))
    @given(written_options(design), st.sampled_from(["inch", "metric"]), st.integers(0, 10**6), st.integers(0, 2))
    def check(written: dict[str, Any], system: Any, which: int, axis: int) -> None:
        nonlocal built
        try:
            frame = design.frame(written, reading(system))
        except OptionFaultsError:
            return
        built += 1
        assert overlaps(spans_of(frame)) == let_in(frame), written
        both_agree_on(shifted(frame, which % len(frame.parts), axis))

    check()
    assert built >= SAMPLES // 4, "most of what may be asked for is refused: it was hardly tested"


def let_in(frame: Frame) -> set[tuple[str, str]]:
    """The pairs, in order, of which an end of one is to lie within the other."""
    pairs = (joint.parts for joint in frame.joints if isinstance(joint, Housed))
    return {(min(pair), max(pair)) for pair in pairs}


def shifted(frame: Frame, which: int, axis: int) -> Frame:
    """The frame with one part out of its place by half its thickness, often into another."""
    part = frame.parts[which]
    by = [part.section.thickness // 2 if i == axis else 0 for i in range(3)]
    origin = tuple(a + b for a, b in zip(part.placement.origin, by, strict=True))
    moved = replace(part, placement=replace(part.placement, origin=origin))
    return replace(frame, parts=(*frame.parts[:which], moved, *frame.parts[which + 1 :]))


def both_agree_on(frame: Frame) -> None:
    """Hold the overlaps that the service tells of against those of the sweep."""
    place = {part.key: i for i, part in enumerate(frame.parts)}
    pairs = (sorted(pair, key=place.__getitem__) for pair in overlaps(spans_of(frame)) - let_in(frame))
    told = {fault for fault in frame_faults(frame) if fault.endswith("claim the same space")}
    assert told == {f"{first} and {second} claim the same space" for first, second in pairs}


def test_a_part_shifted_into_its_neighbour_is_found_by_both(design: Design) -> None:
    frame = design.frame({}, reading())
    worse = [shifted(frame, which, axis) for which in range(len(frame.parts)) for axis in range(3)]
    assert any(overlaps(spans_of(each)) for each in worse)
    for each in worse[:: len(worse) // 20 or 1]:
        both_agree_on(each)
