"""What the strength of a frame comes to, in findings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, Status, compare, unreckoned
from sawbill.checks.members import Member
from sawbill.checks.resistance import nds
from sawbill.checks.resistance.distances import ASKED_IN, DISTANCE_TO, room_for
from sawbill.checks.resistance.wood import SOURCES, Standard
from sawbill.checks.site import words
from sawbill.checks.strength.beams import SAG, Sag
from sawbill.checks.strength.joints import Near
from sawbill.checks.strength.posts import SLENDER, Post
from sawbill.checks.strength.pushes.demands import Asked, Bent, Couple, Pulled, PulledBy, Rule
from sawbill.checks.strength.used import Columns, Used
from sawbill.trade.lengths import MM

NOT_RECKONED: Final = (
    "These were not checked for strength: who sits or stands on guards, backs or arms; a push while people lie or "
    "sit in it, or a harder one than those of tests on furniture (guards at places of work bear 890 N by 29 CFR "
    "1910.29); how a frame that is kept square on one side turns about that side; how a push on a guard or a back "
    "twists what its uprights are bolted to, and what then holds that; how twisted rails pull at their bolts; posts "
    "bent by what hangs on one side of them; the steel of hangers; glue that no screws back; wood pulled apart across "
    "its grain; hard knocks, wear, damp and rot. Try it with care before anyone trusts it."
)
"""What is left out, in one place and in plain words."""
_CLAUSES: Final[Mapping[str, Mapping[Standard, str]]] = {
    "bending": {"NDS": "3.3", "EC5": "6.1.6, 6.3.3"},
    "shear": {"NDS": "3.4", "EC5": "6.1.7"},
    "posts": {"NDS": "3.7", "EC5": "6.3.2"},
    "bolts": {"NDS": "12.3.1, 12.5.1", "EC5": "8.2.2, 8.5.1.1"},
    "bolted-end": {"NDS": "3.4.3.3", "EC5": "8.1.4"},
    "bearing": {"NDS": "3.10.2", "EC5": "6.1.5"},
    "screws": {"NDS": "12.3.1, 12.1.5", "EC5": "8.2.2, 8.7.1"},
    "net-section": {"NDS": "3.1.2, 3.3", "EC5": "5.2, 6.1.6"},
    "torsion": {"NDS": "no clause: Fv of 3.4", "EC5": "6.1.8"},
    "hangers": {"NDS": "12.3.1", "EC5": "8.2.3, 8.3.1"},
    "pushed-boards": {"NDS": "3.3", "EC5": "6.1.6"},
    "pushed-uprights": {"NDS": "3.1.2, 3.3", "EC5": "5.2, 6.1.6"},
    "pushed-fasteners": {"NDS": "3.10.2, 12.2.2, 12.2.5", "EC5": "8.5.2, 8.7.2"},
    "slat-screws": {"NDS": "12.2.2, 12.2.5", "EC5": "8.7.2"},
}
_BAD: Final = {
    "bending": "The {} may break when {}. Deeper or thicker sections and better grades bear more.",
    "shear": "The {} may split along its grain when {}. Deeper or thicker sections and stronger kinds of "
    "wood bear more.",
    "posts": "The {} may buckle when {}. Thicker sections and better grades bear more.",
    "bolts": "The bolts of the {} may crush its wood or bend when {}. Larger bolts, as far as there is room, and "
    "heavier woods bear more.",
    "bolted-end": "The {} may split at its bolts when {}. Deeper or thicker sections bear more.",
    "bearing": "The {} may be crushed where it rests or bears when {}. Wider sections and stronger kinds of "
    "wood bear more.",
    "net-section": "The {} may break at the holes of its bolts when {}. Deeper or thicker sections and better grades "
    "bear more.",
    "torsion": "The {} may split, for what hangs on one side twists it, when {}. Thicker sections and stronger "
    "kinds of wood bear more.",
    "hangers": "The nails of the hanger on the {} may bend or crush its wood when {}. Heavier woods bear more.",
    "screws": "The screws of the {} may bend or crush its wood when {}, if glue fails. Heavier woods bear more, and so "
    "do larger screws that go in further too.",
}
"""What is wrong, and what kind of change acts on it: never that it is enough, which only a quote with it tells."""
_TOO_SHORT: Final = (
    "The screws of the {} count for nothing when {}, if glue fails: they go too short a way into the second part for "
    "how thick they are. Thinner screws need less of it, and a thicker second part takes longer ones; of the longest "
    "that are sold a thinner first part leaves more."
)
"""The same of screws that bear nothing; larger ones would not mend that."""
_PUSHED: Final[Mapping[Rule, str]] = {
    "pushed-boards": "The {} may break when {}. Thicker sections and better grades bear more.",
    "pushed-uprights": "The {} may break where it is held when {}. Thicker sections and better grades bear more.",
}
_PULLED: Final[Mapping[PulledBy, str]] = {
    "washer": "The bolts that hold the {} may be pulled through its wood, or what they hold it to, when {}. Heavier "
    "woods hold more, and so do larger bolts if their washers are wider.",
    "head": "The heads of the screws of the {} may be pulled through the wood when {}. Larger screws and heavier "
    "woods hold more.",
    "thread": "The screws of the {} may be pulled out when {}. Heavier woods hold more, and so do larger screws that "
    "go in as far.",
}
"""The same of what fasteners hold, by which end of them uses most."""
_PULLED_ALONE: Final = (
    "The one bolt that holds the {} may be pulled through its wood, or what it holds it to, when {}. Two, one above "
    "the other, hold more, and smaller bolts leave room for them."
)
"""The same of a bolt that has nothing beside it to turn about but an edge."""
_ASKED: Final[tuple[Rule, ...]] = (*_PUSHED, "pushed-fasteners", "slat-screws")
RULES: Final = frozenset({*_BAD, *_ASKED, "racking"})
"""The rules that tell how much is used of what wood and bolts bear."""
TRACED: Final = RULES | {"sag", "slender-post", "sway", "bolt-distance", "screw-distance"}
"""The rules whose calculation can be asked for."""
ASKED: Final = RULES | {"unknown-strength", "held-at-one-place", "stands"}
"""The rules of which one at least is told wherever strength was asked for."""
_SCREW_DISTANCES: Final[Mapping[Standard, str]] = {
    "NDS": "12.1.5.7, by its commentary, from memory", "EC5": "8.7.1, Table 8.2",
}  # fmt: skip
_GOOD: Final = "The highest use is in the {}, when {}."


def findings(
    columns: Columns,
    most: Mapping[tuple[str, Standard], Used],
    posts: Sequence[Post],
    sag: Sag | None,
    nearest: Mapping[str, Mapping[Standard, Near]],
    asked: Mapping[tuple[Rule, Standard], Asked],
) -> Iterator[Finding]:
    """Each rule held against what uses the most of it."""
    for rule, bad in _BAD.items():
        for standard, source in SOURCES.items():
            if (worst := most.get((rule, standard))) is not None:
                told = worst.part.name if worst.part else _name(worst.member), columns.case(worst.column).when
                why = (_TOO_SHORT if worst.void else bad).format(*told)
                yield compare(
                    rule, source, _up(worst.used, 1000), "<=", 1000, (_GOOD.format(*told), why),
                    _keys(worst.member), Status.FAIL, clause=_CLAUSES[rule][standard], unit="share",
                )  # fmt: skip
    yield from _pushed(asked)
    yield from (_bolt_distance(standard, near) for standard, near in nearest["bolt-distance"].items())
    yield from (_screw_distance(standard, near) for standard, near in nearest["screw-distance"].items())
    if (slender := most_slender(posts)) is not None:
        yield _slender(slender)
    if sag is not None:
        yield _sag(sag, columns)


def _pushed(asked: Mapping[tuple[Rule, Standard], Asked]) -> Iterator[Finding]:
    """What pushes use most of."""
    for rule in _ASKED:
        for standard, source in SOURCES.items():
            if (worst := asked.get((rule, standard))) is not None:
                demand = worst.demand
                bad = _PUSHED[demand.rule] if isinstance(demand, Bent) else _pulled(demand)
                told = demand.part.name if isinstance(demand, Bent) else demand.held, demand.when
                yield compare(
                    rule, source, _up(worst.used, 1000), "<=", 1000, (_GOOD.format(*told), bad.format(*told)),
                    (demand.part.key,), Status.FAIL, clause=_CLAUSES[rule][standard], unit="share",
                )  # fmt: skip


def _pulled(demand: Pulled) -> str:
    alone = demand.kind == "washer" and isinstance(demand.pull, Couple) and len(demand.pull.arms) == 1
    return _PULLED_ALONE if alone else _PULLED[demand.kind]


def _bolt_distance(standard: Standard, near: Near) -> Finding:
    distance = near.distance
    return compare(
        "bolt-distance", SOURCES[standard], distance.found, ">=", distance.least,
        ("Wherever bolts carry, one at least is far enough from ends, edges and others; what is nearer counts for "
         "less, or not at all.",
         f"The bolts of the {_name(near.member)} are too near to the {DISTANCE_TO[distance.kind]} of the "
         f"{distance.part}, which may split. {room_for(distance.kind, 'bolts')}"),
        _keys(near.member), Status.FAIL, clause=ASKED_IN[standard],
    )  # fmt: skip


def _screw_distance(standard: Standard, near: Near) -> Finding:
    distance, words = near.distance, {**DISTANCE_TO, "spacing": "next screw"}
    return compare(
        "screw-distance", SOURCES[standard], distance.found, ">=", distance.least,
        ("Screws that carry are far enough from ends, edges and each other, in bored holes.",
         f"The screws of the {_name(near.member)} are near to the {words[distance.kind]} of the {distance.part}: bore "
         f"their holes, and look whether it splits. {room_for(distance.kind, 'screws')}"),
        _keys(near.member), clause=_SCREW_DISTANCES[standard],
    )  # fmt: skip


def most_slender(posts: Sequence[Post]) -> Post | None:
    """The most slender post of wood that the NDS knows; None: there is none."""
    known = (post for post in posts if any(wood.standard == "NDS" for wood in post.woods))
    return max(known, key=lambda post: post.height / post.side, default=None)


def _slender(post: Post) -> Finding:
    return compare(
        "slender-post", nds.SOURCE, ceil(round(post.height / post.side, 6)), "<=", SLENDER,
        ("No post is too slender for its height, if it cannot sway.",
         f"The {_name(post.member)} is too slender for its height. Thicker sections are less so."),
        _keys(post.member), Status.FAIL, clause="3.7.1.4", unit="count",
    )  # fmt: skip


def _sag(sag: Sag, columns: Columns) -> Finding:
    name, when = _name(sag.member), columns.case(sag.column).when
    return compare(
        "sag", PRACTICE, _up(sag.sag, 1000) * MM // 1000, "<=", int(sag.span * MM / SAG),
        (_GOOD.format(name, when), f"The {name} may sag visibly when {when}. Deeper sections sag less."),
        _keys(sag.member),
    )  # fmt: skip


def unknown_of(unknown: Mapping[str, Sequence[str]], loose: Sequence[Member]) -> Iterator[Finding]:
    """What carries and cannot be reckoned: wood of which no table tells, and what nothing holds."""
    held: dict[str, list[str]] = {}
    for member in loose:
        held.setdefault(_name(member), []).extend(_keys(member))
    for rule, which, message in (
        (
            "unknown-strength",
            unknown,
            "Nobody knows whether it holds: no table tells the strength of the wood of these: {}. Tables tell it of "
            "boards graded for strength; of others the price book's design_values may.",
        ),
        (
            "held-at-one-place",
            held,
            "Nobody knows whether it holds: these carry, and are held at one place or at none: {}.",
        ),
    ):
        if which:
            keys = dict.fromkeys(key for some in which.values() for key in some)
            yield unreckoned(rule, PRACTICE, message.format(words([*which])), tuple(keys))


def falls(fallen: Mapping[Member, str]) -> Iterator[Finding]:
    """What nothing that is reckoned holds in some case, which is therefore not reckoned."""
    for member, when in fallen.items():
        message = (
            f"Nobody knows whether it holds: nothing that was checked keeps the {_name(member)} in place when {when}."
        )
        yield unreckoned("stands", PRACTICE, message, _keys(member))


def _up(number: float, parts: int) -> int:
    """How many parts of one a number is, rounded up; what machines reckon differently is rounded off before."""
    return ceil(round(number * parts, 6))


def _name(member: Member) -> str:
    """What a member is called: as the widest of its parts is."""
    return max(member.parts, key=lambda part: part.width).name


def _keys(member: Member) -> tuple[str, ...]:
    return tuple(part.key for part in member.parts)
