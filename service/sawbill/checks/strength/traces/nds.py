"""What wood bears by the NDS 2018, written out factor by factor (allowable stress design; CM, Ct and Ci are 1)."""

from __future__ import annotations

from sawbill.checks.resistance import nds
from sawbill.checks.resistance.wood import Graded, Lasting
from sawbill.checks.strength.beams import Layer
from sawbill.checks.strength.calculation import Calculation
from sawbill.trade.design_values import MPA_PER_PSI, NdsValues

_PSI = "psi"


def _listed(sheet: Calculation, wood: Graded, symbol: str, name: str, value: float) -> None:
    """A reference value as it is printed, in psi, and in MPa."""
    values = wood.values
    assert isinstance(values, NdsValues)
    material = wood.material
    species = material.species.name if material.species else ""
    if not any(line.symbol == _PSI for line in sheet.lines):
        sheet.given(_PSI, "one psi", MPA_PER_PSI, "MPa", "definition")
    sheet.given(f"{symbol}psi", f"{name} of {species} {values.grade}", round(value / MPA_PER_PSI, 3), "psi", "NDS",
                f"Supplement: {values.source.rsplit(', ', 1)[-1]}")  # fmt: skip
    sheet.reckon(symbol, f"{name}, in MPa", f"{symbol}psi * {_PSI}", "MPa", "definition")


def _values(wood: Graded) -> NdsValues:
    assert isinstance(wood.values, NdsValues)
    return wood.values


def bending(sheet: Calculation, wood: Graded, layer: Layer, span: float, lasting: Lasting) -> None:
    """Fb' (Table 4.3.1); b and d are there."""
    values, section = _values(wood), wood.material.section
    _listed(sheet, wood, "Fb", "bending design value", values.fb)
    sheet.given("CD", "load duration factor", lasting.cd, "", "NDS", "Table 2.3.2")
    sheet.given("CF", "size factor", nds.size_factor(values, section), "", "NDS", "Supplement: Table 4A, 4B")
    flat = layer.depth < layer.width
    sheet.given(
        "Cfu", "flat use factor", nds.flat_use_factor(section) if flat else 1.0, "", "NDS", "Supplement: 4A, 4B"
    )
    sheet.reckon("Fbs", "Fb*: all factors but Cfu and CL", "Fb * CD * CF", "MPa", "NDS", "3.3.3.8")
    if layer.depth > max(layer.width, layer.backed):
        _stability(sheet, wood, layer, span)
    else:
        sheet.given("CL", "beam stability factor: no deeper than wide", 1.0, "", "NDS", "3.3.3.1")
    sheet.reckon("Fb'", "adjusted bending design value", "Fbs * Cfu * CL", "MPa", "NDS", "Table 4.3.1")


def _stability(sheet: Calculation, wood: Graded, layer: Layer, span: float) -> None:
    _listed(sheet, wood, "Emin", "modulus of elasticity for stability", _values(wood).e_min)
    sheet.given("lu", "length held sideways at its ends alone", span, "mm", "frame")
    formula = (
        "2.06 * lu" if span < 7 * layer.depth
        else "1.63 * lu + 3 * d" if span <= 14.3 * layer.depth else "1.84 * lu"
    )  # fmt: skip
    sheet.reckon("le", "effective length under any load", formula, "mm", "NDS", "Table 3.3.3, note 1")
    sheet.given("bb", "width with what is glued beside it", max(layer.width, layer.backed), "mm", "frame")
    sheet.reckon("RB", "slenderness ratio", "sqrt(le * d / bb^2)", "", "NDS", "3.3-5")
    sheet.reckon("FbE", "critical buckling value", "1.20 * Emin / RB^2", "MPa", "NDS", "3.3.3.8")
    sheet.reckon("ab", "ratio", "FbE / Fbs", "")
    formula = "(1 + ab) / 1.9 - sqrt(((1 + ab) / 1.9)^2 - ab / 0.95)"
    sheet.reckon("CL", "beam stability factor", formula, "", "NDS", "3.3-6")


def shear(sheet: Calculation, wood: Graded, lasting: Lasting) -> None:
    """Fv' (Table 4.3.1)."""
    _listed(sheet, wood, "Fv", "shear design value", _values(wood).fv)
    sheet.given("CD", "load duration factor", lasting.cd, "", "NDS", "Table 2.3.2")
    sheet.reckon("Fv'", "adjusted shear design value", "Fv * CD", "MPa", "NDS", "Table 4.3.1")


def bearing(sheet: Calculation, wood: Graded, long: float, ends: tuple[float, float]) -> None:
    """Fc-perp' (Table 4.3.1)."""
    _listed(sheet, wood, "Fcp", "Fc-perp: compression across the grain", _values(wood).fc_perp)
    if long < 6 * 25.4 and min(ends) >= 3 * 25.4:
        sheet.reckon("Cb", "bearing area factor: under 6 in long, 3 in or more from the end", "(lb + 9.525) / lb", "",
                     "NDS", "3.10-2")  # fmt: skip
    else:
        sheet.given("Cb", "bearing area factor", 1.0, "", "NDS", "3.10.4")
    sheet.reckon("Fcp'", "adjusted value; no load duration factor", "Fcp * Cb", "MPa", "NDS", "Table 4.3.1, 2.3.2")


def compression(sheet: Calculation, wood: Graded, number: int, lasting: Lasting) -> None:
    """Fc' of one load's height (3.7.1); its effective length le and the side d are there."""
    values, n = _values(wood), number
    if n == 1:
        _listed(sheet, wood, "Fc", "compression design value along the grain", values.fc)
        _listed(sheet, wood, "Emin", "modulus of elasticity for stability", values.e_min)
        sheet.given("CD", "load duration factor", lasting.cd, "", "NDS", "Table 2.3.2")
        factor = nds.size_factor(values, wood.material.section, compression=True)
        sheet.given("CF", "size factor", factor, "", "NDS", "Supplement: Table 4A, 4B")
        sheet.reckon("Fcs", "Fc*: all factors but CP", "Fc * CD * CF", "MPa", "NDS", "3.7.1.5")
    sheet.reckon(f"FcE{n}", "critical buckling value", f"0.822 * Emin / (le{n} / d)^2", "MPa", "NDS", "3.7.1.5")
    sheet.reckon(f"ac{n}", "ratio", f"FcE{n} / Fcs", "")
    formula = f"(1 + ac{n}) / 1.6 - sqrt(((1 + ac{n}) / 1.6)^2 - ac{n} / 0.8)"
    sheet.reckon(f"CP{n}", "column stability factor, c 0.8", formula, "", "NDS", "3.7-1")
    sheet.reckon(f"N{n}", "what the post bears at that height", f"A{n} * Fcs * CP{n}", "N", "NDS", "Table 4.3.1")
