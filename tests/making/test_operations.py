"""Holes and glue-ups: a queen bed worked by hand, sizes against their standards, every design over its options."""

from collections import Counter
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.making.operations import (
    GlueUp,
    Hole,
    Offset,
    areas_of,
    operations,
)
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, Frame, Glued, Housed, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section

OWN_SIZE = {"mattress": "60 in x 80 in", "mattress_allowance": "0 in", "slat_clearance": "0 in", "rail": "2x6"}


@pytest.fixture(scope="module")
def queen() -> Frame:
    return designs()["slatted-bed"].frame(OWN_SIZE, reading())


def holes_of(frame: Frame, key: str) -> list[Hole]:
    return [hole for hole in operations(frame).holes if hole.part == key]


def places(hole: Hole) -> tuple[tuple[str, float], ...]:
    return tuple((offset.side, offset.distance / INCH) for offset in hole.offsets)


def test_a_post_lamination_has_two_bolt_holes_three_and_four_diameters_from_its_edges(queen: Frame) -> None:
    """By hand: 8 + 3 x 3/8 is 9-1/8 in, 3-7/8 from the top at 13; the upper one is 4 x 3/8 in from the top."""
    holes = [hole for hole in holes_of(queen, "left head post 2") if hole.purpose == "bolt"]
    assert sorted(places(hole) for hole in holes) == [
        (("lower end", 9.125), ("head edge", 1.75)),
        (("lower end", 11.5), ("head edge", 1.75)),
    ]
    assert {(hole.diameter, hole.depth, hole.side) for hole in holes} == {(13 * INCH // 32, None, "left face")}


def test_the_outer_lamination_has_the_end_boards_bolt_as_a_third_hole_through_its_edge(queen: Frame) -> None:
    """By hand: the end board's middle is 1-3/4 in over 8. A tee nut, 7/16 in wide, stays a millimetre off the glue line
    at 1-1/2 in: 1-3/16 in on the tape, with 1-13/16 in to the inner edge of the post, four diameters being 1-1/2."""
    third, nut = [hole for hole in holes_of(queen, "left head post 1") if hole.into == "edge"]
    assert places(third) == places(nut) == (("lower end", 9.75), ("left face", 1.1875))
    assert (third.side, third.depth, nut.purpose, nut.diameter) == ("head edge", None, "tee nut", 7 * INCH // 16)


def test_a_rail_has_four_holes_in_line_with_those_of_its_posts(queen: Frame) -> None:
    """By hand: the post stands from 1-1/2 to 5 in, its middle is 3-1/4 in from the rail's end."""
    found = sorted(places(hole) for hole in holes_of(queen, "left rail"))
    length = queen.by_key["left rail"].length / INCH
    assert found == [(("head end", x), ("lower edge", z)) for x in (3.25, length - 3.25) for z in (1.125, 3.5)]


def test_four_posts_of_two_laminations_take_twenty_bolt_holes(queen: Frame) -> None:
    """By hand: 4 posts x (2 laminations x 2 rail bolts + 1 for the end board); 4 x 3 for tee nuts."""
    purposes = [hole.purpose for hole in operations(queen).holes if "post" in hole.part]
    assert (purposes.count("bolt"), purposes.count("tee nut")) == (20, 12)


def two(end: Any, size: str = "M8") -> Frame:
    """Two 45 mm boards, one behind the other, and a bolt through both along y."""
    wood = section("45x95")
    boards = tuple(
        Part(key, "board", wood, 500 * MM, Placement((0, y * MM, 0), "x", "z")) for key, y in (("a", 0), ("b", 45))
    )
    return Frame(boards, (Bolted(("a", "b"), size, (100 * MM, 0, 30 * MM), "y", 1, end),))


def test_a_metric_tee_nut_takes_a_wider_hole_in_the_last_part_as_deep_as_its_barrel() -> None:
    *through, last = operations(two("tee nut")).holes
    wide = 17 * MM // 2
    assert [(hole.part, hole.diameter, hole.depth) for hole in through] == [("a", wide, None), ("b", wide, None)]
    assert (last.part, last.purpose, last.diameter, last.depth) == ("b", "tee nut", 10 * MM, 11 * MM)
    assert last.offsets == (Offset("left end", 100 * MM), Offset("lower edge", 30 * MM))
    assert (through[1].side, last.side) == ("front face", "back face")


def test_a_bolt_into_a_nut_takes_plain_holes_only() -> None:
    assert {hole.purpose for hole in operations(two("nut")).holes} == {"bolt"}


def test_a_ledger_is_clamped_every_8_to_12_in_and_a_post_at_its_ends(queen: Frame) -> None:
    """By hand: 74 in is 7 spaces of at most 12 in or 10 of 8; 13 in is two (common practice, no source)."""
    clamps = {face.parts: face.clamps for up in operations(queen).glue_ups for face in up.faces}
    assert clamps["left ledger", "left rail"] == (8, 11)
    assert clamps["left head post 1", "left head post 2"] == (3, 3)


def test_the_ledgers_glue_line_is_73_by_three_and_a_half_inches(queen: Frame) -> None:
    (face,) = [f for up in operations(queen).glue_ups for f in up.faces if f.parts == ("left ledger", "left rail")]
    assert (face.area, face.length) == (73 * INCH * INCH * 7 // 2, 73 * INCH)


def inside(frame: Frame, hole: Hole) -> bool:
    part = frame.by_key[hole.part]
    deep = {"end": part.length, "edge": part.width, "face": part.section.thickness}[hole.into]
    extents = {"end": part.length, "edge": part.width, "face": part.section.thickness}
    sides = [(offset.distance, extents[offset.side.split()[-1]]) for offset in hole.offsets]
    return (hole.depth is None or 0 < hole.depth < deep) and all(
        hole.diameter // 2 <= distance <= extent - hole.diameter // 2 for distance, extent in sides
    )


def built(name: str, data: st.DataObject) -> Frame | None:
    system = data.draw(st.sampled_from(["inch", "metric"]))
    try:
        return designs()[name].frame(data.draw(written_options(designs()[name], system)), reading(system))
    except OptionFaultsError:
        return None


@pytest.mark.parametrize("name", designs())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_hole_lies_in_its_part_and_every_fastener_has_one_in_all_it_joins(name: str, data: Any) -> None:
    if (frame := built(name, data)) is None:
        return
    holes = operations(frame).holes
    assert [hole for hole in holes if not inside(frame, hole)] == []
    drilled = Counter(hole.part for hole in holes if hole.purpose != "tee nut")
    joined = Counter(key for joint in frame.joints if isinstance(joint, Bolted | Screwed) for key in joint.parts)
    assert drilled == joined


@pytest.mark.parametrize("name", designs())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_glued_joint_is_in_one_glue_up_and_every_part_in_one_at_most(name: str, data: Any) -> None:
    if (frame := built(name, data)) is None:
        return
    ups: tuple[GlueUp, ...] = operations(frame).glue_ups
    glued = [joint.parts for joint in frame.joints if isinstance(joint, Glued)]
    assert sorted(face.parts for up in ups for face in up.faces) == sorted(glued)
    assert max(Counter(key for up in ups for key in up.parts).values(), default=1) == 1
    assert all(set(face.parts) <= set(up.parts) for up in ups for face in up.faces)
    assert all(face.area > 0 and 1 <= face.clamps[0] <= face.clamps[1] for up in ups for face in up.faces)


@pytest.fixture(scope="module")
def housed() -> Frame:
    return designs()["loft-bed"].frame({"treads": "housed"}, reading())


def test_a_stile_has_a_housing_for_every_tread_from_edge_to_edge(housed: Frame) -> None:
    """By hand: a third of 1-1/2 in deep, as wide as a 2x4 is thick, over 3-1/2 in, each from its tread's top down."""
    found = [each for each in operations(housed).housings if each.part == "foot stile"]
    assert {(each.deep, each.wide, each.long, each.side) for each in found} == {
        (INCH // 2, INCH * 3 // 2, INCH * 7 // 2, "head face")
    }
    tops = sorted(box.high[2] for key, box in housed.boxes.items() if key.startswith("tread"))
    assert sorted(each.starts[0].distance for each in found) == [top - INCH * 3 // 2 for top in tops]
    assert {(each.starts[0].side, each.starts[1]) for each in found} == {("lower end", Offset("left edge", 0))}


def test_what_is_left_bare_of_a_housed_ladder_is_the_surface_of_its_wood(housed: Frame) -> None:
    """Against the faces of a grid of cells: those with wood on one side and air on the other; the whole bed glued."""
    keys = list(housed.high_beds[0].ladder.parts)  # type: ignore[union-attr]
    boxes = np.array([(housed.boxes[key].low, housed.boxes[key].high) for key in keys])
    cuts = [np.unique(boxes[:, :, k]) for k in range(3)]
    solid = np.zeros([len(each) + 1 for each in cuts], bool)
    for low, high in boxes:
        solid[tuple(slice(*(np.searchsorted(cuts[k], (low[k], high[k])) + 1)) for k in range(3))] = True
    sizes = [np.concatenate(([0], np.diff(each), [0])) for each in cuts]
    bare = 0
    for k in range(3):
        a, b = (sizes[j] for j in range(3) if j != k)
        bare += int((np.diff(solid, axis=k).sum(axis=k) * np.outer(a, b)).sum())
    ladder = Frame(tuple(housed.by_key[key] for key in keys), tuple(
        joint for joint in housed.joints if set(joint.parts) <= set(keys) and isinstance(joint, Housed)
    ))  # fmt: skip
    assert operations(ladder).sanded == bare


def test_an_end_is_glued_where_its_housing_has_wood(housed: Frame) -> None:
    """By hand: its end of 1-1/2 by 3-1/2 in, 1/2 in above and below; both edges of the stile are open."""
    ends = Frame(housed.parts, tuple(joint for joint in housed.joints if isinstance(joint, Housed)))
    assert len(ends.housings) == 12
    assert areas_of(ends)[0] == 12 * (3 * 7 + 2 * 1 * 7) * INCH**2 // 4
