from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.trade.lengths import FOOT, INCH, METRE, MM, format_length
from sawbill.trade.lumber import (
    NoNominalSizeError,
    board_feet,
    find_grade,
    find_species,
    grades,
    section,
    sections,
    species,
)
from sawbill.trade.tables import UnknownNameError

# Dressed sizes by nominal size [in]: NDS Supplement 2018, Table 1A (PS 20). MEMORY for 5/4 and green boards.
THICKNESS = {
    Fraction(1): ("3/4", "25/32"),
    Fraction(5, 4): ("1", "1 1/32"),
    Fraction(2): ("1 1/2", "1 9/16"),
    Fraction(3): ("2 1/2", "2 9/16"),
    Fraction(4): ("3 1/2", "3 9/16"),
}
WIDTH = {
    2: ("1 1/2", "1 9/16"),
    3: ("2 1/2", "2 9/16"),
    4: ("3 1/2", "3 9/16"),
    5: ("4 1/2", "4 5/8"),
    6: ("5 1/2", "5 5/8"),
    8: ("7 1/4", "7 1/2"),
    10: ("9 1/4", "9 1/2"),
    12: ("11 1/4", "11 1/2"),
}
INCH_SECTIONS = [each for each in sections().values() if each.family.startswith("inch")]


@pytest.mark.parametrize("each", INCH_SECTIONS, ids=lambda each: each.name)
def test_an_inch_section_has_the_dressed_size_of_its_nominal_size(each):
    green = each.family == "inch green"
    printed = [format_length(nm, "inch", INCH // 64) for nm in (each.thickness, each.width)]
    dressed = THICKNESS[each.nominal_thickness][green], WIDTH[each.nominal_width][green]
    assert printed == [f"{size} in" for size in dressed]
    assert each.name == f"{each.nominal_thickness}x{each.nominal_width}" + (" green" if green else "")


@pytest.mark.parametrize("each", [s for s in sections().values() if s not in INCH_SECTIONS], ids=lambda s: s.name)
def test_a_metric_section_is_named_by_its_size(each):
    assert each.name == f"{each.thickness // MM}x{each.width // MM}"
    assert each.thickness % MM == each.width % MM == 0
    families = {"metric canadian"} if each.nominal_width else {"metric planed", "metric regularised"}
    assert each.family in families


def test_the_usual_sections_are_listed():
    boards = {f"1x{w}" for w in (2, 3, 4, 6, 8, 10, 12)} | {"5/4x4", "5/4x6"}
    dimension = {f"2x{w}" for w in (2, 3, 4, 6, 8, 10, 12)} | {f"4x{w}" for w in (4, 6, 8, 10, 12)}
    canadian = {"38x64", "38x89", "38x140", "38x184", "38x235", "38x286", "89x89"}
    planed = {"28x70", "28x95", "45x45", "45x70", "45x95", "45x120", "45x145", "45x195", "45x220", "22x95"}
    british = {"38x63", "38x89", "38x140", "47x97", "47x100", "47x147", "44x44", "44x94"}
    australian = {"35x70", "35x90", "45x70", "45x90", "45x120", "45x140", "45x190", "45x240"}
    assert british | australian <= {*sections()}
    assert boards | dimension | canadian | planed | {f"{name} green" for name in boards | dimension} <= {*sections()}


def test_no_section_is_thicker_than_wide():
    assert all(0 < each.thickness <= each.width for each in sections().values())


@pytest.mark.parametrize("written", ["2x4", "2 x 4", "2X4", "2×4", " 2 × 4 "])  # noqa: RUF001
def test_a_section_is_found_however_it_is_written(written):
    assert section(written) is sections()["2x4"]


def test_green_and_five_quarter_sections_are_found_by_their_words():
    assert section("2X4 Green").thickness == INCH + 9 * INCH // 16
    assert section("5/4 x 6").thickness == INCH


@pytest.mark.parametrize(("wrong", "near"), [("2x7", "2x8"), ("45x96", "45x95"), ("2x4 gren", "2x4 green")])
def test_an_unknown_section_is_answered_with_its_neighbours(wrong, near):
    with pytest.raises(UnknownNameError) as caught:
        section(wrong)
    assert near in caught.value.nearest
    assert wrong in str(caught.value)


# MEMORY: 2x4x8 is 5.333 board feet, 2x6x10 is 10; a board foot is 144 cubic inches of nominal size.
@pytest.mark.parametrize(
    ("name", "feet", "count"),
    [
        ("2x4", 8, Fraction(16, 3)),
        ("2x6", 10, 10),
        ("1x12", 1, 1),
        ("5/4x6", 8, 5),
        ("4x4 green", 9, 12),
        ("38x89", 8, Fraction(16, 3)),
    ],
)
def test_board_feet_count_the_nominal_size(name, feet, count):
    assert board_feet(section(name), feet * FOOT) == count


@given(st.sampled_from(INCH_SECTIONS), st.integers(1, 40 * FOOT))
def test_a_board_foot_is_144_nominal_cubic_inches(each, length):
    assert board_feet(each, length) * 144 == each.nominal_thickness * each.nominal_width * Fraction(length, INCH)


def test_board_feet_of_a_section_with_no_nominal_size_are_refused_with_another_way_to_price_it():
    with pytest.raises(NoNominalSizeError, match=r"45x95 has no nominal size.*price each, or for a ft, m or m3"):
        board_feet(section("45x95"), METRE)


# AWC Wood Structural Design Data, 1992 revision, weights at 15 % moisture [lb/ft3].
WEIGHTS = {
    "Douglas Fir-Larch": "33.6",
    "Hem-Fir": "29.2",
    "SPF": "28.5",
    "SPF(South)": "24.6",
    "Southern Pine": "36.7",
    "red oak": "44.1",
    "redwood": "25.3",
    "western cedars": "24.6",
}


@pytest.mark.parametrize("name", WEIGHTS)
def test_a_species_weighs_what_the_design_data_say(name):
    pounds = Fraction(WEIGHTS[name]) * Fraction("0.45359237")
    assert species()[name].weight_kg_m3 == pounds / Fraction("0.3048") ** 3


@pytest.mark.parametrize("name", WEIGHTS)
def test_a_weight_agrees_with_the_specific_gravity_within_a_twentieth_of_a_pound(name):
    """AWC Wood Structural Design Data, 1992: 62.4 [G/(1+0.009 G m)](1+m/100), at m = 15."""
    gravity = Fraction(species()[name].specific_gravity)
    weight = Fraction("62.4") * gravity / (1 + Fraction("0.009") * gravity * 15) * Fraction("1.15")
    assert abs(weight - Fraction(WEIGHTS[name])) <= Fraction("0.05")


def test_european_species_have_a_weight_but_no_gravity_of_the_nds():
    for name in ("spruce", "pine"):
        assert 400 <= find_species(name).weight_kg_m3 <= 550
        assert find_species(name).specific_gravity is None


def test_species_are_found_however_they_are_written():
    assert find_species("douglas fir larch").name == "Douglas Fir-Larch"
    assert find_species("SPF South").name == "SPF(South)"
    with pytest.raises(UnknownNameError, match=r"nearest known are .*Southern Pine"):
        find_species("southern pin")


@pytest.mark.parametrize("written", ["No.2", "no. 2", "#2", "No 2"])
def test_a_grade_is_found_however_it_is_written(written):
    assert find_grade(written) is grades()["No.2"]


def test_the_ranks_of_every_set_of_rules_count_up_from_one():
    for rules in {grade.rules for grade in grades().values()}:
        ranks = {grade.rank for grade in grades().values() if grade.rules == rules}
        assert ranks == set(range(1, len(ranks) + 1))
