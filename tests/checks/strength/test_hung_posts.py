"""A bunk bed whose upper bed is the narrower: posts that hang on the boards of its ends, held against sums by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import pytest

from sawbill.asked.request import Request
from sawbill.checks.finding import Status
from sawbill.checks.site import Site
from sawbill.checks.strength import RULES
from sawbill.checks.strength.reckoned import Reckoned, reckon
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import Material, find_grade, find_species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Make = Callable[[PriceBook, dict[str, Any]], Quote]
TWIN_OVER_FULL = {"design": "bunk-bed", "options": {"upper_mattress": "twin", "lower_mattress": "full"}}
LB = 4.4482216152605


@pytest.fixture(scope="module")
def bed(ask: Ask, inch: PriceBook) -> Frame:
    frame = ask(inch, {"lines": [TWIN_OVER_FULL]}).lines[0].frame
    assert frame is not None
    return frame


def far_rail(frame: Frame) -> tuple[Reckoned, int]:
    """A frame in SPF No.2, and where the far rail of its upper bed is held at the head."""
    kind = find_species("SPF"), find_grade("No.2")
    told = reckon(frame, Site(), {part.key: (Material(part.section, *kind),) for part in frame.parts})
    assert told is not None
    [number] = [
        n for n, link in enumerate(told.paths.links)
        if link.member.parts[0].key == "upper right rail" and link.carrier.parts[0].key.startswith("right head inner")
    ]  # fmt: skip
    return told, number


def test_the_rail_on_a_hung_post_is_split_as_by_hand(bed: Frame) -> None:
    """A 2x6 and a 2x4 on bolts 9/16 in over their lower edges: V = 2/3 Fv b de (de/d)2, Fv 135 psi (NDS 3.4.3.3).

    Someone of 1,400 N drops beside the post, 175 mm of 73-1/2 in away, on a share of what is always there.
    """
    told, number = far_rail(bed)
    by_hand = sum(2 / 3 * 135 * 1.5 * de * (de / d) ** 2 for d, de in ((5.5, 5.5 - 0.5625), (3.5, 3.5 - 0.5625)))
    held = told.timber.held(told.paths.links[number])
    assert held is not None and held.counted["NDS"].count == 3
    assert dict(held.splits)["NDS"] == pytest.approx(by_hand * LB, rel=1e-9)
    most = float(told.solved.forces[number].max())
    span = (told.paths.links[number].member.high - told.paths.links[number].member.low) - 3.5 * 25.4
    spot = 1400 * (1 - 175 / span)
    always = most - spot
    assert 100 < always < 250, "a quarter of the heaviest mattress, of the slats and the guards, half of the rail [N]"
    assert most / (by_hand * LB * 1.6) == pytest.approx(0.247, abs=0.001)


def test_flush_with_the_rail_such_a_post_would_leave_it_hanging_by_its_upper_bolt(bed: Frame) -> None:
    """9/16 in below a 3/8 in bolt is 1.5 D of the 3.5 D without which it does not count (NDS 2018, Table 12.5.1A)."""
    low = bed.boxes["upper right rail"].low[2]
    posts = [part for part in bed.parts if "inner post" in part.key]
    [below] = {low - bed.boxes[post.key].low[2] for post in posts}
    assert 0 <= below + INCH * 9 // 16 - 80 * MM < INCH // 16, "80 mm by EN 1995-1-1, on the next mark of the tape"
    flush = []
    for part in bed.parts:
        over = low - bed.boxes[part.key].low[2] if part in posts else 0
        x, y, z = part.placement.origin
        raised = replace(part.placement, origin=(x, y, z + over))
        flush.append(replace(part, length=part.length - over, placement=raised))
    told, number = far_rail(replace(bed, parts=tuple(flush)))
    held = told.timber.held(told.paths.links[number])
    assert held is not None and held.counted["NDS"].count < 3
    assert float(told.solved.forces[number].max()) > dict(held.splits)["NDS"] * 1.6


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
@pytest.mark.parametrize(
    ("upper", "lower", "separable"),
    [("twin", "full", "no"), ("queen", "king", "no"), ("full", "twin", "yes"), ("twin", "twin", "yes")],
)
def test_beds_of_two_widths_and_those_that_lift_off_hold_as_they_are(
    samples: Mapping[str, PriceBook], quote: Make, book: str, upper: str, lower: str, separable: str
) -> None:
    """Posts on posts are pushed at the top of either: by itself the lower bed of two swayed, and its washers gave."""
    options = {"upper_mattress": upper, "lower_mattress": lower, "separable": separable}
    told = [each for _, each in quote(samples[book], {"lines": [{"design": "bunk-bed", "options": options}]}).findings]
    assert RULES & {each.rule for each in told}
    assert not [each for each in told if each.status in (Status.FAIL, Status.UNRECKONED)]
    assert {each.status for each in told if each.rule == "sway"} == {Status.PASS}
