"""Screws that carry alone, written out."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from typing import Final

from sawbill.checks.resistance import screws
from sawbill.checks.resistance.wood import Graded, Standard
from sawbill.checks.strength.calculation import Calculation, Source
from sawbill.checks.strength.reckoned import Reckoned
from sawbill.checks.strength.screws import TOO_SHORT
from sawbill.checks.strength.traces import ec5 as by_ec5
from sawbill.checks.strength.used import Used
from sawbill.trade import fasteners
from sawbill.trade.design_values import MPA_PER_PSI, NdsValues, StrengthClass
from sawbill.trade.frame import Screwed
from sawbill.trade.lengths import MM

_SHORT: Final[Mapping[Standard, tuple[Source, str]]] = {
    "NDS": ("NDS", "12.1.5.6"), "EC5": ("EC5", "8.7.2(3), from memory"),
}  # fmt: skip


def write_screws(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """The screws of a link, those alike together, as if the glue beside them had failed."""
    group = next(each for each in reckoned.screws if each.links[0] == used.row and each.part is used.part)
    names = []
    for number, row in enumerate(group.links, 1):
        link, force = reckoned.paths.links[row], float(reckoned.solved.forces[row, used.column])
        name = f"the {link.member.parts[0].name} on the {link.carrier.parts[0].name}, {link.kind}"
        sheet.given(f"P{number}", f"force between them, {name}", force, "N", "model")
        names.append(f"P{number}")
    alike: dict[tuple[str, float, float], list[Screwed]] = {}
    for joint in group.joints:
        alike.setdefault(_looks(reckoned, joint), []).append(joint)
    terms = []
    for number, ((size, _, _), same) in enumerate(alike.items(), 1):
        sheet.given(f"n{number}", f"screws alike, {size}", float(len(same)), "", "frame")
        write_screw(sheet, reckoned, number, same[0], used.standard)
        terms.append(f"n{number} * Z{number}")
    if used.standard == "NDS":
        sheet.given("CD", "load duration factor", used.lasting.cd, "", "NDS", "Table 2.3.2")
        bears = f"({' + '.join(terms)}) * CD"
    else:
        by_ec5.factors(sheet, used.lasting)
        bears = f"({' + '.join(terms)}) * kmod / gM / gQ"
    if sheet.reckon("Z'", "what they bear together", bears, "N"):
        sheet.reckon("used", "share used", f"abs({' + '.join(names)}) / Z'", "share of 1")
    else:
        sheet.given("used", "share used: told as so much, for they bear nothing", TOO_SHORT, "share of 1", "practice")


def write_screw(sheet: Calculation, reckoned: Reckoned, number: int, joint: Screwed, standard: Standard) -> None:
    """What one screw bears: Z with its number."""
    size, through, length = _looks(reckoned, joint)
    if standard == "NDS":
        sheet.given(f"D{number}", "their diameter", fasteners.screw_sizes()[size].diameter / MM, "mm", "frame")
    sheet.given(f"Dr{number}", "at the root of the thread", fasteners.screw_sizes()[size].root / MM, "mm", "frame")
    sheet.given(f"ts{number}", "through the first part", through, "mm", "frame")
    sheet.given(f"L{number}", "their length", length, "mm", "frame")
    diameter = fasteners.screw_sizes()[size].diameter / MM
    least = (screws.SHORT if standard == "NDS" else screws.EC5_SHORT) * diameter
    if length - through < least:
        sheet.given(f"pm{number}", "how far they must go into the second part, or they bear nothing", least, "mm",
                    *_SHORT[standard])  # fmt: skip
        sheet.given(f"Z{number}", "they go in by less", 0.0, "N", *_SHORT[standard])
        return
    side, main = _worst(reckoned, joint, standard)
    (_nds if standard == "NDS" else _ec5)(sheet, number, side, main)


def _looks(reckoned: Reckoned, joint: Screwed) -> tuple[str, float, float]:
    frame = reckoned.paths.frame
    return joint.size, frame.through(joint)[0] / MM, frame.screw_length(joint) / MM


def _worst(reckoned: Reckoned, joint: Screwed, standard: Standard) -> tuple[Graded, Graded]:
    """The woods in which a screw bears least: those with the least density."""
    woods = [reckoned.timber.woods(reckoned.paths.frame.by_key[key]) for key in joint.parts]
    pairs = [(a, b) for a, b in product(*woods) if a.standard == b.standard == standard]
    return min(pairs, key=lambda pair: sum(map(_density, pair)))


def _density(wood: Graded) -> float:
    return wood.values.gravity if isinstance(wood.values, NdsValues) else wood.values.rho_k


def _nds(sheet: Calculation, n: int, side: Graded, main: Graded) -> None:
    if n == 1:
        sheet.given("psi", "one psi", MPA_PER_PSI, "MPa", "definition")
    for symbol, each, which in (("Fes", side, "first"), ("Fem", main, "second")):
        assert isinstance(each.values, NdsValues)
        psi = round(16_600 * each.values.gravity**1.84 / 50) * 50.0
        name = f"dowel bearing strength of the {which} part, G {each.values.gravity:g}"
        sheet.given(f"{symbol}psi{n}", name, psi, "psi", "NDS", "Table 12.3.3, note 2")
        sheet.reckon(f"{symbol}{n}", "in MPa", f"{symbol}psi{n} * psi", "MPa", "definition")
    d = next(line.value for line in sheet.lines if line.symbol == f"D{n}") / 25.4
    yields = next((psi for most, psi in screws.FYB if d <= most), screws.FYB[-1][1])
    sheet.given(f"Fybpsi{n}", "bending yield strength", yields, "psi", "NDS", "Table I1")
    sheet.reckon(f"Fyb{n}", "in MPa", f"Fybpsi{n} * psi", "MPa", "definition")
    sheet.reckon(f"p{n}", "how far they go into the second part", f"L{n} - ts{n}", "mm", "NDS", "12.1.5.6")
    sheet.reckon(f"tm{n}", "of that what bears, half of the tip left out", f"p{n} - D{n}", "mm", "NDS", "12.3.5.3")
    root = next(line.value for line in sheet.lines if line.symbol == f"Dr{n}") / 25.4
    if root <= 0.17:
        sheet.given(f"KD{n}", "reduction term, up to 0.17 in", 2.2, "", "NDS", "Table 12.3.1B")
    else:
        sheet.reckon(f"KD{n}", "reduction term", f"10 * Dr{n} / 25.4 + 0.5", "", "NDS", "Table 12.3.1B")
    write_yield_modes(sheet, n, "Dr")


def write_yield_modes(sheet: Calculation, n: int, root: str) -> None:
    """Z, the least of six, of what is there under the number n; root: what goes into the equations as the diameter."""

    def reckon(symbol: str, name: str, formula: str, clause: str) -> None:
        for each in ("Fem", "Fes", "Fyb", "KD", "Dr", "Re", "Rt", "ts", "tm", "k1", "k2", "k3"):
            known = root if each == "Dr" else each
            formula = formula.replace(f"[{each}]", f"{known}{n}" if each[0] != "k" else f"{each}x{n}")
        sheet.reckon(symbol, name, formula, "N" if symbol.startswith("Z") else "", "NDS", clause)

    note = "Table 12.3.1A, note"
    reckon(f"Re{n}", "", "[Fem] / [Fes]", note)
    reckon(f"Rt{n}", "", "[tm] / [ts]", note)
    rocking = "(sqrt([Re] + 2 * [Re]^2 * (1 + [Rt] + [Rt]^2) + [Rt]^2 * [Re]^3) - [Re] * (1 + [Rt])) / (1 + [Re])"
    reckon(f"k1x{n}", "k1", rocking, note)
    hinge = "-1 + sqrt(2 * (1 + [Re]) + 2 * [Fyb] * (1 + 2 * [Re]) * [Dr]^2 / (3 * [Fem] * [tm]^2))"
    reckon(f"k2x{n}", "k2", hinge, note)
    hinge = "-1 + sqrt(2 * (1 + [Re]) / [Re] + 2 * [Fyb] * (2 + [Re]) * [Dr]^2 / (3 * [Fem] * [ts]^2))"
    reckon(f"k3x{n}", "k3", hinge, note)
    modes = (
        ("Im", "[Dr] * [tm] * [Fem] / [KD]"), ("Is", "[Dr] * [ts] * [Fes] / [KD]"),
        ("II", "[k1] * [Dr] * [ts] * [Fes] / [KD]"),
        ("IIIm", "[k2] * [Dr] * [tm] * [Fem] / ((1 + 2 * [Re]) * [KD])"),
        ("IIIs", "[k3] * [Dr] * [ts] * [Fem] / ((2 + [Re]) * [KD])"),
        ("IV", "[Dr]^2 / [KD] * sqrt(2 * [Fem] * [Fyb] / (3 * (1 + [Re])))"),
    )  # fmt: skip
    for number, (name, formula) in enumerate(modes, 1):
        reckon(f"Z{n}m{number}", f"mode {name}", formula, f"12.3-{number}")
    least = ", ".join(f"Z{n}m{number}" for number in range(1, 7))
    formula = f"min({least}) * min(1, p{n} / (10 * D{n}))"
    sheet.reckon(f"Z{n}", "the least of the six, less for a short hold", formula, "N", "NDS", "12.3.1, 12.1.5.6")


def _ec5(sheet: Calculation, n: int, side: Graded, main: Graded) -> None:
    sheet.reckon(f"d{n}", "effective diameter, 1.1 times the root", f"1.1 * Dr{n}", "mm", "EC5", "8.7.1(3)")
    sheet.reckon(f"t{n}", "how far they go into the second part", f"L{n} - ts{n}", "mm", "EC5", "8.3.1.1")
    for symbol, each in (("f1x", side), ("f2x", main)):
        assert isinstance(each.values, StrengthClass)
        name = f"characteristic density of {each.values.name}"
        sheet.given(f"r{symbol}{n}", name, each.values.rho_k, "kg/m3", "EN 338", "Table 1")
        sheet.reckon(f"{symbol}{n}", "embedment strength", f"0.082 * r{symbol}{n} / d{n}^0.3", "MPa", "EC5", "8.15")
    sheet.given(f"fu{n}", "tensile strength of screws", screws.FU_K, "MPa", "practice")
    sheet.reckon(f"My{n}", "yield moment", f"0.3 * fu{n} * d{n}^2.6", "N mm", "EC5", "8.14")
    sheet.reckon(f"be{n}", "beta", f"f2x{n} / f1x{n}", "", "EC5", "8.8")
    sheet.reckon(f"q{n}", "thickness over thickness", f"t{n} / ts{n}", "")
    b, f1, f2, d, t1, t2, my, q = (f"{each}{n}" for each in ("be", "f1x", "f2x", "d", "ts", "t", "My", "q"))
    modes = (
        f"{f1} * {t1} * {d}", f"{f2} * {t2} * {d}",
        f"{f1} * {t1} * {d} / (1 + {b})"
        f" * (sqrt({b} + 2 * {b}^2 * (1 + {q} + {q}^2) + {b}^3 * {q}^2) - {b} * (1 + {q}))",
        f"1.05 * {f1} * {t1} * {d} / (2 + {b})"
        f" * (sqrt(2 * {b} * (1 + {b}) + 4 * {b} * (2 + {b}) * {my} / ({f1} * {d} * {t1}^2)) - {b})",
        f"1.05 * {f1} * {t2} * {d} / (1 + 2 * {b})"
        f" * (sqrt(2 * {b}^2 * (1 + {b}) + 4 * {b} * (1 + 2 * {b}) * {my} / ({f1} * {d} * {t2}^2)) - {b})",
        f"1.15 * sqrt(2 * {b} / (1 + {b})) * sqrt(2 * {my} * {f1} * {d})",
    )  # fmt: skip
    for number, formula in enumerate(modes, 1):
        sheet.reckon(f"F{n}m{number}", f"mode {'abcdef'[number - 1]}, no rope effect", formula, "N", "EC5", "8.6")
    least = ", ".join(f"F{n}m{number}" for number in range(1, 7))
    sheet.reckon(f"Z{n}", "the least of the six", f"min({least})", "N", "EC5", "8.6")
