"""What keeps its shape, written out: how far the worst span sags, how slender the most slender post is."""

from __future__ import annotations

from typing import Final

from sawbill.checks.resistance.least_distances import LISTED
from sawbill.checks.resistance.wood import Standard
from sawbill.checks.strength.beams import SAG, Sag
from sawbill.checks.strength.calculation import Calculation, Source
from sawbill.checks.strength.joints import Near
from sawbill.checks.strength.posts import SLENDER, Post
from sawbill.checks.strength.reckoned import Reckoned
from sawbill.checks.strength.traces.members import write_moment, write_way
from sawbill.checks.strength.used import Used
from sawbill.trade.design_values import NdsValues
from sawbill.trade.lengths import MM

_SCREWS: Final = {"NDS": "12.1.5.7, its commentary, from memory", "EC5": "Table 8.2"}


def written_sag(reckoned: Reckoned, sag: Sag) -> Calculation:
    """The sag of the worst span: that of an even load with the same moment in the middle."""
    beam = next(beam for beam in reckoned.beams if beam.member is sag.member)
    case, widest = reckoned.columns.case(sag.column), max(sag.member.parts, key=lambda part: part.width)
    sheet = Calculation("sag", "practice", "Sag", widest.name, case.when)
    write_way(sheet, reckoned, sag.column)
    write_moment(sheet, reckoned, Used("sag", "NDS", 0.0, sag.member, case.lasting, sag.row, column=sag.column))
    there = [layer for layer in beam.layers if layer.shares[sag.least] > 0]
    for n, layer in enumerate(there, 1):
        wood = min(layer.woods, key=lambda wood: wood.elasticity)
        by_nds = isinstance(wood.values, NdsValues)
        sheet.given(
            f"E{n}", f"modulus of elasticity of the {layer.part.name}", wood.elasticity, "MPa",
            "NDS" if by_nds else "EN 338", "Supplement: Table 4A, 4B" if by_nds else "Table 1",
        )  # fmt: skip
        inertia = layer.width * layer.depth**3 / 12
        sheet.given(f"I{n}", f"{layer.part.name}: b d^3 / 12", inertia, "mm4", "frame")
    stiff = " + ".join(f"E{n} * I{n}" for n in range(1, len(there) + 1))
    sheet.reckon("EI", "what resists, where that is least in the span", stiff, "N mm2")
    sheet.given("L", "span", sag.span, "mm", "frame")
    sheet.reckon("f", "sag, as of an even load with this moment in the middle", "5 * M * L^2 / (48 * EI)", "mm")
    sheet.reckon("most", "what it may sag by", f"L / {SAG}", "mm", "practice")
    sheet.reckon("used", "share used", "f / most", "share of 1")
    return sheet


def written_distance(rule: str, standard: Standard, near: Near) -> Calculation:
    """The shortest distance of fasteners, for what it should be."""
    distance, bolts = near.distance, rule == "bolt-distance"
    name = max(near.member.parts, key=lambda part: part.width).name
    what = "bolts" if bolts else "screws"
    sheet = Calculation(rule, standard, f"Distances of {what} that carry", name, "it bears anything")
    source: Source = "NDS" if standard == "NDS" else "EC5"
    table = {"NDS": "Tables 12.5.1A to D", "EC5": "Table 8.4"} if bolts else _SCREWS
    if bolts and standard == "EC5" and distance.least == LISTED:
        sheet.given(
            "least", "the least of a loaded end, whatever the diameter", LISTED / MM, "mm", source, table[standard]
        )
    else:
        sheet.given("D", f"diameter of the {what}", near.diameter / MM, "mm", "frame")
        sheet.given("n", "the least, in diameters", distance.least / near.diameter, "", source, table[standard])
        sheet.reckon("least", "the least", "n * D", "mm")
    sheet.given("found", f"from the middle of one to the {distance.kind} in the {distance.part}", distance.found / MM,
                "mm", "frame")  # fmt: skip
    sheet.reckon("used", "share used", "least / found", "share of 1")
    return sheet


def side_words(post: Post) -> str:
    """What is said of the side by which a post gives way."""
    less = ", as thin as makes it as flexible as its housings do" if post.housed else ""
    return f"the side by which it gives way{less}"


def written_slender(post: Post) -> Calculation:
    """How slender a post is, if it cannot sway."""
    name = max(post.member.parts, key=lambda part: part.width).name
    sheet = Calculation("slender-post", "NDS", "Slender posts", name, "it bears anything")
    sheet.given("h", "how high the highest of what it bears is", post.height, "mm", "frame")
    sheet.given("d", side_words(post), post.side, "mm", "frame")
    sheet.reckon("ratio", "slenderness ratio, if it cannot sway: Ke 1", "h / d", "", "NDS", "3.7.1.3")
    sheet.given("most", "what it may be", float(SLENDER), "", "NDS", "3.7.1.4")
    sheet.reckon("used", "share used", "ratio / most", "share of 1")
    return sheet
