"""Members in their wood: layers, posts and bolts of frames small enough to reckon by hand."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import pytest

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.timber import Timber
from sawbill.trade.frame import Bolted, Frame, Glued, HighBed, Ladder, Part, Placement, Resting
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import Material, Materials, find_grade, find_species, section

THIN = section("2x6").thickness


def of(frame: Frame, grades: Iterable[str] = ("No.2",), species: str = "SPF") -> Materials:
    return {
        part.key: tuple(Material(part.section, find_species(species), find_grade(grade)) for grade in grades)
        for part in frame.parts
    }


def layered(*beside: tuple[str, int]) -> Frame:
    """A 2x6 on edge, 48 in long, on two blocks, with sections glued to its face, so high above its underside."""
    board = Part("board", "board", section("2x6"), 48 * INCH, Placement((0, 0, 0), "x", "z"))
    layers = [
        Part(f"layer {i}", "layer", section(size), 48 * INCH, Placement((0, (i + 1) * THIN, up), "x", "z"))
        for i, (size, up) in enumerate(beside)
    ]
    keys = [part.key for part in (board, *layers)]
    blocks = [
        Part(key, "block", section("2x4"), 12 * INCH, Placement((x, 0, -THIN), "y", "x"))
        for key, x in (("left", 0), ("right", 44 * INCH + INCH // 2))
    ]
    rests = tuple(Resting(("board", each.key)) for each in blocks)
    return Frame((board, *layers, *blocks), (*(Glued(pair) for pair in pairwise(keys)), *rests))


@pytest.mark.parametrize(
    ("size", "up", "backed"),
    [("2x4", 0, 2), ("2x3", 0, 1), ("2x6", 0, 2), ("2x6", 3 * INCH, 1), ("2x6", INCH * 11 // 4, 2)],
)
def test_a_board_is_backed_by_what_is_glued_beside_half_of_it_or_more(size: str, up: int, backed: int) -> None:
    frame = layered((size, up))
    paths = LoadPaths(frame)
    beam = Timber(paths, of(frame)).beam(paths.of["board"])
    assert beam is not None
    assert beam.layers[0].backed == pytest.approx(backed * 38.1)
    assert beam.layers[0].width == pytest.approx(38.1), "but is no wider for that"


def test_layers_share_by_their_stiffness_and_each_may_be_the_stiffest_of_its_woods() -> None:
    """E of SPF No.2 1,400,000 and No.3 1,200,000 psi: a 2x6 beside a 2x4, I as the cubes of 5-1/2 and 3-1/2 in."""
    frame = layered(("2x4", 0))
    paths = LoadPaths(frame)
    one = Timber(paths, of(frame)).beam(paths.of["board"])
    two = Timber(paths, of(frame, ("No.2", "No.3"))).beam(paths.of["board"])
    assert one is not None and two is not None
    deep, low = 5.5**3, 3.5**3
    assert [layer.share for layer in one.layers] == pytest.approx([deep / (deep + low), low / (deep + low)])
    most, least = 1.4, 1.2
    assert two.layers[0].share == pytest.approx(most * deep / (most * deep + least * low))
    assert two.layers[1].share == pytest.approx(most * low / (most * low + least * deep))
    assert two.stiffness == pytest.approx(one.stiffness * least / most)


def test_only_what_reaches_from_support_to_support_takes_shear_there() -> None:
    frame = layered(("2x6", 0))
    board, layer, *blocks = frame.parts
    short = Part("layer 0", "layer", layer.section, 40 * INCH, Placement((4 * INCH, THIN, 0), "x", "z"))
    paths = LoadPaths(Frame((board, short, *blocks), frame.joints))
    beam = Timber(paths, of(frame)).beam(paths.of["board"])
    assert beam is not None
    assert [layer.through for layer in beam.layers] == [True, False]


def held_by(*heads: tuple[int, int], size: str = "3/8 in") -> Frame:
    """A 2x6, 48 in, its underside 10 in up, in two posts by bolts so far along each post's face and so high above."""
    board = Part("board", "board", section("2x6"), 48 * INCH, Placement((0, 0, 10 * INCH), "x", "z"))
    posts = [
        Part(key, "post", section("2x4"), 20 * INCH, Placement((x, THIN, 0), "z", "x"))
        for key, x in (("left", 0), ("right", 44 * INCH + INCH // 2))
    ]
    bolts = tuple(
        Bolted(("board", each.key), size, (each.placement.origin[0] + along, 0, 10 * INCH + up), "y", 1)
        for each in posts for along, up in heads
    )  # fmt: skip
    return Frame((board, *posts), bolts)


D = INCH * 3 // 8
LOW, MIDDLE = INCH, INCH * 7 // 4


def test_a_post_may_sway_and_a_ladders_stile_may_not() -> None:
    """2.4 times the height of the middle of what it carries, 12-3/4 in (NDS 2018, Appendix G)."""
    frame = held_by((MIDDLE, LOW))
    for beds, effective in (
        ((), 2.4 * 12.75),
        ((HighBed("bed", "US", Ladder((), ("left", "right", "board"))),), 12.75),
    ):
        paths = LoadPaths(Frame(frame.parts, frame.joints, high_beds=beds))
        posts = list(Timber(paths, of(frame)).posts(paths.of["board"].supports))
        assert [post.effective for post in posts] == pytest.approx([effective * 25.4] * 2)
        assert [(post.side, post.area) for post in posts] == [pytest.approx((38.1, 38.1 * 88.9))] * 2
