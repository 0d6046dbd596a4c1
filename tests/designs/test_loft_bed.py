"""A bed above the floor, alone or over another: guarded on all sides, with a way in and a way up, for any wood.

The bounds are those that suit every market: 16 CFR 1213 and SI 1987/1337 as read, EN 747-1 from memory, AS/NZS 4220 by
the notice on it.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.designs.mending import too_narrow, width_of

from sawbill.checks.beds.openings import Rect, openings
from sawbill.testing import frame_faults, reading, written_options
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.frame import Bolted, Frame, SleepingPlace
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import sections
from sawbill.trade.mattresses import mattress_sizes
from sawbill_designs import bunk_bed, loft_bed

DESIGN = loft_bed.DESIGN
BOTH = [loft_bed.DESIGN, bunk_bed.DESIGN]
GUARD_GAPS = (60 * MM, 75 * MM)
"""SI 1987/1337, inside what 16 CFR 1213 (under 3.5 in) and AS/NZS 4220 (none of 30 to 50 and 95 to 230 mm) ask."""
WAY_IN = (300 * MM, 15 * INCH)
"""SI 1987/1337 and EN 747-1: 300 mm; 16 CFR 1213: 15 in."""


@pytest.fixture(scope="module")
def twin() -> Frame:
    return DESIGN.frame({"mattress_allowance": "0 in", "slat_clearance": "0 in", "rail": "2x6"}, reading())


def walls(frame: Frame, place: SleepingPlace) -> Iterator[tuple[str, list[Rect], tuple[int, int]]]:
    """Each side of a mattress's room: what stands beyond it, the ladder left out, as seen along its axis."""
    ladder = set(frame.high_beds[0].ladder.parts) if frame.high_beds[0].ladder else set()
    boxes = [box for key, box in frame.boxes.items() if key not in ladder]
    for axis, across in (("x", "y"), ("y", "x")):
        low, high = place.opening.span(axis)
        for beyond in (
            [box for box in boxes if box.span(axis)[1] <= low],
            [box for box in boxes if box.span(axis)[0] >= high],
        ):
            spans = [(box.span(across), box.span("z")) for box in beyond]
            yield axis, [Rect(a, c, b, d) for (a, b), (c, d) in spans], place.opening.span(across)


def high_place(frame: Frame) -> SleepingPlace:
    return next(place for place in frame.sleeping_places if place.name == frame.high_beds[0].place)


def hold_to_every_market(frame: Frame) -> None:
    """Guards high enough all round, no opening in them but the allowed ones, one way in, and a ladder to climb."""
    room = high_place(frame).opening
    ways_in = []
    for axis, blocks, (left, right) in walls(frame, high_place(frame)):
        lying = [block for block in blocks if block.right - block.left > block.top - block.bottom]
        top = max(block.top for block in lying)  # posts may stand a little higher than the guards
        assert top >= max(room.high[2] + 160 * MM, room.low[2] + 260 * MM)
        for free in openings(Rect(left, room.low[2], right, top), blocks):
            if axis == "y" and free.top == top:
                ways_in.append(free.right - free.left)
            else:
                assert GUARD_GAPS[0] <= free.gap <= GUARD_GAPS[1]
    assert len(ways_in) == 1
    assert WAY_IN[0] <= ways_in[0] <= WAY_IN[1]
    hold_the_way_up(frame)


def hold_the_way_up(frame: Frame) -> None:
    """EN 747-1, from memory: treads 200 to 300 mm apart and alike, 300 mm wide and 90 mm deep or more."""
    ladder = frame.high_beds[0].ladder
    assert ladder
    boards = [frame.boxes[key] for key in ladder.treads]
    levels = sorted({box.high[2] for box in boards})
    rises = [b - a for a, b in pairwise([0, *levels, high_place(frame).opening.low[2]])]
    assert all(200 * MM <= rise <= 300 * MM for rise in rises)
    assert max(rises) - min(rises) <= INCH // 16  # a step of the tape
    for level in levels:
        here = [box for box in boards if box.high[2] == level]
        ruled = not frame.housings or frame.high_beds[0].market != "US"
        least = 90 * MM if ruled else INCH * 7 // 2  # no rule of that market says how deep: a 2x4
        assert max(box.high[1] for box in here) - min(box.low[1] for box in here) >= least
        within = 2 * max((cut.size[0] for cut in frame.housings.values()), default=0)
        assert all(box.size[0] - within >= 300 * MM for box in here)


@pytest.mark.parametrize("design", BOTH, ids=lambda design: design.name)
@pytest.mark.parametrize("system", ["inch", "metric"])
def test_any_options_give_guards_openings_and_ladder_that_suit_every_market(design: Design, system: str) -> None:
    @settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(written_options(design, system))  # type: ignore[arg-type]
    def hold(written: dict[str, object]) -> None:
        try:
            frame = design.frame(written, reading(system))  # type: ignore[arg-type]
        except OptionFaultsError:
            return
        hold_to_every_market(frame)

    hold()


@pytest.mark.parametrize("part", ["rail", "ledger", "end_board", "post", "guard", "tread", "slat"])
def test_every_dry_section_in_every_part_gives_guards_that_suit_every_market(part: str) -> None:
    for name in (name for name in sections() if "green" not in name):
        if part in ("rail", "end_board", "guard") and too_narrow(DESIGN, {part: name}):
            assert width_of(name) < 3 * INCH, "at 5-1/2 diameters of 3/8 in, and room for a bore that crosses"
            continue
        hold_to_every_market(DESIGN.frame({part: name}, reading()))


@pytest.mark.parametrize("thickness", ["2 in", "6 in", "10 in", "24 in"])
def test_guards_rise_with_the_mattress(thickness: str) -> None:
    hold_to_every_market(DESIGN.frame({"mattress": {"size": "twin", "thickness": thickness}}, reading()))


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(sorted(mattress_sizes())), st.sampled_from(["inch", "metric"]))
def test_every_listed_mattress_with_its_tolerance_fits_at_the_default_allowance(name: str, system: str) -> None:
    frame = DESIGN.frame({"mattress": name}, reading(system))  # type: ignore[arg-type]
    (place,) = frame.sleeping_places
    length, width, _ = place.opening.size
    assert width >= place.mattress.width + place.mattress.tolerance
    assert length >= place.mattress.length + place.mattress.tolerance


def test_the_guard_away_from_the_ladder_touches_both_posts_and_both_ends(twin: Frame) -> None:
    """16 CFR 1213: no gap of more than 0.22 in to either end structure."""
    for board in (part.key for part in twin.parts if part.key.startswith("right guard board")):
        for end in ("head", "foot"):
            assert twin.boxes[board].contact(twin.boxes[f"right {end} post 2"])
            assert (
                twin.boxes[board].span("x")[end == "foot"]
                == twin.boxes[f"{end} guard board 1"].span("x")[end == "head"]
            )


def test_rail_ledger_and_post_are_held_by_the_same_two_bolts(twin: Frame) -> None:
    held = [joint for joint in twin.joints if isinstance(joint, Bolted) and joint.parts[-1] == "left ledger"]
    at_the_post = [joint for joint in held if "left head post 1" in joint.parts]
    assert [(twin.grip(bolt), twin.bolt_length(bolt)) for bolt in at_the_post] == [(6 * INCH, 13 * INCH // 2)] * 2


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("end", ["head", "foot"])
def test_the_ladder_stands_where_it_was_asked_for(side: str, end: str) -> None:
    frame = DESIGN.frame({"ladder_side": side, "ladder_end": end}, reading())
    room, tread = frame.sleeping_places[0].opening, frame.boxes["tread 1 board 1"]
    assert (tread.high[1] <= room.low[1]) == (side == "left")
    assert (tread.low[1] >= room.high[1]) == (side == "right")
    assert (tread.low[0] + tread.high[0] < room.low[0] + room.high[0]) == (end == "head")
    assert not frame_faults(frame)


def test_steps_stand_each_a_whole_tread_further_out_than_the_one_above() -> None:
    frame = DESIGN.frame({"way_up": "steps", "tread": "2x4"}, reading())
    fronts = [frame.boxes[f"tread {i} board 1"].low[1] for i in range(1, 7)]
    assert [b - a for a, b in pairwise(fronts)] == [7 * INCH] * 5


def test_a_bed_too_short_for_its_posts_and_its_ladder_is_refused_with_its_reason() -> None:
    with pytest.raises(ValueError, match="choose a narrower post or a longer mattress"):
        DESIGN.frame({"mattress": {"width": "30 in", "length": "36 in"}, "post": "2x12"}, reading())


@pytest.mark.parametrize(
    ("part", "name", "bolt", "advised"), [("end_board", "34x45", "M10", "M6"), ("guard", "22x45", "M8", "M6")]
)
def test_wood_too_narrow_for_its_bolts_is_refused_and_thinner_ones_do(
    part: str, name: str, bolt: str, advised: str
) -> None:
    """45 mm is less than the four diameters and 1-1/2 that bolts stay from the edges across the grain."""
    written = {part: name, "bolt_size": bolt, "post": "45x120"}
    with pytest.raises(ValueError, match=f"^{part}: .*choose a wider {part},? or a smaller bolt_size"):
        DESIGN.frame(written, reading("metric"))
    assert not frame_faults(DESIGN.frame({**written, "bolt_size": advised}, reading("metric")))


@pytest.mark.parametrize(
    ("system", "market", "tread", "deep"),
    [
        ("inch", "US", "2x4", INCH // 2), ("inch", "UK", "2x6", INCH // 2), ("inch", "AU", "2x6", INCH // 2),
        ("metric", "EU", "45x95", 15 * MM),
    ],
)  # fmt: skip
@pytest.mark.parametrize("design", BOTH, ids=lambda design: design.name)
def test_housed_treads_end_a_third_deep_in_both_stiles(
    design: Design, system: Any, market: str, tread: str, deep: int
) -> None:
    frame = design.frame({"treads": "housed", "market": market, "tread": tread}, reading(system))
    stiles = [part for part in frame.parts if part.name == "ladder stile"]
    treads = [part for part in frame.parts if part.name == "tread"]
    assert len(stiles) == 2 and not [part for part in frame.parts if part.name in ("tread bearer", "front stile")]
    for part in treads:
        for stile in stiles:
            shared = part.box.common(stile.box).size
            assert shared == (deep, sections()[tread].width, sections()[tread].thickness)
    hold_to_every_market(frame)
    assert not frame_faults(frame)


@pytest.mark.parametrize("way_up", ["ladder", "steps"])
@pytest.mark.parametrize("post", ["2x8", "2x12"])
def test_posts_too_wide_for_a_stile_are_not_ripped_for_it_where_the_treads_section_will_do(
    post: str, way_up: str
) -> None:
    """A ripped board keeps no grade, so that nobody would know whether the way up holds."""
    frame = DESIGN.frame({"post": post, "way_up": way_up, "tread": "2x6"}, reading())
    ladder = [frame.by_key[key] for key in frame.high_beds[0].ladder.parts]  # type: ignore[union-attr]
    assert {part.section.name for part in ladder if part.name == "ladder stile"} == {"2x6"}
    assert not [part for part in ladder if part.ripped is not None and part.name in ("ladder stile", "tread bearer")]


@pytest.mark.parametrize("tread", ["2x2", "2x3", "1x4", "1x6"])
def test_stiles_and_bearers_are_of_no_smaller_wood_than_a_2x4_because_the_treads_are(tread: str) -> None:
    """A bearer of 2x2 has no room for the screws that one steps on; no table of ours tells how strong a 1x4 is."""
    frame = DESIGN.frame({"post": "2x8", "tread": tread}, reading())
    assert {part.section.name for part in frame.parts if part.name in ("ladder stile", "tread bearer")} == {"2x8"}


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ({"way_up": "steps"}, "treads: those of steps lie on bearers; choose that, or a ladder as way_up"),
        ({"tread": "1x6"}, "tread: 1x6 is too thin or too narrow for housed treads and their stiles, which take"),
        ({"market": "EU"}, "tread: 2x4 is too thin or too narrow for housed treads and their stiles, which take"),
        ({"rail": "2x10", "ledger": "2x10"}, "treads: the highest would be housed beside the bolts that hold"),
    ],
)
def test_treads_that_cannot_be_housed_are_refused_with_what_would_do(written: dict[str, str], told: str) -> None:
    with pytest.raises(OptionFaultsError, match=told):
        DESIGN.frame({"treads": "housed", **written}, reading())
    assert DESIGN.frame({**written, "treads": "on bearers"}, reading()).parts
