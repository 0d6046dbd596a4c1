"""Ways out of checks that fail: changes of one or two options, each tried as a whole, the nearest first.

A change is tried in two steps: its frame in the strongest wood on sale, which rules out most, then its purchase.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

from sawbill.asked.lines import Line
from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import total_of
from sawbill.buying.takeoff import take_off
from sawbill.checks.finding import Finding, Status
from sawbill.checks.together import check_frame
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import Holding, held
from sawbill.quoting.holding.strongest import cut_from, strongest
from sawbill.quoting.holding.tried import decided_by_wood
from sawbill.quoting.summaries import summary_of
from sawbill.quoting.ways_out.changes import Change, pairs, reading_of, single_changes
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.lumber import Material

MOST_WAYS: Final = 3
"""How many ways out of one check are told."""
MOST_PAIRS: Final = 40
"""How many changes of two options are tried, all checks together."""
MOST_BOUGHT: Final = 12
"""How many changes are bought for in trial, all checks together."""
BETTER_BOARDS: Final = Change("must_hold", "no", "yes", 0)
"""What is asked of the boards, and no option of a design."""
BAD: Final = frozenset({Status.FAIL, Status.UNRECKONED})
UNMET: Final = BAD | {Status.WARN}
Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Way:
    """Changes with which all checks pass: the total then [minor units], the mass of the frame [g], how many boards, and
    the longest piece that is carried [nm]."""

    changes: tuple[Change, ...]
    total: int
    mass_g: int
    boards: int
    longest_piece: int


@dataclass(frozen=True, slots=True)
class WaysOut:
    """Of a check that fails or warns: the ways out, the nearest first; singles, pairs: how many changes of one and of
    two options were tried for it; cut_short: whether there were more that were not; late: for the clock."""

    line: int
    finding: Finding
    ways: tuple[Way, ...]
    singles: int
    pairs: int
    cut_short: bool
    late: bool = False


def ways_out(
    request: Request, book: PriceBook, designs: Mapping[str, Design], holding: Holding, end: float
) -> list[WaysOut]:
    """Look for ways out of every check of a quote that fails, is not known or warns; end: the emergency stop."""
    found = []
    trials = {number: _Trials(number, line, request, book, designs, end) for number, line in enumerate(request.lines)
              if line.design is not None and line.frame is not None}  # fmt: skip
    before = [(number, each) for number, each in holding.bought.findings if each.status in UNMET]
    for number, each in before:
        found.append(trials[number].out_of(each, [one for line, one in before if line == number]))
    return found


@dataclass(frozen=True, slots=True)
class _Changed:
    """A line with changed options, and what the checks find of it in the strongest wood on sale."""

    line: Line
    findings: Sequence[Finding]


@dataclass
class _Trials:
    """All that is tried of one line, each once."""

    number: int
    line: Line
    request: Request
    book: PriceBook
    designs: Mapping[str, Design]
    end: float
    bought: int = 0
    paired: int = 0
    late: bool = False
    _tried: dict[tuple[Change, ...], _Changed | None] = field(default_factory=dict)
    _ways: dict[tuple[Change, ...], tuple[Way, Sequence[Finding]] | None] = field(default_factory=dict)

    @cached_property
    def design(self) -> Design:
        return self.designs[str(self.line.design)]

    @cached_property
    def singles(self) -> list[Change]:
        return single_changes(self.design, self.line.options, self.request, self.book)

    def out_of(self, finding: Finding, before: Sequence[Finding]) -> WaysOut:
        """The ways out of one finding; before: all of the line that are not met."""
        ways = list(self._if_it_must_hold(finding, before))
        singles = pairs_tried = 0
        cut_short = False
        near = self._nearest(finding)
        for change in near:
            cut_short = self._spent()
            if len(ways) == MOST_WAYS or cut_short:
                break
            singles += 1
            ways += [way for way in self._if_good((change,), finding, before) if not _same(way, ways)]
        for changes in pairs(near) if not ways else ():
            if ways or self._spent() or self.paired >= MOST_PAIRS:
                cut_short = not ways
                break
            self.paired, pairs_tried = self.paired + 1, pairs_tried + 1
            ways += self._if_good(changes, finding, before)
        cut_short = cut_short and len(ways) < MOST_WAYS
        return WaysOut(self.number, finding, tuple(ways), singles, pairs_tried, cut_short, self.late)

    def _spent(self) -> bool:
        self.late = self.late or time.monotonic() > self.end
        return self.late or self.bought >= MOST_BOUGHT

    def _nearest(self, finding: Finding) -> list[Change]:
        """The nearest first; those of options that are called by a word of what is concerned are one step nearer."""
        frame = self.line.frame
        assert frame is not None
        words = {word for key in finding.parts for word in frame.by_key[key].name.split()}
        return sorted(self.singles, key=lambda each: each.far + words.isdisjoint(each.option.split("_")))

    def _if_good(self, changes: tuple[Change, ...], finding: Finding, before: Sequence[Finding]) -> Iterator[Way]:
        changed = self._changed(changes)
        if changed is None or not _mends(changed.findings, finding, before):
            return
        if changes not in self._ways:
            self.bought += 1
            self._ways[changes] = self._way(changes, changed.line)
        if (found := self._ways[changes]) is not None and _mends(found[1], finding, before):
            yield found[0]

    def _if_it_must_hold(self, finding: Finding, before: Sequence[Finding]) -> Iterator[Way]:
        """The same of boards that hold, where they need not: nothing is nearer."""
        if not self.request.must_hold and decided_by_wood(finding):
            if (BETTER_BOARDS,) not in self._ways:
                self._ways[BETTER_BOARDS,] = self._way((BETTER_BOARDS,), self.line, must_hold=True)
            if (found := self._ways[BETTER_BOARDS,]) is not None and _mends(found[1], finding, before):
                yield found[0]

    def _changed(self, changes: tuple[Change, ...]) -> _Changed | None:
        """The line with changes; None: the design refuses them."""
        if changes not in self._tried:
            options = {**self.line.options, **{each.option: each.after for each in changes}}
            try:
                frame = self.design.frame(options, reading_of(self.book, self.request))
            except OptionFaultsError:
                self._tried[changes] = None
            else:
                found = check_frame(frame, self.request.site, cut_from(frame, self._by_section))
                self._tried[changes] = _Changed(replace(self.line, frame=frame, options=options), found)
        return self._tried[changes]

    def _way(
        self, changes: tuple[Change, ...], line: Line, *, must_hold: bool = False
    ) -> tuple[Way, Sequence[Finding]] | None:
        """Buy the whole request with the line changed; None: it cannot be bought."""
        lines = (*self.request.lines[: self.number], line, *self.request.lines[self.number + 1 :])
        request = replace(self.request, lines=lines, must_hold=must_hold or self.request.must_hold)
        try:
            holding = held(take_off(lines, request.shop.rounding_step), request, self.book, self.end)
        except NothingFitsError:
            return None
        bought = holding.bought
        assert line.frame is not None
        told = summary_of(self.number, line.frame, bought.materials[self.number])
        way = Way(
            changes, total_of(bought.sourcing, self.book), told.mass_g,
            sum(each.quantity for each in bought.sourcing.purchase.boards.bought),
            max(piece.longest for piece in told.carried_pieces),
        )  # fmt: skip
        return way, [each for number, each in bought.findings if number == self.number]

    @cached_property
    def _by_section(self) -> Mapping[str, tuple[Material, ...]]:
        return strongest(self.line, self.request, self.book)


def _same(way: Way, ways: Iterable[Way]) -> bool:
    """Whether a way makes the same furniture as one that is nearer, as far as its figures tell."""
    return any(replace(way, changes=each.changes) == each for each in ways)


def _mends(after: Iterable[Finding], finding: Finding, before: Sequence[Finding]) -> bool:
    """Whether nothing fails, the rule in question is met, and nothing is warned of that was not before."""
    unmet = [each for each in after if each.status in UNMET]
    known = {_key(each) for each in before if each.status is Status.WARN}
    return all(each.status is Status.WARN and _key(each) in known and _key(each) != _key(finding) for each in unmet)


def _key(finding: Finding) -> Key:
    return finding.rule, finding.source
