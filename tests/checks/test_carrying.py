"""Carrying: each finding on a real frame, at its limit and one step beyond; the floor against plain trigonometry."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import cos, hypot, pi, sin
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.checks.carrying import RULES, carried_mass, check_carrying, longest_flat
from sawbill.checks.finding import PRACTICE, Finding, Status
from sawbill.checks.site import ONE_PERSON, Site
from sawbill.trade.frame import CarriedPiece, Frame
from sawbill.trade.lengths import FOOT, INCH, MM
from sawbill.trade.lumber import HEAVIEST, Material, Materials, find_species, section

# The stand, as it is carried, is a box of 4-1/2 x 13-1/2 x 40 in.


def found(frame: Frame, materials: Materials | None = None, **told: Any) -> dict[str, Finding]:
    return {each.rule: each for each in check_carrying(frame, Site(**told), materials or {})}


def all_of(frame: Frame, *species: str) -> Materials:
    return {key: tuple(Material(section("2x4"), find_species(name)) for name in species) for key in frame.by_key}


LIMITS: list[tuple[str, dict[str, int], str, int]] = [
    # rule, what else is told, the member whose value is the limit, the limit
    ("door-width", {}, "door_width", INCH * 9 // 2),
    ("door-height", {"door_width": 10 * INCH}, "door_height", INCH * 27 // 2),
    ("vehicle-height", {"vehicle_width": 20 * INCH}, "vehicle_height", INCH * 9 // 2),
    ("vehicle-width", {"vehicle_height": 10 * INCH}, "vehicle_width", INCH * 27 // 2),
    ("vehicle-length", {}, "vehicle_length", 40 * INCH),
]


def test_its_rules_are_those_it_tells_of_where_door_and_vehicle_are_known(stand: Frame) -> None:
    known = {member: limit for _, _, member, limit in LIMITS}
    assert found(stand, **known).keys() == RULES


@pytest.mark.parametrize(("rule", "told", "member", "limit"), LIMITS, ids=[each[0] for each in LIMITS])
def test_a_piece_passes_at_its_size_and_not_one_step_below(
    stand: Frame, rule: str, told: dict[str, int], member: str, limit: int
) -> None:
    at = found(stand, **told, **{member: limit})[rule]
    below = found(stand, **told, **{member: limit - 1})[rule]
    assert (at.status, at.found, at.most, at.source) == (Status.PASS, limit, limit, PRACTICE)
    assert (below.status, below.found, below.most) == (Status.WARN, limit, limit - 1)
    assert "stand" in below.message and "stand" not in at.message
    assert (at.parts, below.parts) == ((), ("rail", "post 1", "post 2"))


def test_one_person_lifts_23_kg_unless_told_otherwise(stand: Frame) -> None:
    """The load constant is 23 kg (Revised NIOSH Lifting Equation, 1991)."""
    mass = carried_mass(stand, stand.carried_pieces[0], {})
    usual = found(stand)["one-person"]
    assert (usual.status, usual.found, usual.most, usual.unit) == (Status.PASS, mass, 23_000, "mass")
    assert usual.source.startswith("Revised NIOSH Lifting Equation") and ONE_PERSON == 23_000
    at, over = found(stand, one_person=mass)["one-person"], found(stand, one_person=mass - 1)["one-person"]
    assert (at.status, over.status) == (Status.PASS, Status.WARN)
    assert over.source == "the limit given in site"
    assert "stand" in over.message


def test_a_part_weighs_what_the_heaviest_wood_does_that_may_be_cut_for_it(stand: Frame) -> None:
    """Southern Pine 36.7, SPF 28.5 lb/ft3 (AWC Wood Structural Design Data, 1992)."""
    volume = sum(x * y * z for x, y, z in (box.size for box in stand.boxes.values()))
    [piece] = stand.carried_pieces
    pounds = Fraction(volume, FOOT**3)
    for species, weight in ((("SPF",), "28.5"), (("SPF", "Southern Pine"), "36.7")):
        expected = round(pounds * Fraction(weight) * Fraction("453.59237"))
        assert carried_mass(stand, piece, all_of(stand, *species)) == expected
    unknown = {key: (Material(section("2x4")),) for key in stand.by_key}
    cubic_metres = Fraction(volume, (1000 * MM) ** 3)
    assert (
        carried_mass(stand, piece, unknown) == carried_mass(stand, piece, {}) == round(cubic_metres * HEAVIEST * 1000)
    )


def test_of_pieces_alike_one_is_measured(stand: Frame) -> None:
    posts = replace(stand, carried_pieces=(CarriedPiece("lamination", ("post 1", "post 2"), 2),))
    one = replace(stand, carried_pieces=(CarriedPiece("lamination", ("post 1",)),))
    assert found(posts, door_width=INCH)["one-person"].found == found(one)["one-person"].found
    assert found(posts, door_width=INCH)["door-width"].found == INCH * 3 // 2


def test_the_greatest_piece_is_the_one_found_and_all_that_are_over_are_named(stand: Frame) -> None:
    pieces = tuple(CarriedPiece(f"the {key}", (key,)) for key in stand.by_key)
    finding = found(replace(stand, carried_pieces=pieces), vehicle_length=11 * INCH - 1)["vehicle-length"]
    assert finding.found == 40 * INCH
    assert "the rail, the post 1 and the post 2" in finding.message
    finding = found(replace(stand, carried_pieces=pieces), vehicle_length=11 * INCH)["vehicle-length"]
    assert ": the rail." in finding.message and finding.parts == ("rail",)


def test_either_way_round_an_opening_lets_the_same_pass(stand: Frame) -> None:
    wide = found(stand, door_width=14 * INCH, door_height=5 * INCH)
    assert {rule: each.status for rule, each in wide.items()} == dict.fromkeys(wide, Status.PASS)
    assert wide["door-height"].found == INCH * 9 // 2


def test_a_piece_too_long_for_the_floor_may_lie_slantwise_and_that_is_told(stand: Frame) -> None:
    room = {"vehicle_length": 38 * INCH, "vehicle_width": 30 * INCH}
    fits = found(stand, **room)["vehicle-length"]
    assert fits.status is Status.PASS and "Only slantwise: stand." in fits.message
    low = found(stand, **room, vehicle_height=5 * INCH)["vehicle-length"]
    assert low.status is Status.WARN and low.most is not None, "laid on its broad face it needs more of the floor"
    assert low.most < 40 * INCH
    assert found(stand, vehicle_length=38 * INCH)["vehicle-length"].status is Status.WARN


def test_what_is_not_told_is_not_held_against(stand: Frame) -> None:
    assert list(found(stand)) == ["one-person"]
    assert found(replace(stand, carried_pieces=()), door_width=INCH) == {}


@pytest.mark.parametrize(
    ("across", "length", "width", "longest"),
    [
        (0, 4000, 3000, 5000),  # a stick: 3-4-5
        (3000, 4000, 3000, 4000),
        (3001, 4000, 3000, 3000),
        (4001, 4000, 3000, 0),
        (0, 3000, 4000, 5000),
    ],
)
def test_what_lies_on_a_floor(across: int, length: int, width: int, longest: int) -> None:
    assert longest_flat(across, length, width) == longest


def by_trigonometry(q: int, a: int, b: int) -> float:
    """The longest p with p cos t + q sin t <= a and p sin t + q cos t <= b for any angle t, searched for twice."""

    def reach(t: float) -> float:
        return min((a - q * sin(t)) / cos(t), (b - q * cos(t)) / sin(t))

    steps = 2000
    best = max((reach(pi / 2 * k / steps), pi / 2 * k / steps) for k in range(1, steps))[1]
    near = (best + pi / 2 / steps * (k / steps - 1) for k in range(1, 2 * steps))
    return max(reach(t) for t in near if 0 < t < pi / 2)


@given(st.integers(100, 3000), st.integers(100, 3000), st.floats(0, 1))
def test_the_longest_on_a_floor_is_what_trigonometry_finds(a: int, b: int, share: float) -> None:
    short, long = sorted((a, b))
    q = int(short * share)
    expected = max(float(long), by_trigonometry(q, long, short))
    assert longest_flat(q, a, b) == pytest.approx(expected, abs=1.5)
    assert longest_flat(q, a, b) <= hypot(a, b)
