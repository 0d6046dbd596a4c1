"""What a price book says of itself: every setting beside its tables and its shop's, declared once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from sawbill.trade.declaring.kinds import Share, Text, Word, YesNo
from sawbill.trade.declaring.members import asked, members_of
from sawbill.trade.lengths import System

MOST_TITLE: Final = 200
"""The longest title [characters]."""


class Currency(Text):
    """A currency by its code (ISO 4217)."""


class Day(Text):
    """A day (ISO 8601)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a price book says of itself; tax_rate: 8.25 % is 0.0825."""

    title: str = asked(Text(MOST_TITLE), "What it is called.", "My yard, this autumn")
    units: System = asked(Word("inch", "metric"), "The system it is written in: inch or metric.", "inch")
    currency: str = asked(Currency(), "Its currency (ISO 4217).", "USD")
    tax_rate: Decimal = asked(Share(Decimal(1)), "The tax rate, with its %.", "8.25 %")
    prices_include_tax: bool = asked(YesNo(), "Whether the prices include the tax.", False)
    as_of: date = asked(Day(), "The day of its prices (ISO 8601).", "2026-11-01")
    sample: bool = asked(YesNo(), "Whether its prices are invented, and to be replaced.", False)


ABOUT: Final = members_of(About)
"""The settings by name."""
