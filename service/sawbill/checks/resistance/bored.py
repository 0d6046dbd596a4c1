"""What holes of bolts leave of a section: its net section modulus, and its net area (NDS 2018, 3.1.2; EC5, 5.2).

Screws fill their holes and take nothing off. Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Box
from sawbill.trade.frame import Bolted, Part
from sawbill.trade.lengths import MM, System

PLAY: Final[Mapping[System, float]] = {"inch": 25.4 / 16, "metric": 1.0}
"""How much wider than its bolt a hole may be (NDS 2018, 12.1.3.2: 1/16 in; EN 1995-1-1, 10.4.3: 1 mm)."""
TOGETHER: Final = 4
"""Holes no further apart along the grain than so many diameters count as one section (NDS 2018, 3.1.2.2)."""


class Bores(NamedTuple):
    """Holes of one section of a part that lies: from side to side, each so high over its lower edge; or upright.

    place: where along the part; hole: the diameter of each; down: how many run upright through its depth.
    """

    place: float
    hole: float
    heights: tuple[float, ...]
    down: int


def hole_of(size: str) -> float:
    """The diameter of a bolt's hole."""
    bolt = fasteners.bolt_sizes()[size]
    return bolt.diameter / MM + PLAY[bolt.system]


def bores_of(part: Part, box: Box, bolts: Sequence[Bolted]) -> Sequence[Bores]:
    """The sections of a part that lies at which bolts go through it, each at one of them."""
    i = AXES.index(part.placement.along)
    crossing = [bolt for bolt in bolts if bolt.axis != part.placement.along]
    found: dict[int, Bores] = {}
    for bolt in crossing:
        near, at = TOGETHER * fasteners.bolt_sizes()[bolt.size].diameter, bolt.head[i]
        there = [each for each in crossing if -near <= each.head[i] - at <= near]
        heights = sorted({(each.head[2] - box.low[2]) / MM for each in there if each.axis != "z"})
        down = len({each.head for each in there if each.axis == "z"})
        found[bolt.head[i]] = Bores(bolt.head[i] / MM, max(hole_of(each.size) for each in there), tuple(heights), down)
    return tuple(found.values())


def net_modulus(width: float, depth: float, bores: Bores) -> float:
    """The section modulus that holes leave of a part so wide and deep, about its own new middle."""
    b, hole = width - bores.down * bores.hole, bores.hole
    area = b * (depth - len(bores.heights) * hole)
    shift = -b * hole * sum(z - depth / 2 for z in bores.heights) / area
    inertia = b * depth**3 / 12 - area * shift**2
    inertia -= sum(b * hole**3 / 12 + b * hole * (z - depth / 2) ** 2 for z in bores.heights)
    return inertia / (depth / 2 + abs(shift))
