"""Graded wood as its own standard reckons it: lumber of the tables of the NDS, strength classes by Eurocode 5.

Whichever it is, what it bears is told of the loads as they are (see `ec5`). Stresses [MPa], lengths [mm].
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from sawbill.checks.resistance import bolts, ec5, nds
from sawbill.trade.design_values import NdsValues, StrengthClass, values_of
from sawbill.trade.lumber import Material

Standard = Literal["NDS", "EC5"]
SOURCES: Final[dict[Standard, str]] = {"NDS": nds.SOURCE, "EC5": ec5.SOURCE}


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long a load lasts in all, as the NDS (CD, Table 2.3.2) and Eurocode 5 (kmod, Table 3.1) count it."""

    cd: float
    kmod: float


@dataclass(frozen=True, slots=True, eq=False)
class Graded:
    """Wood whose strength a table tells."""

    material: Material
    values: NdsValues | StrengthClass

    @property
    def standard(self) -> Standard:
        """The standard it is reckoned by."""
        return "NDS" if isinstance(self.values, NdsValues) else "EC5"

    @property
    def elasticity(self) -> float:
        """Its mean modulus of elasticity."""
        return self.values.e if isinstance(self.values, NdsValues) else self.values.e_mean

    @lru_cache(maxsize=4_096)  # noqa: B019  # `graded` makes each kind of wood once, and few of them
    def bending(self, depth: float, width: float, backed: float, lu: float, lasting: Lasting) -> float:
        """What it bears in bending, so deep and wide as it stands, held sideways at the ends of a length alone.

        backed: how wide it is with what is glued beside it.
        """
        if isinstance(self.values, NdsValues):
            return nds.bending(self.values, self.material.section, depth, width, lu, lasting.cd, backed)
        return ec5.bending(self.values, depth, width, lu, lasting.kmod, backed)

    def bolted_end(self, depth: float, width: float, effective: float, *, near: bool) -> float:
        """What it bears where bolts carry it [N] with CD or kmod 1: see either standard."""
        if isinstance(self.values, NdsValues):
            return nds.bolted_end(self.values, depth, width, effective, near=near)
        return ec5.bolted_end(depth, width, effective)

    def bearing(self, long: float, wide: float, ends: tuple[float, float], beside: tuple[float, float]) -> float:
        """What it bears where it is pressed across its grain [N], with kmod 1: see either standard."""
        if isinstance(self.values, NdsValues):
            return nds.bearing(self.values, long, wide, ends)
        return ec5.bearing(self.values, long, wide, beside, 1.0)

    def shear(self, lasting: Lasting) -> float:
        """What it bears in shear along the grain."""
        if isinstance(self.values, NdsValues):
            return nds.shear(self.values, lasting.cd)
        return ec5.shear(self.values, lasting.kmod)

    @lru_cache(maxsize=4_096)  # noqa: B019  # as above
    def compression(self, le: float, side: float, lasting: Lasting) -> float:
        """What it bears as a column of an effective length, side: the one by which it gives way."""
        if isinstance(self.values, NdsValues):
            return nds.compression(self.values, self.material.section, le, side, lasting.cd)
        return ec5.compression(self.values, le, side, lasting.kmod)


@dataclass(frozen=True, slots=True)
class AtBolt:
    """Wood at a bolt: how thick it is along it, and whether the load runs along its grain."""

    wood: Graded
    thickness: float
    along: bool


@lru_cache(maxsize=1_024)
def graded(material: Material) -> Graded | None:
    """Find what a material bears; None: no table tells."""
    values = values_of(material)
    return None if values is None else Graded(material, values)


@lru_cache(maxsize=4_096)  # the corners of a bed are alike, and so are beds
def bolt_load(side: AtBolt, main: AtBolt, diameter: float) -> tuple[Standard, float] | None:
    """What a bolt bears between two members [N] with CD or kmod 1; None: no one standard knows both woods."""
    one, other = side.wood.values, main.wood.values
    if isinstance(one, NdsValues) and isinstance(other, NdsValues):
        gravities = (side, one.gravity), (main, other.gravity)
        sides = [bolts.Side(each.thickness, each.along, gravity) for each, gravity in gravities]
        return "NDS", bolts.nds_load(sides[1], sides[0], diameter)
    if isinstance(one, StrengthClass) and isinstance(other, StrengthClass):
        densities = (side, one.rho_k), (main, other.rho_k)
        sides = [bolts.Side(each.thickness, each.along, rho) for each, rho in densities]
        return "EC5", bolts.ec5_load(sides[0], sides[1], diameter, 1.0)
    return None
