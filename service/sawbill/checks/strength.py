"""Whether the wood holds: bending, shear, posts, bolts and sag of a frame in the wood that is cut for it.

Each rule is held against the member and the case that use the most of it. What no table tells the strength of, and
what is not reckoned at all, is said.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil
from typing import Final

from sawbill.checks import nds
from sawbill.checks.distances import Distance
from sawbill.checks.finding import PRACTICE, Finding, Status, compare, not_checked, unreckoned
from sawbill.checks.load_paths import Borne, LoadPaths, Member
from sawbill.checks.loads import Case, always, cases
from sawbill.checks.screwed import ScrewedJoints
from sawbill.checks.site import Site, words
from sawbill.checks.timber import Post, Timber
from sawbill.checks.wood import SOURCES, Lasting, Standard
from sawbill.trade.boxes import AXES, bounds
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Materials

SAG: Final = 240
"""A member may sag by this part of its span under what is there for long (common practice, no source)."""
SLENDER: Final = 50
"""How many times a post may be as high as it is thick, between what holds it sideways (NDS 2018, 3.7.1.4)."""
NOT_RECKONED: Final = (
    "Not reckoned: glue that no screws back, hangers, wood pressed across its grain, holes, "
    "posts bent and rails twisted by what hangs on one side of them, racking, tipping, impact, wear."
)
_CLAUSES: Final[Mapping[str, Mapping[Standard, str]]] = {
    "bending": {"NDS": "3.3", "EC5": "6.1.6, 6.3.3"},
    "shear": {"NDS": "3.4", "EC5": "6.1.7"},
    "posts": {"NDS": "3.7", "EC5": "6.3.2"},
    "bolts": {"NDS": "12.3.1, 12.5.1", "EC5": "8.2.2, 8.5.1.1"},
    "bolted-end": {"NDS": "3.4.3.3", "EC5": "8.1.4"},
    "screws": {"NDS": "12.3.1, 12.1.5", "EC5": "8.2.2, 8.7.1"},
}
_BAD: Final = {
    "bending": "The {} may break when {}: choose a deeper or thicker section for it, or better grades.",
    "shear": "The {} may split along its grain when {}: choose a deeper section for it, or better grades.",
    "posts": "The {} may buckle when {}: choose a thicker section for it, or better grades.",
    "bolts": "The bolts of the {} may crush its wood or bend when {}: choose a larger bolt_size or a deeper section.",
    "bolted-end": "The {} may split at its bolts when {}: choose a deeper or thicker section for it, or better grades.",
    "screws": "The screws of the {} may bend or crush its wood when {}, if glue fails: choose a larger screw_size.",
}
RULES: Final = frozenset(_BAD)
"""The rules that tell how much is used of what wood and bolts bear."""
_DISTANCES: Final[Mapping[Standard, str]] = {"NDS": "12.5.1, Tables 12.5.1A to D", "EC5": "8.5.1.1, Table 8.4"}
_WORDS: Final = {"end": "end", "loaded edge": "edge they press on", "edge": "edge", "spacing": "next bolt"}
_GOOD: Final = "The most of it is used by the {}, when {}."
BACKED: Final = 0.75
"""What lies so much of its length against what carries it does not bend (common practice, no source)."""
TOO_SHORT: Final = 1000.0
"""As how much of a limit counts what bears nothing, as screws do that are too short."""
_ALIKE: Final = 1e-9
"""Of two that use as much, but for the last digits, the first is told."""


@dataclass(frozen=True, slots=True)
class _Worst:
    """How much of a rule is used, by which member, in which case; by which of its parts, None for all."""

    used: float
    member: Member
    case: Case
    part: str | None


@dataclass(slots=True)
class _Found:
    """The worst so far by rule and standard, the most sag for its span [mm], by standard the bolts with least room."""

    worst: dict[tuple[str, Standard], _Worst] = field(default_factory=dict)
    sag: tuple[float, float, Member, Case] | None = None
    nearest: dict[Standard, tuple[Distance, Member]] = field(default_factory=dict)

    def note(
        self, rule: str, standard: Standard, used: float, member: Member, case: Case, part: str | None = None
    ) -> None:
        """Keep what is used of a rule if it is the most so far."""
        key = rule, standard
        worst = self.worst.get(key)
        if worst is None or used > worst.used * (1 + _ALIKE):
            self.worst[key] = _Worst(used, member, case, part)

    def near(self, standard: Standard, distance: Distance, member: Member) -> None:
        """Keep the distance of a bolt if it is the shortest so far for what it should be."""
        held = self.nearest.get(standard)
        if held is None or distance.found * held[0].least < held[0].found * distance.least:
            self.nearest[standard] = distance, member


def check_strength(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the wood of a frame against what it is reckoned to carry."""
    paths = LoadPaths(frame)
    told = list(cases(paths, site.heaviest_user))
    if not told:
        return []
    timber, found = Timber(paths, materials), _Found()
    there, borne = paths.bear(always(paths, materials)), [paths.bear(case.loads) for case in told]
    joints = ScrewedJoints(paths, timber)
    posts = list(timber.posts(dict.fromkeys(support for more in borne for support in more.carried)))
    for case, more in zip(told, borne, strict=True):
        _beams(found, timber, there, more, case)
        _bolts(found, timber, there, more, case)
        _screws(found, joints, there, more, case)
    _posts(found, posts, there, list(zip(told, borne, strict=True)))
    loose = _loose(paths, told, borne)
    return [
        *_findings(found, posts),
        *_unreckoned(timber.unknown, loose),
        not_checked("strength", PRACTICE, NOT_RECKONED),
    ]


def _beams(found: _Found, timber: Timber, there: Borne, more: Borne, case: Case) -> None:
    """Bending, shear and sag of what lies."""
    seen = set()
    for member, effect in more.effects.items():
        always, beam = there.effects[member], timber.beam(member)
        moment, shear, span = always.moment + effect.moment, always.shear + effect.shear, effect.span
        alike = (moment, shear, span, id(beam))
        if beam is None or alike in seen:
            continue
        seen.add(alike)
        at_ends = sum(layer.share for layer in beam.layers if layer.through)
        for layer in beam.layers:
            bent = moment * layer.share * 6 / (layer.width * layer.depth**2)
            sheared = 1.5 * shear * layer.share / (at_ends or 1.0) / (layer.width * layer.depth)
            for wood in layer.woods:
                bears = wood.bending(layer.depth, layer.width, layer.backed, span, case.lasting)
                found.note("bending", wood.standard, bent / bears, member, case, layer.name)
                if layer.through or not at_ends:
                    found.note("shear", wood.standard, sheared / wood.shear(case.lasting), member, case, layer.name)
        if case.sags:
            sag = 5 / 48 * moment * span**2 / beam.stiffness  # of an even load with this moment
            if found.sag is None or sag / span > found.sag[0] / found.sag[1] * (1 + _ALIKE):
                found.sag = sag, span, member, case


def _posts(found: _Found, posts: Sequence[Post], there: Borne, borne: Sequence[tuple[Case, Borne]]) -> None:
    """Buckling of what stands, in the worst of the cases that last alike."""
    for post in posts:
        most: dict[Lasting, tuple[float, Case]] = {}
        for case, more in borne:
            weight = more.weights.get(post.member, 0.0)
            if weight > most.get(case.lasting, (0.0, case))[0]:
                most[case.lasting] = weight, case
        for lasting, (weight, case) in most.items():
            stress = (weight + there.weights.get(post.member, 0.0)) / post.area
            for wood in post.woods:
                used = stress / wood.compression(post.effective, post.side, lasting)
                found.note("posts", wood.standard, used, post.member, case)


def _bolts(found: _Found, timber: Timber, there: Borne, more: Borne, case: Case) -> None:
    """The bolts of every support that bears some of a case, each with its share, and the wood that they carry."""
    for support, load in more.carried.items():
        held = timber.held(support)
        if held is None:
            continue
        member, whole = support.member, load + there.carried.get(support, 0.0)
        for standard in {standard for standard, _ in held.bears}:
            found.near(standard, held.counted[standard].nearest, member)
        for rule, bearing in (("bolts", held.bears), ("bolted-end", held.splits)):
            for standard, bears in bearing:
                lasts = case.lasting.cd if standard == "NDS" else case.lasting.kmod
                count = held.counted[standard].count if rule == "bolts" else 1.0
                if count:  # else the rule on distances tells
                    found.note(rule, standard, whole / (count * bears * lasts), member, case)


def _screws(found: _Found, joints: ScrewedJoints, there: Borne, more: Borne, case: Case) -> None:
    """The screws of every support that they alone carry, and those of what others rest on."""
    seats: defaultdict[tuple[str, Member], float] = defaultdict(float)
    loads: list[tuple[Mapping[Standard, float], float, Member, str | None]] = []
    for support, load in more.carried.items():
        whole = load + there.carried.get(support, 0.0)
        loads.append((joints.bear(support), whole, support.member, None))
        if (seat := joints.seat(support)) is not None:
            seats[seat, support.carrier] += whole
    loads += [(joints.hold(key), whole, member, joints.name(key)) for (key, member), whole in seats.items()]
    for bearing, whole, member, part in loads:
        for standard, bears in bearing.items():
            lasts = case.lasting.cd if standard == "NDS" else case.lasting.kmod
            found.note("screws", standard, whole / (bears * lasts) if bears else TOO_SHORT, member, case, part)


def _findings(found: _Found, posts: Sequence[Post]) -> Iterator[Finding]:
    for rule, bad in _BAD.items():
        for standard, source in SOURCES.items():
            worst = found.worst.get((rule, standard))
            if worst is not None:
                told = worst.part or _name(worst.member), worst.case.when
                yield compare(
                    rule, source, _up(worst.used, 1000), "<=", 1000, (_GOOD.format(*told), bad.format(*told)),
                    _keys(worst.member), Status.FAIL, clause=_CLAUSES[rule][standard], unit="share",
                )  # fmt: skip
    for standard, (distance, member) in found.nearest.items():
        yield compare(
            "bolt-distance", SOURCES[standard], distance.found, ">=", distance.least,
            ("Wherever bolts carry, one at least is far enough from ends, edges and others; what is nearer counts for "
             "less, or not at all.",
             f"The bolts of the {_name(member)} are too near to the {_WORDS[distance.kind]} of the {distance.part}, "
             "which may split: choose a smaller bolt_size or a wider section."),
            _keys(member), Status.FAIL, clause=_DISTANCES[standard],
        )  # fmt: skip
    if slender := [post for post in posts if any(wood.standard == "NDS" for wood in post.woods)]:
        worst_post = max(slender, key=lambda post: post.height / post.side)
        yield compare(
            "slender-post", nds.SOURCE, ceil(round(worst_post.height / worst_post.side, 6)), "<=", SLENDER,
            ("No post is too slender for its height, if it cannot sway.",
             f"The {_name(worst_post.member)} is too slender for its height: choose a thicker section."),
            _keys(worst_post.member), Status.FAIL, clause="3.7.1.4", unit="count",
        )  # fmt: skip
    if found.sag is not None:
        sag, span, member, case = found.sag
        name = _name(member)
        yield compare(
            "sag", PRACTICE, _up(sag, 1000) * MM // 1000, "<=", int(span * MM / SAG),
            (_GOOD.format(name, case.when), f"The {name} may sag visibly when {case.when}: choose a deeper section."),
            _keys(member),
        )  # fmt: skip


def _loose(paths: LoadPaths, told: Sequence[Case], borne: Sequence[Borne]) -> Mapping[str, list[str]]:
    """What carries something and is held at one place alone, or at none, and does not lie on the floor."""
    floor, boxes = paths.frame.bounds.low[2], paths.frame.boxes
    carrying = dict.fromkeys(member for more in borne for member in more.weights)
    carrying |= dict.fromkeys(member for case in told for member in case.loads)  # some may hold each other in a ring
    found: dict[str, list[str]] = {}
    for member in carrying:
        lies = not member.upright and boxes[member.parts[0].key].low[2] > floor and not _backed(paths, member)
        if member not in paths.order or (lies and len(member.places) < 2):
            found.setdefault(_name(member), []).extend(_keys(member))
    return found


def _backed(paths: LoadPaths, member: Member) -> bool:
    """Whether it lies against what carries it for most of its length: it is a block, and no beam."""
    i = AXES.index(member.axis)
    for support in member.supports:
        carrier = bounds(paths.frame.boxes[part.key] for part in support.carrier.parts)
        shared = min(member.high, carrier.high[i] / MM) - max(member.low, carrier.low[i] / MM)
        if shared >= BACKED * (member.high - member.low):
            return True
    return False


def _unreckoned(unknown: Mapping[str, Sequence[str]], loose: Mapping[str, Sequence[str]]) -> Iterator[Finding]:
    """What carries and cannot be reckoned, by name, with the keys of its parts."""
    for rule, which, message in (
        (
            "unknown-strength",
            unknown,
            "Nobody knows whether it holds: no table tells the strength of the wood of these: {}. Choose boards graded "
            "for strength, or tell in the price book's design_values what is known of these.",
        ),
        (
            "held-at-one-place",
            loose,
            "Nobody knows whether it holds: these carry, and are held at one place or at none: {}.",
        ),
    ):
        if which:
            keys = dict.fromkeys(key for some in which.values() for key in some)
            yield unreckoned(rule, PRACTICE, message.format(words([*which])), tuple(keys))


def _up(number: float, parts: int) -> int:
    """How many parts of one a number is, rounded up; what machines reckon differently is rounded off before."""
    return ceil(round(number * parts, 6))


def _name(member: Member) -> str:
    """What a member is called: as the widest of its parts is."""
    return max(member.parts, key=lambda part: part.width).name


def _keys(member: Member) -> tuple[str, ...]:
    return tuple(part.key for part in member.parts)
