"""Where members meet, as springs: where along either member, how stiff, and whether they can only press.

Forces [N], lengths [mm], stiffness [N/mm].
"""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from typing import Final, NamedTuple

from sawbill.checks.members import Support
from sawbill.trade import fasteners
from sawbill.trade.boxes import Box
from sawbill.trade.frame import Bolted, Fastener, Hung
from sawbill.trade.lengths import MM

E: Final = 10_000.0
"""Modulus of elasticity of all wood along its grain [MPa]; in what bears what, it cancels out but for fasteners."""
ACROSS: Final = E / 30
"""The same across the grain (EN 338:2016: a thirtieth for softwood)."""
DENSITY: Final = 420.0
"""Mean density of all wood [kg/m3], for the stiffness of fasteners alone (EN 338:2016, C24)."""
_DENSE: Final = float(DENSITY**1.5)
FLOOR: Final = 1e5
"""The floor under what stands on it: stiffer than all else (no source)."""
GLUE: Final = 1e5
"""A face that is glued, likewise."""
NAIL: Final = 3.76
"""A hanger's nail, 0.148 in (common practice, no source)."""
SOFT: Final = 1 / 3
STIFF: Final = 3.0
"""A fastener may be so many times as stiff as by EN 1995-1-1, 7.1: the worse of both counts (no source)."""


class Spring(NamedTuple):
    """What holds two nodes together: `under` -1 is the floor; fastener: whether its stiffness is in doubt.

    idle: whether it is a fastener between members that also rest on each other: its hole has play, so that it may bear
    nothing, and the face bears first.
    """

    over: int
    under: int
    stiff: float
    presses: bool
    fastener: bool
    idle: bool
    ladder: bool
    link: int


def held_at(link: Support) -> list[tuple[float, float]]:
    """Where a link holds either member: at one place, or at two where what is glued, or lies along, cannot turn."""
    over, under = not link.member.upright, not link.carrier.upright
    turns = (over and link.member.axis == link.carrier.axis) or (link.kind == "glued" and over != under)
    on = (link.on[0] + link.on[1]) / 2
    if turns and not isinstance(link.joints[0], Fastener):
        a, b = link.wide / sqrt(12), (link.on[1] - link.on[0]) / sqrt(12)
        return [(link.at - a, on - b), (link.at + a, on + b)]
    return [(link.at, on)]


def stiffness(link: Support, boxes: Mapping[str, Box]) -> float:
    """How stiff a link is: faces by what they share, over half of the depth of either that lies; fasteners by Kser."""
    joint = link.joints[0]
    if link.kind == "glued":
        return GLUE
    if isinstance(joint, Hung) and link.kind == "hung":
        return fasteners.hangers()[joint.hanger].face_nails * slip(NAIL)
    if link.kind == "rests":
        pairs = [(boxes[one], boxes[other]) for one, other in dict.fromkeys(link.pairs)]
        area = sum([max(_plan(one, other), 1.0) for one, other in pairs])
        (one, other), half = pairs[0], 0.0
        if not link.member.upright:
            half += (one.high[2] - one.low[2]) / MM / 2
        if not link.carrier.upright:
            half += (other.high[2] - other.low[2]) / MM / 2
        return ACROSS * area / half if half else FLOOR
    bolts, screws = fasteners.bolt_sizes(), fasteners.screw_sizes()
    sizes = [
        bolts[each.size].diameter if isinstance(each, Bolted) else screws[each.size].diameter
        for each in link.joints if isinstance(each, Fastener)
    ]  # fmt: skip
    return sum([slip(diameter / MM) for diameter in sizes])


def slip(diameter: float) -> float:
    """Kser of a bolt, a screw or a bored nail, for each plane it is sheared in [N/mm] (EN 1995-1-1, Table 7.1)."""
    return _DENSE * diameter / 23


def _plan(one: Box, other: Box) -> float:
    """How much of two boxes lies above each other [mm2]."""
    (ax, ay, _), (bx, by, _), (cx, cy, _), (dx, dy, _) = one.low, one.high, other.low, other.high
    return max(0, min(bx, dx) - max(ax, cx)) * max(0, min(by, dy) - max(ay, cy)) / MM**2
