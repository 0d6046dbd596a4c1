"""What carries what, on real frames; and that all that is put on a frame comes down to the floor."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.checks.carrying import mass_of
from sawbill.checks.load_paths import LoadPaths, Member
from sawbill.checks.loads import G, always, cases
from sawbill.checks.spans import RUNS_ON, Patch
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.request import Request
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
    assert [carrier for _, carrier in slat] == ["left ledger", "beam", "right ledger"]
    assert [at for at, _ in slat] == pytest.approx([2.28125, 32, 61.71875])
    assert {part.key for part in paths.of["left rail"].parts} == {"left rail", "left ledger"}
    assert [carrier for _, carrier in carriers(paths, "left rail")] == ["left head post 1", "left foot post 1"]
    assert [len(support.bolts) for support in paths.of["left rail"].supports] == [2, 2]
    beam = [carrier for _, carrier in carriers(paths, "beam")]
    assert beam == ["head end board", "leg under beam", "leg beside beam", "foot end board"]
    assert [support.share for support in paths.of["beam"].supports] == [1, 0.5, 0.5, 1]
    assert len(paths.of["beam"].places) == 3, "both pieces of the leg stand at one place"
    assert not paths.of["left head post 1"].supports


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
@pytest.mark.parametrize("design", list(designs()))
def test_all_that_is_put_on_a_frame_comes_down_to_the_floor(
    samples: Mapping[str, PriceBook], ask: Ask, design: str, book: str
) -> None:
    """By the sum of all weights; what lies between two spans presses with up to a quarter more, long ends a little."""
    frame = frame_of(ask, samples[book], design)
    paths = LoadPaths(frame)
    mattresses = sum(float(place.mattress.most_mass_kg) * 1000 for place in frame.sleeping_places)
    mass = float(mass_of(frame, tuple(frame.by_key), {})) + mattresses
    loads: list[tuple[float, Mapping[Member, Sequence[Patch]]]] = [(mass * G, always(paths, {}))]
    loads += [(sum(sum(p[2] for p in each) for each in case.loads.values()), case.loads) for case in cases(paths, 1)]
    assert len(loads) > 1
    most = RUNS_ON if any(len(member.places) > 2 for member in paths.members) else 1.04
    for weight, load in loads:
        borne = paths.bear(load)
        grounded = {key for key in frame.by_key if frame.boxes[key].low[2] == frame.bounds.low[2]}
        stands: dict[Member, None] = dict.fromkeys(paths.of[key] for key in grounded)
        down = sum(borne.weights.get(member, 0.0) for member in stands)
        assert weight * (1 - 1e-9) <= down <= weight * most


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
    assert next(iter(paths.order)) is paths.of["board"]
    assert not paths.of["left"].supports and not paths.of["right"].supports


def test_short_pieces_glued_to_a_beam_are_no_part_of_it() -> None:
    beam, stop = board(), Part("stop", "stop", SIZE, 6 * INCH, Placement((0, 0, 2 * SIZE.thickness), "x", "y"))
    paths = LoadPaths(Frame((beam, stop), (Glued(("stop", "board")),)))
    assert paths.of["stop"] is not paths.of["board"]
    layer = Part("layer", "layer", SIZE, 40 * INCH, Placement((0, 0, 2 * SIZE.thickness), "x", "y"))
    paths = LoadPaths(Frame((beam, layer), (Glued(("layer", "board")),)))
    assert paths.of["layer"] is paths.of["board"]


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
    left, right, top = block("left", 0), block("right", 48 * INCH - SIZE.width), board()
    paths = LoadPaths(Frame((left, right, top), (Resting(("board", "left")), Resting(("board", "right")))))
    borne = paths.bear({paths.of["board"]: [(place, place, load)]})
    share = (place - 1.75 * INCHES) / (44.5 * INCHES)  # below 0 or above 1 the far end would be lifted, and is not
    ends = [borne.weights[paths.of[key]] for key in ("left", "right")]
    assert ends == pytest.approx([load * max(0, 1 - share), load * max(0, share)], abs=1e-6)
