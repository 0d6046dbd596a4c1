"""What each kind of part, and kinds that are fixed to each other, may be cut from so that they hold: learned as asked.

What no wood on sale mends is noted, and asked no more: the rest shall hold all the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from sawbill.quoting.holding.kinds import Kind, Woods
from sawbill.quoting.holding.tried import Scope, Tried, combinations
from sawbill.trade.lumber import Material

MOST_COMBINATIONS: Final = 300
"""How many ways to cut the kinds of one scope are tried; where there are more, purchases are tried instead."""
UNKNOWN: Final = "unknown-strength"
Tuples = frozenset[tuple[Material, ...]]
Box = tuple[Woods, ...]
"""For each kind of a scope the woods that go with all those of the others."""


class Tables:
    """Of one frame: by scope, the woods that go together; unmended: by scope, the rules that no wood on sale mends."""

    def __init__(self, tried: Tried) -> None:
        self.tried = tried
        self.together: dict[Scope, Tuples] = {}
        self.unmended: dict[Scope, frozenset[str]] = {}

    def learn(self, failing: Mapping[Scope, frozenset[str]]) -> bool:
        """Find what the scopes that fail may be cut from; False: all of that was known."""
        new = [scope for scope in failing if scope not in self.unmended]
        for scope in new:
            if len(scope) == len(self.tried.kinds) and "tipping" in failing[scope]:
                self.unmended[scope] = frozenset({"tipping"}) if self.tried.tips_anyway else frozenset()
                continue
            for kind in scope:
                self._look_at((kind,))
            if len(scope) > 1:
                self._look_at(scope)
        return bool(new)

    def left(self, failing: Mapping[Scope, frozenset[str]]) -> dict[Scope, frozenset[str]]:
        """What fails, without what no wood mends."""
        rules = {scope: found - self.unmended.get(scope, frozenset()) for scope, found in failing.items()}
        return {scope: found for scope, found in rules.items() if found}

    def give_up(self, kinds: Sequence[Kind]) -> bool:
        """Forget what some kinds should be cut from, for that cannot be bought; False: nothing was known of them."""
        lost = [scope for scope in self.together if any(kind in kinds for kind in scope)]
        for scope in lost:
            del self.together[scope]
            self.unmended[scope] = frozenset().union(*(self.tried.fails(scope, each) for each in self._every(scope)))
        return bool(lost)

    def _every(self, scope: Scope) -> Iterator[tuple[Material, ...]]:
        return combinations(scope, {kind: kind.woods for kind in scope})

    def _look_at(self, scope: Scope) -> None:
        """Try every way to cut a scope from woods that hold by themselves."""
        if scope in self.unmended:
            return
        ways = 1
        for kind in scope:
            ways *= len(self.together.get((kind,), kind.woods)) if len(scope) > 1 else 1
        self.unmended[scope] = frozenset()
        if ways > MOST_COMBINATIONS:
            return
        alone = {kind: self._alone(kind) if len(scope) > 1 else frozenset(kind.woods) for kind in scope}
        fails = {each: self.tried.fails(scope, each) for each in combinations(scope, alone)}
        known = [rules for rules in fails.values() if UNKNOWN not in rules]  # of unknown wood nothing else can be told
        never = frozenset.intersection(*known or fails.values())
        good = frozenset(each for each, rules in fails.items() if not rules - never)
        self.unmended[scope] = never if good else frozenset().union(*fails.values())
        if len(good) not in (0, len(fails)):
            self.together[scope] = good

    def _alone(self, kind: Kind) -> Woods:
        good = self.together.get((kind,))
        return frozenset(kind.woods) if good is None else frozenset(wood for (wood,) in good)

    def narrow(self, allowed: dict[Kind, Woods]) -> bool:
        """Leave of woods only those that go with some of the others; False: none is left for some kind."""
        changed = True
        while changed:
            changed = False
            for scope, good in self.together.items():
                fitting = [each for each in good if all(w in allowed[k] for k, w in zip(scope, each, strict=True))]
                for i, kind in enumerate(scope):
                    rest = allowed[kind] & {each[i] for each in fitting}
                    if rest != allowed[kind]:
                        allowed[kind], changed = rest, True
                    if not rest:
                        return False
        return True


def boxes(tuples: Tuples, size: int) -> list[Box]:
    """The largest boxes of woods all of whose combinations are among the tuples; every tuple is in one of them."""
    if size == 0:
        return [()] if tuples else []
    rests: dict[Material, Tuples] = {}
    for each in sorted(tuples, key=repr):
        rests[each[0]] = rests.get(each[0], frozenset()) | {each[1:]}
    shared: dict[Tuples, None] = dict.fromkeys(rests.values())
    for rest in [*rests.values()]:
        shared |= dict.fromkeys(rest & other for other in [*shared] if rest & other)
    found: list[Box] = []
    for rest in shared:
        first = frozenset(wood for wood, its in rests.items() if rest <= its)
        found += [(first, *box) for box in boxes(rest, size - 1)]
    return [box for box in found if not any(box != other and _within(box, other) for other in found)]


def _within(box: Box, other: Box) -> bool:
    return all(mine <= its for mine, its in zip(box, other, strict=True))
