"""What holds against a pull along a fastener: wood under washers and screw heads, wood around threads.

Each is told as the load as it is, with CD or kmod 1 (see `ec5`). Lengths [mm], forces [N].
"""

from __future__ import annotations

from math import pi
from typing import Final

from sawbill.checks.resistance import ec5

_INCH: Final = 25.4
LB: Final = 4.4482216152605
"""A pound of force [N]."""
THREAD: Final = 2 / 3
"""How much of a wood screw is thread (NDS 2018, Table L3, note 2)."""
CB_LENGTH: Final = 0.375 * _INCH
"""What is added to a face under 6 in for the bearing area factor (NDS 2018, 3.10.4)."""
CB_END: Final = 3 * _INCH
"""How far from an end a face must be for it."""
F_HEAD: Final = 9.4
"""Characteristic pull-through parameter of countersunk heads at 350 kg/m3 [MPa] (makers' assessments, from memory)."""
WASHER: Final = 3.0
"""Wood under a washer bears so many times its strength across the grain (EN 1995-1-1, 8.5.2(2), from memory)."""


def ring(outer: float, hole: float) -> float:
    """The area of a round washer or flange around its hole [mm2]; a round head presses as a washer as wide as it.

    That it does: common practice, no source. The NDS lets round-head bolts be used where their head and their neck are
    reckoned with (American Wood Council, on carriage bolts, read).
    """
    return pi / 4 * (outer**2 - hole**2)


def nds_washer(fc_perp: float, outer: float, hole: float, end: float) -> float:
    """Wood under a round washer so far from the end of its part (NDS 2018, 3.10.2, 3.10.4); it lasts for any time."""
    factor = (outer + CB_LENGTH) / outer if counts_longer(outer, end) else 1.0
    return fc_perp * factor * ring(outer, hole)


def counts_longer(long: float, end: float) -> bool:
    """Whether the bearing area factor Cb holds (NDS 2018, 3.10.4): under 6 in long, and 3 in from the end."""
    return long < 6 * _INCH and end >= CB_END


def ec5_washer(fc_90_k: float, outer: float, hole: float) -> float:
    """The same by Eurocode 5 (8.5.2)."""
    return ec5.design(WASHER * fc_90_k * ring(outer, hole), 1.0) / ec5.GAMMA_Q


def nds_thread(gravity: float, diameter: float, thread: float) -> float:
    """W of a wood screw, so much of its thread in side grain: 2850 G2 D lb/in (NDS 2018, 12.2-2)."""
    return 2850 * gravity**2 * (diameter / _INCH) * (thread / _INCH) * LB


def ec5_thread(density: float, diameter: float, thread: float) -> float:
    """The same by Eurocode 5, across the grain (8.38, 8.39; below 6 mm by the same)."""
    fax = 0.52 * diameter**-0.5 * thread**-0.1 * density**0.8
    return ec5.design(fax * diameter * thread * min(diameter / 8, 1.0), 1.0) / ec5.GAMMA_Q


def nds_head(gravity: float, head: float, thick: float) -> float:
    """Head pull-through of a round head (NDS 2018, 12.2-6, its form from memory; it gives the printed table)."""
    wide = head / _INCH
    if thick <= 2.5 * head:
        return 690 * pi * wide * gravity**2 * (thick / _INCH) * LB
    return 1725 * pi * wide**2 * gravity**2 * LB


def ec5_head(density: float, head: float) -> float:
    """The same by Eurocode 5 (8.40b)."""
    return ec5.design(F_HEAD * head**2 * (density / 350) ** 0.8, 1.0) / ec5.GAMMA_Q
