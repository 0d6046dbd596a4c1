"""Wood as Eurocode 5 reckons it: EN 1995-1-1:2004 with A1:2008 and A2:2014, recommended values.

Solid timber in service class 1, indoors. Stresses [MPa], lengths [mm]. What it bears is told as a stress of the loads
as they are: divided by the partial factor of actions here, so that both standards are compared with the same loads.
"""

from __future__ import annotations

from math import inf, pi, sqrt
from typing import Final

from sawbill.trade.design_values import StrengthClass

SOURCE: Final = "EN 1995-1-1:2004 (Eurocode 5), with A2:2014, recommended values"
GAMMA_M: Final = 1.3
"""Partial factor for solid timber (Table 2.3)."""
GAMMA_Q: Final = 1.5
"""Partial factor for variable actions (EN 1990:2002, Table A1.2(B)); taken for the wood's own weight too."""
K_CR: Final = 0.67
"""Share of the width that cracks leave for shear (6.1.7(2), from memory)."""
_BETA_C: Final = 0.2
"""For solid timber within the limits of straightness (6.29)."""


def design(characteristic: float, kmod: float) -> float:
    """Turn a characteristic value into a design value (2.14)."""
    return kmod * characteristic / GAMMA_M


def depth_factor(depth: float) -> float:
    """Kh for the depth in bending (3.1, from memory)."""
    return min((150 / depth) ** 0.2, 1.3) if depth < 150 else 1.0


def lateral_factor(values: StrengthClass, depth: float, width: float, lu: float) -> float:
    """Kcrit of a beam loaded at its compression edge, held at its supports alone (6.3.3; Table 6.1)."""
    if depth <= width:
        return 1.0
    critical = 0.78 * width * width * values.e_05 / (depth * (0.9 * lu + 2 * depth))
    slender = sqrt(values.fm_k / critical)
    if slender <= 0.75:
        return 1.0
    return 1.56 - 0.75 * slender if slender <= 1.4 else 1 / slender**2


def buckling_factor(values: StrengthClass, le: float, side: float) -> float:
    """Kc of a column of an effective length, side: the one that gives way (6.3.2)."""
    slender = le / side * sqrt(12) / pi * sqrt(values.fc_0_k / values.e_05)
    if slender <= 0.3:
        return 1.0
    k = 0.5 * (1 + _BETA_C * (slender - 0.3) + slender**2)
    return 1 / (k + sqrt(k * k - slender**2))


def bending(
    values: StrengthClass, depth: float, width: float, lu: float, kmod: float, backed: float = 0.0
) -> float:  # fmt: skip
    """What a member bears in bending, so deep and wide as it stands, held sideways at its ends alone (6.33).

    backed: how wide it is with what is glued beside it, if anything.
    """
    strength = design(values.fm_k, kmod) * depth_factor(depth)
    return strength * lateral_factor(values, depth, max(width, backed), lu) / GAMMA_Q


def bearing(values: StrengthClass, long: float, wide: float, beside: tuple[float, float], kmod: float) -> float:
    """What wood pressed across its grain bears [N], so long along its grain and so wide (6.1.5, with kc,90 1).

    beside: how much wood there is at either side along the grain, to its end or half way to the next face: up to 30 mm
    of it, and no more than the face is long, bears too.
    """
    effective = long + sum(max(0.0, min(30.0, each, long)) for each in beside)
    return design(values.fc_90_k, kmod) * effective * wide / GAMMA_Q


def bolted_end(depth: float, width: float, effective: float) -> float:
    """What wood bears that is carried by bolts before it splits [N], with kmod 1 (8.1.4, 8.4).

    effective: from its loaded edge to the furthest bolt.
    """
    if effective >= depth:
        return inf
    return design(14 * width * sqrt(effective / (1 - effective / depth)), 1.0) / GAMMA_Q


def shear(values: StrengthClass, kmod: float) -> float:
    """What it bears in shear, of the whole section (6.13, 6.13a)."""
    return design(values.fv_k, kmod) * K_CR / GAMMA_Q


def compression(values: StrengthClass, le: float, side: float, kmod: float) -> float:
    """What a column bears (6.23)."""
    return design(values.fc_0_k, kmod) * buckling_factor(values, le, side) / GAMMA_Q
