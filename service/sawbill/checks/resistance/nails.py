"""What a nail bears across its axis through the thin steel of a hanger into wood; each is told as the load as it is.

Steel of 18 gauge, 0.048 in, as of the thinnest hangers on sale. Lengths [mm], forces [N].
"""

from __future__ import annotations

from math import sqrt
from typing import Final

from sawbill.checks.resistance import ec5
from sawbill.checks.resistance.bolts import least_yield
from sawbill.trade.design_values import MPA_PER_PSI

_INCH: Final = 25.4
DIAMETER: Final = 0.148 * _INCH
"""Of a hanger's nail (10d, NDS 2018, Table L4; common practice for hangers)."""
STEEL: Final = 0.048 * _INCH
FE_STEEL: Final = 61_850.0
"""Dowel bearing strength of the steel of hangers [psi] (NDS 2018, Table 12P)."""
FYB: Final = 90_000.0
"""Bending yield strength of nails over 0.142 in [psi] (NDS 2018, Table I1)."""
KD: Final = 2.2
"""Reduction term up to 0.17 in (NDS 2018, Table 12.3.1B)."""
FU_K: Final = 600.0
"""Tensile strength of wire [MPa] (EN 14592, the least)."""
SHORT: Final = 6
"""How many diameters a nail goes into the wood at least (NDS 2018, 12.1.6.5)."""
FULL: Final = 10
"""The same for its full strength."""


def nds_bearing(gravity: float) -> float:
    """Fe of the wood [psi], rounded as it is printed (NDS 2018, Table 12.3.3, note 2)."""
    return float(round(16_600 * gravity**1.84 / 50)) * 50


def nds_load(gravity: float, length: float) -> float:
    """Z (NDS 2018, 12.3.1); its point is two diameters long, and half of it counts (12.3.5.3)."""
    into = length - STEEL
    if into < SHORT * DIAMETER:
        return 0.0
    bearing = nds_bearing(gravity) * MPA_PER_PSI, FE_STEEL * MPA_PER_PSI
    bears = least_yield(DIAMETER, (into - DIAMETER, STEEL), bearing, FYB * MPA_PER_PSI, [KD] * 6)
    return bears * min(1.0, into / (FULL * DIAMETER))


def ec5_load(density: float, length: float) -> float:
    """The least of two modes with a thin plate, without the rope effect and holes not bored (8.9, 8.14, 8.15)."""
    bearing, yielding = 0.082 * density * DIAMETER**-0.3, 0.3 * FU_K * DIAMETER**2.6
    modes = 0.4 * bearing * (length - STEEL) * DIAMETER, 1.15 * sqrt(2 * yielding * bearing * DIAMETER)
    return ec5.design(min(modes), 1.0) / ec5.GAMMA_Q
