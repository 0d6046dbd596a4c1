"""Pushes against guards and backs, and slats from below: sums by hand, limits, and boards solved by the text book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import ceil, pi
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.asked.request import Request
from sawbill.checks.finding import Finding, Status
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.site import HEAVIEST_USER, Site
from sawbill.checks.strength import check_strength
from sawbill.checks.strength.pushes.demands import PAD, Bent, Comes, Couple, Pulled
from sawbill.checks.strength.pushes.follow import Pushed
from sawbill.checks.strength.pushes.walls import pushes
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.frame import Bolted, Frame, Screwed
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Material, find_grade, find_species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Build = Callable[..., Frame]
IN, PSI, LB = 25.4, 6.894757293168e-3, 4.4482216152605


@pytest.fixture
def build(ask: Ask, inch: PriceBook) -> Build:
    """A frame of a design with options of the inch book."""

    def made(design: str, **options: str) -> Frame:
        frame = ask(inch, {"lines": [{"design": design, "options": options}]}).lines[0].frame
        assert frame is not None
        return frame

    return made


def found(frame: Frame, species: str = "SPF", grade: str = "No.2", **told: Any) -> dict[str, Finding]:
    wood = {part.key: (Material(part.section, find_species(species), find_grade(grade)),) for part in frame.parts}
    return {each.rule: each for each in check_strength(frame, Site(**told), wood)}


def permille(share: float) -> int:
    return ceil(round(share * 1000, 6))


def test_the_guard_of_a_bunk_is_reckoned_as_by_hand(build: Build) -> None:
    """500 N on the top board of the front guard, with the pad at the very end of the board, beside the way in.

    The upright's bolts hold as a couple about the middle of the wood under the lowest: P by the lever of the board,
    large washers of 1-1/2 in on 7/16 in, Fc-perp 425 psi of SPF, under 3 in from the upright's end: no Cb.
    """
    frame = build("bunk-bed", braced="no")
    board, rail = frame.boxes["upper left guard board 3"], frame.boxes["upper left rail"]
    post = next(j for j in frame.joints if isinstance(j, Bolted) and j.parts[0] == "upper left guard board 3")
    bolts = [j for j in frame.joints if isinstance(j, Bolted) and j.parts[0] == "upper left guard upright 1"]
    screws = [j for j in frame.joints if isinstance(j, Screwed) and "upper left guard board 3" in j.parts]
    at = sum(screw.head[0] for screw in screws) / len(screws) / MM
    height = sum(screw.head[2] for screw in screws) / len(screws) / MM
    span = at - post.head[0] / MM
    force = 500 * (1 + (board.high[0] / MM - 100 - at) / span)
    zs = sorted(bolt.head[2] / MM for bolt in bolts)
    pivot = (max(rail.low[2], frame.boxes["upper left guard upright 1"].low[2]) / MM + zs[0]) / 2
    assert len(zs) == 3 and zs[1] == zs[2], "two side by side above one"
    pull = force * (height - pivot) * (zs[2] - pivot) / sum((z - pivot) ** 2 for z in zs)
    washer = 425 * PSI * pi / 4 * (1.5**2 - (7 / 16) ** 2) * IN**2
    told = found(frame)
    # What holds the end guards, all of P at a post: round heads of 3/8 in are 0.782 in wide at least (ASME B18.5).
    head = 425 * PSI * pi / 4 * (0.782**2 - (7 / 16) ** 2) * IN**2
    assert told["pushed-fasteners"].found == permille(500 / head) > permille(pull / washer)
    hexagons = [replace(j, round_head=False) if isinstance(j, Bolted) else j for j in frame.joints]
    assert found(replace(frame, joints=tuple(hexagons)))["pushed-fasteners"].found == permille(pull / washer)
    modulus = 2 * (3.5 - 2 * 7 / 16) * 1.5**2 / 6 * IN**3
    bears = 875 * PSI * 1.6 * 1.5 * 1.1  # CD, CF and Cfu of a 2x4
    assert told["pushed-uprights"].found == permille(force * (height - zs[2]) / modulus / bears)


def test_a_side_guard_board_is_bent_between_its_posts_as_by_hand(build: Build) -> None:
    """A loft: 500 N on a 2x4 between two bolts, on a pad of 200 mm; the upright in the middle ties three boards.

    Their middles are 4-1/2, 10-3/4 and 17 in over the rail's top; the upright's bolts lower still. So the share of the
    top one is under 0.69, and a push half way between upright and post governs: 3/4 of that in the middle.
    """
    frame = build("loft-bed", braced="no")
    places = sorted(
        joint.head[0] / MM for joint in frame.joints
        if isinstance(joint, Bolted) and joint.parts[0] == "right guard board 1"
    )  # fmt: skip
    moment = 0.75 * 500 * ((places[1] - places[0]) / 4 - 200 / 8)
    bears = 875 * PSI * 1.6 * 1.5 * 1.1  # CD, CF and Cfu of a 2x4
    assert found(frame)["pushed-boards"].found == permille(moment / (3.5 * 1.5**2 / 6 * IN**3) / bears)


def test_the_screws_of_slats_hold_a_push_from_below_as_by_hand(build: Build) -> None:
    """500 N on two #8: heads of 0.312 in in 1-1/2 in of SPF, over 2.5 heads thick: 1725 pi D2 G2, CD 1.6."""
    bears = 1725 * pi * 0.312**2 * 0.42**2 * 1.6 * LB
    assert found(build("bunk-bed"))["slat-screws"].found == permille(250 / bears)


def test_what_is_advised_where_slats_come_off_holds_more(build: Build) -> None:
    """Their heads are pulled through: larger screws have larger heads; of threads see `test_pulled`."""
    told = found(build("bunk-bed"), heaviest_user=10 * HEAVIEST_USER)["slat-screws"]
    assert told.status is Status.FAIL and "heads of the screws of the slat may be pulled through" in told.message
    assert "Larger screws and heavier woods hold more" in told.message
    larger = found(build("bunk-bed", screw_size="#10"), heaviest_user=10 * HEAVIEST_USER)["slat-screws"]
    heavier = found(build("bunk-bed"), "Douglas Fir-Larch", heaviest_user=10 * HEAVIEST_USER)["slat-screws"]
    for each in (larger, heavier):
        assert (each.found or 0) < (told.found or 0)


def test_one_large_bolt_holds_an_upright_worse_than_the_smaller_ones_that_are_advised(build: Build) -> None:
    """518 N come 514 mm over the lower edge of the upright, its one bolt of 1/2 in an inch over that: 10.5 kN.
    Wood under a washer of 2 in around a hole of 9/16 in, 1866 mm2, bears 425 psi."""
    large, usual = (
        found(build("bunk-bed", bolt_size=size))["pushed-fasteners"] for size in ("1/2 in", "3/8 in")
    )  # fmt: skip
    assert (large.status, usual.status) == (Status.FAIL, Status.PASS)
    assert large.message.startswith("The one bolt that holds the guard upright may be pulled through its wood")
    assert "smaller bolts leave room for them" in large.message
    assert large.found == pytest.approx(1000 * 517.8 * 514.4 / 25.4 / (425 * PSI * 1866.5), abs=5)


def test_pushes_grow_with_who_pushes(build: Build) -> None:
    frame = build("loft-bed", braced="no")
    one, two = found(frame), found(frame, heaviest_user=2 * HEAVIEST_USER)
    for rule in ("pushed-boards", "pushed-uprights", "pushed-fasteners", "slat-screws"):
        assert two[rule].found == pytest.approx(2 * (one[rule].found or 0), abs=2)


def test_a_headboard_is_leaned_against_from_150_mm_above_the_mattress(build: Build) -> None:
    rises = {rise: found(build("slatted-bed", headboard="yes", headboard_rise=rise)) for rise in ("149 mm", "150 mm")}
    assert "pushed-uprights" not in rises["149 mm"]
    assert rises["150 mm"]["pushed-uprights"].status is Status.PASS
    frame = build("slatted-bed", headboard="yes")
    large = [joint for joint in frame.joints if isinstance(joint, Bolted) and joint.large_washers]
    assert {joint.end for joint in large} == {"nut"} and len(large) == 6


def test_boards_that_are_pushed_and_held_at_one_place_are_named(build: Build) -> None:
    frame = build("loft-bed", braced="no")
    bolts = [
        joint for joint in frame.joints
        if isinstance(joint, Bolted) and joint.parts[1] == "head guard board 3" and joint.parts[0].startswith("left")
    ]  # fmt: skip
    loose = Frame(
        frame.parts, tuple(joint for joint in frame.joints if joint not in bolts), frame.carried_pieces,
        frame.sleeping_places, frame.high_beds,
    )  # fmt: skip
    assert "head guard board 3" in found(loose)["held-at-one-place"].parts


@given(st.lists(st.floats(50, 600), min_size=2, max_size=5, unique=True), st.floats(1200, 2400), st.floats(0.45, 0.55))
def test_boards_tied_by_a_hinged_upright_are_bent_no_more_than_is_told(
    heights: list[float], span: float, middle: float
) -> None:
    """Boards alike on two posts, a stiff bar hinged below joins them near the middle: solved for every place."""
    heights = sorted(heights, reverse=True)
    told = Bent("pushed-boards", "", None, Comes(1.0, "EN 747"), span, 0.0, 90, 38, 1, 0.0, tuple(heights))  # type: ignore[arg-type]
    at = middle * span

    def gives(a: float, b: float) -> float:
        """How much a board of EI 1 gives way at b under a force of 1 at a."""
        low, high = min(a, b), max(a, b)
        return low * (span - high) * (span**2 - low**2 - (span - high) ** 2) / (6 * span)

    most = 0.0
    for place in np.linspace(span * 0.02, span * 0.98, 97):
        # The bar turns by t: the boards resist with h t / f each; the first, pushed at a place, gives way there itself.
        turn = heights[0] * gives(place, at) / sum(h**2 for h in heights)
        relief = (gives(place, at) - heights[0] * turn) / gives(at, at)
        for x in (place, at):
            moment = min(x, place) * (span - max(x, place)) / span - relief * min(x, at) * (span - max(x, at)) / span
            most = max(most, abs(moment))
    assert most <= told.share * span / 4


@given(st.floats(100, 800), st.lists(st.floats(10, 140), min_size=1, max_size=4))
def test_a_couple_holds_what_pushes(lever: float, arms: list[float]) -> None:
    couple = Couple(Comes(500.0, "EN 747"), lever, tuple(arms))
    each = [couple.most * arm / max(arms) for arm in arms]
    assert sum(pull * arm for pull, arm in zip(each, arms, strict=True)) == pytest.approx(500 * lever)


def test_what_is_pushed_comes_to_two_holds_as_by_the_lever(build: Build) -> None:
    """Forces on both holds of a board that stands out: they balance the push, one of them drawn back."""
    demands = Pushed(LoadPaths(build("bunk-bed")), HEAVIEST_USER).demands
    pulls = [each.pull.force for each in demands if isinstance(each, Pulled) and each.rule == "pushed-fasteners"]
    out = [force for force in pulls if force.reach]
    assert out
    for force in out:
        far = -force.push * force.reach / force.span
        assert force.most + far == pytest.approx(force.push)
        assert force.most * force.span == pytest.approx(force.push * (force.span + force.reach))


def test_no_pad_is_wider_than_the_boards_it_is_put_on(build: Build) -> None:
    for each in Pushed(LoadPaths(build("daybed")), HEAVIEST_USER).demands:
        if isinstance(each, Bent) and each.span:
            assert each.span > PAD


@pytest.mark.parametrize(("design", "options"), [
    ("bunk-bed", {"clear_between": "20 in"}), ("daybed", {"rail": "2x6", "seat_height": "16 in", "trundle": "yes"}),
])  # fmt: skip
def test_what_lies_low_over_a_bed_is_no_back_that_one_leans_against(
    build: Build, design: str, options: dict[str, str]
) -> None:
    """The slats of the bed above are no boards of a wall, and nobody sits up in a trundle where it stands."""
    frame = build(design, **options)
    slats, paths = {key for place in frame.sleeping_places for key in place.slats}, LoadPaths(frame)
    walls = [{part.key for part in push.wall} for push in pushes(paths, HEAVIEST_USER)]
    assert walls and all(map(slats.isdisjoint, walls))
    assert Pushed(paths, HEAVIEST_USER).loose == []
