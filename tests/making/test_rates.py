"""Rates: the usual ones with their source, and the maker's own read strictly."""

from fractions import Fraction
from typing import Any

import pytest

from sawbill.making.rates import Minutes, RateError, rates_with, read_time, usual_rates


def test_every_usual_rate_is_a_range_with_its_source() -> None:
    for rate in usual_rates().values():
        assert 0 < rate.minutes.least <= rate.minutes.most, rate.name
        assert rate.source.startswith("common practice, no source"), rate.name


@pytest.mark.parametrize(
    ("raw", "least", "most"),
    [
        (2, 2, 2), (2.5, "5/2", "5/2"), (0, 0, 0), ("2 min", 2, 2), ("90 s", "3/2", "3/2"), ("1 to 3 h", 60, 180),
        ("1-2 min", 1, 2), ("0.1 h", 6, 6), (" 24 H ", 1440, 1440),
    ],
)  # fmt: skip
def test_a_time_is_a_number_of_minutes_or_text_with_its_unit(raw: object, least: Any, most: Any) -> None:
    assert read_time(raw) == Minutes(Fraction(least), Fraction(most))


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        ("2", "not-a-time"), ("two min", "not-a-time"), ("", "not-a-time"), (None, "not-a-time"), (True, "not-a-time"),
        ([1], "not-a-time"), ("1,5 min", "not-a-time"), ("-1 min", "not-a-time"), ("9" * 400, "not-a-time"),
        (-1, "out-of-range"), (1e9, "out-of-range"), (float("nan"), "out-of-range"), (10**400, "out-of-range"),
        ("3 to 1 h", "out-of-range"), ("200 h", "out-of-range"),
    ],
)  # fmt: skip
def test_what_is_no_time_is_refused_with_what_would_be_right(raw: object, code: str) -> None:
    with pytest.raises(RateError, match=r"such as 2 min|0 to 10080 min") as caught:
        read_time(raw)
    assert caught.value.code == code


def test_a_makers_rate_stands_in_for_the_usual_one_and_for_no_other() -> None:
    own = rates_with({"cut": read_time(7)})
    assert own["cut"] == read_time(7)
    assert {name: time for name, time in own.items() if name != "cut"} == {
        name: rate.minutes for name, rate in usual_rates().items() if name != "cut"
    }


def test_halves_go_up_when_minutes_are_made_whole() -> None:
    assert Minutes(Fraction(1, 2), Fraction(29, 20)).whole() == Minutes(Fraction(1), Fraction(1))
