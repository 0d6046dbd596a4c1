"""Tipping: against sums done by hand, on plain boxes and on the designs; nothing here is reckoned by the check."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.checks.finding import PRACTICE, Finding, Status
from sawbill.checks.footprint import footprint
from sawbill.checks.site import Site
from sawbill.checks.tipping import Case, Moments, cases, check_tipping, moments, standing
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.boxes import Box
from sawbill.trade.frame import Frame, HighBed, Ladder, Part, Placement, SleepingPlace, Strap, Surface
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import Material, Materials, find_species, section

LB, FT, KG = 4.4482216, 304.8, 9.80665
"""A pound's force [N], a foot [mm], what a kilogram weighs [N]."""
ALIKE = 1e-6
DESIGNED = designs()["loft-bed"].frame({}, reading())


def block(x: int, y: int, z: int, size: tuple[int, int, int], key: str = "block") -> Part:
    """A part of any size: `size` along x, y and z [nm]."""
    wood = replace(section("2x4"), thickness=size[0], width=size[1])
    return Part(key, key, wood, size[2], Placement((x, y, z), "z", "y"))


def of(species: str, *parts: Part) -> Materials:
    wood = Material(section("2x4"), find_species(species))
    return {part.key: (wood,) for part in parts}


def findings(frame: Frame, materials: Materials | None = None) -> list[Finding]:
    return check_tipping(frame, Site(), materials or {})


def built(design: str, species: str = "SPF", **written: Any) -> tuple[Frame, Materials]:
    frame = designs()[design].frame(written, reading())
    return frame, of(species, *frame.parts)


def about_edges(frame: Frame, case: Case, materials: Materials) -> list[Moments]:
    return list(moments(case, standing(frame, materials, ladder=case.ladder)))


def pulled_over(frame: Frame, materials: Materials) -> float:
    """What tips it over, empty, at its top [N]; straps left out."""
    free = replace(frame, straps=())
    case = next(case for case in cases(free, 110_000) if case.push and not case.weights)
    return min(found.weight for found in about_edges(free, case, materials)) / case.height


# ---- by hand


def test_a_plain_block_tips_as_half_its_depth_is_to_its_height() -> None:
    """1 m high, 0.3 m deep, 0.5 m wide of spruce, 420 kg/m3: 63 kg, 617.8 N; over its front at 617.8 x 0.15 / 1."""
    part = block(0, 0, 0, (500 * MM, 300 * MM, 1000 * MM))
    shelf = Surface("shelf", "shelf", ("block",))
    frame = Frame((part,), surfaces=(shelf,))
    assert pulled_over(frame, of("spruce", part)) == pytest.approx(63 * KG * 0.15, rel=ALIKE)
    [found] = findings(frame, of("spruce", part))
    assert found.found is not None
    assert found.found == -(-17.2 * LB * 1000 // (63 * KG * 0.15)), "76.5 N of 92.7 N"
    assert (found.status, found.rule, found.clause) == (Status.PASS, "tipping", "1261.4(d)")


def test_a_unit_of_60_lb_six_inches_behind_its_front_feet_needs_a_strap() -> None:
    """30 lb-ft hold it where a child's pull at 4.12 ft brings 70.9 (by hand, by the rule of 16 CFR 1261.4(d))."""
    size = (72 * INCH, 12 * INCH, round(4.12 * 12 * 1000) * INCH // 1000)
    part = block(0, 0, 0, size)
    volume = 72 * 12 * 4.12 * 12 * 0.0254**3
    wood = replace(find_species("spruce"), weight_kg_m3=Fraction(60 * LB / KG / volume))
    materials = {"block": (Material(section("2x4"), wood),)}
    frame = Frame((part,), surfaces=(Surface("shelf", "shelf", ("block",)),))
    case = next(iter(cases(frame, 110_000)))
    front = min(about_edges(frame, case, materials), key=lambda each: each.weight)
    assert front.weight / LB / FT == pytest.approx(30, rel=1e-4)
    assert front.over / LB / FT == pytest.approx(70.9, abs=0.05)
    assert findings(frame, materials)[0].status is Status.FAIL
    tied = replace(frame, straps=(Strap("block", "y", 1),))
    [found] = findings(tied, materials)
    assert found.found is not None
    by_hand = 70.864 / (30 + 222 / LB * (4.12 - 2 / 12))
    assert found.found == pytest.approx(1000 * by_hand, abs=1.5)
    assert found.status is Status.PASS
    assert "only because straps tie it to a wall" in found.message


def test_weight_on_the_floor_side_of_an_edge_holds_and_beyond_it_tips() -> None:
    """A seat that reaches 400 mm over one foot: two at its end bring 2 x 110 kg x 340 mm against its own weight."""
    foot = block(0, 0, 0, (400 * MM, 400 * MM, 400 * MM), "foot")
    seat = block(0, 0, 400 * MM, (800 * MM, 400 * MM, 40 * MM), "seat")
    frame = Frame((foot, seat), surfaces=(Surface("seat", "seat", ("seat",)),))
    holds = 420 * KG * (0.4**3 * 200 + 0.8 * 0.4 * 0.04 * 0)
    over = 110 * KG * 340
    [found] = findings(frame, of("spruce", foot, seat))
    assert found.found == -(-1000 * over // holds)
    assert (found.status, found.source) == (Status.FAIL, PRACTICE)
    assert "its edge is sat on" in found.message


def test_who_leans_back_holds_the_seat_down_by_his_weight() -> None:
    """A quarter of 110 kg at 900 mm, against the wood and 110 kg that sit 175 mm before the back, 40 mm thick."""
    seat = block(0, 0, 0, (1000 * MM, 400 * MM, 450 * MM), "seat")
    back = block(0, 400 * MM, 0, (1000 * MM, 40 * MM, 900 * MM), "back")
    frame = Frame((seat, back), surfaces=(Surface("seat", "seat", ("seat",)),))
    over = 110 * KG / 4 * 900
    holds = 420 * KG * (0.4 * 0.45 * (40 + 200) + 0.04 * 0.9 * 20) + 110 * KG * (40 + 175)
    found = {each.message: each.found for each in findings(frame, of("spruce", seat, back))}
    [leaning] = [each for message, each in found.items() if "leans against its back" in message]
    assert leaning == -(-1000 * over // holds)


def test_the_outline_of_a_footprint_runs_slantwise_between_feet_of_a_triangle() -> None:
    """Feet of 10 mm at (0, 0), (100, 0) and (0, 100): one edge is slant, from (110, 10) to (10, 110)."""
    feet = [Box((x * MM, y * MM, 0), ((x + 10) * MM, (y + 10) * MM, MM)) for x, y in ((0, 0), (100, 0), (0, 100))]
    above = Box((-500 * MM, -500 * MM, MM), (500 * MM, 500 * MM, 2 * MM))
    edges = footprint([*feet, above])
    assert len(edges) == 5
    assert max(edge.beyond(60, 60) for edge in edges) == pytest.approx(0, abs=ALIKE)
    assert max(edge.beyond(70, 70) for edge in edges) == pytest.approx(200**0.5, rel=ALIKE)
    assert all(edge.beyond(5, 5) < 0 for edge in edges)


def test_a_strap_holds_down_the_end_that_rises_where_furniture_tips_along_the_wall() -> None:
    """400 mm long, 1 m high, tied at its middle: 200 mm x 222 N beside its own weight x 200 mm."""
    part = block(0, 0, 0, (400 * MM, 1000 * MM, 1000 * MM))
    frame = Frame((part,), surfaces=(Surface("shelf", "shelf", ("block",)),), straps=(Strap("block", "y", 1),))
    case = next(iter(cases(frame, 110_000)))
    left, _, right = sorted(about_edges(frame, case, of("spruce", part)), key=lambda each: each.straps)
    assert (left.straps, right.straps) == pytest.approx((222 * 200, 222 * (1000 - 50.8)))
    assert left.weight == pytest.approx(0.4 * 420 * KG * 200)


# ---- the designs


def test_the_empty_shelf_unit_tips_at_what_its_boxes_say() -> None:
    """Summed part by part in kilograms, about the front of the uprights, which stand from 0: some 30 N in SPF."""
    frame, wood = built("shelf-unit")
    front = back = 0.0
    for part in frame.parts:
        kg, middle = 456.52 * part.length * part.width * part.section.thickness / 1e27, sum(part.box.span("y")) / 2e6
        front, back = front + kg * middle, back + kg * (304.8 - middle)
    assert pulled_over(frame, wood) == pytest.approx(min(back, front) * KG / 1828.8, rel=1e-3)
    assert 20 < pulled_over(frame, wood) < 35, "25 N by a trial reckoning of another's"


@pytest.mark.parametrize(
    ("design", "options", "trial"),
    [("bunk-bed", {}, 473), ("loft-bed", {}, 287), ("loft-bed", {"mattress": "full"}, 458)],
)
def test_high_beds_tip_near_what_a_trial_by_another_found(design: str, options: dict[str, str], trial: float) -> None:
    """Empty, pulled at the top. The trial counted the ladder's feet, and took other wood: within an eighth."""
    assert pulled_over(*built(design, **options)) == pytest.approx(trial, rel=1 / 8)


@pytest.mark.parametrize("design", ["shelf-unit", "bunk-bed", "loft-bed"])
def test_what_would_tip_over_is_held_by_its_straps_alone(design: str) -> None:
    frame, wood = built(design)
    assert frame.straps
    assert {each.status for each in findings(frame, wood)} == {Status.PASS}
    [tied] = [each for each in findings(frame, wood) if "only because straps tie it to a wall" in each.message]
    assert "tips-over" in [note.code for note in frame.notes]
    assert tied.parts == tuple(strap.part for strap in frame.straps)
    assert Status.FAIL in {each.status for each in findings(replace(frame, straps=()), wood)}


@pytest.mark.parametrize("market", ["US", "UK", "EU", "AU"])
@pytest.mark.parametrize("turned", [{}, {"ladder_side": "right"}])
def test_the_straps_of_a_high_bed_are_on_the_side_away_from_its_ladder(market: str, turned: dict[str, str]) -> None:
    frame = designs()["loft-bed"].frame({"market": market, **turned}, reading())
    [bed] = frame.high_beds
    assert bed.ladder is not None
    middle = sum(frame.bounds.span("y")) / 2
    ladder = sum(sum(frame.boxes[key].span("y")) / 2 for key in bed.ladder.treads) / len(bed.ladder.treads)
    for strap in frame.straps:
        box = frame.boxes[strap.part]
        assert box.high[2] == frame.bounds.high[2]
        assert (sum(box.span("y")) / 2 - middle) * (ladder - middle) < 0
        assert strap.toward == (1 if ladder < middle else -1)


def test_the_back_of_a_bench_stands_on_the_floor_so_that_leaning_back_does_not_tip_it() -> None:
    frame, wood = built("bench", back=True)
    told = {each.message: each for each in findings(frame, wood)}
    assert {each.status for each in told.values()} == {Status.PASS}
    assert any("leans against its back" in message for message in told)
    short = [p for p in frame.parts if p.name == "back upright"]
    cut = tuple(
        replace(p, placement=replace(p.placement, origin=(*p.placement.origin[:2], 13 * INCH))) if p in short else p
        for p in frame.parts
    )
    assert Status.FAIL in {each.status for each in findings(replace(frame, parts=cut), wood)}


def test_a_ladder_that_stands_on_the_floor_bears_who_climbs_it_and_one_that_hangs_does_not() -> None:
    """A bed of two boxes; 110 kg on a tread 300 mm outside of it."""
    bed = block(0, 0, 0, (2000 * MM, 1000 * MM, 1500 * MM), "bed")
    mattress = DESIGNED.sleeping_places[0].mattress
    place = SleepingPlace("mattress", mattress, Box((0, 0, 1500 * MM), (2000 * MM, 1000 * MM, 1600 * MM)))
    for low, tips in ((0, False), (200 * MM, True)):
        ladder = block(900 * MM, -350 * MM, low, (300 * MM, 100 * MM, 1000 * MM), "tread")
        high = HighBed("mattress", "EU", Ladder(("tread",), ("tread",)))
        frame = Frame((bed, ladder), sleeping_places=(place,), high_beds=(high,))
        climbing = next(case for case in cases(frame, 110_000) if case.ladder)
        over = max(found.over for found in about_edges(frame, climbing, of("spruce", bed, ladder)))
        assert over == pytest.approx(110 * KG * 300 if tips else 0.0, abs=1e-3)


# ---- laws


@given(st.integers(1, 30), st.integers(0, 20))
def test_more_depth_and_heavier_wood_never_tip_sooner(depth: int, more: int) -> None:
    def tips(deep: int, species: str) -> float:
        part = block(0, 0, 0, (20 * INCH, deep * INCH, 60 * INCH))
        frame = Frame((part,), surfaces=(Surface("shelf", "shelf", ("block",)),))
        return pulled_over(frame, of(species, part))

    assert tips(depth + more, "SPF") >= tips(depth, "SPF")
    assert tips(depth, "red oak") >= tips(depth, "SPF")


def test_of_several_woods_the_lightest_counts_and_of_unknown_wood_the_lightest_that_is_known() -> None:
    frame, light = built("shelf-unit", "western cedars")
    _, heavy = built("shelf-unit", "red oak")
    both = {key: (*light[key], *heavy[key]) for key in light}
    assert pulled_over(frame, both) == pulled_over(frame, light) == pulled_over(frame, {})
    unknown = {key: (*heavy[key], Material(section("2x4"))) for key in heavy}
    assert pulled_over(frame, unknown) == pulled_over(frame, light)


def test_goods_on_the_shelves_never_make_it_tip_sooner() -> None:
    frame, wood = built("shelf-unit")
    free = replace(frame, straps=())
    pulled = [case for case in cases(free, 110_000) if case.push]
    used = [max(found.used() for found in about_edges(free, case, wood)) for case in pulled]
    assert [len(case.weights) for case in pulled] == [0, 1, 4]
    assert used[0] > used[1] > used[2]


@pytest.mark.parametrize("design", ["shelf-unit", "bench", "daybed", "loft-bed", "low-platform"])
def test_furniture_tips_as_its_mirror_image_does(design: str) -> None:
    frame, wood = built(design, **({"back": True} if design == "bench" else {}))

    def turned(box: Box) -> Box:
        return Box((-box.high[0], -box.high[1], box.low[2]), (-box.low[0], -box.low[1], box.high[2]))

    parts = tuple(
        replace(p, placement=replace(p.placement, origin=turned(p.box).low)) for p in frame.parts
    )  # fmt: skip
    places = tuple(replace(place, opening=turned(place.opening)) for place in frame.sleeping_places)
    straps = tuple(replace(strap, toward=-strap.toward) for strap in frame.straps)
    other = replace(frame, parts=parts, sleeping_places=places, straps=straps)
    assert sorted(each.found or 0 for each in findings(other, wood)) == pytest.approx(
        sorted(each.found or 0 for each in findings(frame, wood)), abs=1
    )


BUILT = {
    name: built(name, **({"back": True} if name == "bench" else {}))
    for name in ("bench", "daybed", "loft-bed", "bunk-bed")
}
"""Built once, for the examples of a property."""


@pytest.mark.parametrize("design", ["bench", "daybed", "loft-bed", "bunk-bed"])
@given(st.integers(40, 200), st.integers(0, 60))
def test_a_heavier_user_never_makes_it_safer(design: str, mass: int, more: int) -> None:
    frame, wood = BUILT[design]
    less, greater = (
        [each.found or 0 for each in check_tipping(frame, Site(heaviest_user=kg * 1000), wood)]
        for kg in (mass, mass + more)
    )
    assert all(a <= b for a, b in zip(less, greater, strict=True))
