"""Quantities other than lengths (mass, volume, area, force, stress), and the units that boards are priced by.

The one pint registry is here. It is built on first use, converts in exact fractions, and is handed numbers
and unit names only, never text that somebody wrote: pint evaluates arithmetic and misreads fractions.
Gallons, quarts, pints and fluid ounces are those of the United States.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any, Final, Literal

from sawbill.trade import tables
from sawbill.trade.lengths import FOOT, METRE
from sawbill.trade.lumber import Section, board_feet

if TYPE_CHECKING:
    import pint

Dimension = Literal["mass", "volume", "area", "force", "stress"]

MAX_TEXT: Final = 32
_QUANTITY: Final = re.compile(r"(?:(\d+)[\s-]+)?(\d+)/(\d+)\s*([a-z].*)|(\d+(?:\.\d+)?|\.\d+)\s*([a-z].*)", re.ASCII)


class QuantityError(ValueError):
    """A text that is not a quantity of the dimension asked for; the message says what would be right."""


class PriceUnit(StrEnum):
    """What a price of lumber is for."""

    EACH = "each"
    FOOT = "ft"
    METRE = "m"
    BOARD_FOOT = "board foot"
    CUBIC_METRE = "m3"


@dataclass(frozen=True, slots=True)
class _Measure:
    """A dimension: the unit we count it in, and pint's name of every unit that may be written, base first.

    also: other words for these units.
    """

    example: str
    units: Mapping[str, str]
    also: Mapping[str, str] = field(default_factory=dict)


def _words(**units: str) -> dict[str, str]:
    """Other words for units, each with the unit that it means."""
    return {word: unit for unit, words in units.items() for word in words.split()}


_MEASURES: Final[Mapping[Dimension, _Measure]] = {
    "mass": _Measure(
        "1.5 kg",
        {"g": "gram", "kg": "kilogram", "lb": "pound", "oz": "ounce"},
        _words(
            g="gram grams", kg="kgs kilo kilos kilogram kilograms", lb="lbs lb. lbs. pound pounds", oz="ounce ounces"
        ),
    ),
    "volume": _Measure(
        "946 ml",
        {
            "ml": "milliliter",
            "l": "liter",
            "fl oz": "US_fluid_ounce",
            "pt": "US_pint",
            "qt": "US_liquid_quart",
            "gal": "US_liquid_gallon",
        },
        _words(
            ml="millilitre millilitres milliliter milliliters",
            l="litre litres liter liters",
            pt="pint pints",
            qt="quart quarts",
            gal="gallon gallons",
        )
        | dict.fromkeys(("fl. oz", "fl. oz.", "fluid ounce", "fluid ounces"), "fl oz"),
    ),
    "area": _Measure("2.5 m2", {"m2": "meter**2", "ft2": "foot**2", "in2": "inch**2"}),
    "force": _Measure("300 lbf", {"N": "newton", "kN": "kilonewton", "lbf": "force_pound"}),
    "stress": _Measure(
        "1000 psi",
        {
            "Pa": "pascal",
            "kPa": "kilopascal",
            "MPa": "megapascal",
            "GPa": "gigapascal",
            "N/mm2": "megapascal",
            "psi": "psi",
        },
    ),
}


def parse_quantity(text: str, dimension: Dimension) -> Fraction:
    """Read a number, decimal or with a fraction, and a unit of a dimension (`8 fl oz`, `1 1/2 lb`, `0.5 l`).

    Returns: the quantity in the base unit of its dimension [g, ml, m2, N or Pa], exact and never negative.
    Raises QuantityError: no number, no unit, a comma, a unit of another dimension.
    """
    if len(text) > MAX_TEXT:
        raise QuantityError(f"it has more than {MAX_TEXT} characters; {_example(dimension)}")
    plain = text.replace("²", "2").replace("\u00a0", " ").strip()
    match = _QUANTITY.fullmatch(plain.lower())
    if match is None:
        raise QuantityError(_remedy(plain, dimension))
    whole, top, bottom, unit_after_fraction, number, unit_after_decimal = match.groups()
    unit = _unit(unit_after_fraction or unit_after_decimal, dimension)
    if number is not None:
        return Fraction(number) * _factor(dimension, unit)
    if int(bottom) == 0:
        raise QuantityError(f"a fraction cannot have the denominator 0; {_example(dimension)}")
    return (int(whole or 0) + Fraction(int(top), int(bottom))) * _factor(dimension, unit)


def price_unit(text: str) -> PriceUnit:
    """Read what a price is for. Raises UnknownNameError."""
    return tables.find("price unit", text.replace("³", "3"), {unit.value: unit for unit in PriceUnit})


def price_units_in(unit: PriceUnit, section: Section, length: int) -> Fraction:
    """Count the price units in one board of a section and stated length [nm].

    A board foot is counted from the nominal size, a cubic metre from the actual one.
    Raises NoNominalSizeError: a price by the board foot for a section that has no nominal size.
    """
    match unit:
        case PriceUnit.EACH:
            return Fraction(1)
        case PriceUnit.FOOT:
            return Fraction(length, FOOT)
        case PriceUnit.METRE:
            return Fraction(length, METRE)
        case PriceUnit.BOARD_FOOT:
            return board_feet(section, length)
        case PriceUnit.CUBIC_METRE:
            return Fraction(section.thickness * section.width * length, METRE**3)


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint  # it takes a quarter of a second, so only what reads quantities pays for it

    return pint.UnitRegistry(non_int_type=Fraction, cache_folder=None)


@cache
def _factor(dimension: Dimension, unit: str) -> Fraction:
    names = _MEASURES[dimension].units
    base = next(iter(names.values()))
    return Fraction(_registry().convert(Fraction(1), names[unit], base))


def _unit(text: str, dimension: Dimension) -> str:
    measure = _MEASURES[dimension]
    words = " ".join(text.lower().split())
    words = measure.also.get(words, words)
    for unit in measure.units:
        if unit.lower() == words:
            return unit
    known = ", ".join(_MEASURES[dimension].units)
    raise QuantityError(f"{text!r} is not a unit of {dimension}; the units are {known}; {_example(dimension)}")


def _example(dimension: Dimension) -> str:
    return f"write a number and its unit, such as {_MEASURES[dimension].example}"


def _remedy(text: str, dimension: Dimension) -> str:
    if not text:
        return f"it is empty; {_example(dimension)}"
    if "," in text:
        return f"a comma cannot stand in a quantity; {_example(dimension)}"
    if text.startswith(("-", "\u2212")):
        return f"a quantity cannot be negative; {_example(dimension)}"
    if re.fullmatch(r"[\d./\s]+", text, re.ASCII):
        return f"it has no unit; {_example(dimension)}"
    return f"it is not a {dimension}; {_example(dimension)}"
