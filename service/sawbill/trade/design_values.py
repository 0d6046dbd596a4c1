"""What graded lumber is reckoned to bear: the reference design values of its species and grade.

Values are those of the printed tables, in SI units; factors are for the standard that uses them. They belong to the
whole section as graded: a board that is ripped is of no grade any more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

from sawbill.trade import tables
from sawbill.trade.lumber import Material, find_species

MPA_PER_PSI: Final = 0.45359237 * 9.80665 / 25.4**2
"""Exact, by the definitions of the pound, of standard gravity and of the inch."""
_LUMBER: Final = range(2, 5)
"""The nominal thicknesses of Tables 4A and 4B [in]: 2 in to 4 in."""
_AS: Final[Mapping[str, str]] = {"No.2 & Better": "No.2"}
"""Grades sold as mixed count as their weakest."""


@dataclass(frozen=True, slots=True)
class NdsValues:
    """Reference design values of the NDS [MPa]: bending, shear, compression across and along the grain, elasticity.

    gravity: the specific gravity of its species; sized: whether the size factor is counted in already, as it is for
    Southern Pine.
    """

    grade: str
    gravity: float
    sized: bool
    source: str
    fb: float
    fv: float
    fc_perp: float
    fc: float
    e: float
    e_min: float


@dataclass(frozen=True, slots=True)
class StrengthClass:
    """Characteristic values of a strength class of EN 338 [MPa], density [kg/m3]."""

    name: str
    source: str
    fm_k: float
    fc_0_k: float
    fc_90_k: float
    fv_k: float
    e_mean: float
    e_05: float
    rho_k: float


@lru_cache(maxsize=256)
def values_of(material: Material) -> NdsValues | StrengthClass | None:
    """Find what a material is reckoned to bear; None: no table says it of this section, species and grade."""
    grade = material.grade
    if grade is None:
        return None
    if grade.rules == "strength class":
        return strength_classes().get(grade.name)
    section, species = material.section, material.species
    if species is None or section.nominal_width is None or section.nominal_thickness not in _LUMBER:
        return None
    listed, name, width = nds_values(), _AS.get(grade.name, grade.name), int(section.nominal_width)
    if grade.rules == "light framing" and width > 4:
        return None  # graded up to 4 in wide
    if name == "Stud" and width >= 8:
        name = "No.3"  # Table 4A: wider ones take the values, and the size factor, of No.3
    row = max(4, width + width % 2)  # a row of Table 4B is for all widths above that of the row before
    return listed.get((species.name, name, row)) or listed.get((species.name, name, None))


@cache
def nds_values() -> Mapping[tuple[str, str, int | None], NdsValues]:
    """List the values of the NDS by species, grade and nominal width [in], None for all widths."""
    numbers = ("fb", "fv", "fc_perp", "fc", "e", "e_min")
    rows = tables.rows("nds_values", "species", "grade", "nominal_width", *numbers, may_be_empty=("nominal_width",))
    found = {}
    for row in rows:
        width = int(row["nominal_width"]) if row["nominal_width"] else None
        values = (float(row[name]) * MPA_PER_PSI for name in numbers)
        gravity = find_species(row["species"]).specific_gravity
        assert gravity is not None, row
        found[row["species"], row["grade"], width] = NdsValues(
            row["grade"], float(gravity), width is not None, row["source"], *values
        )  # fmt: skip
    return found


@cache
def strength_classes() -> Mapping[str, StrengthClass]:
    """List the strength classes by name."""
    numbers = ("fm_k", "fc_0_k", "fc_90_k", "fv_k", "e_mean", "e_05", "rho_k")
    return {
        row["name"]: StrengthClass(row["name"], row["source"], *(float(row[name]) for name in numbers))
        for row in tables.rows("strength_classes", "name", *numbers)
    }
