"""Money: exact decimals of one currency, and whole minor units (cents) where the arithmetic is done.

The one rounding rule of a quote:

1. the price of one board, pack or container is rounded half up to the currency's decimals;
2. a purchase line is that price times a whole number, so it needs no rounding of its own;
3. tax is worked out once for each tax rate, on the sum of the lines taxed at it, and rounded half up.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Final

# ISO 4217:2015, list one (current currencies), column "minor unit": those that lumber is likely priced in.
_MINOR_UNITS: Final = """
0 CLP ISK JPY KRW PYG UGX VND XAF XOF
2 AED ARS AUD BRL CAD CHF CNY COP CRC CZK DKK EGP EUR GBP GEL HKD HUF IDR ILS INR KES MAD MXN MYR NGN NOK NZD
2 PEN PHP PLN QAR RON RSD SAR SEK SGD THB TRY TWD UAH USD UYU ZAR
3 BHD IQD JOD KWD LYD OMR TND
"""

CURRENCIES: Final[Mapping[str, int]] = MappingProxyType(
    {code: int(decimals) for decimals, *codes in map(str.split, _MINOR_UNITS.strip().splitlines()) for code in codes}
)
"""Decimals of each currency, by its three-letter code."""


def currency_decimals(code: str) -> int:
    """Give the number of decimals a currency is counted in (ISO 4217:2015, minor unit).

    Raises ValueError: a code that is not in the table; the message offers near ones.
    """
    if code in CURRENCIES:
        return CURRENCIES[code]
    near = difflib.get_close_matches(code.strip().upper()[:8], CURRENCIES, n=3, cutoff=0.6) or [
        "USD",
        "EUR",
        "GBP",
    ]
    raise ValueError(f"write the currency's three-letter code, such as {', '.join(near)}")


def minor_units(amount: Decimal | Fraction | int, decimals: int) -> int:
    """Round an amount of money half up (away from zero) to whole minor units [10^-decimals]."""
    scaled = abs(Fraction(amount)) * Fraction(10**decimals)
    units = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return units if amount >= 0 else -units


def from_minor_units(units: int, decimals: int) -> Decimal:
    """Give whole minor units as an amount with exactly the currency's decimals."""
    digits = tuple(int(digit) for digit in str(abs(units)))
    return Decimal((units < 0, digits, -decimals))


def round_half_up(amount: Decimal | Fraction | int, decimals: int) -> Decimal:
    """Round an amount of money half up (away from zero) to the currency's decimals."""
    return from_minor_units(minor_units(amount, decimals), decimals)


def money_text(amount: Decimal | Fraction | int, decimals: int) -> str:
    """Print an amount with the currency's decimals and no thousands mark, such as 148.20."""
    return f"{round_half_up(amount, decimals):f}"


def tax_by_rate(taxed: Mapping[Decimal, int], *, included: bool) -> dict[Decimal, int]:
    """Work out the tax once for each rate, rounded half up.

    taxed: the sum of the purchase lines taxed at each rate [minor units]; a rate of 8.25 % is 0.0825.
    included: whether those sums hold the tax already (it is then the part of them that is tax).
    Returns: the tax at each rate [minor units], in the order of the rates.
    """
    return {rate: _tax(taxed[rate], Fraction(rate), included=included) for rate in sorted(taxed)}


def _tax(amount: int, rate: Fraction, *, included: bool) -> int:
    return minor_units(amount * rate / (1 + rate) if included else amount * rate, 0)
