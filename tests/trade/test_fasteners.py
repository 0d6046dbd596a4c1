from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.trade.fasteners import (
    ITEMS,
    SCREW_COVER,
    FastenerError,
    bolt_length,
    bolt_sizes,
    find_bolt,
    find_hanger,
    find_screw,
    hanger_for,
    hangers,
    screw_length,
    screw_sizes,
    short_screw,
    thread_length,
)
from sawbill.trade.lengths import INCH, MM, parse_length
from sawbill.trade.tables import UnknownNameError

BOLTS = st.sampled_from([*bolt_sizes().values()])
SCREWS = st.sampled_from([*screw_sizes().values()])


@pytest.mark.parametrize(
    ("size", "length", "thread"),
    [
        ("3/8 in", "5 in", "1 in"),  # ASME B18.2.1-2012: 2D + 1/4 in up to 6 in
        ("1/2 in", "4 in", "1 1/4 in"),  # the same
        ("3/8 in", "6 in", "1 in"),  # the same
        ("3/8 in", "6 1/2 in", "1 1/4 in"),  # MEMORY: ASME B18.2.1-2012: 2D + 1/2 in over 6 in
        ("3/8 in", "3/4 in", "3/4 in"),  # a short bolt is threaded to its head
        ("M10", "125 mm", "26 mm"),  # MEMORY: ISO 4014:2011, Table 1
        ("M10", "130 mm", "32 mm"),  # MEMORY: the same
        ("M10", "200 mm", "32 mm"),  # MEMORY: the same
        ("M10", "220 mm", "45 mm"),  # MEMORY: the same
        ("M6", "60 mm", "18 mm"),  # MEMORY: the same
    ],
)
def test_a_bolt_is_threaded_as_its_standard_says(size, length, thread):
    assert thread_length(find_bolt(size), parse_length(length)) == parse_length(thread)


@pytest.mark.parametrize(
    ("size", "grip", "end", "length"),
    [
        ("3/8 in", "4 1/2 in", "tee nut", "5 in"),  # common practice, no source
        ("3/8 in", "5 in", "tee nut", "5 1/2 in"),  # common practice, no source
        ("3/8 in", "5 in", "nut", "6 in"),  # arithmetic: 5 + 2 x .083 + .337 + 2/16 = 5.628
        ("M10", "115 mm", "tee nut", "120 mm"),  # arithmetic: 115 + 2.5 = 117.5
        ("M10", "115 mm", "nut", "140 mm"),  # arithmetic: 115 + 2 x 2.5 + 8.4 + 3 = 131.4
    ],
)
def test_a_bolt_is_the_shortest_standard_one_that_does_it(size, grip, end, length):
    assert bolt_length(find_bolt(size), parse_length(grip), end) == parse_length(length)


@pytest.mark.parametrize(
    ("size", "widest", "least", "high"),
    [
        ("1/4 in", "0.594 in", "0.563 in", "0.145 in"),  # ASME B18.5-2012, Table 2, as makers' charts print it
        ("3/8 in", "0.844 in", "0.782 in", "0.208 in"),  # the same
        ("M8", "20.65 mm", "19.35 mm", "4.88 mm"),  # DIN 603:2017, as makers' charts print it
        ("M12", "30.65 mm", "29.35 mm", "6.95 mm"),  # the same
    ],
)
def test_a_round_head_is_as_its_standard_says(size, widest, least, high):
    bolt = find_bolt(size)
    assert bolt.round_head_diameter == parse_length(widest)
    assert bolt.round_head_least == parse_length(least)
    assert bolt.round_head_height == parse_length(high)
    assert bolt.diameter < bolt.round_head_least < bolt.round_head_diameter < bolt.washer_diameter


@pytest.mark.parametrize(
    ("size", "grip", "length"),
    [
        ("3/8 in", "5 in", "6 in"),  # arithmetic: 5 + .083 + .337 + 2/16 = 5.545
        ("3/8 in", "4 7/8 in", "5 1/2 in"),  # 4.875 + .545 = 5.42, where a washer under the head would take 6 in
        ("M10", "115 mm", "130 mm"),  # arithmetic: 115 + 2.5 + 8.4 + 3 = 128.9
    ],
)
def test_no_washer_lies_under_a_round_head(size, grip, length):
    assert bolt_length(find_bolt(size), parse_length(grip), "nut", round_head=True) == parse_length(length)


def test_no_wrench_turns_a_round_head_in_a_tee_nut():
    with pytest.raises(FastenerError, match="no wrench turns a 3/8 in round-head bolt in a tee nut; it wants a nut"):
        bolt_length(find_bolt("3/8 in"), 3 * INCH, "tee nut", round_head=True)


@given(BOLTS, st.data())
def test_into_a_tee_nut_the_tip_comes_through_and_the_thread_begins_before_the_barrel(size, data):
    grip = data.draw(st.integers(size.tee_nut.barrel_length, size.lengths[-1] - size.washer_thickness))
    length = bolt_length(size, grip, "tee nut")
    face = size.washer_thickness + grip
    assert length in size.lengths
    assert length >= face
    assert length - thread_length(size, length) <= face - size.tee_nut.barrel_length
    assert not any(face <= shorter < length for shorter in size.lengths)


@given(BOLTS, st.data())
def test_into_a_nut_two_threads_show_and_the_thread_reaches_the_nut(size, data):
    beyond = 2 * size.washer_thickness + size.nut_height + 2 * size.pitch
    grip = data.draw(st.integers(MM, size.lengths[-1] - beyond))
    length = bolt_length(size, grip, "nut")
    assert length in size.lengths
    assert length >= grip + beyond
    assert length - thread_length(size, length) <= grip + 2 * size.washer_thickness


def test_a_screw_that_would_come_out_of_a_slat_is_named():
    with pytest.raises(FastenerError, match="the shortest #8 screw that holds a strap comes out of 3/4 in of wood"):
        short_screw(find_screw("#8"), 3 * INCH // 4)
    assert short_screw(find_screw("#8"), 7 * INCH // 8) == 3 * INCH // 4, "an eighth of an inch is left beyond it"


@pytest.mark.parametrize("size", bolt_sizes().values(), ids=lambda size: size.name)
def test_the_standard_lengths_rise_and_reach_through_laminated_posts(size):
    assert list(size.lengths) == sorted(set(size.lengths))
    assert size.lengths[-1] == (16 * INCH if size.system == "inch" else 400 * MM)
    assert size.diameter < size.tee_nut.barrel_diameter < size.tee_nut.flange_diameter
    assert size.diameter < size.washer_diameter


@pytest.mark.parametrize(
    ("size", "grip", "end", "message"),
    [
        ("3/8 in", 20 * INCH, "nut", "grip of 20 in to a nut: the longest is 16 in"),
        ("M10", 500 * MM, "tee nut", "grip of 500 mm to a tee nut: the longest is 400 mm"),
        ("3/8 in", INCH // 4, "tee nut", "needs 7/16 in of wood for its barrel; the grip is 1/4 in"),
    ],
)
def test_a_grip_that_no_bolt_fits_is_named(size, grip, end, message):
    with pytest.raises(FastenerError, match=message):
        bolt_length(find_bolt(size), grip, end)


@pytest.mark.parametrize("grip", ["3 in", "4 1/8 in"])  # the thread begins at 4 in: after, or within the barrel
def test_a_bolt_whose_thread_begins_after_the_barrel_does_is_not_chosen(grip):
    only = replace(find_bolt("3/8 in"), lengths=(5 * INCH,))
    with pytest.raises(FastenerError, match=f"thread that reaches the tee nut in a grip of {grip}; choose"):
        bolt_length(only, parse_length(grip), "tee nut")


def test_a_bolt_whose_thread_begins_after_the_nut_does_is_not_chosen():
    only = replace(find_bolt("3/8 in"), lengths=(5 * INCH,))
    with pytest.raises(FastenerError, match="thread that reaches the nut in a grip of 3 in; choose another"):
        bolt_length(only, 3 * INCH, "nut")


@pytest.mark.parametrize("written", ["3/8 in", '3/8"', "3/8 IN", "3/8in"])
def test_a_bolt_size_is_found_however_it_is_written(written):
    assert find_bolt(written).name == "3/8 in"


def test_screw_and_hanger_sizes_are_found_however_they_are_written():
    assert find_screw("No. 8") is find_screw("#8")
    assert find_screw("4.5MM").diameter == 9 * MM // 2
    assert find_hanger("1 9/16 in").name == "1-9/16 in"
    with pytest.raises(UnknownNameError, match="no screw size '45 mm'"):
        find_screw("45 mm")


@pytest.mark.parametrize(
    ("size", "through", "into", "length"),
    [
        ("#8", "3/4 in", "3/4 in", "1 1/4 in"),  # arithmetic from the rule, as all of these
        ("#8", "1 1/2 in", "1 1/2 in", "2 1/2 in"),
        ("#8", "1 1/2 in", "3 1/2 in", "3 in"),
        ("#10", "1 1/2 in", "3 1/2 in", "4 in"),
        ("4.5 mm", "22 mm", "45 mm", "60 mm"),
        ("5 mm", "45 mm", "95 mm", "120 mm"),
    ],
)
def test_a_screw_is_the_longest_that_stays_in(size, through, into, length):
    found = screw_length(find_screw(size), parse_length(through), parse_length(into))
    assert found == parse_length(length)


@given(SCREWS, st.integers(5 * MM, 150 * MM), st.integers(5 * MM, 150 * MM))
def test_a_screw_never_comes_out_and_always_bites(size, through, into):
    try:
        length = screw_length(size, through, into)
    except FastenerError as error:
        assert size.name in str(error)
        return
    assert length + SCREW_COVER <= through + into
    assert length - through >= min(3 * INCH // 4, into // 2)


def test_parts_that_no_screw_holds_are_named():
    with pytest.raises(FastenerError, match="no #6 screw holds through 3 1/2 in into 1 1/2 in"):
        screw_length(find_screw("#6"), 7 * INCH // 2, 3 * INCH // 2)


@pytest.mark.parametrize(
    ("thickness", "system", "seat"),
    [
        ("1 1/2 in", "inch", "1-9/16 in"),  # MEMORY: usual seats, as all of these
        ("1 9/16 in", "inch", "1-9/16 in"),
        ("3 in", "inch", "3-1/8 in"),
        ("3 1/2 in", "inch", "3-9/16 in"),
        ("45 mm", "metric", "46 mm"),
        ("38 mm", "metric", "38 mm"),
        ("95 mm", "metric", "100 mm"),
    ],
)
def test_a_beam_takes_the_hanger_with_the_least_seat(thickness, system, seat):
    assert hanger_for(parse_length(thickness), system).name == seat


@given(st.integers(36 * MM, 102 * MM), st.sampled_from(["inch", "metric"]))
def test_every_usual_beam_has_a_hanger(thickness, system):
    hanger = hanger_for(thickness, system)
    narrower = [h.seat for h in hangers().values() if h.system == system and h.seat < hanger.seat]
    assert all(seat < thickness for seat in narrower)
    assert thickness <= hanger.seat


def test_a_beam_too_thick_for_any_hanger_is_named():
    with pytest.raises(FastenerError, match="beam 6 in thick: the widest seat is 4-1/16 in"):
        hanger_for(6 * INCH, "inch")


def test_the_hardware_of_a_price_book_says_what_it_is_listed_by():
    assert {name: (item.has_size, item.has_length) for name, item in ITEMS.items()} == {
        "hex bolt": (True, True),
        "round-head bolt": (True, True),
        "hex nut": (True, False),
        "nut cap": (True, False),
        "washer": (True, False),
        "large washer": (True, False),
        "tee nut": (True, False),
        "wood screw": (True, True),
        "joist hanger": (True, False),
        "hanger nail": (False, True),
        "slat strap": (False, False),
        "wall strap": (False, False),
    }
    assert {name for name, item in ITEMS.items() if not item.everywhere} == {
        "round-head bolt", "nut cap", "large washer", "slat strap", "wall strap",
    }  # fmt: skip
