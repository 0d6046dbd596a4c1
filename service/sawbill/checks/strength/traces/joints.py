"""Bolts across, the wood at them and faces across the grain, written out."""

from __future__ import annotations

from sawbill.checks.members import Support
from sawbill.checks.resistance import bolts
from sawbill.checks.resistance.timber import END
from sawbill.checks.resistance.wood import AtBolt, Graded
from sawbill.checks.strength.calculation import Calculation, Source
from sawbill.checks.strength.joints import faces_of
from sawbill.checks.strength.reckoned import Reckoned
from sawbill.checks.strength.traces import ec5 as by_ec5
from sawbill.checks.strength.traces import nds as by_nds
from sawbill.checks.strength.used import Used
from sawbill.trade.design_values import MPA_PER_PSI, NdsValues, StrengthClass
from sawbill.trade.lengths import MM


def write_force(sheet: Calculation, reckoned: Reckoned, used: Used) -> Support:
    """What is pressed from one member onto the other at a link."""
    link = reckoned.paths.links[used.row]
    force = abs(float(reckoned.solved.forces[used.row, used.column]))
    name = f"the {link.member.parts[0].name} on the {link.carrier.parts[0].name}"
    sheet.given("P", f"force between them, {name}", force, "N", "model")
    return link


def write_bearing(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """Wood pressed across its grain."""
    write_force(sheet, reckoned, used)
    face = next(each for each in faces_of(reckoned.paths) if each.link == used.row and each.part is used.part)
    wood = min((each for each in reckoned.timber.woods(face.part) if each.standard == used.standard), key=face.bears)
    long, wide, one, other, before, after = face.sizes
    sheet.given("s", "share of this face in that", face.share, "", "frame")
    sheet.given("lb", "length of the face along the grain", long, "mm", "frame")
    sheet.given("b", "width of the face", wide, "mm", "frame")
    if used.standard == "NDS":
        by_nds.bearing(sheet, wood, long, (one, other))
        sheet.reckon("fcp", "stress across the grain", "s * P / (lb * b)", "MPa", "NDS", "3.10.2")
        sheet.reckon("used", "share used", "fcp / Fcp'", "share of 1")
    else:
        by_ec5.bearing(sheet, wood, (before, after), used.lasting)
        sheet.reckon("sc90", "stress across the grain", "s * P / (lef * b)", "MPa", "EC5", "6.4")
        sheet.reckon("used", "share used", "sc90 / fc90'", "share of 1")


def write_bolts(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """The bolts of a link by their yield modes."""
    link = write_force(sheet, reckoned, used)
    held = reckoned.timber.held(link)
    assert held is not None
    pairs = [pair for pair in reckoned.timber.at_bolts(link) if pair[2] == used.standard]
    side, main, _, _ = min(pairs, key=lambda pair: pair[3])
    d = reckoned.timber.diameter(link) / MM
    sheet.given("D", "diameter of the bolts", d, "mm", "frame")
    sheet.given("ts", f"thickness of the {link.member.parts[0].name} along it", side.thickness, "mm", "frame")
    sheet.given("tm", f"thickness of the {link.carrier.parts[0].name} along it", main.thickness, "mm", "frame")
    source: tuple[Source, str] = ("NDS", "12.5.1") if used.standard == "NDS" else ("EC5", "8.5.1.1")
    sheet.given(
        "n", "as how many bolts they count, for their distances", held.counted[used.standard].count, "", *source
    )
    if used.standard == "NDS":
        write_nds_modes(sheet, side, main, d)
        sheet.given("CD", "load duration factor", used.lasting.cd, "", "NDS", "Table 2.3.2")
        sheet.reckon("Z'", "adjusted value of a bolt", "Z * CD", "N", "NDS", "Table 11.3.1")
        sheet.reckon("used", "share used", "P / (n * Z')", "share of 1")
    else:
        write_ec5_modes(sheet, side, main)
        by_ec5.factors(sheet, used.lasting)
        sheet.reckon("F'", "what a bolt bears, of the loads as they are", "FvRk * kmod / gM / gQ", "N", "EC5", "2.17")
        sheet.reckon("used", "share used", "P / (n * F')", "share of 1")


def write_nds_modes(sheet: Calculation, side: AtBolt, main: AtBolt, d: float) -> None:
    """Z, the least of six (Table 12.3.1A)."""
    if not any(line.symbol == "psi" for line in sheet.lines):
        sheet.given("psi", "one psi", MPA_PER_PSI, "MPa", "definition")
    for symbol, each, which in (("Fes", side, "side"), ("Fem", main, "main")):
        values = each.wood.values
        assert isinstance(values, NdsValues)
        strength = bolts.nds_bearing(bolts.Side(each.thickness, each.along, values.gravity), d) / MPA_PER_PSI
        grain = "along" if each.along else "across"
        name = f"dowel bearing strength of the {which} member, G {values.gravity:g}, {grain} its grain"
        sheet.given(f"{symbol}psi", name, round(strength), "psi", "NDS", "Table 12.3.3, note 2")
        sheet.reckon(symbol, "in MPa", f"{symbol}psi * psi", "MPa", "definition")
    sheet.given(
        "Fybpsi", "bending yield strength of bolts", 45_000, "psi", "NDS", "Appendix I; extrapolated below 1/2 in"
    )
    sheet.reckon("Fyb", "in MPa", "Fybpsi * psi", "MPa", "definition")
    theta = 1.0 if side.along and main.along else 1.25
    sheet.given("Kt", "K-theta: 1 + angle to the grain / 360", theta, "", "NDS", "Table 12.3.1B")
    sheet.reckon("Re", "", "Fem / Fes", "", "NDS", "Table 12.3.1A")
    sheet.reckon("Rt", "", "tm / ts", "", "NDS", "Table 12.3.1A")
    rocking = "(sqrt(Re + 2 * Re^2 * (1 + Rt + Rt^2) + Rt^2 * Re^3) - Re * (1 + Rt)) / (1 + Re)"
    sheet.reckon("k1", "", rocking, "", "NDS", "Table 12.3.1A, note")
    hinge = "-1 + sqrt(2 * (1 + Re) + 2 * Fyb * (1 + 2 * Re) * D^2 / (3 * Fem * tm^2))"
    sheet.reckon("k2", "", hinge, "", "NDS", "Table 12.3.1A, note")
    hinge = "-1 + sqrt(2 * (1 + Re) / Re + 2 * Fyb * (2 + Re) * D^2 / (3 * Fem * ts^2))"
    sheet.reckon("k3", "", hinge, "", "NDS", "Table 12.3.1A, note")
    modes = (
        ("Im", "D * tm * Fem / (4 * Kt)"), ("Is", "D * ts * Fes / (4 * Kt)"), ("II", "k1 * D * ts * Fes / (3.6 * Kt)"),
        ("IIIm", "k2 * D * tm * Fem / ((1 + 2 * Re) * 3.2 * Kt)"),
        ("IIIs", "k3 * D * ts * Fem / ((2 + Re) * 3.2 * Kt)"),
        ("IV", "D^2 / (3.2 * Kt) * sqrt(2 * Fem * Fyb / (3 * (1 + Re)))"),
    )  # fmt: skip
    for number, (name, formula) in enumerate(modes, 1):
        sheet.reckon(f"Z{number}", f"mode {name}", formula, "N", "NDS", f"12.3-{number}")
    sheet.reckon("Z", "the least of the six", "min(Z1, Z2, Z3, Z4, Z5, Z6)", "N", "NDS", "12.3.1")


def write_ec5_modes(sheet: Calculation, side: AtBolt, main: AtBolt) -> None:
    """FvRk, the least of six (8.6)."""
    for number, each in enumerate((side, main), 1):
        values = each.wood.values
        assert isinstance(values, StrengthClass)
        sheet.given(f"r{number}", f"characteristic density of {values.name} [kg/m3]", values.rho_k, "kg/m3", "EN 338",
                    "Table 1")  # fmt: skip
        along = "0.082 * (1 - 0.01 * D) * r" + str(number)
        formula = along if each.along else f"{along} / (1.35 + 0.015 * D)"
        grain = "along" if each.along else "across"
        sheet.reckon(f"fh{number}", f"embedment strength, {grain} the grain", formula, "MPa", "EC5", "8.31 to 8.33")
    sheet.given("fuk", "tensile strength of bolts of class 4.6", bolts.FU_K, "MPa", "practice")
    sheet.reckon("My", "yield moment", "0.3 * fuk * D^2.6", "N mm", "EC5", "8.30")
    sheet.reckon("be", "beta", "fh2 / fh1", "", "EC5", "8.8")
    sheet.reckon("t", "tm over ts", "tm / ts", "")
    modes = (
        "fh1 * ts * D", "fh2 * tm * D",
        "fh1 * ts * D / (1 + be) * (sqrt(be + 2 * be^2 * (1 + t + t^2) + be^3 * t^2) - be * (1 + t))",
        "1.05 * fh1 * ts * D / (2 + be) * (sqrt(2 * be * (1 + be) + 4 * be * (2 + be) * My / (fh1 * D * ts^2)) - be)",
        "1.05 * fh1 * tm * D / (1 + 2 * be) * (sqrt(2 * be^2 * (1 + be) + 4 * be * (1 + 2 * be) * My"
        " / (fh1 * D * tm^2)) - be)",
        "1.15 * sqrt(2 * be / (1 + be)) * sqrt(2 * My * fh1 * D)",
    )  # fmt: skip
    for number, formula in enumerate(modes, 1):
        sheet.reckon(f"F{number}", f"mode {'abcdef'[number - 1]}, without the rope effect", formula, "N", "EC5", "8.6")
    sheet.reckon("FvRk", "the least of the six", "min(F1, F2, F3, F4, F5, F6)", "N", "EC5", "8.6")


def write_bolted_end(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """Wood that bolts carry, before it splits."""
    link = write_force(sheet, reckoned, used)
    terms = []
    for number, (wood, depth, width, effective, near) in enumerate(reckoned.timber.at_splits(link, used.standard), 1):
        sheet.given(f"b{number}", "width of the part", width, "mm", "frame")
        sheet.given(f"d{number}", "its depth", depth, "mm", "frame")
        sheet.given(f"de{number}", "from the edge it presses on to the furthest bolt", effective, "mm", "frame")
        terms.append(_splits(sheet, wood, number, near=near, whole=effective >= depth))
    sheet.reckon("V'", "what they bear together", " + ".join(terms), "N")
    if used.standard == "NDS":
        sheet.given("CD", "load duration factor", used.lasting.cd, "", "NDS", "Table 2.3.2")
        sheet.reckon("used", "share used", "P / (V' * CD)", "share of 1")
    else:
        by_ec5.factors(sheet, used.lasting)
        sheet.reckon("used", "share used", "P / (V' * kmod / gM / gQ)", "share of 1")


def _splits(sheet: Calculation, wood: Graded, number: int, *, near: bool, whole: bool) -> str:
    n, values = number, wood.values
    if isinstance(values, NdsValues):
        sheet.given(f"Fv{n}", f"shear design value of {values.grade}", values.fv, "MPa", "NDS", "Supplement")
        formula = f"2 / 3 * Fv{n} * b{n} * de{n}"
        if near:
            formula += f" * (de{n} / d{n})^2"
        name = f"within {END} depths of the end" if near else f"further than {END} depths from the end"
        sheet.reckon(f"V{n}", name, formula, "N", "NDS", "3.4-6" if near else "3.4-7")
    elif whole:
        sheet.given(f"V{n}", "no wood that could split", 1e12, "N", "EC5", "8.1.4")
    else:
        formula = f"14 * b{n} * sqrt(de{n} / (1 - de{n} / d{n}))"
        sheet.reckon(f"V{n}", "splitting capacity", formula, "N", "EC5", "8.4")
    return f"V{n}"
