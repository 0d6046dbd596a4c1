"""Ways out of checks that fail: changes of one or two options, each tried as a whole, the nearest first.

Where a check of carrying is not met, options that ease it come before all others.

How far the search goes is counted in steps, so that the same request always finds the same. A clock is the emergency
stop alone: where it ends the search, that is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from sawbill.asked.request import Request
from sawbill.buying.suppliers import until
from sawbill.checks.finding import Finding, Status
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import Holding
from sawbill.quoting.holding.tried import decided_by_wood
from sawbill.quoting.ways_out.changes import BETTER_BOARDS, Change, easing, pairs, single_changes
from sawbill.quoting.ways_out.trying import UNMET, Elsewhere, Key, Seen, Trial, Trials, Way, key_of, unmet_beside
from sawbill.trade.design import Design

MOST_WAYS: Final = 3
"""How many ways out of one check are told."""
EMERGENCY: Final = 14.0
"""When the clock ends a search that its steps should have ended long before [s]."""
Run = Callable[[Iterable[Trial]], Iterator[Seen]]
"""How trials are done: each in turn, or several at once, what came of them in their order."""


@dataclass(frozen=True, slots=True)
class Limits:
    """How many steps are taken for one check; more: how many after the first way out of it is found."""

    steps: int
    more: int


AT_ONCE: Final = Limits(700, 150)
"""Of a quote that is answered when it is done."""
TO_THE_END: Final = Limits(200_000, 200_000)
"""Of all checks of a job together: enough for whatever there is of one option and of two of several beds."""


@dataclass(frozen=True, slots=True)
class Unmet:
    """A check of a line that fails, is not known or warns; known: all that the line warns of; singles: every change of
    one option of it; better_boards: whether boards that hold may mend it, where they need not hold now; elsewhere: what
    other lines do not meet; easing: the options that ease it."""

    line: int
    finding: Finding
    known: frozenset[Key]
    singles: tuple[Change, ...]
    better_boards: bool
    elsewhere: Elsewhere = frozenset()
    easing: frozenset[str] = frozenset()

    def trial(self, changes: tuple[Change, ...]) -> Trial:
        """What is tried of it."""
        return Trial(self.line, changes, key_of(self.finding), self.known, self.elsewhere)


@dataclass(frozen=True, slots=True)
class WaysOut:
    """Of a check that fails or warns: the ways out, the nearest first; singles, pairs: how many changes of one and of
    two options were tried for it; cut_short: whether there were more that were not; late: for the clock; steps: that
    all of it took."""

    line: int
    finding: Finding
    ways: tuple[Way, ...]
    singles: int
    pairs: int
    cut_short: bool
    late: bool = False
    steps: int = 0


def ways_out(
    request: Request, book: PriceBook, designs: Mapping[str, Design], holding: Holding
) -> list[WaysOut]:  # fmt: skip
    """Look for ways out of every check of a quote that fails, is not known or warns, as far as one answer may take."""
    trials = Trials(request, book, designs, until(EMERGENCY))
    return [out_of(each, lambda asked: map(trials.seen, asked)) for each in unmet(request, book, designs, holding)]


def unmet(request: Request, book: PriceBook, designs: Mapping[str, Design], holding: Holding) -> list[Unmet]:
    """The checks of a quote that are not met."""
    lines = {number: line for number, line in enumerate(request.lines) if line.design is not None and line.frame}
    found = [(number, each) for number, each in holding.bought.findings if number in lines and each.status in UNMET]
    singles = {
        number: single_changes(designs[str(lines[number].design)], lines[number].options, request, book)
        for number in dict(found)
    }  # fmt: skip

    def known(number: int) -> frozenset[Key]:
        return frozenset(key_of(each) for line, each in found if line == number and each.status is Status.WARN)

    def told(number: int, each: Finding) -> Unmet:
        eases = easing(designs[str(lines[number].design)], each.rule)
        return Unmet(
            number, each, known(number), tuple(_nearest(singles[number], request, number, each, eases)),
            not request.must_hold and decided_by_wood(each), unmet_beside(number, holding.bought.findings), eases,
        )  # fmt: skip

    return [told(number, each) for number, each in found]


def _nearest(
    singles: Sequence[Change], request: Request, number: int, finding: Finding, easing: frozenset[str]
) -> list[Change]:  # fmt: skip
    """Those of options that ease it, then the nearest; of options that are called by a word of what is concerned they
    are one step nearer."""
    frame = request.lines[number].frame
    assert frame is not None
    words = {word for key in finding.parts for word in frame.by_key[key].name.split()}

    def far(change: Change) -> tuple[bool, int]:
        return change.option not in easing, change.far + words.isdisjoint(change.option.split("_"))

    return sorted(singles, key=far)


def out_of(asked: Unmet, run: Run, limits: Limits = AT_ONCE) -> WaysOut:
    """Look for ways out of one check: boards that hold, then changes of one option, then, if there is none, of two."""
    looking = _Looking(asked, run, limits)
    if asked.better_boards:
        looking.at([(BETTER_BOARDS,)], MOST_WAYS)
    singles = looking.at([(change,) for change in asked.singles], MOST_WAYS)
    both = 0 if looking.ways or looking.cut_short else looking.at(pairs(asked.singles, asked.easing), 1)
    return WaysOut(
        asked.line, asked.finding, tuple(looking.ways), singles, both, looking.cut_short, looking.late,
        looking.steps,
    )  # fmt: skip


@dataclass
class _Looking:
    """How far the search for one check is; spent: steps in all, and when the first way was found."""

    asked: Unmet
    run: Run
    limits: Limits
    ways: list[Way] = field(default_factory=list)
    cut_short: bool = False
    late: bool = False
    steps: int = 0
    _first: int = 0

    def at(self, candidates: Sequence[tuple[Change, ...]], most: int) -> int:
        """Try changes until there are so many ways out, or the steps are over; how many were tried."""
        answers = self.run(self.asked.trial(changes) for changes in candidates)
        for tried in range(len(candidates)):
            if len(self.ways) >= most:
                return tried
            if self._over:
                self.cut_short = True
                return tried
            self._take(next(answers))
        return len(candidates)

    @property
    def _over(self) -> bool:
        most = min(self.limits.steps, self._first + self.limits.more) if self.ways else self.limits.steps
        return self.late or self.steps >= most

    def _take(self, seen: Seen) -> None:
        self.steps, self.late = self.steps + seen.steps, self.late or seen.late
        way = seen.way
        if way is not None and not any(replace(way, changes=each.changes) == each for each in self.ways):
            self._first = self._first or self.steps  # the same figures are the same furniture, of one that is nearer
            self.ways.append(way)
