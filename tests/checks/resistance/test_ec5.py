"""Eurocode 5 against a worked example, and against its own formulas at their joints."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from sawbill.checks.resistance import ec5
from sawbill.trade.design_values import strength_classes

C24 = strength_classes()["C24"]


def test_a_beam_of_a_textbook() -> None:
    """C24, 75 x 200, 4.5 m: M 3.702 kNm, 0.456 used with ksys (Benoit, Legrand and Tastet, 2008, ex. 2.3.1)."""
    bent = 3.702e6 * 6 / (75 * 200**2)
    strength = ec5.design(C24.fm_k, 0.8) * ec5.depth_factor(200)
    assert round(bent / (strength * 1.1), 3) == 0.456


def test_what_a_beam_bears_is_told_of_loads_before_their_factor() -> None:
    held = ec5.bending(C24, 200, 75, 100, 0.8)  # so short that it does not give way
    assert held == pytest.approx(24 * 0.8 / 1.3 / 1.5)
    assert ec5.shear(C24, 0.8) == pytest.approx(4.0 * 0.8 / 1.3 * 0.67 / 1.5)


@pytest.mark.parametrize(("depth", "factor"), [(200, 1.0), (150, 1.0), (95, 1.0957), (40.4, 1.3), (28, 1.3)])
def test_low_beams_are_stronger_for_their_depth(depth: float, factor: float) -> None:
    """EN 1995-1-1, 3.1: (150 / h) to the power of 0.2, at most 1.3."""
    assert ec5.depth_factor(depth) == pytest.approx(factor, abs=2e-4)


def test_a_slender_beam_gives_way_sideways_and_a_flat_one_does_not() -> None:
    assert ec5.lateral_factor(C24, 28, 70, 5000) == 1.0
    factors = [ec5.lateral_factor(C24, 220, 45, lu) for lu in (500, 2000, 4000, 8000, 16000)]
    assert factors[0] == 1.0
    assert factors == sorted(factors, reverse=True) and factors[-1] < 0.5


def test_the_branches_of_the_lateral_factor_meet() -> None:
    """6.34: at relative slendernesses of 0.75 and 1.4 (where the standard's own numbers differ by half a percent)."""

    def length(slender: float) -> float:
        """The span at which a beam of 45 x 220 is so slender."""
        return (0.78 * 45**2 * C24.e_05 * slender**2 / (C24.fm_k * 220) - 2 * 220) / 0.9

    for slender, factor in ((0.75, 1.0), (1.4, 0.51)):
        beside = [ec5.lateral_factor(C24, 220, 45, length(slender) * (1 + way)) for way in (-1e-6, 1e-6)]
        assert beside == pytest.approx([factor, factor], abs=3e-3)


@pytest.mark.parametrize(("slender", "factor"), [(15, 1.0), (60, 0.676), (100, 0.305), (150, 0.143)])
def test_columns_give_way_as_the_formula_says(slender: float, factor: float) -> None:
    """6.3.2 for C24, computed by hand."""
    side = 45.0
    assert ec5.buckling_factor(C24, slender * side / sqrt(12), side) == pytest.approx(factor, abs=2e-3)


def test_a_long_column_bears_no_more_than_euler_allows() -> None:
    side, le = 45.0, 6000.0
    slender = le * sqrt(12) / side
    assert ec5.buckling_factor(C24, le, side) * C24.fc_0_k < pi**2 * C24.e_05 / slender**2
