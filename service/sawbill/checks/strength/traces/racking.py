"""How far a frame sways when it is pushed, and what that uses of its corners, written out."""

from __future__ import annotations

from collections.abc import Iterator

from sawbill.checks.loads import MINUTES, G
from sawbill.checks.racking import Direction
from sawbill.checks.racking.bearing import Bearing, Use
from sawbill.checks.racking.distances import nearest
from sawbill.checks.racking.elevations import Corner
from sawbill.checks.racking.findings import LOOSE, SHAKE, SHAKEN, SWAYS, WAYS, named
from sawbill.checks.racking.holds import Hold, between, play_of, stiffness, under_washer
from sawbill.checks.racking.sway import Racked
from sawbill.checks.racking.void import TWO, Hinge, Void
from sawbill.checks.resistance.wood import Graded
from sawbill.checks.site import HEAVIEST_USER
from sawbill.checks.strength.beams import Layer
from sawbill.checks.strength.calculation import Calculation, Source
from sawbill.checks.strength.reckoned import Reckoned
from sawbill.checks.strength.traces import ec5 as by_ec5
from sawbill.checks.strength.traces import nds as by_nds
from sawbill.checks.strength.traces.bending import write_bending
from sawbill.checks.strength.traces.joints import write_ec5_modes, write_nds_modes
from sawbill.checks.strength.traces.screws import write_screw
from sawbill.trade.frame import Bolted, Screwed
from sawbill.trade.lengths import MM


def written_sway(reckoned: Reckoned) -> Iterator[Calculation]:
    """How far the elevation sways that does so most, along and across."""
    for direction in reckoned.directions:
        if (furthest := direction.furthest) is None:
            if direction.why is not None:
                yield _written_why(direction, direction.why)
            continue
        number, column = furthest
        racked, swayed = direction.racked[number], direction.swayed[number]
        post = racked.pushed_at[column // 2 % len(racked.pushed_at)]
        name = WAYS[direction.along]
        sheet = Calculation("sway", "practice", f"Sway, {name}", post.parts[0].name, SHAKEN.format(name))
        _write_push(sheet, reckoned, direction, number, column)
        _write_turn(sheet, direction, number, column)
        sheet.given("rest", "posts and boards bend, and corners slide", _rest(sheet, float(swayed.sway[column])), "mm",
                    "model")  # fmt: skip
        sheet.reckon("f", "sway at the top", "t * h + rest", "mm")
        sheet.reckon("most", f"what it may sway by, and {LOOSE:g} mm where it is low", f"max({LOOSE:g}, h / {SWAYS})",
                     "mm", "ASCE 7")  # fmt: skip
        sheet.reckon("used", "share used", "f / most", "share of 1")
        yield sheet


def _written_why(direction: Direction, why: Void | Hinge) -> Calculation:
    """Why nothing keeps a frame upright: a distance of bolts that do not count for it, or how many hold a corner."""
    when, (one, other), title = SHAKEN.format(WAYS[direction.along]), why.between, f"Sway, {WAYS[direction.along]}"
    if isinstance(why, Hinge):
        sheet = Calculation("sway", "practice", title, other, when)
        sheet.given("found", f"bolts or screws that hold the {other} to the {one}", 1.0, "", "frame")
        sheet.given("least", "so many keep a corner square", float(TWO), "", "practice")
    else:
        sheet = Calculation("sway", why.standard, title, why.part, when)
        words = f"the {why.what} between the {one} and the {other} to the {why.to}"
        sheet.given("found", words, why.found / MM, "mm", "frame")
        sheet.given("least", "the least for them to count", why.least / MM, "mm", why.standard, why.clause)
    sheet.reckon("used", "share used", "least / found", "share of 1")
    return sheet


def written_racking(reckoned: Reckoned) -> Iterator[Calculation]:
    """What is used most at the corners, along and across, by each standard."""
    for direction in reckoned.directions:
        for standard, (number, use) in direction.worst.items():
            racked, name = direction.racked[number], WAYS[direction.along]
            corner = racked.seen.corners[use.corner]
            sheet = Calculation("racking", standard, f"Racking, {name}", named(use, racked), direction.when)
            _write_push(sheet, reckoned, direction, number, use.column)
            if use.bent is not None:
                _write_bent(sheet, reckoned, use, racked)
                yield sheet
                continue
            one, other = between(corner, racked.holds[use.hold].by)
            sheet.given("M", f"what of it turns the corner of the {one} and the {other}, on these", use.moment, "N mm",
                        "model")  # fmt: skip
            bearing = Bearing(reckoned.paths, reckoned.timber, reckoned.screwed_joints, MINUTES)
            _write_use(sheet, reckoned, bearing, corner, racked.holds[use.hold], use)
            yield sheet


def _write_push(sheet: Calculation, reckoned: Reckoned, direction: Direction, number: int, column: int) -> None:
    """The push, its share of this elevation, and the moments of all corners, which balance it."""
    racked, swayed = direction.racked[number], direction.swayed[number]
    shaken = column < len(swayed.sway) // 2
    sheet.given("m", "the heaviest user", reckoned.loaded.user / 1000, "kg", "EN 1725", "scope")
    push = (SHAKE if shaken else direction.shove) * HEAVIEST_USER * G
    source: Source = "EN 12520" if push > SHAKE * HEAVIEST_USER * G * 1.01 else "practice"
    sheet.given("q", "one of 110 kg pushes with", push, "N", source)
    sheet.reckon("H", "the push, by weight", "q * m / 110", "N")
    sheet.given("e", "sides or ends that share it", float(direction.share), "", "frame")
    sheet.reckon("P", "of that this one's", "H / e", "N", "practice")
    sheet.given("h", "how high it is pushed", float(swayed.tops[column]), "mm", "frame")
    terms = []
    for i, corner in enumerate(racked.seen.corners, 1):
        if corner.one.upright != corner.other.upright:
            turned = sum(
                float(swayed.turning[n, column]) * (hold.sense or 1)
                for n, hold in enumerate(racked.holds) if hold.corner == i - 1
            ) * (1 if corner.one.upright else -1)  # fmt: skip
            sheet.given(f"M{i}", f"turns the corner of the {corner.one.parts[0].key} and the "
                        f"{corner.other.parts[0].key}", turned, "N mm", "model")  # fmt: skip
            terms.append(f"M{i}")
    if terms:
        sheet.reckon("sum", "all corners balance the push about the feet", f"abs({' + '.join(terms)}) - P * h", "N mm")


def _write_turn(sheet: Calculation, direction: Direction, number: int, column: int) -> None:
    """How far the corner turns that gives least, after its play."""
    racked, swayed = direction.racked[number], direction.swayed[number]
    turned = [abs(float(swayed.turning[n, column])) for n in range(len(racked.holds))]
    n = max(range(len(turned)), key=turned.__getitem__)
    hold, corner = racked.holds[n], racked.seen.corners[racked.holds[n].corner]
    names = " and ".join(between(corner, hold.by))
    sheet.given("M", f"what turns the corner of {names} that bears most", turned[n], "N mm", "model")
    if hold.kind == "bolts":
        one, other = (each for each in hold.by if isinstance(each, Bolted))
        sheet.given("g", "how much wider a hole is than its bolt", (play_of(one) + play_of(other)) / 2, "mm", "NDS",
                    "12.1.3.2")  # fmt: skip
        sheet.given("s", "how far its two bolts are apart", hold.arm, "mm", "frame")
        sheet.reckon("t0", "how far it turns until they bear", "2 * g / s", "rad")
        sheet.given("K", "Kser of a bolt", min(map(stiffness, hold.by)), "N/mm", "EC5", "7.1")
        sheet.reckon("Kt", "how it resists turning then", "K * s^2 / 2", "N mm/rad")
    else:
        sheet.given("t0", "how far it turns until it bears", hold.play, "rad", "model")
        sheet.given("Kt", "how it resists turning then", hold.stiff, "N mm/rad", "model")
    sheet.reckon("t", "how far it turns", "t0 + M / Kt", "rad")


def _rest(sheet: Calculation, sway: float) -> float:
    known = {line.symbol: line.value for line in sheet.lines}
    return sway - known["t"] * known["h"]


def _write_bent(sheet: Calculation, reckoned: Reckoned, use: Use, racked: Racked) -> None:
    """A member that is bent beside a corner."""
    assert use.bent is not None
    layer = use.bent[1]
    name = layer.parts[0].name
    sheet.given("M", f"what of it bends the {name}: {named(use, racked)}", use.moment, "N mm", "model")
    sheet.given("b", "width", layer.width, "mm", "frame")
    sheet.given("d", "depth, along the push", layer.depth, "mm", "frame")
    sheet.given("s", "its share of the moment, by stiffness", layer.share, "", "model")
    sheet.reckon("S", "section modulus", "b * d^2 / 6", "mm3")
    woods = [wood for part in layer.parts for wood in reckoned.timber.woods(part) if wood.standard == use.standard]
    wood = min(woods, key=lambda each: layer.bears(each, MINUTES))
    beam = Layer(layer.parts[0], layer.depth, layer.width, layer.backed, (layer.share,), (wood,))
    write_bending(sheet, wood, beam, layer.span, MINUTES, "s * M")


def _write_use(
    sheet: Calculation, reckoned: Reckoned, bearing: Bearing, corner: Corner, hold: Hold, use: Use
) -> None:  # fmt: skip
    if use.what in ("bolts", "screws"):
        sheet.given("s", "its arm: what turns over what comes to one of them", hold.arm, "mm", "frame")
        sheet.given("T", "what slides the corner, each one's share", use.slide, "N", "model")
        sheet.reckon("F", "force on one", "M / s + T", "N")
    else:
        sheet.given("a", "from the bolt to the middle of what is pressed", hold.arm / len(hold.by), "mm", "frame")
        sheet.reckon("N", "force of the edge", "M / a", "N")
    if use.what == "bolts":
        _bolts(sheet, reckoned, bearing, corner, hold, use)
    elif use.what == "screws":
        _screws(sheet, reckoned, bearing, hold, use)
    elif use.what == "pressed face":
        butt = corner.butts[hold.butt]
        sheet.given("lb", "thickness of what butts", butt.part.section.thickness / MM, "mm", "frame")
        sheet.given("b", "how much of its height presses: a quarter", butt.pressed, "mm", "practice")
        _pressed(sheet, bearing, reckoned.timber.woods(butt.against), use, "N", 1.0)
    else:
        butt = corner.butts[hold.butt]
        sheet.given("pry", "how many times it is pulled with, for it is beside the edge", butt.prying, "", "frame")
        sheet.given("n", "bolts that hold it", float(len(butt.holding)), "", "frame")
        sheet.reckon("F", "pull of one bolt", "N * pry / n", "N")
        side = under_washer(butt.holding[0]) ** 0.5
        sheet.given("lb", "side of a square as large as its washer, or its round head, presses", side, "mm", "frame")
        sheet.reckon("b", "the same", "lb", "mm")
        keys = butt.holding[0].parts
        woods = [w for key in (keys[0], keys[-1]) for w in reckoned.timber.woods(reckoned.paths.frame.by_key[key])]
        _pressed(sheet, bearing, woods, use, "F", 3.0)


def _bolts(
    sheet: Calculation, reckoned: Reckoned, bearing: Bearing, corner: Corner, hold: Hold, use: Use
) -> None:  # fmt: skip
    bolts = [each for each in hold.by if isinstance(each, Bolted)]
    pairs = [pair for pair in bearing.at_bolts(corner, bolts) if pair[2] == use.standard]
    side, main, _, _ = min(pairs, key=lambda pair: pair[3])
    diameter = bearing.diameter(bolts[0])
    sheet.given("D", "diameter of the bolts", diameter, "mm", "frame")
    one, other = between(corner, bolts)
    sheet.given("ts", f"thickness of the {one} along it", side.thickness, "mm", "frame")
    sheet.given("tm", f"thickness of the {other} along it", main.thickness, "mm", "frame")
    near = nearest(reckoned.paths, corner, hold, use.standard)
    source: tuple[Source, str] = ("NDS", "12.5.1") if use.standard == "NDS" else ("EC5", "Table 8.4")
    sheet.given("c", f"the shortest of its distances for what is asked: {near.kind}", near.found / MM, "mm", "frame")
    sheet.given("cf", "what is asked", near.full / MM, "mm", *source)
    sheet.reckon("C", "so much counts", "min(1, c / cf)", "", "NDS", "12.5.1")
    if use.standard == "NDS":
        write_nds_modes(sheet, side, main, diameter)
        sheet.given("CD", "load duration factor", bearing.lasting.cd, "", "NDS", "Table 2.3.2")
        sheet.reckon("Z'", "adjusted value of a bolt", "Z * CD * C", "N", "NDS", "Table 11.3.1")
    else:
        write_ec5_modes(sheet, side, main)
        by_ec5.factors(sheet, bearing.lasting)
        sheet.reckon("Z'", "what a bolt bears, of the loads as they are", "FvRk * kmod / gM / gQ * C", "N", "EC5",
                     "2.17")  # fmt: skip
    sheet.reckon("used", "share used", "F / Z'", "share of 1")


def _screws(sheet: Calculation, reckoned: Reckoned, bearing: Bearing, hold: Hold, use: Use) -> None:
    screws = [each for each in hold.by if isinstance(each, Screwed)]
    weakest = min(screws, key=lambda each: bearing.screwed.together((each,))[use.standard])
    write_screw(sheet, reckoned, 1, weakest, use.standard)
    if use.standard == "NDS":
        sheet.given("CD", "load duration factor", bearing.lasting.cd, "", "NDS", "Table 2.3.2")
        sheet.reckon("Z'", "what one bears", "Z1 * CD", "N", "NDS", "Table 11.3.1")
    else:
        by_ec5.factors(sheet, bearing.lasting)
        sheet.reckon("Z'", "what one bears, of the loads as they are", "Z1 * kmod / gM / gQ", "N", "EC5", "2.17")
    sheet.reckon("used", "share used", "F / Z'", "share of 1")


def _pressed(
    sheet: Calculation, bearing: Bearing, woods: list[Graded] | tuple[Graded, ...], use: Use, force: str, more: float
) -> None:  # fmt: skip
    """Wood pressed across its grain, by as much as the square or the edge; more: what EN 1995-1-1, 8.5.2, allows."""
    same = [wood for wood in woods if wood.standard == use.standard]
    wood = min(same, key=lambda each: each.bearing(1.0, 1.0, (0.0, 0.0), (0.0, 0.0)))
    if use.standard == "NDS":
        by_nds.bearing(sheet, wood, sheet_value(sheet, "lb"), (0.0, 0.0))
        sheet.reckon("used", "share used", f"{force} / (lb * b * Fcp')", "share of 1")
    else:
        by_ec5.bearing(sheet, wood, (0.0, 0.0), bearing.lasting)
        times = f"{more:g} * " if more > 1 else ""
        sheet.reckon("used", "share used", f"{force} / ({times}lef * b * fc90')", "share of 1", "EC5",
                     "8.5.2" if more > 1 else "6.1.5")  # fmt: skip


def sheet_value(sheet: Calculation, symbol: str) -> float:
    """What a line of a sheet comes to."""
    return next(line.value for line in sheet.lines if line.symbol == symbol)
