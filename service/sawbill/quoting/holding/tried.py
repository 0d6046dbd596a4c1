"""A frame tried in woods: which rules fail of parts whose wood is known, whatever the rest is cut from.

A trial looks at some kinds of parts alone, under the least that can come to them whatever all others weigh: what fails
then fails in any purchase.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product
from types import MappingProxyType
from typing import Final

from sawbill.checks.finding import Finding, Status
from sawbill.checks.loads import Case
from sawbill.checks.material import check_material
from sawbill.checks.site import Site
from sawbill.checks.strength import RULES, Loaded, strength_by, strength_of
from sawbill.checks.strength.reckoned import Under
from sawbill.checks.tipping import check_tipping
from sawbill.quoting.holding.kinds import Kind
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Material, Materials

STATICS: Final = ("bending", "shear", "posts", "bolts", "bolted-end", "bearing", "net-section", "hangers")
RELIEF: Final = {**dict.fromkeys(STATICS, 2), "torsion": 50, "screws": 50}
"""By how much more than it bears something must be used to fail for sure [permille], whatever weighs elsewhere.

Where a place parts and presses no more, effects are not in proportion to weights: under half a permille in the tests.
Rules about sums of effects, which may cancel, are given much more room.
"""
WOOD_DECIDES: Final = RULES | {"unknown-strength", "treated-wood", "bolt-distance", "slender-post", "tipping"}
"""The rules whose outcome depends on the wood that is cut."""
BAD: Final = frozenset({Status.FAIL, Status.UNRECKONED})
"""What does not hold: what fails, and what nobody knows."""
NO_DOUBT: Final[Mapping[str, int]] = MappingProxyType({})
Scope = tuple[Kind, ...]
Failing = Mapping[Scope, frozenset[str]]
"""By scope, the rules that fail in it."""
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
        self._known: dict[tuple[Scope, tuple[Material, ...]], frozenset[str]] = {}

    @cached_property
    def _at_least(self) -> Under:
        """What the frame is under at least, whatever woods its kinds are cut from."""
        return self.at_least(self.loaded.cases)

    def at_least(self, cases: Sequence[Case]) -> Under:
        """The same of some of its cases alone."""
        light, heavy = ({kind: (get(kind),) for kind in self.kinds} for get in (_lightest, _heaviest))
        all_light: Materials = {key: light[kind] for key, kind in self.of.items()}
        unlike = [k for k in self.kinds if light[k][0].weight_kg_m3 != heavy[k][0].weight_kg_m3]
        heavier = [{**all_light, **dict.fromkeys(kind.keys, heavy[kind])} for kind in unlike]
        return self.loaded.at_least(all_light, heavier, cases)

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
        for group in loaded.screws:
            yield {key for joint in group.joints for key in joint.parts}
        for along, seen in loaded.leaning.seen.items():
            for number in range(len(seen)):
                racked, _ = loaded.leaning.pushed(along, number)
                yield from ({part.key for part in member.parts} for member in racked.rows)
                for hold in racked.holds:
                    corner = racked.seen.corners[hold.corner]
                    keys = {part.key for member in (corner.one, corner.other) for part in member.parts}
                    found = {key for joint in hold.by for key in joint.parts} & keys
                    if hold.kind == "butt":
                        butt = corner.butts[hold.butt]
                        found |= {
                            butt.against.key,
                            *(key for bolt in butt.holding for key in (bolt.parts[0], bolt.parts[-1])),
                        }
                    yield found

    def fails(self, scope: Scope, woods: tuple[Material, ...]) -> frozenset[str]:
        """The rules that fail of kinds in one wood each, whatever the rest is cut from, of none of them by itself."""
        key = scope, woods
        if key not in self._known:
            held = {kind: (wood,) for kind, wood in zip(scope, woods, strict=True)}
            found = _rules(self._bad(held, self._at_least, RELIEF))
            for kind, wood in zip(scope, woods, strict=True) if len(scope) > 1 else ():
                found -= self.fails((kind,), (wood,))
            self._known[key] = found
        return self._known[key]

    def fails_anyway(self, kind: Kind, under: Under, rule: str) -> bool:
        """Whether a kind fails in every wood that it may be cut from, by a rule or by those that are reckoned with it;
        under: what it is under at least."""
        for wood in kind.woods:
            materials = dict.fromkeys(kind.keys, (wood,))
            found = strength_by(self.loaded.in_wood(materials, under), rule)
            if not any(_surely_bad(each, materials, RELIEF.get(each.rule, 0)) for each in found):
                return False
        return True

    def failing(self, held: Held, materials: Materials, findings: Iterable[Finding]) -> Failing:
        """What fails in the woods of a purchase, by scope, where its findings show it; materials: all of it, by part.

        A finding tells only the worst of its rule. What fails is therefore left out, and the rest looked at again.
        """
        found: dict[Scope, frozenset[str]] = {}
        under = self.loaded.under(materials)
        bad, left = [each for each in findings if decided_by_wood(each) and each.rule != "tipping"], dict(held)
        while bad:
            touched = {self.of[key] for each in bad for key in each.parts if key in self.of}
            near = [scope for scope in self.scopes if any(kind in touched for kind in scope)]
            fails = self._failing_of([scope for scope in near if all(kind in left for kind in scope)], held, under)
            if not fails:
                return self.all_failing(held, materials)
            found |= fails
            left = {kind: left[kind] for kind in left if not any(kind in scope for scope in fails)}
            bad = self._bad(left, under)
        return {**found, **self._tipping(materials)}

    def all_failing(self, held: Held, materials: Materials) -> Failing:
        """All that fails in the woods of a purchase."""
        return {**self._failing_of(self.scopes, held, self.loaded.under(materials)), **self._tipping(materials)}

    def _failing_of(self, scopes: Iterable[Scope], held: Held, under: Under) -> dict[Scope, frozenset[str]]:
        """What fails of each scope, and of no part of it by itself."""
        alone: dict[Kind, frozenset[str]] = {}
        found: dict[Scope, frozenset[str]] = {}
        for scope in scopes:
            for kind in scope:
                if kind not in alone:
                    alone[kind] = _rules(self._bad({kind: held[kind]}, under))
            rules = alone[scope[0]]
            if len(scope) > 1:
                together = _rules(self._bad({kind: held[kind] for kind in scope}, under))
                rules = together.difference(*(alone[kind] for kind in scope))
            if rules:
                found[scope] = rules
        return found

    def _tipping(self, materials: Materials) -> Failing:
        if any(each.status in BAD for each in check_tipping(self.frame, self.site, materials)):
            return {tuple(self.kinds): frozenset({"tipping"})}
        return {}

    @cached_property
    def tips_anyway(self) -> bool:
        """Whether it tips over even of the heaviest wood."""
        heavy = {key: (kind.heaviest,) for key, kind in self.of.items()}
        return any(each.status in BAD for each in check_tipping(self.frame, self.site, heavy))

    def _bad(self, held: Held, under: Under, doubts: Mapping[str, int] = NO_DOUBT) -> list[Finding]:
        """What does not hold of some kinds in their woods, by more than is in doubt of a rule [permille]."""
        materials = {key: tuple(woods) for kind, woods in held.items() for key in kind.keys}
        found = strength_of(self.loaded.in_wood(materials, under)) if self.loaded.cases else []
        bad = [each for each in found if _surely_bad(each, materials, doubts.get(each.rule, 0))]
        return bad + [each for each in check_material(self.frame, self.site, materials) if each.status in BAD]


def _lightest(kind: Kind) -> Material:
    return kind.lightest


def _heaviest(kind: Kind) -> Material:
    return kind.heaviest


def _rules(findings: Iterable[Finding]) -> frozenset[str]:
    return frozenset(each.rule for each in findings)


def _surely_bad(finding: Finding, held: Materials, doubt: int) -> bool:
    if finding.status is Status.UNRECKONED:
        return not held.keys().isdisjoint(finding.parts)
    found, most = finding.found, finding.most
    over = finding.unit != "share" or found is None or most is None or found > most + doubt
    return finding.status is Status.FAIL and over and finding.rule in WOOD_DECIDES


def combinations(scope: Scope, allowed: Mapping[Kind, Iterable[Material]]) -> Iterator[tuple[Material, ...]]:
    """Every way to cut each kind of a scope from one of its woods."""
    return product(*([wood for wood in kind.woods if wood in allowed[kind]] for kind in scope))
