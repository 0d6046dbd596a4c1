from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.trade.lengths import (
    CM,
    FOOT,
    INCH,
    METRE,
    MM,
    LengthError,
    format_length,
    millimetres,
    parse_length,
    round_down,
    round_up,
)

WRITTEN = {
    "74 1/2 in": 74 * INCH + INCH // 2,
    "74-1/2 in": 74 * INCH + INCH // 2,
    '74 1/2"': 74 * INCH + INCH // 2,
    "74½ in": 74 * INCH + INCH // 2,
    "½ in": INCH // 2,
    "74 1/2 IN": 74 * INCH + INCH // 2,
    "  3/4 inch ": 3 * INCH // 4,
    "5/64 in": 5 * INCH // 64,
    "0.25 inches": INCH // 4,
    ".25 in": INCH // 4,
    "5' 3-1/2\"": 63 * INCH + INCH // 2,
    "5′ 3½″": 63 * INCH + INCH // 2,  # noqa: RUF001
    "5’3”": 63 * INCH,  # noqa: RUF001
    "5' 3''": 63 * INCH,
    "5'-3\"": 63 * INCH,
    "5 ft 3 1/2 in": 63 * INCH + INCH // 2,
    "5 ft 3.5 in": 63 * INCH + INCH // 2,
    "5 feet": 5 * FOOT,
    "1/2 ft": 6 * INCH,
    "6'": 6 * FOOT,
    "0 ft 0 in": 0,
    "1892.3 mm": 1_892_300_000,
    "190 cm": 1900 * MM,
    "1.5 m": 1500 * MM,
    "1 km": 1000 * METRE,
    "0.000001 mm": 1,
    "74\u00a01/2\u00a0in": 74 * INCH + INCH // 2,
}


@pytest.mark.parametrize("text", WRITTEN)
def test_a_written_length_is_read_exactly(text):
    assert parse_length(text) == WRITTEN[text]


REJECTED = {
    "": "empty",
    "   ": "empty",
    "74": "no unit",
    "74 1/2": "no unit",
    "1,5 m": "1.5 m",
    "1,500 mm": "1500 mm",
    "5 ft 3": "5 ft 3 in",
    "5' 3": "5 ft 3 in",
    "5 ft 12 in": "under 12",
    "2x4": "section",
    "2 x 4 in": "section",
    "-5 in": "negative",
    "\u22125 in": "negative",
    "1/3 in": "denominator",
    "1/0 in": "denominator",
    "1/128 in": "denominator",
    "74 3/2 in": "less than one",
    "1 1/2 m": "decimals",
    "1/2 mm": "decimals",
    "0.0000001 mm": "finer than a nanometre",
    "0.333333333 in": "finer than a nanometre",
    "nan in": "not a length",
    "inf mm": "not a length",
    "1e3 mm": "not a length",
    "10^400 mm": "not a length",
    "9**9**7 in": "not a length",
    "2 + 2 in": "not a length",
    "5 yd": "not a length",
    "5 in 3 in": "not a length",
    "three in": "not a length",
    "٣ in": "not a length",
    "5 in\x00": "not a length",
    "1" * 40 + " mm": "32 characters",
}


@pytest.mark.parametrize("text", REJECTED)
def test_a_text_that_is_no_length_is_refused_with_what_would_be_right(text):
    with pytest.raises(LengthError, match=REJECTED[text]):
        parse_length(text)


@given(st.integers(0, 64 * 10_000))
def test_a_length_in_sixty_fourths_survives_printing_and_reading(steps):
    nm = steps * INCH // 64
    assert parse_length(format_length(nm, "inch", INCH // 64)) == nm


@given(st.integers(0, 10_000_000))
def test_a_length_in_tenths_of_a_millimetre_survives_printing_and_reading(steps):
    nm = steps * MM // 10
    assert parse_length(format_length(nm, "metric", MM // 10)) == nm


@given(st.integers(0, 200 * FOOT), st.sampled_from(["inch", "metric"]))
def test_a_printed_length_is_within_half_a_step(nm, system):
    step = INCH // 16 if system == "inch" else MM
    assert abs(parse_length(format_length(nm, system)) - nm) <= step / 2


@given(st.integers(0, 999), st.integers(0, 11), st.integers(0, 63))
def test_feet_and_inches_are_the_same_length_as_inches(feet, inches, rest):
    together = f"{feet * 12 + inches} {rest}/64 in"
    assert parse_length(f"{feet} ft {inches} {rest}/64 in") == parse_length(together)


@given(st.text(max_size=40))
def test_any_text_is_either_a_length_or_refused(text):
    try:
        assert parse_length(text) >= 0
    except LengthError as error:
        assert str(error)


# The inch is 25.4 mm: international yard and pound agreement, 1959.
@given(st.integers(0, 10_000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]), st.data())
def test_inches_and_their_exact_millimetres_are_the_same_length(whole, bottom, data):
    top = data.draw(st.integers(0, bottom - 1))
    millimetre_text = str((whole + Fraction(top, bottom)) * Fraction("25.4") * 10**6)
    assert str(parse_length(f"{whole} {top}/{bottom} in" if top else f"{whole} in")) == millimetre_text


def test_the_units_are_exact_in_nanometres():
    assert (MM, CM, METRE, INCH, FOOT) == (10**6, 10**7, 10**9, 25_400_000, 304_800_000)
    assert INCH % 64 == 0


def test_eight_feet_and_2_4_m_are_not_the_same_stock():
    assert parse_length("8 ft") - parse_length("2.4 m") == parse_length("38.4 mm")  # arithmetic


PRINTED = [
    (0, "inch", None, "0 in"),
    (INCH // 2, "inch", None, "1/2 in"),
    (84 * INCH, "inch", None, "84 in"),
    (74 * INCH + INCH // 2, "inch", None, "74 1/2 in"),
    (INCH // 32, "inch", None, "1/32 in"),
    (INCH * 3 // 64, "inch", None, "3/64 in"),
    (INCH // 32 + 1, "inch", None, "1/16 in"),
    (INCH // 32 - 1, "inch", None, "0 in"),
    (INCH // 32, "inch", INCH // 16, "1/16 in"),
    (INCH // 10, "inch", INCH // 100, "0.1 in"),
    (-3 * INCH, "inch", None, "-3 in"),
    (-1, "inch", None, "0 in"),
    (1892 * MM, "metric", None, "1892 mm"),
    (1892 * MM + 500_000, "metric", None, "1892.5 mm"),
    (1892 * MM + 500_001, "metric", None, "1893 mm"),
    (1892 * MM + 500_000, "metric", MM, "1893 mm"),
    (1892 * MM + 300_000, "metric", MM // 10, "1892.3 mm"),
    (50 * INCH, "metric", None, "1270 mm"),
]


@pytest.mark.parametrize(("nm", "system", "step", "text"), PRINTED)
def test_a_length_is_printed_to_the_step_of_its_system(nm, system, step, text):
    assert format_length(nm, system, step) == text


def test_millimetres_are_a_whole_number_where_they_can_be():
    assert millimetres(3 * MM) == 3
    assert isinstance(millimetres(3 * MM), int)
    assert millimetres(INCH) == 25.4


@given(st.integers(0, 10 * METRE), st.sampled_from([MM, INCH // 16]))
def test_rounding_goes_to_the_step_and_only_the_way_asked(nm, step):
    down, up = round_down(nm, step), round_up(nm, step)
    assert down % step == up % step == 0
    assert nm - step < down <= nm <= up < nm + step
