"""The calculation of every utilisation, written out so that one can follow it by hand.

Made only when asked for: each is reckoned anew from its printed formulas, and so is a second reckoning of the finding.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding
from sawbill.checks.resistance.wood import SOURCES, Graded
from sawbill.checks.site import Site
from sawbill.checks.strength.beams import Layer
from sawbill.checks.strength.calculation import Calculation
from sawbill.checks.strength.findings import most_slender
from sawbill.checks.strength.pushes.demands import Rule
from sawbill.checks.strength.reckoned import Reckoned, reckon
from sawbill.checks.strength.traces import ec5, nds
from sawbill.checks.strength.traces.bending import write_bending
from sawbill.checks.strength.traces.hangers import write_hangers
from sawbill.checks.strength.traces.joints import write_bearing, write_bolted_end, write_bolts
from sawbill.checks.strength.traces.members import write_moment, write_shear, write_way
from sawbill.checks.strength.traces.pushes import written_push
from sawbill.checks.strength.traces.racking import written_racking, written_sway
from sawbill.checks.strength.traces.screws import write_screws
from sawbill.checks.strength.traces.sections import write_net_section, write_torsion
from sawbill.checks.strength.traces.shape import side_words, written_distance, written_sag, written_slender
from sawbill.checks.strength.used import Used
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Materials


def calculations(frame: Frame, site: Site, materials: Materials, rules: Sequence[str]) -> Iterator[Calculation]:
    """Write out the utilisation of each of some rules, by each standard that it is held against."""
    reckoned = reckon(frame, site, materials)
    for (rule, standard), used in reckoned.worst.items() if reckoned else ():
        if reckoned and rule in rules:
            part = used.part or max(used.member.parts, key=lambda part: part.width)
            case = reckoned.columns.case(used.column)
            sheet = Calculation(rule, standard, _TITLES[rule], part.name, case.when)
            write_way(sheet, reckoned, used.column)
            _WRITERS[rule](sheet, reckoned, used)
            yield sheet
    for (pushed, _), asked in reckoned.asked.items() if reckoned else ():
        if pushed in rules:
            yield written_push(asked, _PUSHED[pushed])
    for rule, by in reckoned.nearest.items() if reckoned else ():
        if rule in rules:
            yield from (written_distance(rule, standard, near) for standard, near in by.items())
    if reckoned and "racking" in rules:
        yield from written_racking(reckoned)
    if reckoned and "sway" in rules:
        yield from written_sway(reckoned)
    if reckoned and "sag" in rules and reckoned.sag is not None:
        yield written_sag(reckoned, reckoned.sag)
    if reckoned and "slender-post" in rules and (slender := most_slender(reckoned.posts)) is not None:
        yield written_slender(slender)


def is_of(sheet: Calculation, finding: Finding) -> bool:
    """Whether a calculation is that of a finding; of rules told both ways, whether the way is the same."""
    sources: Mapping[str, str] = {"NDS": SOURCES["NDS"], "EC5": SOURCES["EC5"], "practice": PRACTICE}
    same_way = sheet.rule not in ("racking", "sway") or sheet.when in finding.message
    return same_way and (sheet.rule, sources[sheet.standard]) == (finding.rule, finding.source)


def _layer(reckoned: Reckoned, used: Used) -> tuple[Layer, float, Graded]:
    """The layer that is used most, the span of its beam, and the wood of it that bears least."""
    beam = next(beam for beam in reckoned.beams if beam.member is used.member)
    layer = next(layer for layer in beam.layers if layer.part is used.part)
    woods = [wood for wood in layer.woods if wood.standard == used.standard]
    return layer, beam.span, min(woods, key=lambda wood: layer.bears(used.rule, wood, beam.span, used.lasting))


def _sizes(sheet: Calculation, reckoned: Reckoned, used: Used, layer: Layer) -> None:
    sheet.given("b", "width", layer.width, "mm", "frame")
    sheet.given("d", "depth", layer.depth, "mm", "frame")
    beam = next(beam for beam in reckoned.beams if beam.member is used.member)
    share = layer.shares[used.row - beam.first]
    if len(beam.layers) == 1:
        return
    there = [each for each in beam.layers if each.shares[used.row - beam.first] > 0]
    for number, each in enumerate(there, 1):
        stiff = each.shares[used.row - beam.first] / share * layer.width * layer.depth**3 / 12
        sheet.given(
            f"I{number}", f"{each.part.name}: b d^3 / 12, as far as it bears with the others", stiff, "mm4", "frame"
        )
    own = there.index(layer) + 1
    total = " + ".join(f"I{number}" for number in range(1, len(there) + 1))
    sheet.reckon("s", "its share, by stiffness", f"I{own} / ({total})", "", "model")


def _bending(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    write_moment(sheet, reckoned, used)
    layer, span, wood = _layer(reckoned, used)
    _sizes(sheet, reckoned, used, layer)
    sheet.reckon("S", "section modulus", "b * d^2 / 6", "mm3")
    moment = "s * M" if any(line.symbol == "s" for line in sheet.lines) else "M"
    write_bending(sheet, wood, layer, span, used.lasting, moment)


def _shear(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    write_shear(sheet, reckoned, used)
    layer, _, wood = _layer(reckoned, used)
    _sizes(sheet, reckoned, used, layer)
    force = "s * V" if any(line.symbol == "s" for line in sheet.lines) else "V"
    if used.standard == "NDS":
        sheet.reckon("fv", "shear stress", f"3 * {force} / (2 * b * d)", "MPa", "NDS", "3.4-2")
        nds.shear(sheet, wood, used.lasting)
        sheet.reckon("used", "share used", "fv / Fv'", "share of 1")
    else:
        sheet.reckon("tau", "shear stress", f"3 * {force} / (2 * b * d)", "MPa", "EC5", "6.1.7")
        ec5.shear(sheet, wood, used.lasting)
        sheet.reckon("used", "share used", "tau / fv'", "share of 1")


def _posts(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    post = next(post for post in reckoned.posts if post.member is used.member)
    sheet.given("d", side_words(post), post.side, "mm", "frame")
    sheet.given("sway", "effective length, in heights", post.sway, "", "NDS", "Appendix G")
    wood = min(
        (each for each in post.woods if each.standard == used.standard),
        key=lambda each: min(each.compression(h * post.sway, post.side, used.lasting) for _, h, _ in post.levels),
    )
    terms = []
    for n, (number, height, area) in enumerate(post.levels, 1):
        link = reckoned.paths.links[number]
        force = max(0.0, float(reckoned.solved.forces[number, used.column]))
        sheet.given(f"P{n}", f"force of the {link.member.parts[0].name}", force, "N", "model")
        sheet.given(f"h{n}", "how high it stands", height, "mm", "frame")
        sheet.given(f"A{n}", "least area of the post below, without holes and housings", area, "mm2", "frame")
        sheet.reckon(f"le{n}", "effective length", f"sway * h{n}", "mm", "NDS" if used.standard == "NDS" else "EC5",
                     "3.7.1.2" if used.standard == "NDS" else "6.3.2")  # fmt: skip
        (nds if used.standard == "NDS" else ec5).compression(sheet, wood, n, used.lasting)
        terms.append(f"P{n} / N{n}")
    least = ", ".join(f"N{n}" for n in range(1, len(post.levels) + 1))
    sheet.given("W", "the post's own weight", post.weight, "N", "frame")
    least = f"min({least})" if len(post.levels) > 1 else least
    sheet.reckon("used", "share used: what all loads use adds up", " + ".join([f"W / {least}", *terms]), "share of 1",
                 "practice", "Dunkerley's rule")  # fmt: skip


_Writer = Callable[[Calculation, Reckoned, Used], None]
_WRITERS: Final[Mapping[str, _Writer]] = {
    "bending": _bending, "shear": _shear, "posts": _posts, "bolts": write_bolts, "bolted-end": write_bolted_end,
    "bearing": write_bearing, "screws": write_screws, "net-section": write_net_section, "torsion": write_torsion,
    "hangers": write_hangers,
}  # fmt: skip
_TITLES: Final[Mapping[str, str]] = {
    "bending": "Bending", "shear": "Shear along the grain", "posts": "Posts that stand", "bolts": "Bolts across",
    "bolted-end": "Wood that bolts carry", "bearing": "Wood pressed across its grain",
    "screws": "Screws that carry alone", "net-section": "Bending at the holes of bolts",
    "torsion": "Twist by what is carried beside the middle", "hangers": "Nails of hangers",
}  # fmt: skip
_PUSHED: Final[Mapping[Rule, str]] = {
    "pushed-boards": "Boards that are pushed", "pushed-uprights": "Uprights that are pushed",
    "pushed-fasteners": "What holds boards and uprights that are pushed", "slat-screws": "Screws of slats, from below",
}  # fmt: skip
