"""Whether a frame is sure not to hold, whatever wood is bought for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from sawbill.asked.request import Request
from sawbill.buying.takeoff import TakeOff
from sawbill.checks.finding import Finding
from sawbill.checks.loads import Case
from sawbill.checks.strength import Loaded, Reckoned
from sawbill.checks.together import check_wood
from sawbill.prices.pricebook import LumberOffer
from sawbill.quoting.holding.kinds import Kind, kinds_of
from sawbill.quoting.holding.strongest import cut_from
from sawbill.quoting.holding.tables import Tables
from sawbill.quoting.holding.tried import Tried, decided_by_wood
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Material, Materials

KNOWN_AS: Final = {"unknown-strength": "bending"}
"""By which rule it shows that nobody knows the strength of something."""


class Weakness(NamedTuple):
    """Parts of a frame that hold in no wood, and a case that shows it: enough to look there first in one much like it.

    rule: that tells it; names: what the parts are called; when: what is going on then; loaded: what the members are
    called that bear it; share: which it is of all such cases, from 0 for the first to 1 for the last.
    """

    rule: str
    names: frozenset[str]
    when: str
    loaded: frozenset[str]
    share: float

    def kinds(self, tried: Tried) -> list[Kind]:
        """The parts of another frame that may have it."""
        by_key = tried.frame.by_key
        return [kind for kind in tried.kinds if all(by_key[key].name in self.names for key in kind.keys)]

    def cases(self, cases: Sequence[Case]) -> Sequence[Case]:
        """Those of another frame that are most like its own: one, and those before and after it."""
        alike = [case for case in cases if case.when == self.when and _loaded(case) == self.loaded]
        at = round(self.share * (len(alike) - 1)) if alike else 0
        return alike[max(0, at - 1) : at + 2]


class Verdict(NamedTuple):
    """Whether a frame fails in any wood; weakness: one that shows it by itself."""

    fails: bool
    weakness: Weakness | None = None


def fails_in_any_wood(
    frame: Frame, off: TakeOff, request: Request, offers: Sequence[LumberOffer],
    strong: Mapping[str, tuple[Material, ...]], known: Iterable[Weakness] = (),
) -> Verdict:  # fmt: skip
    """Whether something is sure not to hold; strong: by section, the strongest wood on sale; known: weaknesses of
    frames much like it, which are looked at first.

    What holds in the strongest wood is not looked at further. What fails in it may still hold in another, so that all
    woods are tried for the parts that fail, under the least that can come to them.
    """
    loaded = Loaded(frame, request.site)
    if not loaded.cases:
        return Verdict(fails=False)
    tried = Tried(frame, request.site, loaded, kinds_of(off, request, offers, {0: loaded.paths}))
    if weakness := _first_shown(tried, known):
        return Verdict(fails=True, weakness=weakness)
    woods = cut_from(frame, strong)
    reckoned = loaded.in_wood(woods)
    findings = [each for each in check_wood(reckoned, request.site, woods) if decided_by_wood(each)]
    if not findings:
        return Verdict(fails=False)
    if weakness := _first_shown(tried, _weaknesses(reckoned, findings)):
        return Verdict(fails=True, weakness=weakness)
    touched = dict.fromkeys(tried.of[key] for each in findings for key in each.parts if key in tried.of)
    alone = any(all(tried.fails((kind,), (wood,)) for wood in kind.woods) for kind in touched)
    return Verdict(alone or _in_any_together(tried, woods, findings))


def _first_shown(tried: Tried, weaknesses: Iterable[Weakness]) -> Weakness | None:
    """The first that a frame has, under the cases of all of them together, which are few."""
    having = [(each, kinds) for each in weaknesses if (kinds := each.kinds(tried))]
    cases = [case for each, _ in having for case in each.cases(tried.loaded.cases)]
    if not cases:
        return None
    under = tried.at_least(list({id(case): case for case in cases}.values()))
    shown = (each for each, kinds in having if any(tried.fails_anyway(kind, under, each.rule) for kind in kinds))
    return next(shown, None)


def _weaknesses(reckoned: Reckoned, findings: Iterable[Finding]) -> Iterator[Weakness]:
    """What may be one of a frame, as it is found in the strongest wood."""
    cases = reckoned.cases
    for each in findings:
        names = frozenset(reckoned.paths.frame.by_key[key].name for key in each.parts)
        used = [use for (rule, _), use in reckoned.worst.items() if rule == each.rule and use.column >= 0]
        case = cases[max(used, key=lambda use: use.used).column % len(cases)] if used else cases[0]
        alike = [other for other in cases if other.when == case.when and _loaded(other) == _loaded(case)]
        share = next(i for i, other in enumerate(alike) if other is case) / max(1, len(alike) - 1)
        yield Weakness(KNOWN_AS.get(each.rule, each.rule), names, case.when, _loaded(case), share)


def _loaded(case: Case) -> frozenset[str]:
    return frozenset(member.parts[0].name for member in case.loads)


def _in_any_together(tried: Tried, woods: Materials, findings: Sequence[Finding]) -> bool:
    """The same of parts whose woods decide together; woods: the strongest."""
    tables = Tables(tried)
    failing = tried.failing({kind: woods[kind.keys[0]] for kind in tried.kinds}, woods, findings)
    for scope, rules in failing.items():
        tables.learn({scope: rules})
        if tables.unmended[scope]:
            return True
    return False
