"""What wood bears by Eurocode 5, factor by factor: as a stress of the loads as they are (see `checks.ec5`)."""

from __future__ import annotations

from sawbill.checks.resistance import ec5
from sawbill.checks.resistance.wood import Graded, Lasting
from sawbill.checks.strength.beams import Layer
from sawbill.checks.strength.calculation import Calculation
from sawbill.trade.design_values import StrengthClass


def _values(wood: Graded) -> StrengthClass:
    assert isinstance(wood.values, StrengthClass)
    return wood.values


def factors(sheet: Calculation, lasting: Lasting) -> None:
    """The factors that all have in common."""
    sheet.given("kmod", "modification factor, service class 1", lasting.kmod, "", "EC5", "Table 3.1")
    sheet.given("gM", "partial factor of the wood, gamma M", ec5.GAMMA_M, "", "EC5", "Table 2.3")
    sheet.given("gQ", "partial factor of the loads, gamma Q", ec5.GAMMA_Q, "", "EN 1990", "Table A1.2(B)")


def listed(sheet: Calculation, wood: Graded, symbol: str, name: str, value: float, unit: str = "MPa") -> None:
    """Write a value of its strength class."""
    sheet.given(symbol, f"{name} of {_values(wood).name}", value, unit, "EN 338", "Table 1")


def bending(sheet: Calculation, wood: Graded, layer: Layer, span: float, lasting: Lasting) -> None:
    """What it bears in bending (6.33); b and d are there."""
    values = _values(wood)
    listed(sheet, wood, "fmk", "characteristic bending strength", values.fm_k)
    factors(sheet, lasting)
    if layer.depth < 150:
        sheet.reckon("kh", "depth factor", "min((150 / d)^0.2, 1.3)", "", "EC5", "3.1")
    else:
        sheet.given("kh", "depth factor", 1.0, "", "EC5", "3.2")
    width = max(layer.width, layer.backed)
    if layer.depth <= width:
        sheet.given("kcrit", "lateral buckling: no deeper than wide", 1.0, "", "EC5", "6.3.3")
    else:
        _lateral(sheet, wood, layer, width, span)
    sheet.reckon("fm'", "what it bears, of the loads as they are", "fmk * kmod / gM * kh * kcrit / gQ", "MPa", "EC5",
                 "2.14, 6.33")  # fmt: skip


def _lateral(sheet: Calculation, wood: Graded, layer: Layer, width: float, span: float) -> None:
    listed(sheet, wood, "E05", "fifth percentile of the modulus of elasticity", _values(wood).e_05)
    sheet.given("l", "length held sideways at its ends alone", span, "mm", "frame")
    sheet.given("bb", "width with what is glued beside it", width, "mm", "frame")
    sheet.reckon("lef", "effective length, loaded on its upper edge", "0.9 * l + 2 * d", "mm", "EC5", "Table 6.1")
    sheet.reckon("scrit", "critical bending stress", "0.78 * bb^2 * E05 / (d * lef)", "MPa", "EC5", "6.32")
    slender = sheet.reckon("lrel", "relative slenderness", "sqrt(fmk / scrit)", "", "EC5", "6.30")
    if slender <= 0.75:
        sheet.given("kcrit", "lateral buckling", 1.0, "", "EC5", "6.34")
    else:
        sheet.reckon("kcrit", "lateral buckling", "1.56 - 0.75 * lrel" if slender <= 1.4 else "1 / lrel^2", "", "EC5",
                     "6.34")  # fmt: skip


def shear(sheet: Calculation, wood: Graded, lasting: Lasting) -> None:
    """What it bears in shear."""
    listed(sheet, wood, "fvk", "characteristic shear strength", _values(wood).fv_k)
    factors(sheet, lasting)
    sheet.given("kcr", "share of the width that cracks leave", ec5.K_CR, "", "EC5", "6.1.7(2)")
    sheet.reckon("fv'", "what it bears, of the loads as they are", "fvk * kmod / gM * kcr / gQ", "MPa", "EC5", "6.13")


def bearing(sheet: Calculation, wood: Graded, beside: tuple[float, float], lasting: Lasting) -> None:
    """What it bears across its grain; the length of the face lb is there."""
    listed(sheet, wood, "fc90k", "characteristic strength across the grain", _values(wood).fc_90_k)
    factors(sheet, lasting)
    for symbol, each in zip(("u1", "u2"), beside, strict=True):
        sheet.given(symbol, "wood beside it, to its end or half way to the next face", max(0.0, each), "mm", "frame")
    formula = "lb + min(30, u1, lb) + min(30, u2, lb)"
    sheet.reckon("lef", "effective length", formula, "mm", "EC5", "6.1.5(1)")
    sheet.reckon("fc90'", "what it bears, kc,90 1, of the loads as they are", "fc90k * kmod / gM / gQ", "MPa", "EC5",
                 "6.3")  # fmt: skip


def compression(sheet: Calculation, wood: Graded, number: int, lasting: Lasting) -> None:
    """What a post bears at one load's height (6.3.2); its effective length le and the side d are there."""
    values, n = _values(wood), number
    if n == 1:
        listed(sheet, wood, "fc0k", "characteristic strength along the grain", values.fc_0_k)
        listed(sheet, wood, "E05", "fifth percentile of the modulus of elasticity", values.e_05)
        factors(sheet, lasting)
    formula = f"le{n} / d * sqrt(12) / pi * sqrt(fc0k / E05)"
    slender = sheet.reckon(f"lrel{n}", "relative slenderness", formula, "", "EC5", "6.21")
    if slender <= 0.3:
        sheet.given(f"kc{n}", "buckling factor", 1.0, "", "EC5", "6.3.2(2)")
    else:
        sheet.reckon(f"k{n}", "", f"0.5 * (1 + 0.2 * (lrel{n} - 0.3) + lrel{n}^2)", "", "EC5", "6.27")
        sheet.reckon(f"kc{n}", "buckling factor", f"1 / (k{n} + sqrt(k{n}^2 - lrel{n}^2))", "", "EC5", "6.25")
    formula = f"A{n} * fc0k * kmod / gM * kc{n} / gQ"
    sheet.reckon(f"N{n}", "what the post bears at that height, of the loads as they are", formula, "N", "EC5", "6.23")
