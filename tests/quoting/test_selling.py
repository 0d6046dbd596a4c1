"""Selling prices: each of the usual ways worked out by hand, and what keeps them apart."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.asked.pricing import Pricing
from sawbill.making.rates import Minutes
from sawbill.quoting.selling import Span, contingency_of, labour_of, selling_prices
from sawbill.trade.numbers import parse_number

HOURS = Minutes(Fraction(120), Fraction(200))
"""Two hours to three hours and twenty minutes."""


def amounts(hands_on: Minutes = HOURS, **pricing: str) -> dict[str, Span]:
    """The prices for materials of 100.00, by their method."""
    asked: Any = {key: Decimal(text) for key, text in pricing.items()}
    return {each.method: each.amount for each in selling_prices(Pricing(**asked), 10_000, hands_on, 2)}


def test_nothing_is_reckoned_that_was_not_asked_for() -> None:
    assert amounts() == {}
    assert labour_of(Pricing(), HOURS, 2) is None
    assert contingency_of(Pricing(), 10_000) == 0


def test_each_way_by_hand() -> None:
    """Labour at 30.00 an hour: 60.00 to 100.00, midway 80.00; cost 160.00 to 200.00.

    Half of the cost on top: 240.00 to 300.00. A fifth of the price as margin: cost / 0.8, 200.00 to 250.00.
    """
    found = amounts(labour_rate="30", factor="2.5", markup="0.5", margin="0.2")
    assert list(found.items()) == [
        ("materials-times-factor", Span(25_000, 25_000, 25_000)),
        ("materials-and-labour", Span(16_000, 18_000, 20_000)),
        ("cost-plus-markup", Span(24_000, 27_000, 30_000)),
        ("cost-and-margin", Span(20_000, 22_500, 25_000)),
    ]


def test_without_a_rate_of_an_hour_materials_are_all_the_cost() -> None:
    assert amounts(markup="0.5", margin="0.2") == {
        "cost-plus-markup": Span(15_000, 15_000, 15_000),
        "cost-and-margin": Span(12_500, 12_500, 12_500),
    }


def test_a_markup_and_a_margin_of_the_same_percentage_are_not_the_same() -> None:
    """25 % on the cost is 20 % of the price; 25 % of the price is a third on the cost."""
    found = amounts(markup="0.25", margin="0.25")
    assert found["cost-plus-markup"].usual == 12_500
    assert found["cost-and-margin"].usual == 13_333


def test_a_price_is_made_of_costs_as_they_are_told_and_rounded_half_up() -> None:
    """37 h 38 min at 20.00 is 752.67, with 1580.72 of materials 2333.39; and 25 % of it 2916.74 (2916.7375)."""
    time = Minutes(Fraction(2258), Fraction(2258))
    pricing = Pricing(labour_rate=Decimal("20.00"), markup=Decimal("0.25"))
    labour, prices = labour_of(pricing, time, 2), selling_prices(pricing, 158_072, time, 2)
    assert labour == Span(75_267, 75_267, 75_267)
    assert [each.amount.usual for each in prices] == [233_339, 291_674]
    assert contingency_of(Pricing(contingency=Decimal("0.05")), 10) == 1, "half a cent is one"


@given(
    materials=st.integers(0, 10**9),
    least=st.fractions(0, 10**5),
    more=st.fractions(0, 10**5),
    rate=st.decimals(0, 10**4, places=2),
    share=st.decimals(0, Decimal("0.9"), places=4),
)
def test_a_margin_leaves_its_share_of_the_price_over_the_cost(
    materials: int, least: Fraction, more: Fraction, rate: Decimal, share: Decimal
) -> None:
    pricing = Pricing(labour_rate=rate, margin=share)
    found = {each.method: each.amount for each in selling_prices(pricing, materials, Minutes(least, least + more), 2)}
    cost, price = found["materials-and-labour"], found["cost-and-margin"]
    assert cost.least <= cost.usual <= cost.most and price.least <= price.usual <= price.most
    for paid, asked in ((cost.least, price.least), (cost.most, price.most)):
        assert abs(asked * (1 - Fraction(share)) - paid) <= 1, "to a cent, for both are rounded"


@pytest.mark.parametrize("text", ["", "-1", "1,5", "1e3", "25 USD", "1.23456", "12345678", ".5", "٣", "inf"])
def test_what_is_no_plain_number_is_refused_with_what_would_be(text: str) -> None:
    with pytest.raises(ValueError, match=r"such as 25 or 2\.5"):
        parse_number(text)
