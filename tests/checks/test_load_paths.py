"""What carries what, on real frames; and that all that is put on a frame comes down to the floor."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.asked.request import Request
from sawbill.checks.carrying import mass_of
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import G, always, cases
from sawbill.checks.site import HEAVIEST_USER
from sawbill.checks.statics.model import Model
from sawbill.prices.pricebook import PriceBook
from sawbill.registry import designs
from sawbill.trade.frame import Frame, Glued, HighBed, Ladder, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import section

Ask = Callable[[PriceBook, dict[str, Any]], Request]
INCHES = 25.4


def frame_of(ask: Ask, book: PriceBook, design: str, **options: str) -> Frame:
    frame = ask(book, {"lines": [{"design": design, "options": options}]}).lines[0].frame
    assert frame is not None
    return frame


def carriers(paths: LoadPaths, key: str) -> list[tuple[float, str]]:
    """Where a part is carried [in], and by which member, called by its first part."""
    return [(support.at / INCHES, support.carrier.parts[0].key) for support in paths.of[key].supports]


def test_a_queen_bed_goes_down_by_slats_ledgers_beam_and_posts(inch: PriceBook, ask: Ask) -> None:
    """Slats 60-7/8 in on ledgers of 1-1/2 in and a beam; the rail is 85 in, its posts 5 in from either end."""
    paths = LoadPaths(frame_of(ask, inch, "slatted-bed", mattress="queen", post="2x4"))
    slat = carriers(paths, "slat 1")
    assert [carrier for _, carrier in slat] == ["left rail", "beam", "right rail"]
    assert [at for at, _ in slat] == pytest.approx([2.28125, 32, 61.71875])
    assert {part.key for part in paths.of["left rail"].parts} == {"left rail", "left ledger"}
    assert [carrier for _, carrier in carriers(paths, "left rail")] == ["left head post 1", "left foot post 1"]
    assert [len(support.bolts) for support in paths.of["left rail"].supports] == [2, 2]
    beam = [(support.kind, support.carrier.parts[0].key) for support in paths.of["beam"].supports]
    assert sorted(beam[1:3]) == [("bolted", "leg under beam"), ("rests", "leg under beam")], "both pieces are one post"
    assert [beam[0], beam[3]] == [("hung", "head end board"), ("hung", "foot end board")]
    assert len(paths.of["beam"].places) == 3, "its bolts are where it stands"
    assert not paths.of["left head post 1"].supports


def test_stops_of_a_mattress_are_a_weight_on_the_slats_and_hold_nothing_together(inch: PriceBook, ask: Ask) -> None:
    """They are ripped, and so of unknown strength: no slat may lean on them, and no grade is asked of them."""
    frame = frame_of(ask, inch, "low-platform", mattress="queen")
    paths, there = LoadPaths(frame), always(LoadPaths(frame), {})
    stops = {"left stop", "right stop", "head stop", "foot stop"}
    assert {part.key for member in paths.idle for part in member.parts} == stops
    assert stops.isdisjoint(part.key for member in paths.members for part in member.parts)
    assert [member.number for member in paths.members] == list(range(len(paths.members)))
    assert all(stops.isdisjoint(part.key for part in link.member.parts) for link in paths.links)
    weight = sum(load for patches in there.values() for _, _, load in patches)
    mattress = float(frame.sleeping_places[0].mattress.most_mass_kg) * 1000
    assert weight == pytest.approx((float(mass_of(frame, [*frame.by_key], {})) + mattress) * G), "nothing is lost"


@pytest.mark.parametrize("design", sorted(set(designs()) - {"low-platform"}))
def test_all_of_the_other_designs_bears_something(inch: PriceBook, ask: Ask, design: str) -> None:
    assert not LoadPaths(frame_of(ask, inch, design)).idle


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
@pytest.mark.parametrize("design", list(designs()))
def test_all_that_is_put_on_a_frame_comes_down_to_the_floor(
    samples: Mapping[str, PriceBook], ask: Ask, design: str, book: str
) -> None:
    """To a millionth of it, in every case, whether fasteners are soft or stiff, with a ladder and without."""
    frame = frame_of(ask, samples[book], design)
    paths = LoadPaths(frame)
    mattresses = sum(float(place.mattress.most_mass_kg) * 1000 for place in frame.sleeping_places)
    mass = float(mass_of(frame, tuple(frame.by_key), {})) + mattresses
    told = list(cases(paths, HEAVIEST_USER))
    model = Model(paths)
    solved = model.solve(always(paths, {}), [case.loads for case in told])
    live = [sum(load for patches in case.loads.values() for _, _, load in patches) for case in told]
    assert solved.stands.all()
    assert solved.floor.sum(axis=0) == pytest.approx([mass * G + each for each in live] * len(model.ways()), rel=1e-6)


SIZE = section("2x4")


def block(key: str, x: int, z: int = 0) -> Part:
    return Part(key, "block", SIZE, 12 * INCH, Placement((x, 0, z), "y", "x"))


def board(key: str = "board", z: int = SIZE.thickness, length: int = 48 * INCH) -> Part:
    return Part(key, key, SIZE, length, Placement((0, 0, z), "x", "y"))


def test_a_board_that_lies_on_blocks_is_carried_by_them_and_not_they_by_it() -> None:
    left, right, top = block("left", 0), block("right", 48 * INCH - SIZE.width), board()
    paths = LoadPaths(Frame((left, right, top), (Resting(("board", "left")), Resting(("board", "right")))))
    (near, one), (far, other) = carriers(paths, "board")
    assert (near, far) == pytest.approx((1.75, 46.25)) and (one, other) == ("left", "right")
    assert not paths.of["left"].supports and not paths.of["right"].supports


@pytest.mark.parametrize(("length", "layer"), [(3, False), (4, True), (6, True), (40, True)])
def test_a_piece_glued_along_a_beam_bends_with_it_from_twice_its_depth_on(length: int, layer: bool) -> None:
    """A stop of 1-1/2 in: up to 3 in it only lies there, and what it weighs."""
    stop = Part("stop", "stop", SIZE, length * INCH, Placement((0, 0, 2 * SIZE.thickness), "x", "y"))
    paths = LoadPaths(Frame((board(), stop), (Glued(("stop", "board")),)))
    member = paths.of["stop"]
    assert member is paths.of["board"]
    assert (stop in member.parts, stop in member.fillers) == (layer, not layer)


def test_a_thin_strip_glued_along_a_beam_takes_nothing_of_its_load() -> None:
    """A 1x2 flat beside a 2x6 on edge: 0.3 % of its stiffness."""
    rail = Part("rail", "rail", section("2x6"), 48 * INCH, Placement((0, 0, 0), "x", "z"))
    strip = Part("strip", "strip", section("1x2"), 48 * INCH, Placement((0, INCH * 3 // 2, 0), "x", "y"))
    paths = LoadPaths(Frame((rail, strip), (Glued(("strip", "rail")),)))
    assert (paths.of["strip"].parts, paths.of["strip"].fillers) == ((rail,), (strip,))


def test_a_ladder_carries_its_treads_and_no_bed() -> None:
    """A rail on two posts, screwed to a stile that stands on the floor as they do."""

    def post(key: str, x: int) -> Part:
        return Part(key, key, SIZE, 20 * INCH, Placement((x, SIZE.thickness, 0), "z", "x"))

    rail = Part("rail", "rail", SIZE, 48 * INCH, Placement((0, 0, 10 * INCH), "x", "z"))
    stile = post("stile", 20 * INCH)
    posts = [post("near", 0), post("far", 48 * INCH - SIZE.width)]
    screws = tuple(
        Screwed(("rail", each.key), "#8", (each.placement.origin[0] + INCH, 0, 11 * INCH), "y", 1)
        for each in (*posts, stile)
    )  # fmt: skip
    free = Frame((rail, *posts, stile), screws)
    assert [carrier for _, carrier in carriers(LoadPaths(free), "rail")] == ["near", "stile", "far"]
    ladder = HighBed("bed", "US", Ladder((), ("stile",)))
    climbed = Frame((rail, *posts, stile), screws, high_beds=(ladder,))
    assert [carrier for _, carrier in carriers(LoadPaths(climbed), "rail")] == ["near", "far"]


@given(st.floats(0, 1219.2), st.floats(1, 5000))
def test_a_load_on_a_board_goes_to_both_ends_by_its_lever(place: float, load: float) -> None:
    """Past the middle of the block that it lies on it would lift the other end, and falls."""
    left, right, top = block("left", 0), block("right", 48 * INCH - SIZE.width), board()
    paths = LoadPaths(Frame((left, right, top), (Resting(("board", "left")), Resting(("board", "right")))))
    solved = Model(paths).solve({}, [{paths.of["board"]: [(place, place, load)]}])
    share = (place - 1.75 * INCHES) / (44.5 * INCHES)
    assert bool(solved.stands[0]) == (-1e-6 < share < 1 + 1e-6)
    if 0 <= share <= 1:
        assert solved.forces[:, 0] == pytest.approx([load * (1 - share), load * share], abs=1e-5 * load)
