"""A change tried as a whole: what is quick before what is slow, and a purchase last.

Its frame first, and all that is measured of it; then its strength in the strongest wood on sale; then what it is bought
for. Each rules most changes out; what one person lifts is judged in the lightest wood. What is tried is counted in
steps, whatever was known of it from before.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final, NamedTuple

from sawbill.asked.lines import Line
from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import total_of
from sawbill.buying.takeoff import take_off
from sawbill.checks.carrying import check_carrying
from sawbill.checks.finding import BY_BADNESS, Finding, Status
from sawbill.checks.together import check_frame, check_quickly
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import Findings, held
from sawbill.quoting.holding.strongest import cut_from, lightest, strongest
from sawbill.quoting.summaries import summary_of
from sawbill.quoting.ways_out.changes import BETTER_BOARDS, Change, reading_of
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.lumber import Material

FRAME, STRENGTH, PURCHASE = 2, 6, 20
"""The steps that a trial takes: for its frame, for its strength, and for every purchase; about a millisecond each."""
ONE_PERSON: Final = "one-person"
"""The rule that lighter wood may meet."""
UNMET: Final = frozenset({Status.FAIL, Status.UNRECKONED, Status.WARN})
Key = tuple[str, str]
"""A rule, and its source."""
Elsewhere = frozenset[tuple[int, Key, Status]]
"""Of lines, what is not met of them, and how."""


@dataclass(frozen=True, slots=True)
class Way:
    """Changes with which a check is met, nothing of its line fails or is newly warned of, and no other line is worse.

    The total then [minor units], the mass of the frame [g], how many boards, the longest piece that is carried [nm].
    """

    changes: tuple[Change, ...]
    total: int
    mass_g: int
    boards: int
    longest_piece: int


@dataclass(frozen=True, slots=True)
class Trial:
    """Changes of a line, to meet a rule; known: what it warns of now; elsewhere: what other lines do not meet now."""

    line: int
    changes: tuple[Change, ...]
    rule: Key
    known: frozenset[Key]
    elsewhere: Elsewhere = frozenset()

    def mended(self, after: Iterable[Finding]) -> bool:
        """Whether nothing fails, the rule is met, and nothing is warned of that is not now."""
        unmet = [each for each in after if each.status in UNMET]
        good = self.known - {self.rule}
        return all(each.status is Status.WARN and key_of(each) in good for each in unmet)

    def spared(self, after: Findings) -> bool:
        """Whether no other line is the worse for it: all lines are bought together, so that a change of one may have
        another cut from other wood."""
        return all(
            any((number, key, worse) in self.elsewhere for worse in BY_BADNESS[BY_BADNESS.index(status) :])
            for number, key, status in unmet_beside(self.line, after)
        )


@dataclass(frozen=True, slots=True)
class Seen:
    """What came of a trial: a way out or none, in how many steps; late: whether a clock cut it short."""

    way: Way | None
    steps: int
    late: bool = False


class _Bought(NamedTuple):
    """A line with changes as it would be bought; way: None where it cannot be."""

    way: Way | None
    findings: Findings
    purchases: int
    late: bool = False


class Trials:
    """All that is tried of a request, each once; end: the emergency stop (time.monotonic [s]), of all and of each."""

    def __init__(self, request: Request, book: PriceBook, designs: Mapping[str, Design], end: float) -> None:
        self._request, self._book, self._designs, self._end = request, book, designs, end
        self._reading = reading_of(book, request)
        self._changed: dict[tuple[int, tuple[Change, ...]], _Changed | None] = {}
        self._bought: dict[tuple[int, tuple[Change, ...]], _Bought] = {}
        self._woods: dict[int, _Woods] = {}

    def seen(self, trial: Trial) -> Seen:
        """Try changes."""
        steps, better = 0, trial.changes == (BETTER_BOARDS,)
        if not better:
            steps, changed = FRAME, self._with(trial.line, trial.changes)
            if changed is None or not trial.mended(changed.quickly):
                return Seen(None, steps, self._late)
            steps += STRENGTH
            if not trial.mended(changed.wholly):
                return Seen(None, steps, self._late)
        bought = self._buy(trial)
        own = (each for number, each in bought.findings if number == trial.line)
        way = bought.way if trial.mended(own) and trial.spared(bought.findings) else None
        return Seen(way, steps + PURCHASE * bought.purchases, bought.late or self._late)

    @property
    def _late(self) -> bool:
        return time.monotonic() > self._end

    def _with(self, number: int, changes: tuple[Change, ...]) -> _Changed | None:
        """The line with changes; None: the design refuses them."""
        if (number, changes) not in self._changed:
            line = self._request.lines[number]
            options = {**line.options, **{each.option: each.after for each in changes}}
            try:
                frame = self._designs[str(line.design)].frame(options, self._reading)
            except OptionFaultsError:
                self._changed[number, changes] = None
            else:
                woods = self._woods_for(number)
                self._changed[number, changes] = _Changed(
                    replace(line, frame=frame, options=options), self._request, woods
                )
        return self._changed[number, changes]

    def _woods_for(self, number: int) -> _Woods:
        if number not in self._woods:
            asked = self._request.lines[number], self._request, self._book
            self._woods[number] = _Woods(strongest(*asked), lightest(*asked))
        return self._woods[number]

    def _buy(self, trial: Trial) -> _Bought:
        key = trial.line, trial.changes
        if key not in self._bought:
            self._bought[key] = self._purchase(*key)
        return self._bought[key]

    def _purchase(self, number: int, changes: tuple[Change, ...]) -> _Bought:
        """Buy the whole request with the line changed."""
        better = changes == (BETTER_BOARDS,)
        changed = None if better else self._with(number, changes)
        line = self._request.lines[number] if changed is None else changed.line
        lines = (*self._request.lines[:number], line, *self._request.lines[number + 1 :])
        request = replace(self._request, lines=lines, must_hold=better or self._request.must_hold)
        try:
            holding = held(take_off(lines, request.shop.rounding_step), request, self._book, self._end)
        except NothingFitsError:
            return _Bought(None, (), 1)
        bought = holding.bought
        assert line.frame is not None
        told = summary_of(number, line.frame, bought.materials[number])
        way = Way(
            changes, total_of(bought.sourcing, self._book), told.mass_g,
            sum(each.quantity for each in bought.sourcing.purchase.boards.bought),
            max(piece.longest for piece in told.carried_pieces),
        )  # fmt: skip
        return _Bought(way, bought.findings, holding.purchases, holding.late or bought.sourcing.late)


class _Woods(NamedTuple):
    """By section, the strongest wood on sale and the lightest."""

    strongest: Mapping[str, tuple[Material, ...]]
    lightest: Mapping[str, tuple[Material, ...]]


@dataclass
class _Changed:
    """A line with changes, and what is found of it at best: without its strength, and all."""

    line: Line
    request: Request
    woods: _Woods

    @cached_property
    def quickly(self) -> list[Finding]:
        assert self.line.frame is not None
        strong = cut_from(self.line.frame, self.woods.strongest)
        return self._lifted(check_quickly(self.line.frame, self.request.site, strong))

    @cached_property
    def wholly(self) -> list[Finding]:
        assert self.line.frame is not None
        strong = cut_from(self.line.frame, self.woods.strongest)
        return self._lifted(check_frame(self.line.frame, self.request.site, strong))

    def _lifted(self, found: Iterable[Finding]) -> list[Finding]:
        """The findings with what one person lifts in the lightest wood: the strongest may be too heavy."""
        assert self.line.frame is not None
        light = cut_from(self.line.frame, self.woods.lightest)
        carried = check_carrying(self.line.frame, self.request.site, light)
        return [each for each in found if each.rule != ONE_PERSON] + [
            each for each in carried if each.rule == ONE_PERSON
        ]


def key_of(finding: Finding) -> Key:
    """What a finding is of."""
    return finding.rule, finding.source


def unmet_beside(line: int, findings: Findings) -> Elsewhere:
    """What is not met of all lines but one."""
    return frozenset(
        (number, key_of(each), each.status) for number, each in findings if number != line and each.status in UNMET
    )
