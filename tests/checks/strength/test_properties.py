"""What holds of the strength of every frame: no steps, and more load, length or worse wood never uses less."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.checks.strength.test_strength import hung_shelf, shelf
from tests.designs.carrying import CARRYING

from sawbill.asked.request import Request, RequestFaultsError
from sawbill.checks.site import HEAVIEST_USER, Site
from sawbill.checks.strength import RULES, check_strength
from sawbill.checks.strength.pushes.demands import Bent, Comes
from sawbill.checks.strength.reckoned import reckon
from sawbill.prices.pricebook import PriceBook
from sawbill.registry import designs
from sawbill.testing import frame_faults, reading
from sawbill.trade.boxes import AXES, Box, Point
from sawbill.trade.boxes import point as point_of
from sawbill.trade.design import Design
from sawbill.trade.frame import Bolted, Frame, Joint, Part, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import Material, Materials, find_grade, find_species, section
from sawbill.trade.option import Length

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Make = Callable[..., Frame]


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
    """What is used of each rule; of racking lengthwise and sideways apart."""
    found = check_strength(frame, Site(heaviest_user=user), materials)
    return {
        each.rule + (" lengthwise" if each.rule == "racking" and "lengthwise" in each.message else ""): each.utilisation
        for each in found if each.rule in RULES and each.utilisation is not None
    }  # fmt: skip


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
    ("loft-bed", "head_room", 60, 63),
    ("slatted-bed", "headboard_rise", 14, 17),
]


@pytest.mark.parametrize(("design", "option", "least", "most"), LENGTHS)
def test_a_sixteenth_of_an_inch_more_changes_a_use_by_less_than_half_a_point(
    built: Make, design: str, option: str, least: int, most: int
) -> None:
    """With the same wood and the same parts; at every inch, every half, and just beside them."""
    steps = sorted({n * 16 + k for n in range(least, most) for k in (0, 1, 7, 8, 9, 15)})
    also = {"headboard": "yes"} if option == "headboard_rise" else {}
    frames = {
        n: built(design, **also, **{option: f"{n // 16} {n % 16}/16 in" if n % 16 else f"{n // 16} in"}) for n in steps
    }
    found = {n: used(frame, wood(frame)) for n, frame in frames.items()}
    pairs = [(n, n + 1) for n in steps if n + 1 in frames and names(frames[n]) == names(frames[n + 1])]
    assert len(pairs) > 2 * (most - least)
    for one, other in pairs:
        for rule, share in found[one].items():
            assert abs(found[other][rule] - share) < Fraction(1, 200), (rule, one / 16)


@pytest.mark.parametrize("design", CARRYING)
@settings(max_examples=10)
@given(users=st.lists(st.integers(30, 250).map(lambda kg: kg * 1000), min_size=2, max_size=2, unique=True).map(sorted))
def test_heavier_users_never_use_less(built: Make, design: str, users: list[int]) -> None:
    frame = built(design)
    light, heavy = (used(frame, wood(frame), user) for user in users)
    assert all(heavy[rule] >= share for rule, share in light.items())


@pytest.mark.parametrize("design", CARRYING)
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


@pytest.mark.parametrize("design", CARRYING)
def test_the_same_request_gives_the_same_findings(built: Make, design: str) -> None:
    one, other = built(design), built(design)
    assert check_strength(one, Site(), wood(one)) == check_strength(other, Site(), wood(other))


# ---- longer, lower, and in other units

LONGER = [
    ("bench", "length", tuple(f"{n} in" for n in range(30, 37))),
    ("shelf-unit", "width", ("30 in", "32 in", "34 in", "36 in", "40 in")),
    ("slatted-bed", "mattress", tuple(f"60 in x {n} in" for n in range(78, 84))),
    ("low-platform", "mattress", tuple(f"60 in x {n} in" for n in range(78, 84))),
    ("daybed", "mattress", tuple(f"39 in x {n} in" for n in range(75, 81))),
    ("loft-bed", "mattress", tuple(f"38 in x {n} in" for n in range(75, 81))),
    ("bunk-bed", "upper_mattress lower_mattress", tuple(f"38 in x {n} in" for n in range(75, 81))),
    ("table", "length", tuple(f"{n} in" for n in range(58, 64))),
    ("workbench", "length", ("50 in", "53 in", "56 in", "59 in")),
    ("sawhorse", "length", ("36 in", "39 in", "42 in", "45 in")),
]
LESS = dict.fromkeys(RULES - {"racking"}, Fraction(1, 1000)) | dict.fromkeys(
    ("bolts", "bolted-end", "net-section"), Fraction(1, 200)
)
"""How much less may be used, for the steps of what is told, and where slats come to lie otherwise beside a ladder or
a load beside a bolt. Not of racking: what is pushed over stands on feet that are further apart."""


@pytest.mark.parametrize(("design", "option", "lengths"), LONGER)
def test_a_longer_span_never_uses_less(built: Make, design: str, option: str, lengths: tuple[str, ...]) -> None:
    """With the same parts in the same wood; where the parts are others, nothing is said."""
    frames = [built(design, **dict.fromkeys(option.split(), length)) for length in lengths]
    compared = 0
    for one, other in pairwise(frames):
        if names(one) == names(other) and len(one.parts) == len(other.parts):
            before, after = used(one, wood(one)), used(other, wood(other))
            less = [rule for rule, by in LESS.items() if rule in before and after[rule] < before[rule] - by]
            assert not less, (before, after)
            compared += 1
    assert compared


@pytest.mark.parametrize("along", ["flat", "hung"])
def test_less_depth_never_uses_less(along: str) -> None:
    """A shelf of thinner boards, and one of lower ones hung by bolts, each of the same grade."""
    if along == "flat":
        frames = [shelf(f"{n}x10", 48 * INCH) for n in (4, 3, 2)]
    else:
        frames = [lower_hung(INCH * 2, name) for name in ("2x10", "2x8", "2x6")]
    told = [used(frame, wood(frame)) for frame in frames]
    for deep, low in pairwise(told):
        assert all(
            low[rule] >= deep[rule] for rule in ("bending", "shear", "bolted-end", "net-section") if rule in deep
        )


RAILS = [(each.name, option.name) for each in designs().values() for option in each.options
         if option.name in ("rail", "beam") and each.name in CARRYING]  # fmt: skip


@pytest.mark.parametrize(("design", "option"), RAILS)
def test_a_rail_of_less_depth_never_uses_less_of_its_wood(built: Make, design: str, option: str) -> None:
    """Of the same grade, with the same parts. Bolts and screws move with the rail's edges: `test_depth` follows those;
    and a deeper rail lifts what stands above it, which is then pushed over from higher up."""
    wood_rules = ("bending", "shear", "torsion", "bolted-end", "bearing", "net-section")
    frames = []
    for name in ("2x4", "2x6", "2x8", "2x10", "2x12"):
        with suppress(RequestFaultsError):  # too low for what it carries, or too deep for how high it is
            frames.append(built(design, **{option: name}))
    compared = 0
    for low, deep in pairwise(frames):
        if names(low) == names(deep):
            before, after = used(deep, wood(deep)), used(low, wood(low))
            less = [rule for rule in wood_rules if rule in before and after[rule] < before[rule] - Fraction(1, 500)]
            assert not less, (before, after)
            compared += 1
    assert compared


def lower_hung(up: int, name: str) -> Frame:
    """The shelf of `hung_shelf` in boards of another section, its bolts as far over their lower edge."""
    frame = hung_shelf(up)
    board, *posts = frame.parts
    return replace(frame, parts=(replace(board, section=section(name)), *posts))


@pytest.mark.parametrize("design", CARRYING)
def test_the_same_frame_in_inches_and_in_millimetres_uses_the_same(design: str) -> None:
    """Every option written in either: the frames are equal, and so is all that is found of them."""
    plan = designs()[design]
    in_inches = plan.frame(written(plan, "inch"), reading("inch"))
    in_mm = plan.frame(written(plan, "mm"), reading("inch"))
    assert in_inches == in_mm
    assert check_strength(in_inches, Site(), wood(in_inches)) == check_strength(in_mm, Site(), wood(in_mm))


def written(plan: Design, unit: str) -> dict[str, str]:
    """Every length of a design's options as it is by default in inches, in a unit."""
    given = {option.name: option.default for option in plan.options if isinstance(option, Length)}
    as_text = {"inch": lambda nm: f"{Fraction(nm, INCH)} in", "mm": lambda nm: f"{Fraction(nm, MM).__float__()} mm"}
    return {name: as_text[unit](nm) for name, nm in given.items() if nm is not None}


def mirrored(frame: Frame, axis: int) -> Frame:
    """Its image in a mirror across the x or y axis."""
    whole = frame.bounds.low[axis] + frame.bounds.high[axis]

    def flipped(point: Point, size: int = 0) -> Point:
        return point_of(whole - each - size if i == axis else each for i, each in enumerate(point))

    def turned(part: Part) -> Part:
        place = part.placement
        return replace(part, placement=replace(place, origin=flipped(place.origin, part.box.size[axis])))

    def joined(joint: Joint) -> Joint:
        if not isinstance(joint, Bolted | Screwed):
            return joint
        toward = -joint.toward if AXES.index(joint.axis) == axis else joint.toward
        return replace(joint, head=flipped(joint.head), toward=1 if toward > 0 else -1)

    places = tuple(
        replace(place, opening=Box(flipped(place.opening.low, place.opening.size[axis]),
                                   flipped(place.opening.high, -place.opening.size[axis])))
        for place in frame.sleeping_places
    )  # fmt: skip
    parts, joints = tuple(map(turned, frame.parts)), tuple(map(joined, frame.joints))
    return replace(frame, parts=parts, joints=joints, sleeping_places=places)


@pytest.mark.parametrize("design", CARRYING)
def test_a_frame_and_its_mirror_images_use_the_same(built: Make, design: str) -> None:
    """Within the thousandth that is told: springs alike are solved in another order."""
    frame = built(design)
    once = used(frame, wood(frame))
    for axis in (0, 1):
        image = mirrored(frame, axis)
        assert not frame_faults(image)
        other = used(image, wood(image))
        assert other.keys() == once.keys()
        unlike = {rule: (share, other[rule]) for rule, share in once.items() if abs(other[rule] - share) > 0.001}
        assert not unlike, axis


@pytest.mark.parametrize("design", CARRYING)
def test_the_floor_bears_all_that_a_design_and_its_users_weigh(built: Make, design: str) -> None:
    """In every case, and however stiff its fasteners are."""
    frame = built(design)
    told = reckon(frame, Site(), wood(frame))
    assert told is not None and told.solved.stands.all()
    always = sum(load for patches in told.there.values() for *_, load in patches)
    for column, floor in enumerate(told.solved.floor.sum(axis=0)):
        loads = told.columns.case(column).loads.values()
        assert floor == pytest.approx(always + sum(load for patches in loads for *_, load in patches), rel=1e-6)


def test_uses_do_not_jump_where_an_upright_leaves_the_middle() -> None:
    """Our own threshold: within a twentieth of the middle it counts, from a tenth on it does not."""
    heights = (450.0, 290.0, 130.0)

    def share(off: float) -> float:
        return Bent("pushed-boards", "", None, Comes(500.0, "EN 747"), 1800.0, 0.0, 90, 38, 1, 0.0, heights, off).share  # type: ignore[arg-type]

    steps = [share(n * 1.5) for n in range(200)]
    assert (steps[0], steps[59], steps[121]) == (0.75, 0.75, 1.0)
    assert all(0 <= b - a < 0.005 for a, b in pairwise(steps))
