"""No head, nut or tip of a bolt beside a sleeper or in the way up: the rule at its edges, and rays against it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from sawbill.checks.bolt_ends import REACH, bolt_end_faults, ends_of
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.boxes import AXES, Box, point
from sawbill.trade.fasteners import bolt_sizes
from sawbill.trade.frame import Bolted, Frame, Part, Placement, SleepingPlace
from sawbill.trade.lengths import INCH, MM, System
from sawbill.trade.lumber import section
from sawbill.trade.mattresses import listed

TWIN = listed("twin", 8 * INCH, "inch")
LONG = 80 * INCH
BASE = 20 * INCH


def beside_a_bed(high: int, away: int, bolt: Bolted, *more: Part) -> Frame:
    """Two boards, one above the other, in front of a mattress's room, so far away; the middle of the upper so high."""
    board = section("2x4")
    inner = Part("inner", "board", board, LONG, Placement((0, -away - board.thickness, high), "x", "z"))
    outer = replace(inner, key="outer", placement=Placement((0, -away - 2 * board.thickness, high), "x", "z"))
    room = Box((0, 0, BASE), (LONG, TWIN.width, BASE + TWIN.thickness))
    return Frame((inner, outer, *more), (bolt,), sleeping_places=(SleepingPlace("mattress", TWIN, room),))


def across(high: int, away: int, **how: Any) -> Bolted:
    """A bolt through both from behind, its head towards the mattress."""
    return Bolted(("inner", "outer"), "3/8 in", (LONG // 2, -away, high + 7 * INCH // 4), "y", -1, **how)


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ({}, "the head"),
        ({"round_head": True, "end": "nut"}, ""),
        ({"end": "nut"}, "the head"),
    ],
)
def test_a_hexagon_beside_a_mattress_is_a_fault_and_a_round_head_is_none(how: dict[str, Any], said: str) -> None:
    faults = bolt_end_faults(beside_a_bed(BASE, INCH, across(BASE, INCH, **how)))
    assert [fault.partition(" of ")[0] for fault in faults] == ([said] if said else [])


@pytest.mark.parametrize(("end", "said"), [("nut", ["the nut"]), ("capped nut", []), ("tee nut", ["the tip"])])
def test_turned_round_the_nut_or_the_tip_is_one_but_not_under_a_cap(end: Any, said: list[str]) -> None:
    head = (LONG // 2, -4 * INCH, BASE + 7 * INCH // 4)
    bolt = Bolted(("outer", "inner"), "3/8 in", head, "y", 1, end)
    frame = beside_a_bed(BASE, INCH, bolt)
    assert [fault.partition(" of ")[0] for fault in bolt_end_faults(frame)] == said


def test_a_tip_that_ends_in_its_tee_nut_is_none() -> None:
    """By hand: 3-1/4 in less a washer of 0.083 in reaches 0.167 in out of 3 in; no wood of 3.167 in lets it out."""
    head = (LONG // 2, -4 * INCH, BASE + 7 * INCH // 4)
    frame = beside_a_bed(BASE, INCH, Bolted(("outer", "inner"), "3/8 in", head, "y", 1))
    (_, tip) = ends_of(frame, frame.bolts["inner"][0])
    assert tip.box.size[1] == 13 * INCH // 4 - 3 * INCH - bolt_sizes()["3/8 in"].washer_thickness


@pytest.mark.parametrize(("away", "faults"), [(REACH - MM, 1), (REACH + 20 * MM, 0)])
def test_it_counts_as_far_as_one_reaches(away: int, faults: int) -> None:
    assert len(bolt_end_faults(beside_a_bed(BASE, away, across(BASE, away)))) == faults


def test_it_counts_from_the_slats_up_to_a_reach_over_the_mattress() -> None:
    """By hand: the bolt is 1-3/4 in over the boards' lower edge, its washer 1 in wide."""
    top = BASE + TWIN.thickness + REACH
    for high, faults in ((BASE - 9 * INCH // 4, 0), (BASE - 2 * INCH, 1), (top - 3 * INCH // 2, 1), (top - INCH, 0)):
        assert len(bolt_end_faults(beside_a_bed(high, INCH, across(high, INCH)))) == faults, high


@pytest.mark.parametrize(("wide", "faults"), [("1x4", 0), ("1x2", 1)])
def test_wood_before_all_of_it_hides_it(wide: str, faults: int) -> None:
    """A board as high as the bolted ones, or one that covers the lower half of the head."""
    cover = Part("cover", "board", section(wide), LONG, Placement((0, -section(wide).thickness, BASE), "x", "z"))
    frame = beside_a_bed(BASE, 2 * INCH, across(BASE, 2 * INCH), cover)
    assert len(bolt_end_faults(frame)) == faults


# ---- a second method: straight lines from what sticks out to the mattress

BEDS = ("bunk-bed", "loft-bed", "slatted-bed", "low-platform", "daybed")


def rays(frame: Frame, bolt: Bolted) -> Iterator[bool]:
    """For points on what sticks out at both ends, whether a straight line from there to a mattress meets no wood."""
    size, i = bolt_sizes()[bolt.size], AXES.index(bolt.axis)
    low, high = zip(*(frame.boxes[key].span(bolt.axis) for key in bolt.parts), strict=True)
    faces = (min(low), max(high)) if bolt.toward == 1 else (max(high), min(low))
    washer = size.washer(large=bolt.large_washers)[0]
    beyond = frame.bolt_length(bolt) - (max(high) - min(low)) - (0 if bolt.round_head else washer)
    wide = size.tee_nut.flange_diameter if bolt.end == "tee nut" else size.washer(large=bolt.large_washers)[1]
    ends = [] if bolt.round_head else [(faces[0], -bolt.toward, washer, size.washer(large=bolt.large_washers)[1])]
    ends += [(faces[1], bolt.toward, beyond, wide)] if bolt.end != "capped nut" and beyond > 0 else []
    others = [k for k in range(3) if k != i]
    for face, way, deep, across_it in ends:
        for a, b, out in product(range(-4, 5), range(-4, 5), (1, 2)):
            at = list(bolt.head)
            at[i] = face + way * deep * out // 3
            at[others[0]] += a * across_it // 9
            at[others[1]] += b * across_it // 9
            yield any(_free(frame, place, at) for place in frame.sleeping_places)


def _free(frame: Frame, place: SleepingPlace, at: list[int]) -> bool:
    """Whether a point is in the room of a mattress or in sight of it, no further off than one reaches."""
    low, high = list(place.opening.low), list(place.opening.high)
    high[2] = low[2] + place.mattress.thickness + REACH
    outside = [k for k in range(3) if not low[k] < at[k] < high[k]]
    if not outside or outside == [2] or len(outside) > 1:
        return not outside
    k = outside[0]
    near = low[k] if at[k] <= low[k] else high[k]
    if abs(at[k] - near) > REACH:
        return False
    first, last = sorted((at[k], near))
    return not any(
        all(box.low[j] < at[j] < box.high[j] for j in range(3) if j != k) and box.low[k] < last and first < box.high[k]
        for box in frame.boxes.values()
    )


OPTIONS: list[dict[str, str]] = [
    {}, {"in_halves": "yes"}, {"separable": "yes"}, {"headboard": "yes"}, {"trundle": "yes", "seat_height": "20 in"},
    {"mattress": "queen", "trundle": "yes", "seat_height": "20 in"},
]  # fmt: skip


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("options", OPTIONS, ids=lambda each: "".join(each))
@pytest.mark.parametrize("name", BEDS)
def test_no_straight_line_from_a_mattress_meets_the_end_of_a_bolt(
    name: str, options: dict[str, str], system: System
) -> None:
    if not options.keys() <= {each.name for each in designs()[name].options}:
        pytest.skip("it has no such option")
    frame = designs()[name].frame(options, reading(system))
    bolts = [joint for joint in frame.joints if isinstance(joint, Bolted)]
    assert bolts and not bolt_end_faults(frame)
    assert not [bolt for bolt in bolts if any(rays(frame, bolt))]


@pytest.mark.parametrize("name", ["bunk-bed", "loft-bed"])
def test_were_all_heads_hexagons_rays_and_rule_would_find_the_same_bolts(name: str) -> None:
    made = designs()[name].frame({}, reading())
    joints = [replace(joint, round_head=False) if isinstance(joint, Bolted) else joint for joint in made.joints]
    frame = replace(made, joints=tuple(joints), high_beds=())
    seen = {bolt.parts for bolt in joints if isinstance(bolt, Bolted) and any(rays(frame, bolt))}
    said = {fault.partition(" bolt from ")[2].partition(" stands ")[0] for fault in bolt_end_faults(frame)}
    assert seen and said == {f"{parts[0]} to {parts[-1]}" for parts in seen}
    assert any("guard board" in each for each in said)


@pytest.mark.parametrize("way", ["ladder", "steps"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_were_the_stiles_bolts_hexagons_they_would_stand_in_the_way_up(way: str, side: str) -> None:
    made = designs()["loft-bed"].frame({"way_up": way, "ladder_side": side}, reading())
    assert not bolt_end_faults(made)
    hexed = [
        replace(joint, round_head=False) if isinstance(joint, Bolted) and "stile" in joint.parts[0] else joint
        for joint in made.joints
    ]
    faults = bolt_end_faults(replace(made, joints=tuple(hexed)))
    assert len(faults) == 4 and all(fault.endswith("stands in the way up") for fault in faults)


def test_points_of_the_room_itself_are_free() -> None:
    frame = beside_a_bed(BASE, INCH, across(BASE, INCH))
    place = frame.sleeping_places[0]
    inside = list(point((a + b) // 2 for a, b in zip(place.opening.low, place.opening.high, strict=True)))
    assert _free(frame, place, inside)
    assert not _free(frame, place, [inside[0], -10 * INCH, inside[2]])
