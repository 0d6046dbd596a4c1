"""Bolts that keep a corner from turning: what wood they want around them, or they do not count."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import pytest

from sawbill.asked.request import Request
from sawbill.checks.finding import Finding, Status
from sawbill.checks.racking.distances import share
from sawbill.checks.site import Site
from sawbill.checks.strength import check_strength
from sawbill.checks.strength.reckoned import Reckoned, reckon
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.frame import Bolted, Frame
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import Material, Materials, find_grade, find_species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
D = INCH * 3 // 8


@pytest.fixture(scope="module")
def queen(ask: Ask, inch: PriceBook) -> Frame:
    frame = ask(inch, {"lines": [{"design": "slatted-bed"}]}).lines[0].frame
    assert frame is not None
    return frame


def moved(frame: Frame, axis: str, by: int, part: str) -> Frame:
    """The bolts of all end boards, shifted inward along y, or up along z."""

    def shifted(joint: Any) -> Any:
        if not isinstance(joint, Bolted) or part not in joint.parts[0]:
            return joint
        x, y, z = joint.head
        inward = by if y < frame.bounds.high[1] // 2 else -by
        return replace(joint, head=(x, y + inward, z) if axis == "y" else (x, y, z + by))

    return replace(frame, joints=tuple(map(shifted, frame.joints)))


def wood(frame: Frame) -> Materials:
    kind = find_species("SPF"), find_grade("No.2")
    return {part.key: (Material(part.section, *kind),) for part in frame.parts}


def across(frame: Frame) -> Mapping[str, Finding]:
    rows = [row for row in check_strength(frame, Site(), wood(frame)) if row.rule in ("sway", "racking")]
    return {each.rule: each for each in rows if "sideways" in each.message}


def corner_shares(frame: Frame) -> set[float]:
    told: Reckoned | None = reckon(frame, Site(), wood(frame))
    assert told is not None
    [racked] = told.directions[1].racked
    return {
        share(told.paths, racked.seen.corners[hold.corner], hold, "NDS") for hold in racked.holds
        if hold.kind == "butt"
    }  # fmt: skip


def test_a_bolt_that_presses_a_post_inward_is_four_diameters_from_its_inner_edge(queen: Frame) -> None:
    """An end board butts against the rail outside, so its bolt presses the post inward (NDS 2018, Table 12.5.1C)."""
    inner = queen.boxes["left head post 2"].high[1] - end_bolt(queen)[1]
    assert inner >= 4 * D and across(queen)["racking"].status is Status.PASS
    for way, at_least in ((inner - 4 * D, True), (inner - 4 * D + 1, False)):
        there = moved(queen, "y", way, "end board")
        assert (min(corner_shares(there)) > 0) == at_least
        assert ("racking" in across(there)) == at_least


def test_a_bolt_that_does_not_count_is_taken_as_not_there(queen: Frame) -> None:
    """Then nothing keeps the bed from leaning across, and that fails, for the distance it lacks."""
    inner = queen.boxes["left head post 2"].high[1] - end_bolt(queen)[1]
    sway = across(moved(queen, "y", INCH, "end board"))["sway"]
    assert (sway.status, sway.least, sway.found) == (Status.FAIL, 4 * D, inner - INCH)
    assert "from leaning over when one shakes it sideways" in sway.message
    assert "edge they press on of the post lamination" in sway.message


def end_bolt(frame: Frame) -> tuple[int, int, int]:
    return next(joint.head for joint in frame.joints if isinstance(joint, Bolted) and "end board" in joint.parts[0])


def test_an_end_counts_in_proportion_down_to_half_of_what_is_asked(queen: Frame) -> None:
    """4D across the grain, from 2D on (NDS 2018, Table 12.5.1A): of the end board, which ends at the rail."""
    end = end_bolt(queen)[1]
    start = queen.boxes["head end board"].low[1]
    told = {n: corner_shares(moved(queen, "y", start + n * D // 4 - end, "end board")) for n in (7, 8, 12)}
    assert told[8] == {0.5} and told[12] == {0.75}
    assert told[7] == {0.0}
