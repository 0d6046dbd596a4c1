from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.prices.rows import cells
from sawbill.trade.lengths import INCH


def code_of(reader, *given_values):
    with pytest.raises(cells.CellError) as error:
        reader(*given_values)
    assert error.value.remedy
    return error.value.code


@pytest.mark.parametrize(
    ("text", "value"),
    [("4.28", "4.28"), ("4", "4"), ("0.845", "0.845"), ("007.50", "7.5"), ("100000000", "100000000")],
)
def test_a_price_is_a_plain_number_with_a_dot(text, value):
    assert cells.price(text, "USD", 6) == Decimal(value)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("0", "not-positive"),
        ("0.00", "not-positive"),
        ("-4.28", "not-positive"),
        ("\u22124.28", "not-positive"),
        ("4,28", "decimal-comma"),
        ("1,250.00", "decimal-comma"),
        ("12.50 EUR", "mixed-currency"),
        ("EUR12.50", "mixed-currency"),
        ("12.50 €", "mixed-currency"),
        ("£3", "mixed-currency"),
        ("12.50 USD", "not-a-number"),
        ("$12.50", "not-a-number"),
        ("NaN", "not-a-number"),
        ("nan", "not-a-number"),
        ("inf", "not-a-number"),
        ("-Infinity", "not-a-number"),
        ("1e400", "not-a-number"),
        ("10^400", "not-a-number"),
        ("1" + "0" * 199, "too-large"),
        ("100000000.01", "too-large"),
        ("4.281", "too-many-decimals"),
        ("=1+2", "not-a-number"),
        ("4.28.1", "not-a-number"),
        (".5", "not-a-number"),
        ("5.", "not-a-number"),
        ("٤.٢٨", "not-a-number"),
        ("1_000", "not-a-number"),
        ("four", "not-a-number"),
    ],
)
def test_what_is_no_price_is_refused_by_its_kind(text, code):
    assert code_of(cells.price, text, "USD", 2) == code


def test_a_currency_without_decimals_takes_none():
    assert code_of(cells.price, "120.5", "JPY", 0) == "too-many-decimals"
    assert cells.price("120.0", "JPY", 0) == 120


@pytest.mark.parametrize(
    ("text", "decimals"), [("4.281", 2), ("0.004", 2), ("0.4", 0), ("99999999.999", 2), ("120.5", 0)]
)
def test_a_price_of_too_many_decimals_is_told_one_that_is_taken(text, decimals):
    with pytest.raises(cells.CellError, match=r"such as \S+$") as refused:
        cells.price(text, "USD", decimals)
    assert cells.price(str(refused.value).rpartition(" ")[2], "USD", decimals) > 0


def test_a_dollar_sign_is_another_currency_in_a_book_of_euros():
    assert code_of(cells.price, "$3", "EUR", 2) == "mixed-currency"


@pytest.mark.parametrize(
    ("text", "rate"),
    [("8.25 %", "0.0825"), ("20%", "0.2"), ("0 %", "0"), ("100 %", "1"), ("7.8750 %", "0.07875")],
)
def test_a_rate_is_written_in_percent(text, rate):
    assert cells.percent(text) == Decimal(rate)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("8.25", "not-a-rate"),
        ("0.0825", "not-a-rate"),
        ("101 %", "not-a-rate"),
        ("-1 %", "not-a-rate"),
        ("8,25 %", "decimal-comma"),
        ("nan %", "not-a-rate"),
    ],
)
def test_what_is_no_rate_is_refused(text, code):
    assert code_of(cells.percent, text) == code


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("0", "out-of-range"),
        ("1000001", "out-of-range"),
        ("9" * 200, "out-of-range"),
        ("-1", "not-a-whole-number"),
        ("2.0", "not-a-whole-number"),
        ("1,000", "not-a-whole-number"),
        ("²", "not-a-whole-number"),
        ("ten", "not-a-whole-number"),
    ],
)
def test_what_is_no_count_is_refused(text, code):
    assert code_of(cells.whole, text, 1) == code


def test_a_count_may_have_zeros_before_it():
    assert cells.whole("0010", 1) == 10


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("8", "not-a-length"),
        ("8 ft 3", "not-a-length"),
        ("1,5 m", "not-a-length"),
        ("1 km", "out-of-range"),
        ("1 in", "out-of-range"),
    ],
)
def test_what_is_no_length_of_a_board_is_refused(text, code):
    assert code_of(cells.length, text, 2 * INCH, 1200 * INCH, "inch") == code


def test_a_length_out_of_range_is_told_its_range_in_the_books_units():
    with pytest.raises(cells.CellError, match="2 in to 1200 in"):
        cells.length("1 km", 2 * INCH, 1200 * INCH, "inch")


@pytest.mark.parametrize("text", ["a\x00b", "a\nb", "a\tb", "\x1b[31m", "a\u2028b", "\ud800", "\u202eabc", "a\x7f"])
def test_a_control_character_is_refused(text):
    assert code_of(cells.clean, text) == "control-character"


def test_a_cell_is_trimmed_and_its_letters_brought_to_one_form():
    assert cells.clean(" \u00a0Cafe\u0301 ") == "Café"


def test_a_cell_too_long_is_refused_before_it_is_looked_at():
    assert code_of(cells.clean, "x" * 201) == "too-long"
    assert cells.clean("x" * 200) == "x" * 200


@pytest.mark.parametrize(
    "text", ["2026-13-01", "2026-02-30", "01/11/2026", "20261101", "2026-11-01T00:00", "2026-W01-1"]
)
def test_what_is_no_date_is_refused(text):
    assert code_of(cells.day, text) == "not-a-date"


def test_a_date_is_year_month_day():
    assert cells.day("2026-11-01") == date(2026, 11, 1)


def test_a_word_is_offered_the_nearest_or_the_whole_list():
    assert cells.nearest("Yard", ["Yard A", "Mill"]) == "did you mean Yard A?"
    assert cells.nearest("zzz", ["Yard A", "Mill"]) == "write one of: Mill, Yard A"
    assert cells.nearest("zzz", []) == "there is none"


@given(st.text())
def test_any_text_is_cleaned_or_refused(text):
    try:
        cleaned = cells.clean(text)
    except cells.CellError as error:
        assert error.code in ("too-long", "control-character")
    else:
        assert cells.clean(cleaned) == cleaned
        assert cleaned.encode().decode() == cleaned


@given(st.text(max_size=40), st.sampled_from(["USD", "JPY", None]))
def test_any_text_is_a_finite_price_or_refused(text, currency):
    try:
        assert 0 < cells.price(text, currency, 2) <= cells.MAX_PRICE
    except cells.CellError as error:
        assert error.remedy
