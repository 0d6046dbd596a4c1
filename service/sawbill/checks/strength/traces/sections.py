"""Beams at holes, and beams that are twisted, written out."""

from __future__ import annotations

from sawbill.checks.resistance import torsion
from sawbill.checks.resistance.wood import Graded
from sawbill.checks.strength.calculation import Calculation, Source
from sawbill.checks.strength.holes import at_node
from sawbill.checks.strength.reckoned import Reckoned
from sawbill.checks.strength.traces import ec5, nds
from sawbill.checks.strength.traces.bending import write_bending
from sawbill.checks.strength.traces.members import write_forces, write_moment_at
from sawbill.checks.strength.twist import Twisted
from sawbill.checks.strength.used import Used
from sawbill.trade.design_values import NdsValues


def write_net_section(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """Bending of what holes leave of a beam."""
    there = at_node(reckoned.weakened, used)
    layer, bores = there.layer, there.bores
    forces = write_forces(sheet, reckoned, used.member, used.column)
    write_moment_at(sheet, forces, float(reckoned.model.nodes.places[used.row]), "where the holes are")
    sheet.given("b", "width", layer.width, "mm", "frame")
    sheet.given("d", "depth", layer.depth, "mm", "frame")
    sheet.given("s", "its share of the moment, by stiffness", there.share, "", "model")
    sheet.given("D", "diameter of a hole, with its play", bores.hole, "mm", "frame")
    width = "b"
    if bores.down:
        sheet.given("nd", "holes that run upright", float(bores.down), "", "frame")
        sheet.reckon("bn", "width between them", "b - nd * D", "mm")
        width = "bn"
    clause: tuple[Source, str] = ("NDS", "3.1.2") if used.standard == "NDS" else ("EC5", "5.2")
    if bores.heights:
        for n, height in enumerate(bores.heights, 1):
            sheet.given(f"z{n}", "height of a hole over the lower edge", height, "mm", "frame")
        arms = [f"(z{n} - d / 2)" for n in range(1, len(bores.heights) + 1)]
        holes, squares = " + ".join(arms), " + ".join(f"{arm}^2" for arm in arms)
        count = len(arms)
        sheet.reckon("An", "net area", f"{width} * (d - {count} * D)", "mm2", *clause)
        sheet.reckon("e", "how far its middle moves", f"abs({width} * D * ({holes}) / An)", "mm")
        inertia = f"{width} * d^3 / 12 - {count} * {width} * D^3 / 12 - {width} * D * ({squares}) - An * e^2"
        sheet.reckon("In", "net moment of inertia", inertia, "mm4")
        sheet.reckon("S", "net section modulus", "In / (d / 2 + e)", "mm3")
    else:
        sheet.reckon("S", "net section modulus", f"{width} * d^2 / 6", "mm3", *clause)
    span = there.beam.span
    wood = min(
        (each for each in layer.woods if each.standard == used.standard),
        key=lambda each: layer.bears("bending", each, span, used.lasting),
    )
    write_bending(sheet, wood, layer, span, used.lasting, "s * M")


def write_torsion(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """What twists a beam at one of its holds."""
    there = _there(reckoned, used)
    terms = []
    for n, (number, (arm, lever)) in enumerate(there.arms.items(), 1):
        link, force = reckoned.paths.links[number], float(reckoned.solved.forces[number, used.column])
        if force:
            sheet.given(f"P{n}", f"force of the {link.member.parts[0].name} on it", force, "N", "model")
            sheet.given(f"e{n}", "how far beside the middle of what holds the beam", arm, "mm", "frame")
            sheet.given(f"c{n}", "how much of it comes to this hold, by the lever", lever, "", "frame")
            terms.append(f"P{n} * e{n} * c{n}")
    sheet.reckon("T", "twist at the hold", f"abs({' + '.join(terms)})", "N mm")
    layer = next(each for each in there.layers if each.part is used.part)
    b, h = sorted((layer.width, layer.depth))
    sheet.given("b", "shorter side", b, "mm", "frame")
    sheet.given("h", "longer side", h, "mm", "frame")
    sheet.given("s", "its share, by stiffness against twist", there.share(layer), "", "model")
    form = "1 + 0.6095 * b / h + 0.8865 * (b / h)^2 - 1.8023 * (b / h)^3 + 0.91 * (b / h)^4"
    name = "shear stress in the middle of the longer sides (Roark, Formulas for Stress and Strain)"
    sheet.reckon("tau", name, f"s * T / (b^2 * h) * 3 * ({form})", "MPa")
    wood = min(
        (each for each in layer.woods if each.standard == used.standard),
        key=lambda each: torsion.strength(each, b, h, used.lasting),
    )
    _strength(sheet, wood, used)


def _strength(sheet: Calculation, wood: Graded, used: Used) -> None:
    if isinstance(wood.values, NdsValues):
        nds.shear(sheet, wood, used.lasting)
        sheet.reckon("used", "share used; the NDS has no clause on torsion", "tau / Fv'", "share of 1")
        return
    ec5.listed(sheet, wood, "fvk", "characteristic shear strength", wood.values.fv_k)
    ec5.factors(sheet, used.lasting)
    sheet.given("most", "the most that the shape counts", torsion.SHAPE_MOST, "", "EC5", "6.15, from memory")
    sheet.reckon("kshape", "factor of its shape", "min(1 + 0.05 * h / b, most)", "", "EC5", "6.15")
    sheet.reckon(
        "ft'", "what it bears, of the loads as they are", "kshape * fvk * kmod / gM / gQ", "MPa", "EC5", "6.14"
    )
    sheet.reckon("used", "share used", "tau / ft'", "share of 1")


def _there(reckoned: Reckoned, used: Used) -> Twisted:
    """The hold that is twisted most in the column of a use."""

    def moment(each: Twisted) -> float:
        return abs(sum(
            arm * lever * float(reckoned.solved.forces[number, used.column])
            for number, (arm, lever) in each.arms.items()
        ))  # fmt: skip

    holds = [
        each for each in reckoned.twisted
        if each.beam.member is used.member and any(layer.part is used.part for layer in each.layers)
    ]  # fmt: skip
    return max(holds, key=moment)
