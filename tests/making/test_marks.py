"""Marks held against turning the wood itself: every way to turn a part in space, tried on where its holes are."""

from itertools import permutations, product
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.asked.lines import Line
from sawbill.buying.takeoff import take_off
from sawbill.making.holes import bolt_hole, tee_nut_hole
from sawbill.making.marks import Mark, marks
from sawbill.making.operations import operations
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.boxes import AXES
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.fasteners import bolt_sizes
from sawbill.trade.frame import Bolted, Frame, Part, Placement, Screwed
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import section

TURNS = [
    np.array([[sign[row] * (column == order[row]) for column in range(3)] for row in range(3)])
    for order in permutations(range(3))
    for sign in product((1, -1), repeat=3)
]
"""Every way to lay axes over axes: 24 turns, and 24 in the mirror, told apart by their determinant."""
NEAR = MM * 9 // 10
"""Holes closer than this may count as one; others than this may not be taken for one [nm]."""


def marked(frame: Frame) -> dict[str, Mark]:
    cuts = take_off([Line("bed", 1, "a", frame)], MM).cut_list
    return marks(frame, operations(frame).holes, {key: cut.id for cut in cuts for key in cut.keys})


def drilled(frame: Frame, part: Part) -> np.ndarray:
    """From the joints: for each hole its middle from the part's middle [nm], the way it goes, and its kind."""
    box, found = frame.boxes[part.key], []
    middle = (np.array(box.low) + np.array(box.high)) / 2
    for joint in frame.joints:
        if isinstance(joint, Bolted | Screwed) and part.key in joint.parts:
            axis = AXES.index(joint.axis)
            at = np.array(joint.head, float)
            at[axis] = middle[axis]
            way = np.zeros(3)
            biting = isinstance(joint, Screwed) and joint.parts[1] == part.key
            way[axis] = joint.toward if biting else 0
            through = np.zeros(3)
            through[axis] = 1
            nut = -joint.toward * through if widened(joint, part) else np.zeros(3)
            deep = frame.screw_length(joint) - thick(frame, joint) if isinstance(joint, Screwed) and biting else 0
            kind = [sum(map(ord, type(joint).__name__ + joint.size)) + 1000 * biting + deep / MM]
            found.append(np.concatenate([at - middle, way, through, nut, kind]))
    return np.array(found).reshape(-1, 13)


def thick(frame: Frame, joint: Screwed) -> int:
    low, high = frame.boxes[joint.parts[0]].span(joint.axis)
    return high - low


def widened(joint: Bolted | Screwed, part: Part) -> bool:
    """Whether the barrel of a tee nut takes a wider hole in the part."""
    if not isinstance(joint, Bolted) or joint.end != "tee nut" or joint.parts[-1] != part.key:
        return False
    size = bolt_sizes()[joint.size]
    return tee_nut_hole(size) > bolt_hole(size)


def lies_over(one: np.ndarray, other: np.ndarray, turn: np.ndarray, near: float = NEAR) -> bool:
    """Whether each hole of one part, turned, meets one of the other."""
    turned = np.concatenate(
        [one[:, :3] @ turn.T, one[:, 3:6] @ turn.T, np.abs(one[:, 6:9] @ turn.T), one[:, 9:12] @ turn.T, one[:, 12:]],
        axis=1,
    )
    apart = np.abs(turned[:, None, :3] - other[None, :, :3]).max(axis=2)
    alike = (apart < near) & (np.abs(turned[:, None, 3:] - other[None, :, 3:]).max(axis=2) < 0.5)
    return bool(alike.any(axis=1).all() and alike.any(axis=0).all())


def alike(frame: Frame, one: Part, other: Part, hand: int) -> bool:
    """Whether one part can be laid over another so that box and holes meet."""
    first, second = drilled(frame, one), drilled(frame, other)
    if len(first) != len(second):
        return False
    size, wanted = np.array(frame.boxes[one.key].size), np.array(frame.boxes[other.key].size)
    return any(
        round(np.linalg.det(turn)) == hand
        and np.abs(np.abs(turn @ size) - wanted).max() < MM
        and lies_over(first, second, turn)
        for turn in TURNS
    )


def board(key: str, y: int, *, along: str = "x") -> Part:
    return Part(key, "board", section("45x95"), 500 * MM, Placement((0, y * MM, 0), along, "z"))  # type: ignore[arg-type]


def screwed(part: str, into: str, x: int, z: int, y: int) -> Screwed:
    return Screwed((part, into), "5 mm", (x * MM, y * MM, z * MM), "y", 1)


def test_a_board_turned_end_for_end_and_over_is_the_same_and_one_in_the_mirror_is_not() -> None:
    """By hand, boards of 500 by 95: (100, 30) turned about its thickness is (400, 65), in the mirror (400, 30)."""
    parts = [board(key, y) for key, y in (("a", 0), ("b", 300), ("c", 600))]
    backs = [board(f"back {part.key}", y + 45) for part, y in zip(parts, (0, 300, 600), strict=True)]
    places = {"a": (100, 30, 0), "b": (400, 65, 300), "c": (400, 30, 600)}
    frame = Frame(
        (*parts, *backs),
        tuple(screwed(key, f"back {key}", x, z, y) for key, (x, z, y) in places.items()),
    )
    holes, letters = (
        operations(frame).holes,
        {part.key: part.key[0] == "b" and len(part.key) > 1 for part in frame.parts},
    )
    found = marks(frame, holes, {key: "B" if back else "A" for key, back in letters.items()})
    through = {key: found[key] for key in places}
    assert (
        through["a"] == through["b"] == through["c"] == Mark("A")
    )  # a hole that goes through is alike from both sides
    biting = {key: found[f"back {key}"] for key in places}
    assert biting["a"] == biting["b"] == Mark("B1")
    assert biting["c"] == Mark("B2", mirror_of="B1")


def test_parts_that_are_not_drilled_or_drilled_alike_keep_their_letter() -> None:
    frame = designs()["slatted-bed"].frame({}, reading())
    found = marked(frame)
    assert found["left rail"] == found["right rail"] == Mark("A")
    assert {
        found[f"{side} {end} post {n}"].name for side in ("left", "right") for end in ("head", "foot") for n in "2"
    } == {"C2"}
    assert found["slat 3"].name == "I"


@pytest.mark.parametrize("name", designs())
@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_parts_have_one_mark_where_one_can_be_laid_over_the_other_and_no_other_way(name: str, data: Any) -> None:
    system = data.draw(st.sampled_from(["inch", "metric"]))
    try:
        frame = designs()[name].frame(data.draw(written_options(designs()[name], system)), reading(system))
    except OptionFaultsError:
        return
    found = marked(frame)
    groups: dict[str, list[Part]] = {}
    for part in frame.parts:
        groups.setdefault(found[part.key].name, []).append(part)
    for parts in groups.values():
        assert all(alike(frame, parts[0], part, 1) for part in parts[1:])
    first = {mark: parts[0] for mark, parts in groups.items()}
    for mark in set(found.values()):
        if mark.mirror_of is not None:
            assert alike(frame, first[mark.mirror_of], first[mark.name], -1)


@pytest.mark.parametrize("name", designs())
def test_of_the_usual_frames_no_two_marks_of_a_letter_could_be_one(name: str) -> None:
    for system in ("inch", "metric"):
        frame = designs()[name].frame({}, reading(system))  # type: ignore[arg-type]
        found = marked(frame)
        first = {mark.name: frame.by_key[key] for key, mark in reversed(found.items())}
        for one, other in product(first, first):
            if one < other and one.rstrip("0123456789") == other.rstrip("0123456789"):
                a, b = drilled(frame, first[one]), drilled(frame, first[other])
                if len(a) == len(b):
                    exact = [t for t in TURNS if round(np.linalg.det(t)) == 1 and lies_over(a, b, t, 10)]
                    size = np.array(frame.boxes[first[one].key].size), np.array(frame.boxes[first[other].key].size)
                    assert not [t for t in exact if (np.abs(t @ size[0]) == size[1]).all()]
