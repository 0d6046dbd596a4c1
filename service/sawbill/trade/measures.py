"""Masses, areas and volumes as a reader has them: in pounds, square feet and fluid ounces, or in metric units."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType
from typing import Final

from sawbill.trade.lengths import METRE, System

CUSTOMARY: Final[Mapping[str, tuple[str, Decimal]]] = MappingProxyType({
    "kg": ("lb", Decimal("0.45359237")),
    "m2": ("sq ft", Decimal("0.09290304")),
    "ml": ("fl oz", Decimal("29.5735295625")),
    "g": ("oz", Decimal("28.349523125")),
})  # fmt: skip
"""What a reader of inches has in place of each unit, and how much of that one such is (NIST Handbook 44, 2024, appendix
C)."""


def mass_text(grams: int, system: System) -> str:
    """A mass [g] in words, to a tenth."""
    return told(Decimal(grams) / 1000, "kg", system)


def area_text(nm2: int, system: System) -> str:
    """An area [nm2] in words: to a hundredth of a square metre, or a tenth of a square foot."""
    number, unit = converted(Decimal(nm2) / METRE**2, "m2", system)
    return f"{_rounded(number, 1 if unit != 'm2' else 2)} {unit}"


def told(number: Decimal, unit: str, system: System) -> str:
    """A number of a unit in words, to a tenth."""
    number, unit = converted(number, unit, system)
    return f"{_rounded(number, 1)} {unit}"


def converted(number: Decimal, unit: str, system: System) -> tuple[Decimal, str]:
    """A number of a unit as a reader of a system has it; what is counted otherwise stays."""
    if system == "metric" or unit not in CUSTOMARY:
        return number, unit
    name, size = CUSTOMARY[unit]
    return number / size, name


def _rounded(number: Decimal, decimals: int) -> str:
    text = f"{number.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
