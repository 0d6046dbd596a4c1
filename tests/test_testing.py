"""What every design must pass: each deliberate fault of a frame is found, and a good design passes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.registry import designs
from sawbill.testing import check_design, exact, frame_faults, reading, written_options
from sawbill.trade import lumber
from sawbill.trade.boxes import AXES, Box
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import CarriedPiece, Frame, Glued, Part, Placement, SleepingPlace, Strap
from sawbill.trade.lengths import INCH, MM, parse_length
from sawbill.trade.lumber import section
from sawbill.trade.mattresses import listed
from sawbill.trade.option import Choice, Count, Flag, Length, Mattress, Section

TWO_BY_FOUR = section("2x4")


def test_a_good_frame_has_no_fault(stand: Frame) -> None:
    assert frame_faults(stand) == []


def test_a_real_bed_has_no_fault() -> None:
    assert frame_faults(designs()["slatted-bed"].frame({}, reading())) == []


# ---- one deliberate fault each


def with_part(frame: Frame, key: str, **changes: Any) -> Frame:
    return replace(frame, parts=tuple(replace(p, **changes) if p.key == key else p for p in frame.parts))


def moved(frame: Frame, key: str, **by: int) -> Frame:
    place = frame.by_key[key].placement
    origin = tuple(n + by.get(axis, 0) for n, axis in zip(place.origin, AXES, strict=True))
    return with_part(frame, key, placement=replace(place, origin=origin))


def pieces(frame: Frame, *carried: CarriedPiece) -> Frame:
    return replace(frame, carried_pieces=carried)


@pytest.mark.parametrize(
    ("fault", "broken"),
    [
        ("rail and post 1 claim the same space", lambda f: moved(f, "post 1", y=-1)),
        ("two parts are called rail", lambda f: replace(f, parts=(*f.parts, f.parts[0]))),
        ("post 2 has no extent", lambda f: with_part(f, "post 2", length=0)),
        ("rail is ripped wider than its section", lambda f: with_part(f, "rail", ripped=section("2x6").width + 1)),
        ("it reaches below the floor", lambda f: moved(f, "post 1", z=-1)),
        ("post 1 does not touch post 2", lambda f: moved(f, "post 2", y=1)),
        ("the 3/8 in bolt from rail meets a gap before post 2", lambda f: moved(f, "post 2", y=1)),
        ("rail is carried twice", lambda f: pieces(f, *f.carried_pieces, CarriedPiece("again", ("rail",)))),
        ("post 2 is carried with no piece", lambda f: pieces(f, CarriedPiece("some", ("rail", "post 1")))),
        (
            "a carried piece names door, which is no part",
            lambda f: pieces(f, *f.carried_pieces, CarriedPiece("door", ("door",))),
        ),
        ("a strap is fixed to door, which is no part", lambda f: replace(f, straps=(Strap("door", "y", 1),))),
    ],
)
def test_a_deliberate_fault_is_found(stand: Frame, fault: str, broken: Callable[[Frame], Frame]) -> None:
    assert any(each.startswith(fault) for each in frame_faults(broken(stand)))


def deck(opening: Box) -> Frame:
    """Three slats across two rails, 10 in apart, with room for a mattress on them."""

    def rail(key: str, y: int) -> Part:
        return Part(key, "rail", TWO_BY_FOUR, 90 * INCH, Placement((0, y, 0), "x", "z"))

    slats = tuple(
        Part(f"slat {n}", "slat", TWO_BY_FOUR, 50 * INCH, Placement((n * 10 * INCH, 0, INCH * 7 // 2), "y", "x"))
        for n in range(3)
    )
    keys = tuple(slat.key for slat in slats)
    place = SleepingPlace("mattress", listed("twin", 10 * INCH), opening, keys, 10 * INCH - TWO_BY_FOUR.width)
    rails = rail("left", 0), rail("right", 50 * INCH - TWO_BY_FOUR.thickness)
    glued = tuple(Glued((slat.key, each.key)) for slat in slats for each in rails)
    parts = (*rails, *slats)
    return Frame(parts, glued, (CarriedPiece("deck", tuple(part.key for part in parts)),), (place,))


ROOM = Box((0, 0, 5 * INCH), (75 * INCH, 38 * INCH, 15 * INCH))  # a twin: 38 by 75 in


def with_place(frame: Frame, **changes: Any) -> Frame:
    return replace(frame, sleeping_places=(replace(frame.sleeping_places[0], **changes),))


def test_a_mattress_in_its_room_on_its_slats_has_no_fault() -> None:
    assert frame_faults(deck(ROOM)) == []


@pytest.mark.parametrize(
    ("fault", "broken"),
    [
        ("the mattress is larger than its opening", deck(ROOM._replace(high=(75 * INCH - 1, *ROOM.high[1:])))),
        ("the mattress is larger than its opening", deck(ROOM._replace(low=(0, 1, ROOM.low[2])))),
        ("slat 2 stands in the room of the mattress", moved(deck(ROOM), "slat 2", z=1)),
        ("slat 1 does not carry the mattress", moved(deck(ROOM), "slat 1", z=-1)),
        ("slat 1 does not carry the mattress", moved(deck(ROOM), "slat 1", z=1)),
        ("the gap after slat 0 is wider than asked", moved(deck(ROOM), "slat 1", x=1)),
    ],
)
def test_a_deliberate_fault_of_a_sleeping_place_is_found(fault: str, broken: Frame) -> None:
    assert fault in frame_faults(broken)


# ---- an overlap checker that shares no code: two parts overlap when their intervals do on every axis

parts = st.builds(
    lambda origin, along_across, length: (origin, along_across, length),
    st.tuples(*[st.integers(0, 6)] * 3),
    st.permutations(AXES).map(lambda axes: (axes[0], axes[1])),
    st.integers(1, 5),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(parts, min_size=2, max_size=6))
def test_overlaps_are_found_just_where_exact_intervals_say(several: list[Any]) -> None:
    """Lumber 2 by 3 in, placed on whole inches, so that touching is as common as overlapping."""
    wood = replace(TWO_BY_FOUR, thickness=2 * INCH, width=3 * INCH)
    frame = Frame(
        tuple(
            Part(f"p{n}", "p", wood, length * INCH, Placement(tuple(i * INCH for i in origin), *axes))  # type: ignore[arg-type]
            for n, (origin, axes, length) in enumerate(several)
        )
    )
    spans = []
    for origin, (along, across), length in several:
        size = {along: length, across: 3}
        spans.append([(at, at + size.get(axis, 2)) for axis, at in zip(AXES, origin, strict=True)])
    expected = {
        f"p{a} and p{b} claim the same space"
        for a in range(len(spans))
        for b in range(a + 1, len(spans))
        if all(len(range(max(p[0], q[0]), min(p[1], q[1]))) > 0 for p, q in zip(spans[a], spans[b], strict=True))
    }
    assert {fault for fault in frame_faults(frame) if "claim" in fault} == expected


# ---- check_design


def stick(o: Options) -> Frame:
    """One stick standing on the floor."""
    part = Part("stick", "stick", o.wood, o.length, Placement((0, 0, 0), "z", "x"))
    return Frame((part,), carried_pieces=(CarriedPiece("stick", ("stick",)),))


STICK = Design(
    name="stick",
    title="A stick",
    summary="One stick.",
    options=(
        Length("length", "How long.", default=60 * INCH, least=10 * INCH, most=96 * INCH),
        Count("count", "How many.", default=1, least=1, most=9),
        Choice("colour", "Which colour.", choices=("red", "blue"), default="red"),
        Flag("round", "Whether round.", default=False),
        Section("wood", "Which section.", role="post"),
        Mattress("bed", "Which mattress.", default="queen"),
    ),
    build=stick,
    references=("common practice, no source",),
)


def complaint(design: Design) -> str:
    with pytest.raises(AssertionError) as caught:
        check_design(design, examples=40)
    return str(caught.value)


def test_a_good_design_passes() -> None:
    check_design(STICK, examples=20)


def test_a_design_whose_declaration_is_at_fault_fails() -> None:
    assert "it has no title" in complaint(replace(STICK, title=""))


def test_a_design_that_fails_for_one_choice_fails_with_the_options_named() -> None:
    def build(o: Options) -> Frame:
        frame = stick(o)
        return replace(frame, carried_pieces=()) if o.colour == "blue" else frame

    told = complaint(replace(STICK, build=build))
    assert "stick is carried with no piece" in told
    assert "blue" in told


def test_a_design_that_fails_only_at_the_bound_of_a_length_fails() -> None:
    def build(o: Options) -> Frame:
        frame = stick(o)
        return replace(frame, carried_pieces=()) if o.length == 96 * INCH else frame

    assert "stick is carried with no piece" in complaint(replace(STICK, build=build))


def test_a_design_that_builds_otherwise_each_time_fails() -> None:
    heights = iter(range(10**6))

    def build(o: Options) -> Frame:
        return moved(stick(o), "stick", z=next(heights))

    assert "not repeatable" in complaint(replace(STICK, build=build))


def test_a_refusal_is_an_answer_and_no_fault() -> None:
    def build(o: Options) -> Frame:
        if o.colour == "blue":
            raise RefusalError("colour", "colour: it cannot be blue; choose red")
        return stick(o)

    check_design(replace(STICK, build=build), examples=10)


def test_a_bound_is_asked_for_even_where_no_other_example_is_drawn() -> None:
    def build(o: Options) -> Frame:
        frame = stick(o)
        return replace(frame, carried_pieces=()) if o.count == 9 else frame

    with pytest.raises(AssertionError, match="'count': 9"):
        check_design(replace(STICK, build=build), examples=1)


@pytest.mark.parametrize(
    ("name", "value"),
    [("count", 9), ("colour", "blue"), ("round", True), ("length", 10 * INCH), ("length", 96 * INCH)],
)
def test_a_value_that_fails_is_found_where_each_is_tried_in_one_system(name: str, value: object) -> None:
    def build(o: Options) -> Frame:
        frame = stick(o)
        return replace(frame, carried_pieces=()) if getattr(o, name) == value else frame

    with pytest.raises(AssertionError, match=rf"'{name}': .*carried with no piece"):
        check_design(replace(STICK, build=build), examples=1, whole=False)


@pytest.mark.parametrize("end", [min, max])
@pytest.mark.parametrize("inch", [True, False])
def test_the_least_and_the_largest_section_are_always_tried(end: Callable[..., Any], inch: bool) -> None:
    sold = (each for each in lumber.sections().values() if each.family.startswith("inch") == inch)
    size = end((each.thickness, each.width) for each in sold)

    def build(o: Options) -> Frame:
        frame = stick(o)
        return replace(frame, carried_pieces=()) if (o.wood.thickness, o.wood.width) == size else frame

    with pytest.raises(AssertionError, match=r"'wood': .*carried with no piece"):
        check_design(replace(STICK, build=build), examples=1, whole=False)


def test_a_refusal_of_what_the_design_does_not_have_fails() -> None:
    def build(o: Options) -> Frame:
        if o.round:
            raise RefusalError("shape", "shape: it cannot be round; choose square")
        return stick(o)

    assert "refuses shape, not one it has" in complaint(replace(STICK, build=build))


def test_a_refusal_without_a_word_fails() -> None:
    def build(o: Options) -> Frame:
        if o.round:
            raise RefusalError("round", " ")
        return stick(o)

    assert "refuses round without a word" in complaint(replace(STICK, build=build))


def test_a_design_that_refuses_everything_fails() -> None:
    def build(o: Options) -> Frame:
        raise RefusalError("colour", "colour: choose another")

    assert "stick refuses everything a shop that measures in inch may ask for" in complaint(replace(STICK, build=build))


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"references": ()}, "it has no references"),
        ({"options": (Flag("round", " ", default=False),)}, "option 'round' has no help"),
    ],
)
def test_a_design_that_leaves_something_undocumented_fails(changes: dict[str, Any], fault: str) -> None:
    assert fault in complaint(replace(STICK, **changes))


def test_a_length_whose_range_holds_no_whole_step_is_asked_at_its_bounds() -> None:
    narrow = Length("length", "How long.", default=10 * INCH + 1, least=10 * INCH + 1, most=10 * INCH + 2)
    check_design(replace(STICK, options=(narrow, *STICK.options[1:])), examples=5)


@settings(max_examples=100, deadline=None)
@given(st.data(), st.sampled_from(["inch", "metric"]))
def test_options_are_written_as_a_caller_would_and_can_be_read(data: st.DataObject, system: Any) -> None:
    STICK.read(data.draw(written_options(STICK, system)), reading(system))


@given(st.integers(0, 10**14))
def test_an_exact_text_reads_back(nm: int) -> None:
    assert parse_length(exact(nm)) == nm
    assert exact(nm).endswith(" mm")
    assert parse_length(exact(MM)) == MM
