"""A frame tried in woods: which rules fail of parts whose wood is known, whatever the rest is cut from.

A trial looks at some kinds of parts alone, and takes all others to weigh as little as they may: what fails then fails
in any purchase, as far as more weight elsewhere only adds to what is borne. RELIEF is left for where it lifts a beam.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product
from typing import Final

from sawbill.checks.finding import Finding, Status
from sawbill.checks.material import check_material
from sawbill.checks.resistance.screwed import ScrewedJoints
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.site import Site
from sawbill.checks.strength import RULES, Loaded, strength_of
from sawbill.checks.strength.screws import groups_of
from sawbill.checks.tipping import check_tipping
from sawbill.checks.together import check_frame
from sawbill.estimating.holding.kinds import Kind
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Material, Materials

RELIEF: Final = 5
"""By how much of what it bears a part may be relieved by heavier wood elsewhere [permille] (measured; see the tests)."""
WOOD_DECIDES: Final = RULES | {"unknown-strength", "treated-wood", "bolt-distance", "slender-post", "tipping"}
"""The rules whose outcome depends on the wood that is cut."""
BAD: Final = frozenset({Status.FAIL, Status.UNRECKONED})
"""What does not hold: what fails, and what nobody knows."""
Scope = tuple[Kind, ...]
Held = Mapping[Kind, Sequence[Material]]
"""The woods that kinds are cut from."""


def decided_by_wood(finding: Finding) -> bool:
    """Whether something does not hold that another wood may mend."""
    return finding.status in BAD and finding.rule in WOOD_DECIDES


class Tried:
    """The frame of a line of the request; kinds: its parts by what they may be cut from."""

    def __init__(self, frame: Frame, site: Site, loaded: Loaded, kinds: Sequence[Kind]) -> None:
        self.frame, self.site, self.loaded, self.kinds = frame, site, loaded, kinds
        self.of = {key: kind for kind in kinds for key in kind.keys}
        self.light: Materials = {key: (kind.lightest,) for key, kind in self.of.items()}
        self._known: dict[tuple[Scope, tuple[Material, ...]], frozenset[str]] = {}

    def findings(self, materials: Materials) -> list[Finding]:
        """Every finding of the frame as it would be made."""
        return check_frame(self.frame, self.site, materials, self.loaded)

    @cached_property
    def scopes(self) -> Sequence[Scope]:
        """The kinds whose woods together decide something: each by itself, and those that are fixed to each other."""
        joined = (frozenset(self.of[key] for key in keys if key in self.of) for keys in self._joined())
        several = {tuple(sorted(each, key=lambda kind: kind.number)) for each in joined if len(each) > 1}
        return [*((kind,) for kind in self.kinds), *sorted(several, key=lambda scope: [kind.number for kind in scope])]

    def _joined(self) -> Iterator[Iterable[str]]:
        """The parts at the bolts of every link, at screws that carry together, and at every corner."""
        loaded = self.loaded
        for link in loaded.paths.links:
            keys = {part.key for member in (link.member, link.carrier) for part in member.parts}
            yield {key for bolt in link.bolts for key in bolt.parts} & keys
        screws = ScrewedJoints(loaded.paths, Timber(loaded.paths, {}))
        for group in groups_of(loaded.bearing, loaded.paths, screws):
            yield {key for joint in group.joints for key in joint.parts}
        for along, seen in loaded.leaning.seen.items():
            for number in range(len(seen)):
                racked, _ = loaded.leaning.pushed(along, number)
                for hold in racked.holds:
                    corner = racked.seen.corners[hold.corner]
                    keys = {part.key for member in (corner.one, corner.other) for part in member.parts}
                    found = {key for joint in hold.by for key in joint.parts} & keys
                    if hold.kind == "butt":
                        butt = corner.butts[hold.butt]
                        found |= {butt.against.key, *(key for bolt in butt.holding for key in (bolt.parts[0], bolt.parts[-1]))}
                    yield found

    def fails(self, scope: Scope, woods: tuple[Material, ...]) -> frozenset[str]:
        """The rules that fail of kinds in one wood each, whatever the rest is cut from, and not of one kind by itself."""
        key = scope, woods
        if key not in self._known:
            held = {kind: (wood,) for kind, wood in zip(scope, woods, strict=True)}
            weighing = {**self.light, **{each: held[kind] for kind in scope for each in kind.keys}}
            found = self._trial(held, weighing, RELIEF)
            for kind, wood in zip(scope, woods, strict=True) if len(scope) > 1 else ():
                found -= self.fails((kind,), (wood,))
            self._known[key] = found
        return self._known[key]

    def fails_as_made(self, held: Held, materials: Materials) -> Mapping[Scope, frozenset[str]]:
        """The rules that fail of each scope in the woods of a purchase, none of a part of it by itself; materials: all of
        them, by part."""
        found: dict[Scope, frozenset[str]] = {}
        for scope in self.scopes:
            rules = self._trial({kind: held[kind] for kind in scope}, materials, 0)
            for kind in scope if len(scope) > 1 else ():
                rules -= found.get((kind,), frozenset())
            if rules:
                found[scope] = rules
        if any(each.status in BAD for each in check_tipping(self.frame, self.site, materials)):
            found[tuple(self.kinds)] = found.get(tuple(self.kinds), frozenset()) | {"tipping"}
        return found

    @cached_property
    def tips_anyway(self) -> bool:
        """Whether it tips over even of the heaviest wood."""
        heavy = {key: (kind.heaviest,) for key, kind in self.of.items()}
        return any(each.status in BAD for each in check_tipping(self.frame, self.site, heavy))

    def _trial(self, held: Held, weighing: Materials, doubt: int) -> frozenset[str]:
        materials = {key: tuple(woods) for kind, woods in held.items() for key in kind.keys}
        found = strength_of(self.loaded.in_wood(materials, weighing)) if self.loaded.cases else []
        rules = {each.rule for each in found if each.rule in WOOD_DECIDES and _surely_bad(each, materials, doubt)}
        treated = [each for each in check_material(self.frame, self.site, materials) if each.status in BAD]
        return frozenset(rules | {each.rule for each in treated})


def _surely_bad(finding: Finding, held: Materials, doubt: int) -> bool:
    if finding.status is Status.UNRECKONED:
        return not held.keys().isdisjoint(finding.parts)
    known = finding.unit != "share" or finding.found is None or finding.most is None
    return finding.status is Status.FAIL and (known or finding.found > finding.most + doubt)


def combinations(scope: Scope, allowed: Mapping[Kind, Iterable[Material]]) -> Iterator[tuple[Material, ...]]:
    """Every way to cut each kind of a scope from one of its woods."""
    return product(*([wood for wood in kind.woods if wood in allowed[kind]] for kind in scope))
