"""How finely numbers are told."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from sawbill.trade.lengths import METRE


def kilograms(grams: int) -> float:
    """A mass, to a tenth [kg]."""
    return round(grams / 1000, 1)


def square_metres(nm2: int) -> float:
    """An area, to a hundredth [m2]."""
    return round(nm2 / METRE**2, 2)


def share(part: Fraction) -> float:
    """A share of 1, to a hundredth of a percent."""
    return round(float(part), 4)


def share_used(utilisation: Fraction | None) -> float | None:
    """How much of a limit is used, as it is told [share of 1]; never so rounded that what is not met seems met."""
    return None if utilisation is None else ceil(utilisation * 1000) / 1000
