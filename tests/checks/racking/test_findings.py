"""What racking comes to in the designs: as they are, with less to hold them, and after what is advised."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from tests.designs.carrying import CARRYING

from sawbill.asked.request import Request
from sawbill.checks.finding import Finding, Status
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import MINUTES
from sawbill.checks.racking.bearing import Bearing
from sawbill.checks.racking.crossings import Crossings
from sawbill.checks.racking.elevations import elevations
from sawbill.checks.racking.findings import named
from sawbill.checks.site import Site
from sawbill.checks.strength import check_strength
from sawbill.checks.strength.reckoned import reckon
from sawbill.checks.strength.traces.racking import written_racking
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.trade.frame import Frame, Glued, Joint, Part, Placement, Resting, Surface
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import Material, find_grade, find_species, section

Ask = Callable[[PriceBook, dict[str, Any]], Request]


@pytest.fixture(scope="module")
def built(ask: Ask, samples: Mapping[str, PriceBook]) -> Callable[..., Frame]:
    def build(design: str, book: str = "sample-inch", **options: str) -> Frame:
        frame = ask(samples[book], {"lines": [{"design": design, "options": options}]}).lines[0].frame
        assert frame is not None
        return frame

    return build


def found(frame: Frame, user: int = 110_000) -> list[Finding]:
    wood = find_species("SPF"), find_grade("No.2")
    materials = {part.key: (Material(part.section, *wood),) for part in frame.parts}
    rows = check_strength(frame, Site(heaviest_user=user), materials)
    return [each for each in rows if each.rule in ("sway", "racking")]


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
@pytest.mark.parametrize("design", CARRYING)
def test_every_design_as_it_is_sways_little_both_ways(
    quote: Callable[[PriceBook, Any], Quote], samples: Mapping[str, PriceBook], design: str, book: str
) -> None:
    """In the wood that is bought for it."""
    told = quote(samples[book], {"lines": [{"design": design}]})
    rows = [each for _, each in told.findings if each.rule in ("sway", "racking")]
    assert [each.rule for each in rows] == ["sway", "racking"] * 2
    assert {each.status for each in rows} == {Status.PASS}, [each.message for each in rows]
    assert all("lengthwise" in each.message for each in rows[:2])
    assert all("sideways" in each.message for each in rows[2:])


def test_a_loft_bed_that_is_not_braced_sways_and_bracing_it_does(built: Callable[..., Frame]) -> None:
    """Bolts and screws far apart keep it square: what `braced` gives it. Those of its ends are too near to edges."""
    told = found(built("loft-bed", braced="no"))
    assert [(each.rule, each.status) for each in told] == [
        ("sway", Status.WARN), ("racking", Status.FAIL), ("sway", Status.FAIL),
    ]  # fmt: skip
    assert "apart" in told[0].message and "too near to the edge they press on" in told[2].message
    assert {each.status for each in found(built("loft-bed"))} == {Status.PASS}


def test_what_may_give_is_called_by_the_parts_that_are_held_there(built: Callable[..., Frame]) -> None:
    """A leg of a rail in halves is a part under the rail, glued to one beside it: the bolts go through that."""
    frame = built("daybed", mattress="queen", in_halves="yes")
    wood = find_species("SPF"), find_grade("No.2")
    told = reckon(frame, Site(), {part.key: (Material(part.section, *wood),) for part in frame.parts})
    assert told is not None
    words = set[str]()
    for each in told.directions:
        for racked, swayed in zip(each.racked, each.swayed, strict=True):
            bearing = Bearing(told.paths, told.timber, told.screwed_joints, MINUTES)
            words |= {named(use, racked) for use in bearing.uses(racked, swayed)}
    assert any("leg beside rail" in each for each in words)
    assert not [each for each in words if "leg under" in each], "nothing goes through that"


def test_wider_boards_hold_where_narrow_ones_give(built: Callable[..., Frame]) -> None:
    narrow = found(built("bench", cross_board="2x4"))[-1]
    wide = found(built("bench", cross_board="2x6"))[-1]
    assert (narrow.status, wide.status) == (Status.FAIL, Status.PASS)
    assert "Wider boards there" in narrow.message and "screws between the cross board" in narrow.message


def test_wider_boards_help_at_a_corner_where_both_meet_over_more_of_their_height(built: Callable[..., Frame]) -> None:
    """As the message says: one that is wider than what it meets gains nothing."""
    eight, end, ten, twelve = (
        found(built("slatted-bed", rail=rail, end_board=end), 300_000)[-1]
        for rail, end in (("2x8", "2x8"), ("2x8", "2x10"), ("2x10", "2x10"), ("2x12", "2x12"))
    )
    assert eight.status is Status.FAIL and "or the boards meet over more of their height" in eight.message
    shares = [each.found for each in (eight, end, ten, twelve) if each.found is not None]
    assert shares[1] == pytest.approx(shares[0], rel=0.02)
    assert shares[0] > shares[2] > shares[3]


def test_a_shelf_unit_without_rails_behind_is_held_by_nothing_lengthwise(built: Callable[..., Frame]) -> None:
    lengthwise, *sideways = found(built("shelf-unit", back_bracing="none"))
    assert lengthwise.status is Status.UNRECKONED and "leaning over lengthwise" in lengthwise.message
    assert "a wall it is fixed to holds it" in lengthwise.message and len(lengthwise.parts) == 4
    assert [each.status for each in sideways] == [Status.PASS] * 2


@pytest.mark.parametrize("way", ["separable", "in_halves"])
def test_a_post_that_stands_on_another_is_reckoned_both_ways_or_said_not_to_be(
    built: Callable[..., Frame], way: str
) -> None:
    """A bunk bed of posts in two lengths, whose scabs at its ends then lose what goes through them along the bed."""
    frame = built("bunk-bed", **{way: "yes"})
    assert {each.status for each in found(frame)} == {Status.PASS}
    tops = {part.key for part in frame.parts if part.name == "post lamination" and part.key.startswith("upper ")}
    for along in ("x", "y"):
        seen = elevations(Crossings(LoadPaths(frame)), along)
        assert tops <= {part.key for each in seen for member in each.members for part in member.parts}
    through = [each for each in frame.joints if any(key.endswith(" beyond") for key in each.parts)]
    told = found(replace(frame, joints=tuple(each for each in frame.joints if each not in through)))
    left = [each for each in told if each.status is Status.UNRECKONED]
    assert [each.rule for each in left] == ["sway"]
    assert "post lamination from leaning sideways where it stands on another" in left[0].message
    assert set(left[0].parts) == tops


def test_what_stands_on_no_posts_does_not_lean() -> None:
    """A board on two blocks that lie on the floor."""
    wood = section("2x6")
    places = (("a", 0), ("b", 40 * INCH))
    blocks = [Part(key, "block", wood, wood.width, Placement((x, 0, 0), "y", "x")) for key, x in places]
    board = Part("board", "board", wood, 46 * INCH, Placement((0, 0, wood.thickness), "x", "y"))
    rests = tuple(Resting(("board", each.key)) for each in blocks)
    frame = Frame((*blocks, board), rests, surfaces=(Surface("shelf", "shelf", ("board",)),))
    assert found(frame) == []


def test_a_ladder_holds_nothing_for_it_may_be_taken_away(built: Callable[..., Frame]) -> None:
    frame = built("bunk-bed")
    ladder = {key for bed in frame.high_beds if bed.ladder for key in bed.ladder.parts}
    for along in ("x", "y"):
        for seen in elevations(Crossings(LoadPaths(frame)), along):
            assert not ladder & {part.key for member in seen.members for part in member.parts}


@pytest.mark.parametrize("way", [{"ladder_side": "right"}, {"ladder_end": "head"}])
def test_mirror_images_sway_alike(built: Callable[..., Frame], way: dict[str, str]) -> None:
    one, other = (
        [(each.rule, each.found, each.most) for each in found(built("bunk-bed", **options))] for options in ({}, way)
    )
    assert one == other


def test_lengths_in_millimetres_come_to_the_same(built: Callable[..., Frame]) -> None:
    one, other = (
        [(each.rule, each.found) for each in found(built("slatted-bed", clear_height=height))]
        for height in ("10 in", "254 mm")
    )
    assert one == other


@pytest.mark.parametrize("design", CARRYING)
def test_heavier_users_push_harder_in_proportion(built: Callable[..., Frame], design: str) -> None:
    frame = built(design)
    for one, other in zip(found(frame, 55_000), found(frame, 110_000), strict=True):
        assert one.found is not None and other.found is not None
        assert one.found <= other.found, one.rule


STEPS = [("slatted-bed", "clear_height", 8), ("low-platform", "height", 10), ("daybed", "seat_height", 13),
         ("bench", "height", 18), ("bunk-bed", "clear_between", 34), ("loft-bed", "head_room", 60),
         ("shelf-unit", "width", 36), ("shelf-unit", "height", 72)]  # fmt: skip


@pytest.mark.parametrize(("design", "option", "inches"), STEPS)
def test_a_sixteenth_more_changes_little(built: Callable[..., Frame], design: str, option: str, inches: int) -> None:
    """Less than half a point of what is used, and of how far it sways."""
    rows = [found(built(design, **{option: f"{inches} {n}/16 in" if n else f"{inches} in"})) for n in range(6)]
    for before, after in pairwise(rows):
        for one, other in zip(before, after, strict=True):
            assert one.utilisation is not None and other.utilisation is not None
            assert abs(one.utilisation - other.utilisation) < 0.005, (one.rule, one.message)


@pytest.mark.parametrize("design", ["loft-bed", "shelf-unit"])
def test_posts_that_a_push_bends_are_reckoned_and_written_out(built: Callable[..., Frame], design: str) -> None:
    """Of every member the wood; it is never what is used most, so its calculation is asked for here by itself."""
    frame = built(design)
    kind = find_species("SPF"), find_grade("No.2")
    told = reckon(frame, Site(), {part.key: (Material(part.section, *kind),) for part in frame.parts})
    assert told is not None
    direction = told.directions[0]
    bearing = Bearing(told.paths, told.timber, told.screwed_joints, MINUTES)
    both = zip(direction.racked, direction.swayed, strict=True)
    uses = [(n, use) for n, (one, other) in enumerate(both) for use in bearing.uses(one, other) if use.bent]
    number, most = max(uses, key=lambda each: each[1].used)
    assert 0.05 < most.used < direction.worst["NDS"][1].used
    assert most.bent is not None and most.bent[0].upright, "posts are bent most"
    vars(told)["directions"] = [replace(direction, worst={"NDS": (number, most)})]
    [sheet] = written_racking(told)
    assert sheet.used == pytest.approx(most.used, rel=1e-9)
    b, d, moment = ({line.symbol: line.value for line in sheet.lines}[symbol] for symbol in "bdM")
    bears = 875 * 6.894757293168e-3 * 1.6 * 1.5  # Fb, CD for ten minutes, CF of a 2x4; no deeper than wide or nearly so
    assert moment * 6 / (b * d**2) / bears == pytest.approx(most.used, rel=0.12), "CL and Cfu aside"


PADS: list[tuple[str, Callable[[str, str], Joint]]] = [
    ("rests", lambda leg, pad: Resting((leg, pad))), ("glued", lambda leg, pad: Glued((leg, pad))),
]  # fmt: skip


def padded(frame: Frame, under: Callable[[Part], bool], joint: Callable[[str, str], Joint]) -> Frame:
    """A frame on a flat piece of 2x6 under both ends of each of its parts that stand or lie on the floor there."""
    wood, pads, joints = section("2x6"), list[Part](), list[Joint]()
    floor = frame.bounds.low[2]
    for part in (each for each in frame.parts if frame.boxes[each.key].low[2] == floor and under(each)):
        (x, y, z), (far_x, far_y, _) = frame.boxes[part.key]
        for n, at in enumerate({y, max(y, far_y - wood.width)}):
            key = f"pad {n} of {part.key}"
            pads.append(Part(key, "pad", wood, far_x - x, Placement((x, at, z - wood.thickness), "x", "y")))
            joints.append(joint(part.key, key))
    return replace(frame, parts=(*frame.parts, *pads), joints=(*frame.joints, *joints))


@pytest.mark.parametrize(("how", "joint"), PADS)
@pytest.mark.parametrize("design", ["bench", "slatted-bed"])
def test_posts_on_pads_sway_as_they_do_on_the_floor(
    built: Callable[..., Frame], design: str, how: str, joint: Callable[[str, str], Joint]
) -> None:
    """Their feet are pinned there as on the floor; over that they may sway by a little more, for they reach higher."""
    frame = built(design)
    on_floor, on_pads = found(frame), found(padded(frame, lambda part: True, joint))
    assert [(each.rule, each.status, each.found) for each in on_pads] == [
        (each.rule, each.status, each.found) for each in on_floor
    ], how
    for low, high in zip(on_floor, on_pads, strict=True):
        assert low.most is not None and high.most is not None and low.most <= high.most


def test_posts_of_which_none_reaches_the_floor_are_said_not_to_be_reckoned(built: Callable[..., Frame]) -> None:
    """A sawhorse whose feet lie on pads, its posts held by them above the floor: no silence, and no pass."""
    frame = built("sawhorse")
    assert [each.rule for each in found(frame)] == ["sway", "racking"] * 2
    told = found(padded(frame, lambda part: part.name == "foot", lambda foot, pad: Resting((foot, pad))))
    assert [(each.rule, each.status) for each in told] == [("sway", Status.UNRECKONED)] * 2
    posts = {part.key for part in frame.parts if part.name.endswith("post lamination")}
    for each in told:
        assert "none of its posts stands on the floor" in each.message and set(each.parts) == posts
