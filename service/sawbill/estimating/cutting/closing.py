"""Closing the gap between plan and bound: up to ever higher costs, each stage where it takes least."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from sawbill.estimating.cutting import asking, corner, flow, greedy, patterns, reduced
from sawbill.estimating.cutting import basis as exact
from sawbill.estimating.cutting.answers import Answer, Effort, Outcome
from sawbill.estimating.cutting.buying import Buyer, suits
from sawbill.estimating.cutting.greedy import Plan
from sawbill.estimating.cutting.helper import HELPER
from sawbill.estimating.cutting.knapsack import Knapsack
from sawbill.estimating.cutting.known import Known
from sawbill.estimating.cutting.problem import Pattern, Problem
from sawbill.estimating.cutting.relaxation import Relaxation
from sawbill.estimating.cutting.sums import FAR

FIRST_LEVEL, HARD_LEVEL = 6, 16  # what part of the gap the first level takes in, and after one was not settled
SOME_STEPS, MORE_STEPS = 1_500, 10_000  # of the search for the boards to buy
SHORT_WORK, CORNER_WORK = 600_000, 20_000_000  # columns the exact search may try, at each level
LONG_START = 20_000_000  # patterns times classes from which the exact search comes after that for the boards
CORNER_PATTERNS = 60_000  # patterns it may look at
FEW_PATTERNS = 120  # up to which a brief question to the pattern master comes before a long exact search
MASTER_PATTERNS = 500  # up to which the pattern master is asked before the flow model
FLOW_ROWS = 150  # different lengths beyond which even to state the flow model takes too long
FLOW_ARCS = 20_000  # beyond which the flow model is not worth stating
BRIEF_NODES = 300  # of branch and bound where that is tried before what takes longer
NODES = 20_000  # of branch and bound in one programme


def close(
    problem: Problem, fillers: Sequence[Knapsack], relaxation: Relaxation, known: Known, end: float
) -> Known:  # fmt: skip
    """Search up to ever higher costs: below each level there is a cheapest plan, or the bound rises above it."""
    closing = _Closing(problem, fillers, relaxation, end)
    width = _width(problem, known, FIRST_LEVEL)
    while known.open and time.monotonic() < end:
        level = known.cost - problem.step
        if known.bound + 2 * width < level:
            level = known.bound + width // problem.step * problem.step
        before = known
        closing.look(level)
        for stage in STAGES:
            known = stage(closing, known)
            if _settled(known, level) or known.cost < before.cost or time.monotonic() > end:
                break
        width = 2 * width if _settled(known, level) else _width(problem, known, HARD_LEVEL)
        if known == before:
            break
    return known


def _width(problem: Problem, known: Known, part: int) -> int:
    """How far above the bound the next level is: a part of the gap."""
    return max(problem.step, (known.cost - known.bound) // part)


class _Closing:
    """What the stages share: what the level lets in, and which of them are worth to be gone on with."""

    def __init__(self, problem: Problem, fillers: Sequence[Knapsack], relaxation: Relaxation, end: float) -> None:
        self.problem, self.fillers, self.relaxation, self.end = problem, fillers, relaxation, end
        self.floor = reduced.floor_cost(problem, relaxation.duals)
        self.basis = relaxation.basis
        self.buyer: Buyer | None = None
        self.may_buy = suits(problem)
        self.restricted = False

    def look(self, level: int) -> None:
        """What plans up to the level may use."""
        duals = self.relaxation.duals
        self.level, self.slack = level, level * duals.scale - self.floor
        self.missing = reduced.missing(self.problem, duals, self.slack)
        self.sheaves = patterns.promising(self.problem, self.relaxation.views, self.slack, CORNER_PATTERNS)
        self.size = None if self.sheaves is None else patterns.size(self.sheaves)

    @property
    def long(self) -> bool:
        """Whether even to start the exact search is much work."""
        basis, size = self.basis, self.size
        return basis is None or size is None or size * basis.own.determinant > LONG_START

    def buy_first(self, known: Known) -> Known:
        """The search for the boards, before what takes long."""
        return self.buy(known) if self.long else known

    def ask_few_first(self, known: Known) -> Known:
        """A better plan before what takes long, as a lower level is less work."""
        return self.ask_few(known) if self.long else known

    def search_briefly(self, known: Known) -> Known:
        """The exact search, if it is soon done."""
        return self._searched(known, SHORT_WORK)

    def buy(self, known: Known) -> Known:
        """The search for the boards."""
        return self._bought(known, SOME_STEPS)

    def ask_briefly(self, known: Known) -> Known:
        """The pattern master where the patterns are few; once it settles a level, it will those above it."""
        if self.size is None or self.size > FEW_PATTERNS:
            return known
        known = self._asked(known, BRIEF_NODES)
        self.basis = None if _settled(known, self.level) else self.basis
        return known

    def search(self, known: Known) -> Known:
        """The exact search; where it does not settle a level, it will settle none above it."""
        known = self._searched(known, CORNER_WORK)
        self.basis = self.basis if _settled(known, self.level) else None
        return known

    def buy_more(self, known: Known) -> Known:
        """The search for the boards as far as it goes."""
        known = self._bought(known, MORE_STEPS)
        self.may_buy = False
        return known

    def ask_few(self, known: Known) -> Known:
        """The pattern master over the linear programme's patterns only, once, for a better plan."""
        if self.restricted:
            return known
        self.restricted = True
        return _by_restricted(self.problem, self.relaxation.master.patterns, known, self.end)

    def ask(self, known: Known) -> Known:
        """The pattern master."""
        return self._asked(known, BRIEF_NODES if known.brief else NODES)

    def flow(self, known: Known) -> Known:
        """The flow model."""
        if known.brief or len(self.problem.rows) > FLOW_ROWS:
            return known
        own = flow.graph(self.problem, self.relaxation.views, self.slack, self.missing)
        return _by_flow(self.problem, own, self.level, known, self.end)

    def _bought(self, known: Known, steps: int) -> Known:
        """As far as so many steps, and dives into the cheapest boards that may do."""
        if not self.may_buy or known.cost > self.problem.penalty:
            return known
        if self.buyer is None:
            self.buyer = Buyer(self.problem, self.fillers, self.relaxation, known.cost - self.problem.step)
        plan = self.buyer.go_on(known.cost - self.problem.step, steps, self.end)
        known = known if plan is None else known.with_plan(plan, "choice of boards")
        known = replace(known, timed_out=known.timed_out or self.buyer.timed_out)
        return known.with_bound(self.buyer.least, "choice of boards")

    def _searched(self, known: Known, work: int) -> Known:
        if self.basis is None or self.sheaves is None:
            return known
        return _by_search(self.problem, self.basis, self.sheaves, self.level, known, self.end, work)

    def _asked(self, known: Known, nodes: int) -> Known:
        """With all patterns one by one, a missing piece as one of them, where they are not too many."""
        if self.sheaves is None or patterns.size(self.sheaves) > MASTER_PATTERNS:
            return known
        given = patterns.one_by_one(self.problem, self.sheaves) + list(map(self.problem.missing, self.missing))
        return _by_patterns(self.problem, given, self.level, known, self.end, nodes) if given else known


STAGES: Sequence[Callable[[_Closing, Known], Known]] = (
    _Closing.buy_first,
    _Closing.ask_few_first,
    _Closing.search_briefly,
    _Closing.buy,
    _Closing.ask_briefly,
    _Closing.search,
    _Closing.buy_more,
    _Closing.ask_few,
    _Closing.ask,
    _Closing.flow,
)
"""In turn, until one has accounted for all plans up to the level, or found a better plan, and a lower level will do."""


def _settled(known: Known, level: int) -> bool:
    """Whether all plans up to a level are accounted for."""
    return not known.open or known.bound > level


def _by_search(
    problem: Problem,
    basis: exact.Basis,
    sheaves: Sequence[patterns.Sheaf],
    level: int,
    known: Known,
    end: float,
    work: int,
) -> Known:
    """The exact search beside the basis."""
    floor, scale = reduced.floor_cost(problem, basis.duals), basis.duals.scale
    slack = level * scale - floor
    beside = exact.corner_at(problem, basis, sheaves, slack)
    found = corner.search(beside.corner, slack, work)
    if found.any:
        known = known.with_plan(exact.read(problem, basis, beside, found.beside, found.basic), "exact search")
    least = level + problem.step
    if found.least < FAR:
        least = _rounded_up(Fraction(floor + found.least, scale), problem.step)
    return known.with_bound(least, "exact search")


def _rounded_up(cost: Fraction, step: int) -> int:
    return -(-cost.numerator // (cost.denominator * step)) * step


def _by_patterns(
    problem: Problem, possible: Sequence[Pattern], level: int, known: Known, end: float, nodes: int
) -> Known:
    """The pattern master over all patterns that a plan up to the level may use."""
    given = list(dict.fromkeys([*possible, *known.plan]))
    answer = asking.ask(problem, given, nodes, end)
    return _learned(known, answer, asking.counted(given, answer), level, problem.step, "pattern master")


def _by_restricted(problem: Problem, few: Sequence[Pattern], known: Known, end: float) -> Known:
    """The pattern master over the linear programme's patterns only, briefly: a better plan, never a bound."""
    answer = asking.ask(problem, few, BRIEF_NODES, end)
    known = replace(known, timed_out=known.timed_out or answer is None or answer.timed_out)
    plan = asking.counted(few, answer)
    return known if plan is None else known.with_plan(plan, "restricted master")


def _by_flow(problem: Problem, own: flow.Graph, level: int, known: Known, end: float) -> Known:
    """The flow model between the bound and the level."""
    if len(own.arcs) > FLOW_ARCS:
        return known
    programme = flow.programme(problem, own, known.bound, level)
    seconds = end - time.monotonic()
    effort = Effort(NODES, 0.95 * seconds)
    answer = HELPER.ask("solve", programme, problem.step, known.bound, effort, seconds=seconds)
    plan = flow.read(problem, own, answer.counts) if answer is not None and answer.counts else None
    return _learned(known, answer, plan, level, problem.step, "flow model")


def _learned(known: Known, answer: Answer | None, plan: Plan | None, level: int, step: int, stage: str) -> Known:
    """What a programme has taught: a plan, that none costs up to the level, or only that time is up."""
    if answer is None:
        return replace(known, timed_out=True)
    known = replace(known, timed_out=known.timed_out or answer.timed_out)
    best = None
    if plan is not None:
        best = greedy.cost(plan)
        known = known.with_plan(plan, stage)
    if answer.outcome is Outcome.BEST and best is not None:
        return known.with_bound(min(best, level + step), stage)
    if answer.outcome is Outcome.IMPOSSIBLE:
        return known.with_bound(level + step, stage)
    return known
