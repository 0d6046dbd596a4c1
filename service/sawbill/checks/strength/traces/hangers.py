"""The nails of hangers, written out."""

from __future__ import annotations

from sawbill.checks.resistance import nails
from sawbill.checks.resistance.wood import Graded
from sawbill.checks.strength.calculation import Calculation
from sawbill.checks.strength.hangers import carrying, hanger_of, nailed
from sawbill.checks.strength.reckoned import Reckoned
from sawbill.checks.strength.traces import ec5
from sawbill.checks.strength.traces.joints import write_force
from sawbill.checks.strength.traces.screws import write_yield_modes
from sawbill.checks.strength.used import Used
from sawbill.trade.design_values import MPA_PER_PSI, NdsValues, StrengthClass
from sawbill.trade.lengths import MM


def write_hangers(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """The nails of one hanger."""
    link = write_force(sheet, reckoned, used)
    hanger = hanger_of(link)
    assert hanger is not None
    woods = reckoned.timber.woods(carrying(reckoned.paths, link))
    wood = min((each for each in woods if each.standard == used.standard), key=lambda each: nailed(each, hanger))
    sheet.given("n", f"nails of the hanger {hanger.name}; its steel is its maker's to tell", float(hanger.face_nails),
                "", "frame")  # fmt: skip
    sheet.given("D1", "their diameter", nails.DIAMETER, "mm", "practice")
    sheet.given("L1", "their length", hanger.nail_length / MM, "mm", "frame")
    sheet.given("ts1", "thickness of the steel", nails.STEEL, "mm", "practice")
    (_nds if used.standard == "NDS" else _ec5)(sheet, wood)
    if used.standard == "NDS":
        sheet.given("CD", "load duration factor", used.lasting.cd, "", "NDS", "Table 2.3.2")
        sheet.reckon("Z'", "what they bear together", "n * Z1 * CD", "N", "NDS", "Table 11.3.1")
    else:
        ec5.factors(sheet, used.lasting)
        sheet.reckon("Z'", "what they bear together", "n * Fk * kmod / gM / gQ", "N", "EC5", "2.17")
    sheet.reckon("used", "share used", "P / Z'", "share of 1")


def _nds(sheet: Calculation, wood: Graded) -> None:
    assert isinstance(wood.values, NdsValues)
    sheet.given("psi", "one psi", MPA_PER_PSI, "MPa", "definition")
    name, bearing = f"dowel bearing strength of the wood, G {wood.values.gravity:g}", nails.nds_bearing
    sheet.given("Fempsi", name, bearing(wood.values.gravity), "psi", "NDS", "Table 12.3.3, note 2")
    sheet.reckon("Fem1", "in MPa", "Fempsi * psi", "MPa", "definition")
    sheet.given("Fespsi", "of the steel", nails.FE_STEEL, "psi", "NDS", "Table 12P")
    sheet.reckon("Fes1", "in MPa", "Fespsi * psi", "MPa", "definition")
    sheet.given("Fybpsi", "bending yield strength", nails.FYB, "psi", "NDS", "Table I1")
    sheet.reckon("Fyb1", "in MPa", "Fybpsi * psi", "MPa", "definition")
    sheet.given("KD1", "reduction term, up to 0.17 in", nails.KD, "", "NDS", "Table 12.3.1B")
    sheet.reckon("p1", "how far they go into the wood", "L1 - ts1", "mm", "NDS", "12.1.6.5")
    sheet.reckon("tm1", "of that what bears, half of the tip left out", "p1 - D1", "mm", "NDS", "12.3.5.3")
    write_yield_modes(sheet, 1, "D")


def _ec5(sheet: Calculation, wood: Graded) -> None:
    assert isinstance(wood.values, StrengthClass)
    sheet.given("r", f"characteristic density of {wood.values.name}", wood.values.rho_k, "kg/m3", "EN 338", "Table 1")
    sheet.reckon("fh", "embedment strength", "0.082 * r * D1^(-0.3)", "MPa", "EC5", "8.15")
    sheet.given("fu", "tensile strength of wire", nails.FU_K, "MPa", "practice")
    sheet.reckon("My", "yield moment", "0.3 * fu * D1^2.6", "N mm", "EC5", "8.14")
    sheet.reckon("Fa", "mode a, thin plate", "0.4 * fh * (L1 - ts1) * D1", "N", "EC5", "8.9")
    sheet.reckon("Fb", "mode b, without the rope effect", "1.15 * sqrt(2 * My * fh * D1)", "N", "EC5", "8.9")
    sheet.reckon("Fk", "the lesser", "min(Fa, Fb)", "N", "EC5", "8.9")
