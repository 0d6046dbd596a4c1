"""What a wood screw bears across its axis, by either standard; each is told as the load as it is (see `ec5`).

Screws under 6 mm are reckoned as nails are, in holes of the thread's root, and whatever the angle to the grain.
"""

from __future__ import annotations

from typing import Final

from sawbill.checks.resistance import ec5
from sawbill.checks.resistance.bolts import johansen, least_yield
from sawbill.trade.design_values import MPA_PER_PSI

_INCH: Final = 25.4
FYB: Final = ((0.142, 100_000), (0.177, 90_000), (0.236, 80_000), (0.273, 70_000))
"""Bending yield strength by diameters up to which it holds [psi by in] (NDS 2018, Appendix I, Table I1)."""
SHORT: Final = 6
"""How many diameters a screw goes into the main member at least (NDS 2018, 12.1.5.6)."""
FULL: Final = 10
"""The same for its full strength."""
FU_K: Final = 600.0
"""Tensile strength of wood screws [MPa]: of the weakest on sale (common practice, no source)."""
EC5_SHORT: Final = 6
"""The same for Eurocode 5: how far the thread goes in (8.7.2(3), from memory)."""


def nds_load(gravity: tuple[float, float], diameter: float, root: float, through: float, into: float) -> float:
    """Z [N], of side and main member, the screw so far through the one and in the other [mm]; 0 where it is too short.

    The root goes into the yield equations and KD, the diameter into the bearing and the penetration; the tip is two
    diameters long and half of it counts (NDS 2018, 12.3.1, 12.3.3, 12.3.5.3; Table L3, note 3).
    """
    d = diameter / _INCH
    if into < SHORT * diameter:
        return 0.0
    side, main = (_bearing(each) for each in gravity)
    kd = 2.2 if root / _INCH <= 0.17 else 10 * root / _INCH + 0.5
    fyb = next((psi for most, psi in FYB if d <= most), FYB[-1][1]) * MPA_PER_PSI
    bears = least_yield(root, (into - diameter, through), (main, side), fyb, [kd] * 6)
    return bears * min(1.0, into / (FULL * diameter))


def _bearing(gravity: float) -> float:
    """Fe of dowels under 1/4 in [MPa], rounded as it is printed (NDS 2018, Table 12.3.3, note 2)."""
    return float(round(16_600 * gravity**1.84 / 50)) * 50 * MPA_PER_PSI


def ec5_load(density: tuple[float, float], diameter: float, root: float, through: float, into: float) -> float:
    """The same by Eurocode 5 with kmod 1 [N], without the rope effect (8.7.1, 8.3.1, 8.6); holes not bored."""
    if into < EC5_SHORT * diameter:
        return 0.0
    effective = 1.1 * root
    bearing = (_embedment(density[0], effective), _embedment(density[1], effective))
    modes = johansen(effective, (through, into), bearing, 0.3 * FU_K * effective**2.6)
    return ec5.design(min(modes), 1.0) / ec5.GAMMA_Q


def _embedment(density: float, diameter: float) -> float:
    """Characteristic, of holes that are not bored [MPa] (8.15)."""
    return 0.082 * density / float(diameter**0.3)
