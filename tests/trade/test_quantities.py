import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.trade.lengths import FOOT, METRE, MM
from sawbill.trade.lumber import NoNominalSizeError, section
from sawbill.trade.quantities import (
    PriceUnit,
    QuantityError,
    parse_quantity,
    price_unit,
    price_units_in,
)
from sawbill.trade.tables import UnknownNameError

# The pound is 0.45359237 kg: international yard and pound agreement, 1959. Standard gravity is 9.80665 m/s2:
# CGPM, 1901. MEMORY: the United States gallon is 231 cubic inches, NIST Handbook 44, appendix C, 2024.
GALLON_ML = 231 * Fraction("2.54") ** 3
LBF = Fraction("0.45359237") * Fraction("9.80665")

READ = [
    ("1.5 kg", "mass", Fraction(1500)),
    ("250g", "mass", Fraction(250)),
    ("1 lb", "mass", Fraction("453.59237")),
    ("1 1/2 lb", "mass", Fraction("453.59237") * 3 / 2),
    ("1-1/2 lb", "mass", Fraction("453.59237") * 3 / 2),
    ("16 OZ", "mass", Fraction("453.59237")),
    ("946 mL", "volume", Fraction(946)),
    (".5 l", "volume", Fraction(500)),
    ("1 gal", "volume", GALLON_ML),
    ("1/2 gal", "volume", GALLON_ML / 2),
    ("1 qt", "volume", GALLON_ML / 4),
    ("1 pt", "volume", GALLON_ML / 8),
    ("8  fl  oz", "volume", GALLON_ML / 16),
    ("2.5 m²", "area", Fraction("2.5")),
    ("1 ft2", "area", Fraction("0.3048") ** 2),
    ("144 in2", "area", Fraction("0.3048") ** 2),
    ("1.4 kN", "force", Fraction(1400)),
    ("300 lbf", "force", 300 * LBF),
    ("24 N/mm2", "stress", Fraction(24_000_000)),
    ("11 GPa", "stress", Fraction(11_000_000_000)),
    ("1 psi", "stress", LBF / Fraction("0.0254") ** 2),
]


@pytest.mark.parametrize(("text", "dimension", "amount"), READ)
def test_a_quantity_is_read_exactly(text, dimension, amount):
    assert parse_quantity(text, dimension) == amount


REJECTED = [
    ("", "mass", "empty"),
    ("5", "mass", "no unit"),
    ("1/2", "volume", "no unit"),
    ("1,5 kg", "mass", "comma"),
    ("-5 kg", "mass", "negative"),
    ("5 lb", "volume", "the units are ml, l, fl oz, pt, qt, gal"),
    ("5 oz", "volume", "not a unit of volume"),
    ("5 stone", "mass", "the units are g, kg, lb, oz"),
    ("5 kg*kg", "mass", "not a unit of mass"),
    ("1/0 lb", "mass", "denominator 0"),
    ("nan kg", "mass", "not a mass"),
    ("9**9**7 kg", "mass", "not a mass"),
    ("kg", "mass", "not a mass"),
    ("5 kg\x00", "mass", "not a unit of mass"),
    ("٣ kg", "mass", "not a mass"),
    ("9" * 40 + " kg", "mass", "32 characters"),
]


@pytest.mark.parametrize(("text", "dimension", "remedy"), REJECTED)
def test_a_text_that_is_no_quantity_is_refused_with_what_would_be_right(text, dimension, remedy):
    with pytest.raises(QuantityError, match=remedy):
        parse_quantity(text, dimension)


@given(st.text(max_size=40), st.sampled_from(["mass", "volume", "area", "force", "stress"]))
def test_any_text_is_either_a_quantity_or_refused(text, dimension):
    try:
        assert parse_quantity(text, dimension) >= 0
    except QuantityError as error:
        assert str(error)


def test_reading_the_module_does_not_load_the_unit_library():
    seen = "import sys, sawbill.trade.quantities; print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", seen], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"


PRICED = [
    ("each", "2x4", 8 * FOOT, Fraction(1)),
    ("ft", "2x4", 8 * FOOT, Fraction(8)),
    ("m", "45x95", 2400 * MM, Fraction("2.4")),
    ("board foot", "2x4", 8 * FOOT, Fraction(16, 3)),  # MEMORY: 5.333 board feet
    ("board foot", "2x6", 10 * FOOT, Fraction(10)),  # MEMORY: 10 board feet
    ("m3", "45x95", 2400 * MM, Fraction(45 * 95 * 2400, 10**9)),  # arithmetic, actual size
]


@pytest.mark.parametrize(("unit", "name", "length", "units"), PRICED)
def test_a_board_holds_so_many_price_units(unit, name, length, units):
    assert price_units_in(PriceUnit(unit), section(name), length) == units


def test_a_metric_section_has_no_board_feet():
    with pytest.raises(NoNominalSizeError, match="45x95 has no nominal size"):
        price_units_in(PriceUnit.BOARD_FOOT, section("45x95"), METRE)


@pytest.mark.parametrize(
    ("text", "unit"),
    [("each", "each"), ("Board Foot", "board foot"), ("board-foot", "board foot"), ("m³", "m3")],
)
def test_a_price_unit_is_read_as_people_write_it(text, unit):
    assert price_unit(text) == unit


def test_an_unknown_price_unit_is_refused_with_the_known_ones():
    with pytest.raises(UnknownNameError, match="nearest known are board foot"):
        price_unit("board feet")
    with pytest.raises(UnknownNameError, match="known are each, ft, m, board foot, m3"):
        price_unit("dozen")
