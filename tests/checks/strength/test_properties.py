"""What holds of the strength of every frame: no steps, and more load, length or worse wood never uses less."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.checks.site import HEAVIEST_USER, Site
from sawbill.checks.strength import RULES, check_strength
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.request import Request
from sawbill.registry import designs
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Material, Materials, find_grade, find_species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Make = Callable[..., Frame]
DESIGNS = tuple(designs())


@pytest.fixture(scope="module")
def built(ask: Ask, inch: PriceBook) -> Make:
    """Build a frame of a design with options of the inch book."""

    def build(design: str, **options: str) -> Frame:
        frame = ask(inch, {"lines": [{"design": design, "options": options}]}).lines[0].frame
        assert frame is not None
        return frame

    return build


def wood(frame: Frame, grade: str = "No.2") -> Materials:
    """The same wood for all parts, whatever their section."""
    kind = find_species("SPF"), find_grade(grade)
    return {part.key: (Material(part.section, *kind),) for part in frame.parts}


def used(frame: Frame, materials: Materials, user: int = HEAVIEST_USER) -> Mapping[str, Fraction]:
    found = check_strength(frame, Site(heaviest_user=user), materials)
    return {each.rule: each.utilisation for each in found if each.rule in RULES and each.utilisation is not None}


def names(frame: Frame) -> list[str]:
    return sorted(part.name for part in frame.parts)


LENGTHS = [
    ("slatted-bed", "clear_height", 7, 12),
    ("low-platform", "height", 9, 14),
    ("daybed", "seat_height", 12, 15),
    ("bench", "length", 30, 60),
    ("bench", "height", 16, 20),
    ("bunk-bed", "clear_between", 34, 38),
    ("shelf-unit", "width", 30, 40),
]


@pytest.mark.parametrize(("design", "option", "least", "most"), LENGTHS)
def test_a_sixteenth_of_an_inch_more_changes_a_use_by_less_than_half_a_point(
    built: Make, design: str, option: str, least: int, most: int
) -> None:
    """With the same wood and the same parts; at every inch, every half, and just beside them."""
    steps = sorted({n * 16 + k for n in range(least, most) for k in (0, 1, 7, 8, 9, 15)})
    frames = {n: built(design, **{option: f"{n // 16} {n % 16}/16 in" if n % 16 else f"{n // 16} in"}) for n in steps}
    found = {n: used(frame, wood(frame)) for n, frame in frames.items()}
    pairs = [(n, n + 1) for n in steps if n + 1 in frames and names(frames[n]) == names(frames[n + 1])]
    assert len(pairs) > 2 * (most - least)
    for one, other in pairs:
        for rule, share in found[one].items():
            assert abs(found[other][rule] - share) < Fraction(1, 200), (rule, one / 16)


@pytest.mark.parametrize("design", DESIGNS)
@settings(max_examples=10)
@given(users=st.lists(st.integers(30, 250).map(lambda kg: kg * 1000), min_size=2, max_size=2, unique=True).map(sorted))
def test_heavier_users_never_use_less(built: Make, design: str, users: list[int]) -> None:
    frame = built(design)
    light, heavy = (used(frame, wood(frame), user) for user in users)
    assert all(heavy[rule] >= share for rule, share in light.items())


@pytest.mark.parametrize("design", DESIGNS)
@settings(max_examples=10)
@given(data=st.data())
def test_a_better_grade_of_any_part_never_uses_more(built: Make, design: str, data: st.DataObject) -> None:
    frame = built(design)
    grades = ("No.3", "No.2", "No.1", "Select Structural")
    parts = sorted({part.name for part in frame.parts})
    worse = {name: data.draw(st.integers(0, 2)) for name in parts}
    better = {name: data.draw(st.integers(grade, 3)) for name, grade in worse.items()}
    kind = find_species("Douglas Fir-Larch")

    def of(chosen: Mapping[str, int]) -> Materials:
        return {
            part.key: (Material(part.section, kind, find_grade(grades[chosen[part.name]])),) for part in frame.parts
        }

    before, after = used(frame, of(worse)), used(frame, of(better))
    assert before and all(after[rule] <= share for rule, share in before.items())


@pytest.mark.parametrize("design", DESIGNS)
def test_the_same_request_gives_the_same_findings(built: Make, design: str) -> None:
    one, other = built(design), built(design)
    assert check_strength(one, Site(), wood(one)) == check_strength(other, Site(), wood(other))
