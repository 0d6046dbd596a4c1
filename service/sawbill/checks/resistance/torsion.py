"""Rectangles that are twisted: how stiff they are, what stress a twist makes, what they bear. Lengths [mm], MPa.

The NDS has no clause on torsion: its shear value along the grain is taken. Eurocode 5 has 6.1.8.
"""

from __future__ import annotations

from sawbill.checks.resistance import ec5
from sawbill.checks.resistance.wood import Graded, Lasting
from sawbill.trade.design_values import NdsValues, StrengthClass

SHAPE_MOST = 1.3
"""The most that kshape is (EN 1995-1-1/A2:2014, 6.15, from memory; 2.0 before)."""


def stiffness(one: float, other: float) -> float:
    """The torsion constant of a rectangle [mm4] (Roark, Formulas for Stress and Strain, 6th edition, Table 20, 4)."""
    b, h = sorted((one, other))
    return b**3 * h * (1 / 3 - 0.21 * b / h * (1 - (b / h) ** 4 / 12))


def stress(moment: float, one: float, other: float) -> float:
    """The greatest shear stress of a moment [N mm], in the middle of the longer sides (the same)."""
    b, h = sorted((one, other))
    r = b / h
    return moment / (b**2 * h) * 3 * (1 + 0.6095 * r + 0.8865 * r**2 - 1.8023 * r**3 + 0.9100 * r**4)


def shape_factor(one: float, other: float) -> float:
    """The factor kshape of a rectangle (EN 1995-1-1, 6.15)."""
    b, h = sorted((one, other))
    return min(1 + 0.05 * h / b, SHAPE_MOST)


def strength(wood: Graded, one: float, other: float, lasting: Lasting) -> float:
    """What stress it bears, as of the loads as they are."""
    values = wood.values
    if isinstance(values, NdsValues):
        return values.fv * lasting.cd
    assert isinstance(values, StrengthClass)
    return ec5.design(values.fv_k, lasting.kmod) * shape_factor(one, other) / ec5.GAMMA_Q
