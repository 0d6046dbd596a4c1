"""Mattresses: the sizes sold in each market, how far a real one may differ, and what one weighs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import Final

from sawbill.trade import tables
from sawbill.trade.lengths import INCH, METRE, parse_length

USUAL_THICKNESS: Final = (6 * INCH, 14 * INCH)
"""From the thinnest to the thickest usual mattress [nm]. Source: common practice, no source."""

KG_PER_M2: Final = (Decimal(10), Decimal(22))
"""What the lightest and the heaviest usual mattress weigh [kg/m2]. Source: common practice, no source."""


@dataclass(frozen=True, slots=True)
class MattressSize:
    """A size on a label: width and length, how far the real ones may differ [nm], and the usual masses [kg].

    Sellers' masses differ by a factor of two: they are a default with a range, never a fact.
    """

    name: str
    title: str
    market: str
    width: int
    length: int
    tolerance: int
    least_mass_kg: Decimal
    most_mass_kg: Decimal
    mass_source: str
    source: str


@dataclass(frozen=True, slots=True)
class Mattress:
    """One mattress, of a listed size or measured: its sides, how far they may differ [nm], its mass [kg]."""

    name: str
    width: int
    length: int
    thickness: int
    tolerance: int
    least_mass_kg: Decimal
    most_mass_kg: Decimal


@cache
def mattress_sizes() -> Mapping[str, MattressSize]:
    """List the sizes by name: bare in the United States, elsewhere with the letters of the market before."""
    columns = ("name", "title", "market", "width", "length", "tolerance")
    masses = ("least_mass_kg", "most_mass_kg", "mass_source")
    return tables.by_name(_size(row) for row in tables.rows("mattresses", *columns, *masses))


def find_mattress(name: str) -> MattressSize:
    """Find a size: `twin-xl`, `Twin XL` and `twin_xl` are read alike. Raises UnknownNameError."""
    return tables.find("mattress size", name, mattress_sizes())


def listed(name: str, thickness: int) -> Mattress:
    """A mattress of a listed size and a thickness [nm]. Raises UnknownNameError."""
    size = find_mattress(name)
    return Mattress(
        size.name, size.width, size.length, thickness, size.tolerance, size.least_mass_kg, size.most_mass_kg
    )


def measured(width: int, length: int, thickness: int) -> Mattress:
    """A mattress that was measured [nm], so with no tolerance; its mass is the usual one for its area."""
    area = Decimal(width) * length / METRE**2
    least, most = ((each * area).quantize(Decimal(1), ROUND_HALF_UP) for each in KG_PER_M2)
    return Mattress("measured", width, length, thickness, 0, least, most)


def _size(row: tables.Row) -> MattressSize:
    return MattressSize(
        name=row["name"],
        title=row["title"],
        market=row["market"],
        width=parse_length(row["width"]),
        length=parse_length(row["length"]),
        tolerance=parse_length(row["tolerance"]),
        least_mass_kg=Decimal(row["least_mass_kg"]),
        most_mass_kg=Decimal(row["most_mass_kg"]),
        mass_source=row["mass_source"],
        source=row["source"],
    )
