"""Whether the wood holds: bending, shear, columns, bolts and sag of a frame in the wood that is cut for it.

Each rule is held against the member and the case that use the most of it. What no table tells the strength of, and
what is not reckoned at all, is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil
from typing import Final

from sawbill.checks import bolts, ec5, nds
from sawbill.checks.finding import PRACTICE, Finding, Status, compare, not_checked
from sawbill.checks.load_paths import Borne, LoadPaths, Member, Support
from sawbill.checks.loads import Case, Lasting, always, cases
from sawbill.checks.site import Site, words
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, bounds
from sawbill.trade.design_values import NdsValues, StrengthClass, values_of
from sawbill.trade.frame import Frame, Part
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Material, Materials

SAG: Final = 240
"""A member may sag by this part of its span under what is there for long (common practice, no source)."""
SWAY: Final = 2.4
"""Effective length of a post that may sway, in its heights (NDS 2018, Appendix G)."""
NOT_RECKONED: Final = (
    "Not reckoned: joints with screws, glue and hangers, wood pressed across its grain, edges and ends beside bolts, "
    "racking, impact, wear."
)
_CLAUSES: Final = {
    "bending": ("3.3", "6.1.6, 6.3.3"),
    "shear": ("3.4", "6.1.7"),
    "posts": ("3.7", "6.3.2"),
    "bolts": ("12.3.1", "8.2.2"),
}
_BAD: Final = {
    "bending": "The {} may break when {}: choose a deeper or thicker section for it, or a better grade.",
    "shear": "The {} may split along its grain when {}: choose a deeper section for it, or a better grade.",
    "posts": "The {} may buckle when {}: choose a thicker section for it, or a better grade.",
    "bolts": "The bolts of the {} may crush its wood or bend when {}: choose a larger bolt_size or a deeper section.",
}
RULES: Final = frozenset(_BAD)
"""The rules that tell how much is used of what wood and bolts bear."""
_GOOD: Final = "The most of it is used by the {}, when {}."
_FLAT: Final = 1e-9

Values = NdsValues | StrengthClass
Wood = tuple[Material, Values]


@dataclass(frozen=True, slots=True)
class _Worst:
    """How much of a rule is used, by which part of which member, in which case."""

    used: float
    name: str
    member: Member
    case: Case


@dataclass(frozen=True, slots=True)
class _Layer:
    """A part of a beam as it stands: how deep and wide it is [mm], its share of the beam's stiffness, its woods.

    through: whether it reaches from the first support to the last, so that it takes shear at the ends.
    """

    name: str
    depth: float
    width: float
    share: float
    through: bool
    woods: tuple[Wood, ...]


@dataclass(frozen=True, slots=True)
class _Post:
    """A member that stands: its area [mm2], the side by which it gives way and its effective length [mm].

    Its layers are glued side by side and stand as one.
    """

    member: Member
    area: float
    side: float
    effective: float
    woods: tuple[Wood, ...]


@dataclass(frozen=True, slots=True)
class _Beam:
    """A member that bends: its stiffness E I [N mm2], how wide it is in all [mm], its layers."""

    stiffness: float
    width: float
    layers: tuple[_Layer, ...]


class _Reckoning:
    """What has been found so far: the worst by rule and standard, the most sag, parts that no table tells of."""

    def __init__(self, paths: LoadPaths, materials: Materials) -> None:
        self.boxes = paths.frame.boxes
        self.worst: dict[tuple[str, bool], _Worst] = {}
        self.sag: tuple[float, float, Member, Case] | None = None
        self.unknown: dict[str, None] = {}
        self._materials = materials
        self._woods: dict[int, tuple[Wood, ...]] = {}
        self._beams: dict[object, _Beam | None] = {}
        self._of: dict[Member, _Beam | None] = {}
        self._at: dict[Support, list[tuple[Values, float]]] = {}
        self._bolts: dict[object, list[tuple[Values, float]]] = {}

    def woods(self, part: Part) -> tuple[Wood, ...]:
        """What is known of the wood of a part; of ripped wood nothing is, for its grade was that of the whole."""
        cut = self._materials.get(part.key, ())
        if id(cut) not in self._woods:
            known = tuple((wood, values) for wood in cut if (values := values_of(wood)) is not None)
            self._woods[id(cut)] = known if len(known) == len(cut) else ()
        known = self._woods[id(cut)] if part.ripped is None else ()
        if not known:
            self.unknown[part.name] = None
        return known

    def beam(self, member: Member) -> _Beam | None:
        """A member as a beam, one for all that are alike; None: no table tells the strength of all of it."""
        if member not in self._of:
            self._of[member] = self._looked_up(member)
        return self._of[member]

    def _looked_up(self, member: Member) -> _Beam | None:
        first, last = member.places[0] * MM, member.places[-1] * MM
        woods = [self.woods(part) for part in member.parts]
        boxes = [self.boxes[part.key] for part in member.parts]
        ends = [box.span(member.axis) for box in boxes]
        through = [low <= first and high >= last for low, high in ends]
        across = 1 if member.axis == "x" else 0
        sizes = [(box.size[2] / MM, box.size[across] / MM) for box in boxes]
        alike = tuple(zip(sizes, through, map(id, woods), strict=True))
        if alike not in self._beams:
            names = [part.name for part in member.parts]
            self._beams[alike] = _beam(names, sizes, through, woods) if all(woods) else None
        return self._beams[alike]

    def bolt(self, support: Support) -> list[tuple[Values, float]]:
        """What each bolt of a support bears for ever so long [N], by the standard and woods it is reckoned by."""
        if support not in self._at:
            self._at[support] = self._bolt(support)
        return self._at[support]

    def _bolt(self, support: Support) -> list[tuple[Values, float]]:
        bolt = support.bolts[0]
        sides = [
            [part for part in member.parts if part.key in bolt.parts] for member in (support.member, support.carrier)
        ]
        woods = [[self.woods(part) for part in side] for side in sides]
        i = AXES.index(bolt.axis)
        thick = [sum(self.boxes[part.key].size[i] for part in side) / MM for side in sides]
        alike = (*thick, support.carrier.upright, bolt.size, *(tuple(map(id, side)) for side in woods))
        if alike not in self._bolts:
            known = all(each for side in woods for each in side)
            diameter = fasteners.bolt_sizes()[bolt.size].diameter / MM
            ones, others = (dict.fromkeys(wood for some in side for wood in some) for side in woods)
            pairs = product(ones, others) if known else ()
            found = [(one[1], _bolt(one, other, thick, support.carrier.upright, diameter)) for one, other in pairs]
            self._bolts[alike] = [(values, bears) for values, bears in found if bears is not None]
        return self._bolts[alike]

    def note(self, rule: str, values: Values, used: float, name: str, member: Member, case: Case) -> None:
        """Keep what is used of a rule if it is the most so far."""
        key = rule, isinstance(values, NdsValues)
        if key not in self.worst or used > self.worst[key].used * (1 + _FLAT):
            self.worst[key] = _Worst(used, name, member, case)


def _beam(
    names: Sequence[str], sizes: Sequence[tuple[float, float]], through: Sequence[bool],
    woods: Sequence[tuple[Wood, ...]],
) -> _Beam:  # fmt: skip
    """A beam of layers that each bend about their own middles, glued side by side."""
    stiff = [
        min(_elasticity(values) for _, values in known) * width * depth**3 / 12
        for known, (depth, width) in zip(woods, sizes, strict=True)
    ]
    layers = tuple(
        _Layer(name, depth, width, each / sum(stiff), whole, known)
        for name, (depth, width), each, whole, known in zip(names, sizes, stiff, through, woods, strict=True)
    )
    return _Beam(sum(stiff), sum(width for _, width in sizes), layers)


def check_strength(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the wood of a frame against what it is reckoned to carry."""
    paths = LoadPaths(frame)
    told = list(cases(paths, site.heaviest_user))
    if not told:
        return []
    found = _Reckoning(paths, materials)
    posts = list(_standing(found, paths))
    there = paths.bear(always(paths, materials))
    for case in told:
        more = paths.bear(case.loads)
        _beams(found, there, more, case)
        _posts(found, there, more, case, posts)
        _bolts(found, there, more, case)
    return list(_findings(found))


def _beams(found: _Reckoning, there: Borne, more: Borne, case: Case) -> None:
    """Bending, shear and sag of what lies; layers glued side by side share by stiffness, and give way as one."""
    seen = set()
    for member, effect in more.effects.items():
        always, beam = there.effects[member], found.beam(member)
        moment, shear, span = always.moment + effect.moment, always.shear + effect.shear, effect.span
        alike = (moment, shear, span, id(beam))
        if beam is None or alike in seen:
            continue
        seen.add(alike)
        at_ends = sum(layer.share for layer in beam.layers if layer.through)
        for layer in beam.layers:
            bent = moment * layer.share * 6 / (layer.width * layer.depth**2)
            sheared = 1.5 * shear * layer.share / (at_ends or 1.0) / (layer.width * layer.depth)
            for wood, values in layer.woods:
                bears = _bending(wood, values, layer.depth, beam.width, span, case.lasting)
                found.note("bending", values, bent / bears, layer.name, member, case)
                if layer.through or not at_ends:
                    found.note("shear", values, sheared / _shear(values, case.lasting), layer.name, member, case)
        if case.sags:
            sag = 5 / 48 * moment * span**2 / beam.stiffness
            if found.sag is None or sag / span > found.sag[0] / found.sag[1]:
                found.sag = sag, span, member, case


def _posts(found: _Reckoning, there: Borne, more: Borne, case: Case, posts: Sequence[_Post]) -> None:
    """Buckling of what stands; layers glued side by side stand as one."""
    for post in posts:
        if post.member in more.weights:
            stress = (more.weights[post.member] + there.weights.get(post.member, 0.0)) / post.area
            for wood, values in post.woods:
                bears = _compression(wood, values, post.effective, post.side, case.lasting)
                found.note("posts", values, stress / bears, _name(post.member), post.member, case)


def _bolts(found: _Reckoning, there: Borne, more: Borne, case: Case) -> None:
    """The bolts of every support that bears some of a case, alike, each with its share."""
    for support, load in more.carried.items():
        if support.bolts:
            each = (load + there.carried.get(support, 0.0)) / len(support.bolts)
            for values, bears in found.bolt(support):
                lasts = case.lasting.cd if isinstance(values, NdsValues) else case.lasting.kmod
                found.note("bolts", values, each / (bears * lasts), _name(support.member), support.member, case)


def _bolt(one: Wood, other: Wood, thick: Sequence[float], upright: bool, diameter: float) -> float | None:
    """What one bolt bears of what lies, on what lies or stands; None: no one standard knows both woods."""
    (wood, values), (under, others) = one, other
    if isinstance(values, NdsValues) and isinstance(others, NdsValues):
        gravity = [each.species.specific_gravity if each.species else None for each in (wood, under)]
        if gravity[0] is None or gravity[1] is None:
            return None
        side, main = bolts.Side(thick[0], False, float(gravity[0])), bolts.Side(thick[1], upright, float(gravity[1]))
        return bolts.nds_load(main, side, diameter)
    if isinstance(values, StrengthClass) and isinstance(others, StrengthClass):
        side, main = bolts.Side(thick[0], False, values.rho_k), bolts.Side(thick[1], upright, others.rho_k)
        return bolts.ec5_load(side, main, diameter, 1.0)
    return None


def _findings(found: _Reckoning) -> Iterator[Finding]:
    for rule, bad in _BAD.items():
        for american in (True, False):
            worst = found.worst.get((rule, american))
            if worst is not None:
                told = worst.name, worst.case.when
                yield compare(
                    rule, nds.SOURCE if american else ec5.SOURCE, ceil(worst.used * 1000), "<=", 1000,
                    (_GOOD.format(*told), bad.format(*told)),
                    _keys(worst.member), Status.FAIL, clause=_CLAUSES[rule][not american], unit="share",
                )  # fmt: skip
    if found.sag is not None:
        sag, span, member, case = found.sag
        name = _name(member)
        yield compare(
            "sag", PRACTICE, ceil(sag * MM), "<=", int(span * MM / SAG),
            (_GOOD.format(name, case.when), f"The {name} may sag visibly when {case.when}: choose a deeper section."),
            _keys(member),
        )  # fmt: skip
    unknown = f" No table tells the strength of this wood of: {words([*found.unknown])}." if found.unknown else ""
    yield not_checked("strength", PRACTICE, NOT_RECKONED + unknown)


def _name(member: Member) -> str:
    """What a member is called: as the widest of its parts is."""
    return max(member.parts, key=lambda part: part.width).name


def _keys(member: Member) -> tuple[str, ...]:
    return tuple(part.key for part in member.parts)


def _standing(found: _Reckoning, paths: LoadPaths) -> Iterator[_Post]:
    """What stands and carries something: from the floor to the highest of it it may buckle, and sway unless climbed."""
    ladders = {key for bed in paths.frame.high_beds if bed.ladder for key in bed.ladder.parts}
    floor, heights = paths.frame.bounds.low[2] / MM, dict[Member, float]()
    for member in paths.members:
        for support in member.supports:
            post = support.carrier
            if post.upright:
                heights[post] = max(support.on[1] - floor, heights.get(post, 0.0))
    for post, height in heights.items():
        woods = [found.woods(part) for part in post.parts]
        if all(woods):
            boxes = [found.boxes[part.key] for part in post.parts]
            area = sum(box.size[0] / MM * box.size[1] / MM for box in boxes)
            sways = 1.0 if post.parts[0].key in ladders else SWAY
            each = tuple(dict.fromkeys(wood for some in woods for wood in some))
            yield _Post(post, area, min(bounds(boxes).size[:2]) / MM, height * sways, each)


def _elasticity(values: Values) -> float:
    return values.e if isinstance(values, NdsValues) else values.e_mean


def _bending(wood: Material, values: Values, depth: float, width: float, lu: float, lasting: Lasting) -> float:
    if isinstance(values, NdsValues):
        return nds.bending(values, wood.section, depth, width, lu, lasting.cd)
    return ec5.bending(values, depth, width, lu, lasting.kmod)


def _shear(values: Values, lasting: Lasting) -> float:
    return nds.shear(values, lasting.cd) if isinstance(values, NdsValues) else ec5.shear(values, lasting.kmod)


def _compression(wood: Material, values: Values, le: float, side: float, lasting: Lasting) -> float:
    if isinstance(values, NdsValues):
        return nds.compression(values, wood.section, le, side, lasting.cd)
    return ec5.compression(values, le, side, lasting.kmod)
