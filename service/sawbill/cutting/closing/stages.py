"""The stages that close a gap, each told by what it takes and what it can tell.

Each has what it remembers from level to level to itself. What each is needed for, measured in time of the processor:
of 20 workshop orders of 3 to 39 lengths all are proven within 3 s, without the exact search 17, without the choice of
boards 11; the other three stages they can do without, and the quotes of single pieces of furniture without any one.
Group orders and classical ones need the rest. Many steps of the choice close the section of 12 lengths, 13 boards and
blanks of a metric group order in 0.7 s, which the flow model leaves open at 20. The flow model closes triplets of 120
and 249 pieces in 0.1 to 1.3 s, and sections that the others leave open; asked before the many steps, where its arcs
are few, it closes 12 beds in 1.4 s and not in 6.7. Some 100,000 steps come before it, which take less than a
question to the solver that stays open: they close 16 lengths and 14 boards of a metric group order with a daybed in
1.4 s, which the flow leaves open. The few patterns give better plans in some 10 ms, so that levels are lower; of 200
lengths, 1,300 patterns and more, they take seconds, so that there the flow comes first. The list of purchases, where
its table is small enough, takes some 20 ms: it closes 5 lengths of slats and blocks for 12 beds, which all others leave
open at 5 s, and all other sections of the group orders that a few steps of the choice do not.
"""

from __future__ import annotations

import time
from dataclasses import replace
from fractions import Fraction

from sawbill.cutting.closing import model
from sawbill.cutting.closing.buying import Buyer
from sawbill.cutting.closing.dive import dive
from sawbill.cutting.closing.known import Known
from sawbill.cutting.closing.setting import Setting
from sawbill.cutting.corner.search import cheapest
from sawbill.cutting.corner.sums import FAR
from sawbill.cutting.flow import paths
from sawbill.cutting.flow.programme import programme, read
from sawbill.cutting.linear import basis as exact
from sawbill.cutting.linear import greedy, patterns, reduced
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.solver.answers import Effort, Outcome
from sawbill.cutting.solver.helper import HELPER

SOME_STEPS, SEVERAL_STEPS = 1_500, 100_000  # of the search for the boards to buy, at each level
BRIEF_WORK = 60_000  # nodes times patterns, at most
DIVES = 8  # more of them, where the exact search has no basis to start from
MORE_STEPS = (0, 20_000, 100_000)  # of it where that has not settled one, by effort
CORNER_WORK = 600_000  # columns the exact search may try, at each level
CORNER_START = 20_000_000  # patterns times classes from which even to start it is too much work
CORNER_PATTERNS = 60_000  # patterns it may look at
FEW_ARCS, MANY_ARCS = 4_000, 20_000  # of the flow model: up to which a level is asked, and the lowest
NODES = (0, 300, 20_000)  # of branch and bound in the flow model, by effort
SOON_ARCS, SOON_NODES = 800, 30  # of the flow model where it is asked before many steps of the choice
BRIEF_NODES = 300  # of branch and bound in a question that proves nothing


class ExactSearch:
    """The exact search beside the basis, while it is soon done."""

    def __init__(self, setting: Setting, basis: exact.Basis) -> None:
        self.setting, self.basis = setting, basis

    def go(self, level: int, known: Known) -> Known:
        """Up to a level, where it may begin."""
        problem, relaxation = self.setting.problem, self.setting.relaxation
        slack, scale = self.setting.slack(level), self.basis.duals.scale
        sheaves = patterns.promising(problem, relaxation.views, slack, CORNER_PATTERNS, self.setting.end)
        if sheaves is None or patterns.size(sheaves) * self.basis.own.determinant > CORNER_START:
            return known
        beside = exact.corner_at(problem, self.basis, sheaves, slack)
        found = cheapest(beside.corner, slack, CORNER_WORK)
        if found.any:
            known = known.with_plan(exact.read(problem, self.basis, beside, found.beside, found.basic), "exact search")
        least = level + problem.step
        if found.least < FAR:
            floor = reduced.floor_cost(problem, self.basis.duals)
            least = _rounded_up(Fraction(floor + found.least, scale), problem.step)
        return known.with_bound(least, "exact search")


def _rounded_up(cost: Fraction, step: int) -> int:
    return -(-cost.numerator // (cost.denominator * step)) * step


class ChoiceOfBoards:
    """The search for the boards, and dives into the cheapest that may do; it is gone on with from level to level."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.buyer: Buyer | None = None
        self.ended, self.too_many = False, FAR

    def some(self, level: int, known: Known) -> Known:
        """A few steps further."""
        return self._go_on(known, SOME_STEPS)

    def listed(self, level: int, known: Known) -> Known:
        """All purchases up to a level, where they are few."""
        if level >= self.too_many or known.cost > self.setting.problem.penalty:
            return known
        plan, least = self._begun(known).listed(level, self.setting.end)
        self.too_many = self.too_many if least else level
        return self._told(known, plan, least)

    def several(self, level: int, known: Known) -> Known:
        """As many as take less than a question to the solver that stays open."""
        return self._go_on(known, SEVERAL_STEPS)

    def more(self, level: int, known: Known) -> Known:
        """Many steps further; where that does not settle a level, it will settle none above it."""
        known = self._go_on(known, MORE_STEPS[known.effort])
        self.ended = not known.settled(level)
        return known

    def _go_on(self, known: Known, steps: int) -> Known:
        problem, wanted = self.setting.problem, known.cost - self.setting.problem.step
        if self.ended or known.cost > problem.penalty:
            return known
        buyer = self._begun(known)
        plan = buyer.go_on(wanted, steps, self.setting.end)
        return self._told(known, plan, buyer.least)

    def _begun(self, known: Known) -> Buyer:
        problem = self.setting.problem
        if self.buyer is None:
            level = known.cost - problem.step
            self.buyer = Buyer(problem, self.setting.fillers, self.setting.relaxation, level)
        return self.buyer

    def _told(self, known: Known, plan: Plan | None, least: int) -> Known:
        known = known if plan is None else known.with_plan(plan, "choice of boards")
        known = replace(known, timed_out=known.timed_out or self._begun(known).timed_out)
        return known.with_bound(least, "choice of boards")


class MoreDives:
    """Dives that each round another part up first, once: better plans, never a bound."""

    def __init__(self, setting: Setting) -> None:
        self.setting, self.asked = setting, False

    def go(self, level: int, known: Known) -> Known:
        """Dive, the first time."""
        setting, again = self.setting, self.asked
        self.asked = True
        for turn in range(DIVES):
            if again or not known.open or setting.late:
                break
            master = setting.relaxation.master
            plan = dive(setting.problem, setting.fillers, master, known.plan, known.bound, setting.end, turn)
            known = known.with_plan(plan, "dive")
        return known


class FewPatterns:
    """The pattern master over the linear programme's patterns, once: a better plan, never a bound."""

    def __init__(self, setting: Setting) -> None:
        self.setting, self.asked = setting, False

    def go(self, level: int, known: Known) -> Known:
        """Ask, the first time."""
        if self.asked:
            return known
        self.asked = True
        few = self.setting.relaxation.master.patterns
        nodes = min(BRIEF_NODES, BRIEF_WORK // len(few))
        answer = model.ask(self.setting.problem, few, known.bound, nodes, self.setting.end)
        known = replace(known, timed_out=known.timed_out or answer is None or answer.timed_out)
        plan = model.counted(few, answer)
        return known if plan is None else known.with_plan(plan, "restricted master")


class CompressedFlow:
    """The flow model between the bound and the level, where its arcs are few."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting

    def soon(self, level: int, known: Known) -> Known:
        """Up to a level, where few arcs and nodes may do."""
        return self._ask(level, known, SOON_ARCS, SOON_NODES)

    def go(self, level: int, known: Known) -> Known:
        """Up to a level, where the graph is small enough."""
        return self._ask(level, known, FEW_ARCS if level > known.bound else MANY_ARCS, NODES[known.effort])

    def _ask(self, level: int, known: Known, arcs: int, nodes: int) -> Known:
        problem, relaxation = self.setting.problem, self.setting.relaxation
        slack = self.setting.slack(level)
        missing = reduced.missing(problem, relaxation.duals, slack)
        own = paths.graph(problem, relaxation.views, relaxation.duals, slack, missing, self.setting.end)
        if own is None or len(own.arcs) > arcs:
            return known
        seconds = self.setting.end - time.monotonic()
        asked, effort = programme(problem, own, known.bound, level), Effort(nodes, 0.95 * seconds)
        answer = HELPER.ask(asked, problem.step, known.bound, effort, seconds=seconds)
        if answer is None:
            return replace(known, timed_out=True)
        known = replace(known, timed_out=known.timed_out or answer.timed_out)
        if answer.counts:
            plan = read(problem, own, answer.counts)
            known = known.with_plan(plan, "flow model")
            if answer.outcome is Outcome.BEST:
                known = known.with_bound(min(greedy.cost(plan), level + problem.step), "flow model")
        if answer.outcome is Outcome.IMPOSSIBLE:
            known = known.with_bound(level + problem.step, "flow model")
        return known
