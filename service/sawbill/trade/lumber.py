"""Lumber as it is sold: sections with their dressed sizes, species with their weights, and grades."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Final, Literal

from sawbill.trade import tables
from sawbill.trade.lengths import FOOT, METRE, parse_length

Family = Literal["inch dry", "inch green", "metric canadian", "metric planed", "metric regularised", "own"]

_FAMILIES: Final[Mapping[str, Family]] = {
    "inch dry": "inch dry",
    "inch green": "inch green",
    "metric canadian": "metric canadian",
    "metric planed": "metric planed",
    "metric regularised": "metric regularised",
}

# The international yard and pound agreement, 1959, fixes both factors exactly. They stand here, and not with
# the other units, so that listing species need not load a unit library.
_KG_PER_LB: Final = Fraction("0.45359237")
_KG_M3: Final[Mapping[str, Fraction]] = {
    "kg/m3": Fraction(1),
    "lb/ft3": _KG_PER_LB / Fraction(FOOT, METRE) ** 3,
}

HEAVIEST: Final = Fraction(700)
"""What wood of an unknown species is taken to weigh [kg/m3]: about red oak's (AWC, 1992)."""


class NoNominalSizeError(ValueError):
    """A section that has no nominal size, so no board feet."""


@dataclass(frozen=True, slots=True)
class Section:
    """A section: its dressed thickness and width [nm], its nominal ones [in] where it is named by them.

    family: how it is sized; own: as a price book says; source: whose size it is, empty where that is not told.
    """

    name: str
    thickness: int
    width: int
    nominal_thickness: Fraction | None = field(hash=False)  # a fraction's hash takes as long as all of the others
    nominal_width: Fraction | None = field(hash=False)
    family: Family = field(hash=False)
    source: str = field(hash=False)


@dataclass(frozen=True, slots=True)
class Species:
    """A species or group of species: its weight at 15 % moisture [kg/m3]; its G where the NDS has one."""

    name: str
    weight_kg_m3: Fraction = field(hash=False)
    specific_gravity: Decimal | None = field(hash=False)
    source: str = field(hash=False)


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade; rank 1 is the best under its rules, and grades of other rules do not compare."""

    name: str
    rules: str
    rank: int
    source: str


@dataclass(frozen=True, slots=True)
class Material:
    """What a part is cut from, as far as it is known: None stands for what is not.

    treated: whether it is treated against rot and insects; design_values: what its price book tells of its strength,
    a word of `design_values.find_told`.
    """

    section: Section
    species: Species | None = None
    grade: Grade | None = None
    treated: bool | None = None
    design_values: str | None = None

    @property
    def weight_kg_m3(self) -> Fraction:
        """What it weighs [kg/m3]; of an unknown species, as a heavy one does."""
        return HEAVIEST if self.species is None else self.species.weight_kg_m3


Materials = Mapping[str, tuple[Material, ...]]
"""By the key of a part, every kind of wood that is cut for it and its like: a check takes the one that is worst."""


@cache
def sections() -> Mapping[str, Section]:
    """List the sections by name."""
    columns = ("name", "thickness", "width", "nominal_thickness", "nominal_width", "family")
    nominal = ("nominal_thickness", "nominal_width")
    return tables.by_name(_section(row) for row in tables.rows("sections", *columns, may_be_empty=nominal))


def section(name: str, own: Iterable[Section] = ()) -> Section:
    """Find a section: `2x4`, `2 X 4` and `5/4 × 6` are read alike; own: those of a price book beside the listed ones.

    Raises UnknownNameError.
    """  # noqa: RUF002
    return tables.find("section", name, {**{each.name: each for each in own}, **sections()} if own else sections())


@cache
def species() -> Mapping[str, Species]:
    """List the species by name."""
    listed = tables.rows("species", "name", "weight", "specific_gravity", may_be_empty=("specific_gravity",))
    return tables.by_name(_species(row) for row in listed)


def find_species(name: str) -> Species:
    """Find a species. Raises UnknownNameError."""
    return tables.find("species", name, species())


@cache
def grades() -> Mapping[str, Grade]:
    """List the grades by name, the best of each set of rules first."""
    listed = tables.rows("grades", "name", "rules", "rank")
    return tables.by_name(Grade(row["name"], row["rules"], int(row["rank"]), row["source"]) for row in listed)


def find_grade(name: str) -> Grade:
    """Find a grade: `No.2`, `No. 2` and `#2` are read alike. Raises UnknownNameError."""
    return tables.find("grade", name, grades())


def board_feet(section: Section, length: int) -> Fraction:
    """Count the board feet of one board of a stated length [nm]: nominal inches by inches by feet, over 12.

    Raises NoNominalSizeError. Source: common practice, no source (a board foot is 144 cubic inches, nominal).
    """
    if section.nominal_thickness is None or section.nominal_width is None:
        raise NoNominalSizeError(
            f"{section.name} has no nominal size, so no board feet; give its price each, or for a ft, m or m3"
        )
    return section.nominal_thickness * section.nominal_width * Fraction(length, 12 * FOOT)


def _section(row: tables.Row) -> Section:
    return Section(
        name=row["name"],
        thickness=parse_length(row["thickness"]),
        width=parse_length(row["width"]),
        nominal_thickness=_nominal(row["nominal_thickness"]),
        nominal_width=_nominal(row["nominal_width"]),
        family=_FAMILIES[row["family"]],
        source=row["source"],
    )


def _species(row: tables.Row) -> Species:
    number, unit = row["weight"].split()
    gravity = row["specific_gravity"]
    return Species(row["name"], Fraction(number) * _KG_M3[unit], Decimal(gravity) if gravity else None, row["source"])


def _nominal(inches: str) -> Fraction | None:
    return Fraction(inches) if inches else None
