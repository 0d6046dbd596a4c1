"""The cheapest purchase that holds: buy, check, learn what the parts that fail may be cut from, and buy again.

Every purchase in turn is the cheapest of those not ruled out, so that the first that holds is the best, or as good as
its gap tells (logic-based Benders decomposition: Hooker and Ottosson, 2003). Where woods go together in pairs, or
weight decides, the woods allowed are shared out into branches, and the one that may be cheapest is bought for first.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from heapq import heappop, heappush
from itertools import count
from math import ceil
from typing import Final

from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import Sourcing, sourcing_within
from sawbill.buying.takeoff import TakeOff
from sawbill.checks.finding import Finding
from sawbill.checks.strength import Loaded
from sawbill.checks.together import check_frame
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding.kinds import Kind, Woods, narrowed
from sawbill.quoting.holding.tables import Tables, boxes
from sawbill.quoting.holding.tried import Failing, Held, Scope
from sawbill.quoting.summaries import materials_of, woods_of
from sawbill.trade.lumber import Materials

MOST_PURCHASES: Final = 24
"""How many purchases are made in search of the cheapest that holds."""
LESS: Final = Fraction(1, 10**9)
"""By how little something may be cheaper: costs are whole numbers of far larger units [minor units]."""
Findings = tuple[tuple[int, Finding], ...]
"""What the checks found, each with the line of the request it is of."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be bought, by when (time.monotonic [s]); loaded: the frames under their cases, by line."""

    request: Request
    book: PriceBook
    loaded: Mapping[int, Loaded]
    end: float


@dataclass(frozen=True, slots=True)
class Bought:
    """A purchase, and the take-off it is for.

    materials: by line and part, what each is cut from; findings: what the checks find of every frame then.
    """

    off: TakeOff
    sourcing: Sourcing
    materials: Mapping[int, Materials]
    findings: Findings

    @classmethod
    def of(cls, off: TakeOff, asked: Asked, most: Fraction | None) -> Bought | Fraction:
        """Buy what is taken off, and check it; what costs more than it may at most is not checked: then a bound on it.

        Raises NothingFitsError.
        """
        sourcing = sourcing_within(off, asked.request, asked.book, asked.end, most)
        if isinstance(sourcing, Fraction):
            return sourcing
        if most is not None and (bound := sourcing.cost - sourcing.gap) > most:
            return bound
        materials = materials_of(off, woods_of(sourcing.purchase))
        findings = tuple(
            (number, finding)
            for number, each in asked.loaded.items()
            for finding in check_frame(each.paths.frame, asked.request.site, materials[number], each)
        )
        return cls(off, sourcing, materials, findings)

    @property
    def bound(self) -> Fraction:
        """No purchase of the same costs less [minor units]."""
        return self.sourcing.cost - self.sourcing.gap


@dataclass(order=True, slots=True)
class Branch:
    """A share of the woods allowed: no purchase in it costs less than the bound [minor units]."""

    bound: Fraction
    number: int
    shared: Mapping[Kind, Woods] = field(compare=False)


class Search:
    """For the frames of a request, each with its tables; free: the cheapest purchase, whether it holds or not.

    cut_short: whether the search ended before all purchases that may be cheaper and hold were ruled out; late: by the
    clock. enough: it may cost so much; where all that may hold costs more, the search ends: dearer is a bound on it.
    """

    def __init__(
        self, asked: Asked, kinds: Sequence[Kind], frames: Mapping[int, Tables], free: Bought,
        enough: Fraction | None = None,
    ) -> None:  # fmt: skip
        self._asked, self._kinds, self._frames = asked, kinds, frames
        self._free, self._numbers = free, count()
        self.best: Bought | None = None
        self.purchases = 1
        self.cut_short = self.late = False
        self.dearer: Fraction | None = None
        self._enough = enough
        self._waiting: list[Branch] = []
        self._bounds: list[Fraction] = []  # of the purchases that hold
        self._known: dict[tuple[Woods, ...], Bought | Fraction | None] = {
            tuple(frozenset(kind.woods) for kind in kinds): free
        }

    def run(self) -> Bought | None:
        """The cheapest purchase that holds but for what no wood mends; None: none was found."""
        self._put(self._free.bound, {})
        while self._waiting and not self._done():
            branch = heappop(self._waiting)
            allowed = {kind: branch.shared.get(kind, frozenset(kind.woods)) for kind in self._kinds}
            if all(tables.narrow(allowed) for tables in self._frames.values()):
                self._try(branch, allowed)
        return self._settled()

    @property
    def _most(self) -> Fraction | None:
        """What a purchase may cost to be of use: less than one that holds, and no more than is enough."""
        limits = [] if self._enough is None else [self._enough]
        limits += [] if self.best is None else [self.best.sourcing.cost - LESS]
        return min(limits, default=None)

    def _too_dear(self, bound: Fraction) -> bool:
        return self._most is not None and bound > self._most

    def _done(self) -> bool:
        least = self._waiting[0].bound
        if self._too_dear(least):
            if self.best is None or least < self.best.sourcing.cost:
                self.dearer = least
            return True
        self.late = time.monotonic() > self._asked.end
        self.cut_short = self.late or self.purchases >= MOST_PURCHASES
        return self.cut_short

    def _try(self, branch: Branch, allowed: Mapping[Kind, Woods]) -> None:
        bought = self._buy(allowed)
        if bought is None:
            return
        if isinstance(bought, Fraction):
            self._put(bought, branch.shared)  # what ends the search once nothing cheaper waits
            return
        failing, left = self._failing_of(bought)
        if not left:
            self._keep(bought)
        elif self._learn(failing):
            self._put(bought.bound, branch.shared)
        else:
            for shared in self._branches(bought, left, allowed):
                self._put(bought.bound, {**branch.shared, **shared})

    def _failing_of(self, bought: Bought) -> tuple[Failing, Failing]:
        """What fails of a purchase, and what of that another wood may mend."""
        failing = self.failing(bought)
        left = self._left(failing)
        if failing and not left:  # what no wood mends may hide more
            failing = self.failing(bought, thorough=True)
            left = self._left(failing)
        return failing, left

    def _put(self, bound: Fraction, shared: Mapping[Kind, Woods]) -> None:
        heappush(self._waiting, Branch(bound, next(self._numbers), shared))

    def _keep(self, bought: Bought) -> None:
        self._bounds.append(bought.bound)
        if self.best is None or bought.sourcing.cost < self.best.sourcing.cost:
            self.best = bought

    def _buy(self, allowed: Mapping[Kind, Woods]) -> Bought | Fraction | None:
        """Buy from the woods allowed; a bound where that is too dear, None: they cannot be had, or not asked for so."""
        key = tuple(allowed[kind] for kind in self._kinds)
        if key not in self._known:
            self._known[key] = None
            off = narrowed(self._free.off, self._kinds, allowed, split=True)
            if off is not None:
                self.purchases += 1
                try:
                    self._known[key] = Bought.of(off, self._asked, self._most)
                except NothingFitsError as error:
                    self._lacking(off, {part for each in error.lacking for part in each.parts})
        return self._known[key]

    def _lacking(self, off: TakeOff, parts: set[str]) -> None:
        """What holds cannot be bought for some parts, at whatever price: take what there is for these."""
        keys = {(cut.line, key) for cut in off.cut_list if cut.id in parts for key in cut.keys}
        kinds = [kind for kind in self._kinds if any((kind.cut.line, key) in keys for key in kind.keys)]
        if not self._waiting and self.best is None:
            lost = [
                tables.give_up([kind for kind in kinds if kind in tables.tried.kinds])
                for tables in self._frames.values()
            ]
            if any(lost):
                self._put(self._free.bound, {})

    def failing(self, bought: Bought, *, thorough: bool = False) -> Failing:
        """What fails of all frames as they would be made, by scope."""
        found: dict[Scope, frozenset[str]] = {}
        for line, tables in self._frames.items():
            tried, materials = tables.tried, bought.materials[line]
            held: Held = {kind: materials[kind.keys[0]] for kind in tried.kinds}
            findings = (finding for number, finding in bought.findings if number == line)
            found |= tried.all_failing(held, materials) if thorough else tried.failing(held, materials, findings)
        return found

    def _left(self, failing: Failing) -> Failing:
        left: dict[Scope, frozenset[str]] = {}
        for tables in self._frames.values():
            left |= tables.left({scope: rules for scope, rules in failing.items() if scope[0] in tables.tried.kinds})
        return left

    def _learn(self, failing: Failing) -> bool:
        news = [
            tables.learn({scope: rules for scope, rules in failing.items() if scope[0] in tables.tried.kinds})
            for tables in self._frames.values()
        ]  # fmt: skip
        return any(news)

    def _branches(self, bought: Bought, left: Failing, allowed: Mapping[Kind, Woods]) -> Iterator[Mapping[Kind, Woods]]:
        """Share out the woods allowed so that this purchase is in no branch, and every one that holds is in some.

        By the largest boxes of woods that go together, where a table tells them. Where none does, another purchase must
        do without one of the kinds of wood of this one: with all of them, in whatever shares, it fails as this does.
        """
        for scope in left:
            for tables in self._frames.values():
                if len(scope) > 1 and (good := tables.together.get(scope)) is not None:
                    fitting = frozenset(
                        each for each in good if all(w in allowed[k] for k, w in zip(scope, each, strict=True))
                    )
                    found = boxes(fitting, len(scope))
                    if len(found) > 1:
                        yield from (dict(zip(scope, box, strict=True)) for box in found)
                        return
        for kind in self._kinds:
            used = bought.materials[kind.cut.line][kind.keys[0]]
            for wood in used:
                if rest := allowed[kind] - {wood}:
                    yield {kind: rest}

    def _settled(self) -> Bought | None:
        """The best, its lines told as one wherever that costs no more, and how far it is proven."""
        best = self.best
        if best is None:
            return None
        least = min([*self._bounds, *(branch.bound for branch in self._waiting)])
        if len(best.off.cut_list) > len(self._free.off.cut_list):
            best = self._as_one(best)
        gap = max(0, ceil(best.sourcing.cost - least))
        return replace(best, sourcing=replace(best.sourcing, gap=gap, late=best.sourcing.late or self.late))

    def _as_one(self, best: Bought) -> Bought:
        """The same with the lines of the free purchase, if that costs no more."""
        allowed = {kind: self._may_be(best, kind) for kind in self._kinds}
        off = narrowed(self._free.off, self._kinds, allowed, split=False)
        if off is None:
            return best
        self.purchases += 1
        try:
            whole = Bought.of(off, self._asked, best.sourcing.cost)
        except NothingFitsError:
            return best
        if isinstance(whole, Fraction) or whole.sourcing.cost > best.sourcing.cost:
            return best
        return best if self._failing_of(whole)[1] else whole

    def _may_be(self, best: Bought, kind: Kind) -> Woods:
        lines = (cut for cut in best.off.cut_list if cut.line == kind.cut.line and kind.keys[0] in cut.keys)
        found = next(lines).may_be
        return frozenset(kind.woods if found is None else found)
