"""What a piece may be sold for: the usual ways to reckon a price from its costs, side by side.

Each way is common practice, no source. The one rounding rule: an amount is worked out exactly from amounts as they are
told, times and shares, and rounded half up to a whole minor unit at its end. So whoever works it out again from what a
quote tells, in a sheet or by hand, gets the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from sawbill.asked.pricing import Pricing
from sawbill.making.rates import Minutes
from sawbill.prices.money import minor_units
from sawbill.trade.numbers import percent_text


@dataclass(frozen=True, slots=True)
class Span:
    """An amount of money that depends on how long the work takes [minor units]; usual: midway between the times."""

    least: int
    usual: int
    most: int


@dataclass(frozen=True, slots=True)
class SellingPrice:
    """A price by one of the usual ways: a stable name, in words the rule, the amount."""

    method: str
    rule: str
    amount: Span


def contingency_of(pricing: Pricing, materials: int) -> int:
    """What is set aside for materials that turn out bad or dearer: a share of them, their tax counted [minor units]."""
    return minor_units(Fraction(pricing.contingency or 0) * materials, 0)


def labour_of(pricing: Pricing, hands_on: Minutes, decimals: int) -> Span | None:
    """What the time at work costs at the rate of an hour; None: no rate was given."""
    costs = _labour(pricing, hands_on, decimals)
    return None if costs is None else Span(*map(int, costs))


def selling_prices(pricing: Pricing, materials: int, hands_on: Minutes, decimals: int) -> tuple[SellingPrice, ...]:
    """Give a price by every way that was asked for, always in the same order.

    materials: all that is spent, with what is set aside [minor units]; hands_on: all people's time at work together
    that is paid.
    """
    return tuple(
        SellingPrice(method, rule, _span(amounts))
        for method, rule, amounts in _ways(pricing, Fraction(materials), _labour(pricing, hands_on, decimals))
    )


_Amounts = tuple[Fraction, Fraction, Fraction]
"""At the least, the middle and the most time [minor units]."""


def _ways(pricing: Pricing, materials: Fraction, labour: _Amounts | None) -> Iterator[tuple[str, str, _Amounts]]:
    cost = _each(labour or (Fraction(0),) * 3, lambda amount: materials + amount)
    costs = "materials" if labour is None else "materials and labour"
    if pricing.factor is not None:
        times = Fraction(pricing.factor)
        yield "materials-times-factor", f"materials x {pricing.factor:f}", (materials * times,) * 3
    if labour is not None:
        yield "materials-and-labour", f"materials + hours x {pricing.labour_rate:f}", cost
    if pricing.markup is not None:
        added = 1 + Fraction(pricing.markup)
        rule = f"({costs}) + {percent_text(pricing.markup)} of them"
        yield "cost-plus-markup", rule, _each(cost, lambda amount: amount * added)
    if pricing.margin is not None:
        left = 1 - Fraction(pricing.margin)
        rule = f"({costs}) / (100 % - {percent_text(pricing.margin)}), so that this share of the price is margin"
        yield "cost-and-margin", rule, _each(cost, lambda amount: amount / left)


def _labour(pricing: Pricing, hands_on: Minutes, decimals: int) -> _Amounts | None:
    if pricing.labour_rate is None:
        return None
    minute = Fraction(pricing.labour_rate) * 10**decimals / 60
    times = hands_on.least, (hands_on.least + hands_on.most) / 2, hands_on.most
    least, usual, most = (Fraction(minor_units(time * minute, 0)) for time in times)
    return least, usual, most


def _each(amounts: _Amounts, change: Callable[[Fraction], Fraction]) -> _Amounts:
    least, usual, most = (change(amount) for amount in amounts)
    return least, usual, most


def _span(amounts: _Amounts) -> Span:
    return Span(*(minor_units(amount, 0) for amount in amounts))
