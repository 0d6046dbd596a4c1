"""Beams and posts in their wood: layers and heights of frames small enough to reckon by hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

import pytest

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.statics.model import Model
from sawbill.checks.strength.beams import Beam, beams_of
from sawbill.checks.strength.posts import Post, posts_of
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


def beam_of(frame: Frame, grades: Iterable[str] = ("No.2",)) -> Beam:
    """The beam that the board of a frame belongs to."""
    paths = LoadPaths(frame)
    beams = beams_of(paths, Model(paths), Timber(paths, of(frame, grades)))
    return next(beam for beam in beams if beam.member is paths.of["board"])


@pytest.mark.parametrize(
    ("size", "up", "backed"),
    [("2x4", 0, 2), ("2x3", 0, 1), ("2x6", 0, 2), ("2x6", 3 * INCH, 1), ("2x6", INCH * 11 // 4, 2)],
)
def test_a_board_is_backed_by_what_is_glued_beside_half_of_it_or_more(size: str, up: int, backed: int) -> None:
    beam = beam_of(layered((size, up)))
    assert beam.layers[0].backed == pytest.approx(backed * 38.1)
    assert beam.layers[0].width == pytest.approx(38.1), "but is no wider for that"


def test_layers_share_by_their_shapes_whatever_their_wood() -> None:
    """A 2x6 beside a 2x4, I as the cubes of 5-1/2 and 3-1/2 in; a better grade draws no load."""
    deep, low = 5.5**3, 3.5**3
    for grades in (("No.2",), ("No.2", "No.3")):
        beam = beam_of(layered(("2x4", 0)), grades)
        for layer, share in zip(beam.layers, (deep, low), strict=True):
            assert layer.shares == pytest.approx([share / (deep + low)] * len(layer.shares))


def test_a_layer_takes_shear_and_bends_where_it_is() -> None:
    """One of 40 of 48 in, from 4 in on: half of all there, nothing beside."""
    frame = layered(("2x6", 0))
    board, layer, *blocks = frame.parts
    short = replace(layer, length=40 * INCH, placement=Placement((4 * INCH, THIN, 0), "x", "z"))
    beam = beam_of(replace(frame, parts=(board, short, *blocks)))
    assert beam.layers[0].shares == (1, 1, 0.5, 1, 1)
    assert beam.layers[1].shares == (0, 0, 0.5, 0, 0)
    assert beam.span == pytest.approx(44.5 * 25.4)


def posted(*beds: HighBed) -> list[Post]:
    """A 2x6, its underside 10 in up, bolted to two posts."""
    board = Part("board", "board", section("2x6"), 48 * INCH, Placement((0, 0, 10 * INCH), "x", "z"))
    posts = [
        Part(key, "post", section("2x4"), 20 * INCH, Placement((x, THIN, 0), "z", "x"))
        for key, x in (("left", 0), ("right", 44 * INCH + INCH // 2))
    ]
    bolts = tuple(
        Bolted(("board", each.key), "3/8 in", (each.placement.origin[0] + INCH, 0, 11 * INCH), "y", 1) for each in posts
    )
    frame = Frame((board, *posts), bolts, high_beds=beds)
    paths = LoadPaths(frame)
    return posts_of(paths, Timber(paths, of(frame)), {})


def test_a_post_may_sway_and_a_ladders_stile_may_not() -> None:
    """2.4 times the height of the middle of what it carries, 12-3/4 in (NDS 2018, Appendix G)."""
    ladder = HighBed("bed", "US", Ladder((), ("left", "right", "board")))
    for beds, sway in (((), 2.4), ((ladder,), 1.0)):
        for post in posted(*beds):
            assert (post.height, post.sway, post.side) == pytest.approx((12.75 * 25.4, sway, 38.1))
            [(_, _, area)] = post.levels
            assert area == pytest.approx(38.1 * (88.9 - 7 / 16 * 25.4)), "without the hole of its bolt"


def test_a_filler_of_unknown_wood_bears_nothing_and_a_board_of_it_is_told() -> None:
    """Ripped wood has no grade: a block of it beside a board leaves all to the board; a second board does not."""
    whole = layered()
    alone = beam_of(whole)
    for length, told in ((12 * INCH, {}), (48 * INCH, {"filler": ["filler"]})):
        place = Placement((0 if told else 18 * INCH, THIN, 0), "x", "z")
        filler = Part("filler", "filler", section("2x6"), length, place, ripped=5 * INCH)
        frame = replace(whole, parts=(*whole.parts, filler), joints=(*whole.joints, Glued(("filler", "board"))))
        paths = LoadPaths(frame)
        timber = Timber(paths, of(frame))
        beams = [beam for beam in beams_of(paths, Model(paths), timber) if beam.member is paths.of["board"]]
        assert timber.unknown == told
        [beam] = beams
        if told:
            assert [bool(layer.woods) for layer in beam.layers] == [True, False], "what is known may fail all the same"
        else:
            [layer] = beam.layers
            assert set(layer.shares) == {1.0} == set(alone.layers[0].shares)
