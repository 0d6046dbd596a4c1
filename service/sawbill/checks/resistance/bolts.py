"""What one bolt or screw bears across its axis, between two members of wood, one against the other (single shear).

Two theories that agree: the yield limit equations of the NDS, and Johansen's of Eurocode 5. Each is told as the load
as it is: see `ec5`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, sqrt
from typing import Final

from sawbill.checks.resistance import ec5
from sawbill.trade.design_values import MPA_PER_PSI

FYB: Final = 45_000 * MPA_PER_PSI
"""Bending yield strength of bolts [MPa] (NDS 2018, Appendix I); for those below 1/2 in an extrapolation."""
FU_K: Final = 400.0
"""Tensile strength of the weakest bolts, class 4.6 [MPa] (ISO 898-1)."""
_ROUNDED: Final = 50
"""NDS prints dowel bearing strengths to so many psi, and its tables are reckoned from them."""
_INCH: Final = 25.4


@dataclass(frozen=True, slots=True)
class Side:
    """A member at the bolt: its thickness along the bolt [mm]; whether the load runs along its grain.

    density: its specific gravity G for the NDS, its characteristic density [kg/m3] for Eurocode 5.
    """

    thickness: float
    along: bool
    density: float


def nds_bearing(side: Side, diameter: float) -> float:
    """Dowel bearing strength Fe [MPa] (NDS 2018, Table 12.3.3, note 2), rounded as it is printed."""
    gravity, inches = side.density, diameter / _INCH
    psi = 11_200 * gravity if side.along else 6_100 * gravity**1.45 / sqrt(inches)
    return floor(psi / _ROUNDED + 0.5) * _ROUNDED * MPA_PER_PSI


def nds_load(main: Side, side: Side, diameter: float) -> float:
    """Z of a bolt [N] (NDS 2018, 12.3.1, Tables 12.3.1A and 12.3.1B)."""
    k_theta = 1.0 if main.along and side.along else 1.25
    reduced = tuple(each * k_theta for each in (4, 4, 3.6, 3.2, 3.2, 3.2))
    bearing = nds_bearing(main, diameter), nds_bearing(side, diameter)
    return least_yield(diameter, (main.thickness, side.thickness), bearing, FYB, reduced)


def least_yield(
    d: float, thick: tuple[float, float], bearing: tuple[float, float], fyb: float, reduced: Sequence[float]
) -> float:
    """The least of the six yield modes in single shear [N] (NDS 2018, Table 12.3.1A), of main and side member.

    reduced: the reduction terms of the modes Im, Is, II, IIIm, IIIs and IV.
    """
    (tm, ts), (fem, fes) = thick, bearing
    re, rt = fem / fes, tm / ts
    k1 = (sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    k2 = -1 + sqrt(2 * (1 + re) + 2 * fyb * (1 + 2 * re) * d**2 / (3 * fem * tm**2))
    k3 = -1 + sqrt(2 * (1 + re) / re + 2 * fyb * (2 + re) * d**2 / (3 * fem * ts**2))
    modes = (
        d * tm * fem,
        d * ts * fes,
        k1 * d * ts * fes,
        k2 * d * tm * fem / (1 + 2 * re),
        k3 * d * ts * fem / (2 + re),
        d**2 * sqrt(2 * fem * fyb / (3 * (1 + re))),
    )
    return min(mode / by for mode, by in zip(modes, reduced, strict=True))


def ec5_bearing(side: Side, diameter: float) -> float:
    """Characteristic embedment strength of softwood [MPa] (EN 1995-1-1, 8.32, 8.31 and 8.33, from memory)."""
    along = 0.082 * (1 - 0.01 * diameter) * side.density
    return along if side.along else along / (1.35 + 0.015 * diameter)


def ec5_load(one: Side, other: Side, diameter: float, kmod: float) -> float:
    """The least of Johansen's six modes in single shear, its rope effect left out [N] (EN 1995-1-1, 8.6, from memory).

    Of the design value, as a load before its partial factor.
    """
    bearing = ec5_bearing(one, diameter), ec5_bearing(other, diameter)
    yielding = 0.3 * FU_K * diameter**2.6
    characteristic = min(johansen(diameter, (one.thickness, other.thickness), bearing, yielding))
    return ec5.design(characteristic, kmod) / ec5.GAMMA_Q


def johansen(
    d: float, thick: tuple[float, float], bearing: tuple[float, float], yielding: float
) -> tuple[float, ...]:  # fmt: skip
    """The six modes in single shear without the rope effect [N] (EN 1995-1-1, 8.6); yielding: My,Rk [N mm]."""
    (t1, t2), (f1, f2) = thick, bearing
    beta, t = f2 / f1, t2 / t1
    whole = f1 * t1 * d
    rocking = sqrt(beta + 2 * beta**2 * (1 + t + t**2) + beta**3 * t**2) - beta * (1 + t)
    first = sqrt(2 * beta * (1 + beta) + 4 * beta * (2 + beta) * yielding / (f1 * d * t1**2)) - beta
    second = sqrt(2 * beta**2 * (1 + beta) + 4 * beta * (1 + 2 * beta) * yielding / (f1 * d * t2**2)) - beta
    return (
        whole,
        f2 * t2 * d,
        whole / (1 + beta) * rocking,
        1.05 * whole / (2 + beta) * first,
        1.05 * f1 * t2 * d / (1 + 2 * beta) * second,
        1.15 * sqrt(2 * beta / (1 + beta)) * sqrt(2 * yielding * f1 * d),
    )
