"""Mattresses: the sizes sold in each market, how far a real one may differ, and what one weighs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import Final

from sawbill.trade import tables
from sawbill.trade.lengths import METRE, System, format_length, parse_length

MOST_READ: Final = 60
"""How much of a name is looked at."""

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


@cache
def other_names() -> Mapping[str, str]:
    """Other names that sellers in the United States give a size, simplified, each with the size it means."""
    return {tables.simplified(row["also"]): row["name"] for row in tables.rows("mattress_names", "also", "name")}


def find_mattress(name: str, system: System | None = None) -> MattressSize:
    """Find a size: `twin-xl`, `Twin XL` and `twin_xl` are read alike, and elsewhere's by title: `super king`.

    system: that the shop measures in, where known; in inches, a `double` is what the United States call so.
    Raises UnknownNameError; ManySizesError: sellers of several markets call different sizes so.
    """
    sizes = mattress_sizes()
    word = tables.simplified(name[:MOST_READ]).removesuffix("size")
    called = [size for size in sizes.values() if word in (tables.simplified(size.title), tables.simplified(size.name))]
    also = other_names().get(word)
    if name in sizes or (len(called) == 1 and also is None):
        return sizes.get(name) or called[0]
    american = [size for size in called if size.market == "US"]
    if american or (also is not None and (system == "inch" or not called)):
        return american[0] if american else sizes[also or ""]
    if called:
        raise ManySizesError(name, [*called, *([sizes[also]] if also else [])])
    return tables.find("mattress size", name, sizes)


class ManySizesError(ValueError):
    """A name that different sizes are sold by; the message tells them."""

    def __init__(self, name: str, called: Iterable[MattressSize]) -> None:
        each = ", ".join(f"{size.name} ({size.market}, {_sides(size)})" for size in called)
        super().__init__(f"{name!r} means different sizes; write one of {each}")


def listed(name: str, thickness: int, system: System | None = None) -> Mattress:
    """A mattress of a listed size and a thickness [nm]; system: as for `find_mattress`, which says what is raised."""
    size = find_mattress(name, system)
    return Mattress(
        size.name, size.width, size.length, thickness, size.tolerance, size.least_mass_kg, size.most_mass_kg
    )


def measured(width: int, length: int, thickness: int) -> Mattress:
    """A mattress that was measured [nm], so with no tolerance; its mass is the usual one for its area."""
    area = Decimal(width) * length / METRE**2
    least, most = ((each * area).quantize(Decimal(1), ROUND_HALF_UP) for each in KG_PER_M2)
    return Mattress("measured", width, length, thickness, 0, least, most)


def _sides(size: MattressSize) -> str:
    system: System = "inch" if size.market == "US" else "metric"
    return f"{format_length(size.width, system)} x {format_length(size.length, system)}"


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
