"""Times of work: the usual rates with their range, and the rates a maker gives instead."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Final, Literal

from sawbill.trade import tables
from sawbill.trade.declaring.shown import show

Phase = Literal["making", "finishing", "taking-apart"]
"""What work is part of; finishing and taking apart are told by themselves."""
PHASES: Final[tuple[Phase, ...]] = ("making", "finishing", "taking-apart")

MOST_MINUTES: Final = 7 * 24 * 60
"""The longest time a rate may be [min]: a week (our own limit, no source)."""
_UNITS: Final = {"s": Fraction(1, 60), "min": Fraction(1), "h": Fraction(60)}
_TIME: Final = re.compile(r"(\d{1,6}(?:\.\d{1,4})?)(?:\s*(?:to|-)\s*(\d{1,6}(?:\.\d{1,4})?))?\s*(s|min|h)", re.ASCII)
_EXAMPLES: Final = (
    "write minutes as a number, such as 2.5, or text with its unit: s, min or h, such as 2 min or 1 to 3 h"
)


class RateError(ValueError):
    """A value that is no time: a stable code, and what would be right."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


@dataclass(frozen=True, slots=True)
class Minutes:
    """A time between a least and a most [min], exact."""

    least: Fraction = Fraction(0)
    most: Fraction = Fraction(0)

    def __add__(self, other: Minutes) -> Minutes:
        return Minutes(self.least + other.least, self.most + other.most)

    def __mul__(self, times: Fraction | int) -> Minutes:
        return Minutes(self.least * times, self.most * times)

    def whole(self) -> Minutes:
        """To whole minutes, halves up, so that what is printed adds up."""
        return Minutes(*(Fraction((2 * each.numerator + each.denominator) // (2 * each.denominator)) for each in
                         (self.least, self.most)))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rate:
    """What one of something takes: its name, the time, in words of what, and where it comes from."""

    name: str
    minutes: Minutes
    per: str
    source: str


Rates = Mapping[str, Minutes]
"""The time of every rate, by its name."""


@cache
def usual_rates() -> Mapping[str, Rate]:
    """List the rates that hold where a maker gives none."""
    listed = tables.rows("rates", "name", "least", "most", "per", package="sawbill.making")
    return tables.by_name(
        Rate(row["name"], Minutes(Fraction(row["least"]), Fraction(row["most"])), row["per"], row["source"])
        for row in listed
    )


def rates_with(own: Mapping[str, Minutes]) -> Rates:
    """The usual rates, with a maker's own in place of theirs."""
    return {name: own.get(name, rate.minutes) for name, rate in usual_rates().items()}


def read_time(raw: object) -> Minutes:
    """Read what a rate is: minutes as a number, or text with its unit (`2 min`, `90 s`, `1 to 3 h`).

    Raises RateError: it is no time, its range is turned round, or it is more than a week.
    """
    if isinstance(raw, int | float | Decimal) and not isinstance(raw, bool):
        if not 0 <= raw <= MOST_MINUTES:  # which no NaN is either
            raise RateError("out-of-range", f"is {show(raw)}; it may be 0 to {MOST_MINUTES} min")
        return Minutes(*(Fraction(str(raw)),) * 2)
    match = _TIME.fullmatch(raw.strip().lower()) if isinstance(raw, str) and len(raw) <= 40 else None
    if match is None:
        raise RateError("not-a-time", f"is {show(raw)}; {_EXAMPLES}")
    unit = _UNITS[match[3]]
    least, most = Fraction(match[1]) * unit, Fraction(match[2] or match[1]) * unit
    if not least <= most <= MOST_MINUTES:
        raise RateError("out-of-range", f"is {show(raw)}; it may be 0 to {MOST_MINUTES} min, the lesser time first")
    return Minutes(least, most)
