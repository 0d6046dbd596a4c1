"""Pushes outward and from below, written out."""

from __future__ import annotations

from sawbill.checks.resistance import pulled
from sawbill.checks.resistance.wood import Graded
from sawbill.checks.strength.beams import Layer
from sawbill.checks.strength.calculation import Calculation, Source
from sawbill.checks.strength.pushes.demands import LASTING, PAD, Asked, Bent, Comes, Couple, Pulled
from sawbill.checks.strength.traces import ec5, nds
from sawbill.checks.strength.traces.bending import write_bending
from sawbill.trade.design_values import NdsValues, StrengthClass


def written_push(asked: Asked, title: str) -> Calculation:
    """What a push uses of one part."""
    demand = asked.demand
    name = demand.part.name if isinstance(demand, Bent) else demand.held
    sheet = Calculation(demand.rule, asked.wood.standard, title, name, demand.when)
    if isinstance(demand, Bent):
        _bent(sheet, demand, asked.wood)
    else:
        _pulled(sheet, demand, asked.wood)
    return sheet


def _comes(sheet: Calculation, force: Comes) -> None:
    """What comes to a place, as P."""
    if not force.reach:
        sheet.given("P", "the push", force.push, "N", force.source)
        return
    sheet.given("P0", "the push", force.push, "N", force.source)
    sheet.given("a0", "how far beyond its last hold the board is pushed", force.reach, "mm", "frame")
    sheet.given("L0", "from there to the next hold", force.span, "mm", "frame")
    sheet.reckon("P", "what comes to it, by the lever", "P0 * (1 + a0 / L0)", "N")


def _bent(sheet: Calculation, demand: Bent, wood: Graded) -> None:
    _comes(sheet, demand.force)
    if demand.span:
        sheet.given("L", "between what holds it", demand.span, "mm", "frame")
        sheet.given("w", "width of the pad that pushes", PAD, "mm", "EN 747", "4.4.1")
        moment = "P * max(L / 4 - w / 8, L / 8)"
        if len(demand.tied) > 1:
            _tied(sheet, demand)
            moment = f"c * {moment}"
        sheet.reckon("M", "moment in the middle", moment, "N mm")
    else:
        sheet.given("a", "how far beyond its hold it is pushed", demand.reach, "mm", "frame")
        sheet.reckon("M", "moment at its hold", "P * a", "N mm")
    sheet.given("b", "width, across the push", demand.wide, "mm", "frame")
    sheet.given("d", "thickness, along the push", demand.thick, "mm", "frame")
    sheet.given("n", "layers alike", float(demand.layers), "", "frame")
    sheet.given("h", "what holes of bolts take off the width, with their play", demand.hole, "mm", "frame")
    clause: tuple[Source, str] = ("NDS", "3.1.2") if wood.standard == "NDS" else ("EC5", "5.2")
    sheet.reckon("S", "section modulus, less the holes", "n * (b - h) * d^2 / 6", "mm3", *clause)
    layer = Layer(demand.part, demand.thick, demand.wide, demand.wide, (1.0,), (wood,))
    span = demand.span or 2 * demand.reach
    write_bending(sheet, wood, layer, span, LASTING, "M")


def _tied(sheet: Calculation, demand: Bent) -> None:
    """What an upright in the middle, which ties several boards together, leaves of the moment, as c."""
    count = len(demand.tied)
    for n, height in enumerate(demand.tied, 1):
        which = "this board" if n == 1 else "another that the upright ties to it"
        sheet.given(f"z{n}", f"height of {which}, over what holds the upright", height, "mm", "frame")
    squares = " + ".join(f"z{n}^2" for n in range(1, count + 1))
    name = "its share of a push at the upright: springs alike on a stiff bar, hinged where it is held"
    sheet.reckon("s", name, f"z1^2 / ({squares})", "")
    sheet.given("o", "how far the upright stands from the middle", demand.off, "mm", "frame")
    sheet.reckon("c", "of the moment without the upright, wherever along the board it is pushed",
                 "1 - (1 - max(0.75, s + (1 - s) / 5)) * min(1, max(0, 2 - 20 * o / L))", "")  # fmt: skip


def _pulled(sheet: Calculation, demand: Pulled, wood: Graded) -> None:
    pull = demand.pull
    _comes(sheet, pull.force)
    if isinstance(pull, Couple):
        sheet.given("l", "how high over the wood about which the upright turns", pull.lever, "mm", "frame")
        arms = sorted(pull.arms, reverse=True)
        for n, arm in enumerate(arms, 1):
            sheet.given(f"r{n}", "how far a fastener is from there", arm, "mm", "frame")
        squares = " + ".join(f"r{n}^2" for n in range(1, len(arms) + 1))
        sheet.reckon("T", "pull on the furthest", f"P * l * r1 / ({squares})", "N")
    else:
        sheet.given("n", "how many share it", float(pull.count), "", "frame")
        sheet.reckon("T", "pull on each", "P / n", "N")
    (_by_nds if wood.standard == "NDS" else _by_ec5)(sheet, demand, wood)
    sheet.reckon("used", "share used", "T / R'", "share of 1")


def _sizes(sheet: Calculation, demand: Pulled) -> None:
    one, other = demand.sizes[:2]
    if demand.kind == "washer":
        sheet.given("D", f"diameter of its washer, round head or flange, {demand.size}", one, "mm", "frame")
        sheet.given("h", "diameter of the hole in it", other, "mm", "frame")
        sheet.reckon("A", "area under it", "pi / 4 * (D^2 - h^2)", "mm2")
    elif demand.kind == "head":
        sheet.given("DH", f"diameter of the head, {demand.size}", one, "mm", "frame")
    else:
        sheet.given("D", f"diameter of the screw, {demand.size}", one, "mm", "frame")
        sheet.given("t", "thread in the wood, two thirds of the screw at most", other, "mm", "frame")


def _by_nds(sheet: Calculation, demand: Pulled, wood: Graded) -> None:
    assert isinstance(wood.values, NdsValues)
    _sizes(sheet, demand)
    if demand.kind == "washer":
        if pulled.counts_longer(demand.sizes[0], demand.sizes[2]):
            sheet.given("lb", "length of the face along the grain: its diameter", demand.sizes[0], "mm", "frame")
        nds.bearing(sheet, wood, demand.sizes[0], (demand.sizes[2], demand.sizes[2]))
        sheet.reckon("R'", "what the wood bears", "Fcp' * A", "N", "NDS", "3.10.2")
        return
    sheet.given("G", "specific gravity", wood.values.gravity, "", "NDS", "Table 12.3.3A")
    sheet.given("lb", "one pound of force", pulled.LB, "N", "definition")
    if demand.kind == "thread":
        sheet.reckon("W", "withdrawal", "2850 * G^2 * D / 25.4 * t / 25.4 * lb", "N", "NDS", "12.2-2")
    elif demand.sizes[1] <= 2.5 * demand.sizes[0]:
        sheet.given("ts", "thickness under the head", demand.sizes[1], "mm", "frame")
        sheet.reckon("W", "head pull-through", "690 * pi * DH / 25.4 * G^2 * ts / 25.4 * lb", "N", "NDS", "12.2-6")
    else:
        sheet.reckon("W", "head pull-through", "1725 * pi * (DH / 25.4)^2 * G^2 * lb", "N", "NDS", "12.2-6")
    sheet.given("CD", "load duration factor", LASTING.cd, "", "NDS", "Table 2.3.2")
    sheet.reckon("R'", "adjusted value", "W * CD", "N", "NDS", "Table 11.3.1")


def _by_ec5(sheet: Calculation, demand: Pulled, wood: Graded) -> None:
    values = wood.values
    assert isinstance(values, StrengthClass)
    _sizes(sheet, demand)
    if demand.kind == "washer":
        name = f"characteristic strength across the grain of {values.name}"
        sheet.given("fc90k", name, values.fc_90_k, "MPa", "EN 338", "Table 1")
        sheet.reckon("Rk", "what the wood under it bears", "3 * fc90k * A", "N", "EC5", "8.5.2(2)")
    else:
        sheet.given("r", f"characteristic density of {values.name}", values.rho_k, "kg/m3", "EN 338", "Table 1")
        if demand.kind == "head":
            sheet.given("fh", "pull-through parameter of makers, at 350 kg/m3", pulled.F_HEAD, "MPa", "practice")
            sheet.reckon("Rk", "head pull-through", "fh * DH^2 * (r / 350)^0.8", "N", "EC5", "8.40b")
        else:
            sheet.reckon("fax", "withdrawal parameter", "0.52 * D^(-0.5) * t^(-0.1) * r^0.8", "MPa", "EC5", "8.39")
            sheet.reckon("Rk", "withdrawal", "fax * D * t * min(D / 8, 1)", "N", "EC5", "8.38")
    ec5.factors(sheet, LASTING)
    sheet.reckon("R'", "what it bears, of the loads as they are", "Rk * kmod / gM / gQ", "N", "EC5", "2.17")
