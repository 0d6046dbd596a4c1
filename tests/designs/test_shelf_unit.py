"""The shelf unit: what practice says of it, and what it does with unusual wood."""

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.testing import exact, frame_faults, reading
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Frame, Screwed
from sawbill.trade.lengths import INCH, parse_length
from sawbill.trade.lumber import sections
from sawbill_designs.shelf_unit import DESIGN

SECTIONS = st.sampled_from(sorted(sections()))


def unit(**written: object) -> Frame:
    return DESIGN.frame(written, reading())


def codes(frame: Frame) -> list[str]:
    return [note.code for note in frame.notes]


def test_it_is_as_wide_and_high_as_asked_and_the_shelves_as_deep() -> None:
    frame = unit(width="48 in", height="60 in", depth="14 in", back_bracing="none")
    assert frame.bounds.size == (48 * INCH, 14 * INCH, 60 * INCH)


@settings(max_examples=40)
@given(st.integers(2, 6), st.integers(48 * 16, 96 * 16))
def test_shelves_are_spread_evenly_from_above_the_floor_to_the_top(shelves: int, sixteenths: int) -> None:
    height = sixteenths * INCH // 16
    frame = unit(shelves=shelves, height=exact(height))
    tops = sorted({part.box.high[2] for part in frame.parts if part.name.endswith("shelf board")})
    assert len(tops) == shelves
    assert tops[-1] == height
    steps = [above - below for below, above in pairwise(tops)]
    assert max(steps) - min(steps) <= INCH // 16


def clear(frame: Frame) -> list[int]:
    """The heights between the shelves, from the lowest up."""
    shelves = sorted({part.box.span("z") for part in frame.parts if part.name.endswith("shelf board")})
    return [above - top for (_, top), (above, _) in pairwise(shelves)]


def test_openings_that_are_named_are_as_high_as_that_and_the_others_alike() -> None:
    """By hand: the shelves are at 5-1/2 and 70-1/2 in, 65 in apart; less 20 and 14 in, and three boards of 1-1/2."""
    assert clear(unit(shelves=5, openings="20 in; 14 in")) == [20 * INCH, 14 * INCH, *[(65 - 34 - 6) * INCH // 2] * 2]
    assert clear(unit(shelves=5, openings="")) == clear(unit(shelves=5))


def advised(told: str, named: list[int]) -> list[int]:
    """The openings once what a message tells is done: as few, as high, or together as low; each is done once."""
    least = 11 * INCH // 2
    if few := re.search(r"^openings: .* name (\d+) at most$", told):
        assert int(few[1]) < len(named)
        return named[: int(few[1])]
    if high := re.search(r"^openings: .* which is (.+) high at least;", told):
        lowest = parse_length(high[1])
        assert min(named) < lowest
        return [max(each, lowest) for each in named]
    most = re.search(r"^openings: .* together they may be (.+) at most$", told)
    assert most, told
    together = parse_length(most[1])
    assert sum(named) > together
    return [together - least * (len(named) - 1), *[least] * (len(named) - 1)]


@settings(max_examples=40)
@given(st.integers(3, 7), st.lists(st.integers(5 * 16, 14 * 16), min_size=1, max_size=5))
def test_whatever_openings_are_named_nothing_is_wrong_or_it_is_said_what_would_do(
    shelves: int, sixteenths: list[int]
) -> None:
    named = [each * INCH // 16 for each in sixteenths]
    frame = None
    while frame is None:
        try:
            frame = unit(shelves=shelves, height="84 in", openings="; ".join(map(exact, named)))
        except OptionFaultsError as error:
            named = advised(str(error), named)
    assert clear(frame)[: len(named)] == named and min(clear(frame)) >= 5 * INCH
    assert not frame_faults(frame)


@pytest.mark.parametrize("spare", [1, 2])
def test_a_shelf_that_is_put_lower_lies_on_level_cleats_with_room_over_and_under_it(spare: int) -> None:
    frame = unit(bays=2, width="60 in", spare_cleats=spare)
    board = 3 * INCH // 2
    levels = sorted({part.box.span("z") for part in frame.parts if part.name == "cleat"})
    assert len(levels) == 4 + 3 * spare
    for _, top in levels:
        there = [part.box for part in frame.parts if part.name == "cleat" and part.box.high[2] == top]
        assert len({box.low[0] for box in there}) == 4, "at both ends of either bay"
    assert all(above - (below + board) >= 2 * INCH for (_, below), (above, _) in pairwise(levels))
    assert not frame_faults(frame)


@settings(max_examples=40)
@given(st.integers(2, 7), st.integers(1, 3), st.lists(st.integers(6, 30), max_size=3), st.integers(40, 80))
def test_more_spare_cleats_than_there_is_room_for_are_refused_with_what_would_do(
    shelves: int, spare: int, inches: list[int], high: int
) -> None:
    """What is told is done: the height, and every opening that is named lower."""
    openings, height = inches[: shelves - 2], f"{high} in"
    try:
        unit(shelves=shelves, height=height, openings="; ".join(f"{each} in" for each in openings), spare_cleats=spare)
    except OptionFaultsError as error:
        told = str(error)
    else:
        return
    if not told.startswith("spare_cleats: "):
        return
    more = "1 more cleat of 2x4 has no room" if spare == 1 else f"{spare} more cleats of 2x4 have no room"
    assert more in told and ("choose none," if spare == 1 else "choose fewer") in told
    height = taller[1] if (taller := re.search("a height of (.+) or more", told)) else height
    named = [each * INCH for each in openings]
    if larger := re.search(r"(\d[\d /]* in) for every opening that is named lower", told):
        named = [max(each, parse_length(larger[1])) for each in named]
    if taller or larger:
        frame = unit(shelves=shelves, height=height, openings="; ".join(map(exact, named)), spare_cleats=spare)
        assert not frame_faults(frame)


def test_where_no_height_gives_more_cleats_room_none_is_told() -> None:
    with pytest.raises(OptionFaultsError, match=r"must be 26 1/2 in high at least; choose fewer or a n"):
        unit(shelves=7, height="80 in", spare_cleats=3)


@pytest.mark.parametrize(
    ("openings", "told"),
    [
        ("20 in; 20 in; 20 in", "4 shelves have 3 openings, of which the highest takes what is left; name 2 at most"),
        ("5 in", "cleats of 2x4 stand in an opening, which is 5 1/2 in high at least"),
        ("50 in; 10 in", "leave no room for the 1 above them; together they may be 55 in at most"),
    ],
)
def test_openings_that_cannot_be_are_refused_with_what_would_do(openings: str, told: str) -> None:
    with pytest.raises(OptionFaultsError, match=f"^openings: .*{told}"):
        unit(openings=openings)


def test_two_shelves_have_no_opening_to_name() -> None:
    with pytest.raises(OptionFaultsError, match=r"^openings: 2 shelves have 1 opening, .* leave openings out$"):
        unit(shelves=2, openings="20 in")


def test_the_most_that_named_openings_may_be_together_leaves_the_least_above_them() -> None:
    frame = unit(openings="45 in; 10 in")
    assert clear(frame) == [45 * INCH, 10 * INCH, 11 * INCH // 2]
    assert not frame_faults(frame)


@settings(max_examples=40)
@given(SECTIONS, st.integers(6 * 16, 36 * 16), st.integers(0, 2 * INCH))
def test_boards_cover_the_shelf_front_to_back_within_the_widest_gap(board: str, sixteenths: int, gap: int) -> None:
    depth = sixteenths * INCH // 16
    frame = unit(shelf_board=board, depth=exact(depth), shelf_gap=exact(gap))
    spans = [frame.boxes[part.key].span("y") for part in frame.parts if part.key.startswith("bay 1 shelf 1 ")]
    assert (spans[0][0], spans[-1][1]) == (0, depth)
    assert all(0 <= start - end <= gap for (_, end), (start, _) in pairwise(spans))


def test_every_board_lies_on_a_cleat_at_either_end() -> None:
    frame = unit(bays=3, width="90 in")
    for part in frame.parts:
        if part.name == "shelf board":
            held = {
                joint.parts[1] for joint in frame.joints if isinstance(joint, Screwed) and joint.parts[0] == part.key
            }
            assert len(held) == 2
            assert all(frame.boxes[key].high[2] == part.box.low[2] for key in held)


@settings(max_examples=80)
@given(SECTIONS, SECTIONS, SECTIONS, st.integers(1, 3))
def test_uprights_of_any_section_make_a_frame_as_deep_as_the_shelf(
    upright: str, board: str, rail: str, bays: int
) -> None:
    frame = unit(upright=upright, shelf_board=board, back_rail=rail, bays=bays, cleat="1x3", depth="10 in")
    assert not frame_faults(frame)
    spans = [part.box.span("y") for part in frame.parts if part.key.startswith("left frame") and part.name == "upright"]
    assert (min(low for low, _ in spans), max(high for _, high in spans)) == (0, 10 * INCH)


def test_a_unit_more_than_twice_as_high_as_deep_is_told_to_be_fixed_to_the_wall() -> None:
    assert codes(unit(height="24 in", depth="12 in", shelves=2)) == []
    high = unit(height="24-1/16 in", depth="12 in", shelves=2)
    assert codes(high) == ["tips-over"]
    assert "fix its top to the studs or the masonry" in high.notes[0].message
    assert "Local codes and licensed practice come before this advice" in high.notes[0].message


def test_boards_that_span_more_than_32_thicknesses_are_told_of() -> None:
    """Common practice, no source: 24 in for 3/4 in."""
    assert "long-shelves" not in codes(unit(shelf_board="1x4", width="27 in"))
    assert "long-shelves" in codes(unit(shelf_board="1x4", width="27-1/16 in"))


def test_without_back_rails_it_is_told_that_nothing_keeps_it_upright() -> None:
    assert "no-bracing" in codes(unit(back_bracing="none"))
    assert "no-bracing" not in codes(unit())


def test_rails_wider_than_the_openings_do_not_lie_over_each_other() -> None:
    frame = unit(shelves=6, back_bracing="every opening", back_rail="2x12", height="60 in")
    assert "fewer-back-rails" in codes(frame)
    spans = sorted(part.box.span("z") for part in frame.parts if part.name == "back rail")
    assert all(top <= bottom for (_, top), (bottom, _) in pairwise(spans))


@pytest.mark.parametrize(
    ("written", "option", "told"),
    [
        ({"bays": 6, "width": "24 in"}, "bays", "choose fewer bays"),
        ({"shelves": 12, "height": "60 in"}, "shelves", "choose at most 8"),
        ({"shelves": 2, "height": "18 in", "cleat": "2x10"}, "shelves", "no room for two shelves"),
        ({"cleat": "95x95", "upright": "19x89", "bays": 2}, "cleat", "thicker upright"),
    ],
)
def test_what_cannot_stand_is_refused_with_what_would_do(written: dict[str, object], option: str, told: str) -> None:
    with pytest.raises(ValueError, match=f"^{option}: .*{told}"):
        unit(**written)


def test_as_many_shelves_as_a_refusal_tells_of_do() -> None:
    assert not frame_faults(unit(shelves=8, height="60 in"))
