"""What graded lumber is reckoned to bear: the reference design values of its species and grade.

Values are those of the printed tables, in SI units; factors are for the standard that uses them. They belong to the
whole section as graded: a board that is ripped is of no grade any more. Where section, species and grade do not say
what a board bears, its price book may tell: see `find_told`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

from sawbill.trade import tables
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Grade, Material, Section, find_grade, find_species, grades

MPA_PER_PSI: Final = 0.45359237 * 9.80665 / 25.4**2
"""Exact, by the definitions of the pound, of standard gravity and of the inch."""
_LUMBER: Final = range(2, 5)
"""The nominal thicknesses of Tables 4A and 4B [in]: 2 in to 4 in."""
_AS: Final[Mapping[str, str]] = {"No.2 & Better": "No.2"}
"""Grades sold as mixed count as their weakest."""
_NATIONAL: Final = frozenset({"structural", "stud", "light framing"})
"""The rules whose grades Tables 4A and 4B list."""
_STANDARD: Final = "strength class"
"""The rules of EN 338."""

STRESS_RATED: Final = "stress-rated"
"""Boards under 2 in nominal that were graded by the rules for stress-rated boards: they take the values of their grade
(NDS Supplement 2018, Tables 4A and 4B, footnote 2). A board that is sold by the same name without them does not."""
SORTED: Final = "sorted"
"""Boards from which those were sorted out that have a knot on an edge over more than half of their width, or a split.

They count as No.3 of the weakest group of softwoods in common use: beside such a knot (1 - 1/2)2 of the strength is
left, and No.3 is reckoned with 0.26 of clear wood's (ASTM D245, from memory).
"""
_FLOOR: Final = ("SPF(South)", "No.3")
_FLOOR_OF: Final = frozenset({"Douglas Fir-Larch", "Hem-Fir", "SPF", "SPF(South)", "Southern Pine"})
"""The groups that are no weaker than that floor."""


@dataclass(frozen=True, slots=True)
class NdsValues:
    """Reference design values of the NDS [MPa]: bending, shear, compression across and along the grain, elasticity.

    gravity: the specific gravity of its species; sized: whether the size factor is counted in already, as it is for
    Southern Pine.
    """

    species: str
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

    @property
    def words(self) -> str:
        """What they are the values of."""
        return f"{self.species} {self.grade}, {self.source}"


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

    @property
    def words(self) -> str:
        """What they are the values of."""
        return f"{self.name}, {self.source}"


def find_told(text: str) -> tables.Named:
    """Find what a price book tells of the strength of a board.

    A strength class (`C24`) or a grade of strength (`T2`); STRESS_RATED; SORTED. Raises UnknownNameError.
    """
    words: list[tables.Named] = [*_classes(), _Word(STRESS_RATED), _Word(SORTED)]
    known = {each.name: each for each in words}
    return tables.find("design values", text, known)


@lru_cache(maxsize=256)
def values_of(material: Material) -> NdsValues | StrengthClass | None:
    """Find what a material is reckoned to bear; None: no table says it of this section, species and grade.

    What its price book tells of its strength goes before its grade.
    """
    section, word = material.section, material.design_values
    if word == SORTED:
        return nds_values()[(*_FLOOR, None)] if _is_board(section) and _is_floored(material) else None
    grade = find_grade(word) if word is not None and word != STRESS_RATED else material.grade
    if grade is None:
        return None
    if grade.rules not in _NATIONAL:
        return _class_of(grade, section)
    if material.species is None or not (_is_lumber(section) or (word == STRESS_RATED and _is_board(section))):
        return None
    return _listed(material.species.name, grade, section)


def _is_lumber(section: Section) -> bool:
    return section.nominal_width is not None and section.nominal_thickness in _LUMBER


def _is_board(section: Section) -> bool:
    """Whether it is under 2 in nominal, and 1 in at least."""
    return section.nominal_thickness is not None and 1 <= section.nominal_thickness < _LUMBER[0]


def _is_floored(material: Material) -> bool:
    return material.species is not None and material.species.name in _FLOOR_OF


def _class_of(grade: Grade, section: Section) -> StrengthClass | None:
    """The strength class of a grade; None: it is one of looks, or not for this section."""
    if grade.rules == "nordic strength" and not _in_nordic_scope(grade, section):
        return None
    return strength_classes().get(grade.name if grade.rules == _STANDARD else _visual().get(grade.name, ""))


def _in_nordic_scope(grade: Grade, section: Section) -> bool:
    """INSTA 142:2009: 45 mm thick or over 75 mm wide; T1 and T2 from 25 x 50 mm too."""
    thick, wide = section.thickness, section.width
    small = grade.name in ("T1", "T2") and thick >= 25 * MM and wide >= 50 * MM
    return thick >= 45 * MM or wide > 75 * MM or small


def _listed(species: str, grade: Grade, section: Section) -> NdsValues | None:
    assert section.nominal_width is not None
    listed, name, width = nds_values(), _AS.get(grade.name, grade.name), int(section.nominal_width)
    if grade.rules == "light framing" and width > 4:
        return None  # graded up to 4 in wide
    if name == "Stud" and width >= 8:
        name = "No.3"  # Table 4A: wider ones take the values, and the size factor, of No.3
    row = max(4, width + width % 2)  # a row of Table 4B is for all widths above that of the row before
    return listed.get((species, name, row)) or listed.get((species, name, None))


@dataclass(frozen=True, slots=True)
class _Word:
    name: str


def _classes() -> list[Grade]:
    """The grades that tell a strength class by themselves."""
    rules = {find_grade(name).rules for name in _visual()} | {_STANDARD}
    return [grade for grade in grades().values() if grade.rules in rules]


@cache
def _visual() -> Mapping[str, str]:
    """The strength class of every grade of strength."""
    return {row["grade"]: row["strength_class"] for row in tables.rows("visual_grades", "grade", "strength_class")}


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
            row["species"], row["grade"], float(gravity), width is not None, row["source"], *values
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
