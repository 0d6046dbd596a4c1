"""How far frames sway: by hand, by a library of others, and what more bolts, play and pushing do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.checks.racking.ladders import PAIRS, SLIP, THICK, WIDE, WOOD, E, Rack, by_pynite, racks

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.racking import holds
from sawbill.checks.racking.crossings import Crossings
from sawbill.checks.racking.elevations import elevations
from sawbill.checks.racking.sway import Racked
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.frame import Bolted, Frame, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import MM

BOLT, SCREW = SLIP[True], SLIP[False]


def test_a_frame_of_two_posts_and_a_board_sways_as_by_hand() -> None:
    """Posts 900 high and 800 apart, a board 600 to 695 over the floor on two bolts M8 at each, 60 mm apart.

    They turn by 2 x 0.5 / 60 rad until the bolts bear. Then each corner bears 60 x 900 / 2 N mm, on K 60^2 / 2. The
    board bends in an S: M L / 6 E I. Posts: 60 N over 252.5 mm to the pushed one's top, and both to the floor, 30 N
    each, on pins. The board is pushed over by 30 N, each corner up or down by 60 x 900 / 800 N.
    """
    pairs = ((0, 30, True),)
    rack = Rack((0, 800), 900, (600,), (pairs, pairs))
    inertia, span, h = THICK * WIDE**3 / 12, 800.0, 900.0
    moment = 60 * h / 2
    swayed = rack.pushed(60.0)
    stiff = BOLT * 60**2 / 2
    turned = 2 * 0.5 / 60 + moment / stiff + moment * span / 6 / (E * inertia)
    tilted = 60 * h / span / (2 * BOLT) * 2 / span  # the corners slide up and down
    assert swayed.stands.all()
    assert swayed.turning.max() == pytest.approx(moment, rel=0.02), "the pushed post slides a little further"
    assert turned * h < swayed.sway.max() < (turned + tilted) * h + 60 * h**3 / 3 / (E * inertia) + 60 / BOLT
    assert swayed.sway.max() == pytest.approx(turned * h, rel=0.12)


@given(rack=racks(), push=st.floats(5, 500))
@settings(max_examples=60)
def test_frames_sway_as_a_library_reckons_them(rack: Rack, push: float) -> None:
    """Those of its corners whose play has closed are told to the library, which knows no play; the rest is its own."""
    swayed = rack.pushed(push)
    for column in range(len(swayed.sway)):
        if swayed.stands[column]:
            top, moves, bent = by_pynite(rack, swayed, column, push)
            assert swayed.sway[column] == pytest.approx(top, rel=1e-4, abs=1e-6)
            found = swayed.forces[:, :, column]
            assert np.abs(found - np.array(moves)).max() < 1e-4 * push + 1e-4 * np.abs(found).max()
            most = swayed.bent[:, :, column].max(axis=1)
            assert most == pytest.approx(bent, rel=1e-3, abs=1e-3 * most.max())


def test_a_board_no_longer_than_twice_its_depth_is_not_taken_for_a_hinge() -> None:
    """Alone it bends in full: what is spread over a length is the share of a layer beside others."""
    screws = ((25, 25, False),)
    rack = Rack((0, WIDE), 600, (300,), (screws, screws))
    swayed = rack.pushed(60.0)
    assert swayed.stands.all()
    assert swayed.sway[0] == pytest.approx(by_pynite(rack, swayed, 0, 60.0)[0], rel=1e-4)


@given(rack=racks(), push=st.floats(5, 500))
@settings(max_examples=60)
def test_what_has_play_bears_once_that_is_closed_and_never_pulls(rack: Rack, push: float) -> None:
    swayed = rack.pushed(push)
    assert (swayed.turning[[bool(hold.sense) for hold in rack.racked.holds]] >= 0).all()
    for corner in range(len(rack.racked.seen.corners)):
        both = [n for n, hold in enumerate(rack.racked.holds) if hold.corner == corner and hold.kind == "bolts"]
        if both:
            assert (swayed.turning[both].min(axis=0) == 0).all(), "one way at a time"


@given(rack=racks(), push=st.floats(5, 500))
@settings(max_examples=60)
def test_all_that_holds_a_post_balances_the_push(rack: Rack, push: float) -> None:
    """About the feet, the corners turn the posts back as much as the push turns them over; along, boards are still."""
    swayed, seen = rack.pushed(push), rack.racked.seen
    for column in np.flatnonzero(swayed.stands):
        turned = sum(
            swayed.turning[n, column] * (hold.sense or 1) * (1 if seen.corners[hold.corner].one.upright else -1)
            for n, hold in enumerate(rack.racked.holds)
        )
        assert abs(turned) == pytest.approx(push * rack.high, rel=1e-4)
        for member in seen.members:
            if not member.upright:
                along = [
                    swayed.forces[n, 0, column] * (1 if corner.one is member else -1)
                    for n, corner in enumerate(seen.corners) if member in (corner.one, corner.other)
                ]  # fmt: skip
                assert abs(sum(along)) < 1e-4 * push


@given(rack=racks(), push=st.floats(5, 500), pair=PAIRS, data=st.data())
@settings(max_examples=60)
def test_more_bolts_or_screws_never_sway_more(rack: Rack, push: float, pair: tuple[int, int, bool], data) -> None:
    corner = data.draw(st.integers(0, len(rack.fixed) - 1))
    before, after = rack.pushed(push), rack.with_one_more(corner, pair).pushed(push)
    assert (after.sway <= before.sway * (1 + 1e-6) + 1e-6).all()


@given(rack=racks(), push=st.floats(5, 500), more=st.floats(1, 5))
@settings(max_examples=60)
def test_more_play_or_a_harder_push_never_sways_less(rack: Rack, push: float, more: float) -> None:
    once = rack.pushed(push).sway
    assert (rack.pushed(push * more).sway >= once * (1 - 1e-6) - 1e-6).all()
    with pytest.MonkeyPatch.context() as patch:
        usual = holds.play_of
        patch.setattr(holds, "play_of", lambda bolt: more * usual(bolt))
        assert (replace(rack).pushed(push).sway >= once * (1 - 1e-6) - 1e-6).all()


@given(rack=racks(), push=st.floats(5, 500))
@settings(max_examples=60)
def test_a_mirror_image_sways_alike(rack: Rack, push: float) -> None:
    """From right to left, pushed the other way."""
    far, count = rack.posts[-1], len(rack.posts)
    rows = [rack.fixed[i : i + count] for i in range(0, len(rack.fixed), count)]
    turned = tuple(tuple((-a, u, b) for a, u, b in pairs) for row in rows for pairs in row[::-1])
    other = replace(rack, posts=tuple(far - x for x in rack.posts[::-1]), fixed=turned)
    one, two = rack.pushed(push).sway, other.pushed(push).sway
    assert two == pytest.approx(one.reshape(count, 2)[::-1, ::-1].ravel(), rel=1e-6, abs=1e-6)
    assert one == pytest.approx(rack.pushed(push).sway, rel=0)


def test_a_frame_of_single_bolts_falls() -> None:
    swayed = Rack((0, 800), 900, (300, 600), ((), (), (), ())).pushed(60.0)
    assert not swayed.stands.any(), "boards on one bolt each are a parallelogram"
    assert SCREW < BOLT


def test_a_post_on_feet_that_lie_on_the_floor_sways_as_by_hand() -> None:
    """A sawhorse pushed across its beam, glue not trusted: four screws in each of two feet keep a post upright.

    They are 38.1 and 25.4 mm from their middle, which is 44.45 mm over the floor; the post, three laminations of 38.1
    by 139.7 mm glued, bends from there on. Its foot is pinned, and the feet may slide.
    """
    frame = designs()["sawhorse"].frame({"beam": "2x6", "post": "2x6"}, reading())
    seen = elevations(Crossings(paths := LoadPaths(frame)), "y")
    racked = Racked(paths, seen[0])
    by_screws = racked.without([hold for hold in racked.holds if hold.kind == "glue"])
    (kser,) = {holds.stiffness(each) for corner in seen[0].corners for each in corner.fasteners}
    push, high = 100.0, 762.0
    turned = push * high / (8 * kser * (38.1**2 + 25.4**2))
    bent = push * (high - 44.45) ** 3 / (3 * E * 139.7 * 114.3**3 / 12)
    sway = by_screws.pushed([push]).sway
    assert len(seen) == 2 and sway == pytest.approx([turned * high + bent] * 2, rel=2e-3)
    assert racked.pushed([push]).sway.max() < sway.max(), "glue holds it better"


def test_a_post_in_two_lengths_with_a_scab_over_the_joint_sways_as_by_hand() -> None:
    """All that gives, each by its lever to the top (unit load): four screws in a board that lies on the floor, then
    M8 bolts in couples 150 apart at 400 and 600, whose play is 0.5 at each bolt, their slip, and the wood from there.

    The post is 45 by 95 and 1000 high, cut at 500, the scab as the post; the board is 95 high, its screws 30 from its
    middle across and up.
    """
    post = Part("lower", "post", WOOD, 500 * MM, Placement((0, 0, 0), "z", "x"))
    upper = replace(post, key="upper", placement=Placement((0, 0, 500 * MM), "z", "x"))
    scab = replace(post, key="scab", length=400 * MM, placement=Placement((0, -45 * MM, 300 * MM), "z", "x"))
    foot = Part("foot", "foot", WOOD, 800 * MM, Placement((-300 * MM, 45 * MM, 0), "x", "z"))
    middle = 95 * MM // 2
    joints = [
        Bolted(("scab", "lower" if z < 500 else "upper"), "M8", (middle, -45 * MM, z * MM), "y", 1, "nut")
        for z in (325, 475, 525, 675)
    ]
    screws = [
        Screwed(("foot", "lower"), "5 mm", (middle + x * MM, 90 * MM, middle + z * MM), "y", -1)
        for x in (-30, 30) for z in (-30, 30)
    ]  # fmt: skip
    paths = LoadPaths(Frame((post, upper, scab, foot), (*joints, *screws, Resting(("upper", "lower")))))
    (seen,) = elevations(Crossings(paths), "x")
    racked = Racked(paths, seen)
    push, high = 60.0, 1000.0
    turned = push * high / (4 * SCREW * 2 * 30**2) * high
    couples = sum((2 * 0.5 / 150 + push * (high - z) / (BOLT * 150**2 / 2)) * (high - z) for z in (400, 600))
    slid, bent = 2 * push / (2 * BOLT), push * (high - 95 / 2) ** 3 / (3 * E * THICK * WIDE**3 / 12)
    tops = [member.parts[0].key for member in racked.pushed_at]
    swayed = racked.pushed([push])
    assert swayed.stands.all()
    assert swayed.sway[2 * tops.index("upper")] == pytest.approx(turned + couples + slid + bent, rel=2e-3)
