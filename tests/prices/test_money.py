from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.prices.money import (
    CURRENCIES,
    currency_decimals,
    from_minor_units,
    minor_units,
    money_text,
    round_half_up,
    tax_by_rate,
)

# ISO 4217:2015, list one, column "minor unit".
ISO_4217 = {
    **dict.fromkeys(["AUD", "CAD", "CHF", "CZK", "DKK", "EUR", "GBP", "NOK", "NZD", "PLN", "SEK", "USD"], 2),
    **dict.fromkeys(["JPY", "KRW", "ISK", "CLP"], 0),
    **dict.fromkeys(["BHD", "KWD", "JOD", "OMR", "TND"], 3),
}


@pytest.mark.parametrize(("code", "decimals"), ISO_4217.items())
def test_a_currency_has_the_decimals_of_the_standard(code, decimals):
    assert currency_decimals(code) == decimals


def test_every_currency_code_is_three_capital_letters():
    assert all(len(code) == 3 and code.isupper() and code.isascii() for code in CURRENCIES)


@pytest.mark.parametrize(
    ("code", "offered"), [("usd", "USD"), ("EURO", "EUR"), ("", "USD"), ("£", "GBP"), ("X" * 9999, "USD")]
)
def test_an_unknown_currency_is_refused_with_codes_that_would_do(code, offered):
    with pytest.raises(ValueError, match=offered):
        currency_decimals(code)


@pytest.mark.parametrize(
    ("amount", "decimals", "printed"),
    [
        (Decimal("148.2"), 2, "148.20"),
        (Decimal("0.005"), 2, "0.01"),
        (Decimal("0.0049999"), 2, "0.00"),
        (Decimal("2.675"), 2, "2.68"),  # a binary float would print 2.67
        (Decimal("-0.005"), 2, "-0.01"),
        (Decimal("0.5"), 0, "1"),
        (Decimal("1.0005"), 3, "1.001"),
        (Fraction(845, 1000) * Fraction(16, 3), 2, "4.51"),
        (Decimal(10) ** 30, 2, f"1{'0' * 30}.00"),
        (0, 2, "0.00"),
    ],
)
def test_money_is_printed_rounded_half_up(amount, decimals, printed):
    assert money_text(amount, decimals) == printed


@given(st.decimals(-(10**9), 10**9, places=6), st.integers(0, 3))
def test_rounding_is_the_decimal_modules_half_up(amount, decimals):
    assert round_half_up(amount, decimals) == amount.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


@given(st.integers(-(10**15), 10**15), st.integers(0, 3))
def test_minor_units_survive_the_way_to_an_amount_and_back(units, decimals):
    amount = from_minor_units(units, decimals)
    assert minor_units(amount, decimals) == units
    assert amount.as_tuple().exponent == -decimals


def test_tax_is_rounded_once_on_the_sum_and_not_line_by_line():
    lines = [15, 15, 15]
    assert tax_by_rate({Decimal("0.05"): sum(lines)}, included=False) == {Decimal("0.05"): 2}
    assert sum(tax_by_rate({Decimal("0.05"): line}, included=False)[Decimal("0.05")] for line in lines) == 3


def test_each_rate_is_taxed_apart_and_in_order():
    taxed = {Decimal("0.0825"): 19446, Decimal(0): 500, Decimal("0.05"): 10010}
    assert list(tax_by_rate(taxed, included=False).items()) == [
        (Decimal(0), 0),
        (Decimal("0.05"), 501),  # 500.5 rounds up
        (Decimal("0.0825"), 1604),  # 1604.295
    ]


@given(st.integers(0, 10**9), st.decimals(0, 1, places=4))
def test_tax_that_prices_include_added_to_the_rest_gives_the_prices_again(gross, rate):
    within = tax_by_rate({rate: gross}, included=True)[rate]
    added = tax_by_rate({rate: gross - within}, included=False)[rate]
    assert abs(gross - within + added - gross) <= 1
    assert 0 <= within <= gross
