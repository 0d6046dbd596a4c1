"""Closing the gap between plan and bound: up to ever higher costs, each stage where it takes least."""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from sawbill.estimating.cutting import basis as exact
from sawbill.estimating.cutting import corner, flow, greedy, patterns, reduced
from sawbill.estimating.cutting.answers import Answer, Effort, Outcome
from sawbill.estimating.cutting.buying import Buyer
from sawbill.estimating.cutting.greedy import Plan
from sawbill.estimating.cutting.helper import HELPER
from sawbill.estimating.cutting.knapsack import Knapsack
from sawbill.estimating.cutting.known import Known
from sawbill.estimating.cutting.problem import Pattern, Problem
from sawbill.estimating.cutting.relaxation import Relaxation
from sawbill.estimating.cutting.sums import FAR

MORE_STEPS = 4_000  # of the search for the boards to buy
CORNER_WORK = 6_000_000  # columns the exact search may try, at each level
SHORT_WORK = 600_000  # the same before the pattern master has been asked briefly
LONG_START = 20_000_000  # patterns times classes from which the exact search comes after that for the boards
CORNER_PATTERNS = 60_000  # patterns it may look at
FEW_PATTERNS = 120  # up to which a short exact search and a brief question to the pattern master come first
MASTER_PATTERNS = 500  # up to which the pattern master is asked before the flow model
FLOW_ROWS = 150  # different lengths beyond which even to state the flow model takes too long
FLOW_ARCS = 20_000  # beyond which the flow model is not worth stating
BRIEF_NODES = 300  # of branch and bound where that is tried before what takes longer
NODES = 20_000  # of branch and bound in one programme


def by_purchase(problem: Problem, buyer: Buyer, known: Known, steps: int, end: float) -> Known:
    """The search for the boards to buy, and dives into the cheapest that may do."""
    plan = buyer.go_on(known.cost - problem.step, steps, end)
    known = known if plan is None else known.with_plan(plan, "choice of boards")
    return known.with_bound(buyer.least, "choice of boards")


def close(
    problem: Problem,
    fillers: Sequence[Knapsack],
    relaxation: Relaxation,
    buyer: Buyer | None,
    known: Known,
    end: float,
) -> Known:
    """Search up to ever higher costs: below each level there is a cheapest plan, or the bound rises above it."""
    duals = relaxation.duals
    views = [reduced.prospect(problem, filler, duals) for filler in fillers]
    floor = reduced.floor_cost(problem, duals)
    basis, restricted = relaxation.basis, False
    width = max(problem.step, (known.cost - known.bound) // 16)
    while known.open and time.monotonic() < end:
        level = known.cost - problem.step
        if known.bound + 2 * width < level:
            level = known.bound + width // problem.step * problem.step
        width *= 2
        before, slack = known, level * duals.scale - floor
        missing = reduced.missing(problem, duals, slack)
        sheaves = patterns.promising(problem, views, slack, CORNER_PATTERNS)
        given = _few(problem, sheaves, missing)
        if buyer is not None and _takes_long(basis, sheaves):
            known, buyer = by_purchase(problem, buyer, known, MORE_STEPS, end), None
        if basis is not None and sheaves is not None and not _settled(known, level):
            few = given is not None and patterns.size(sheaves) <= FEW_PATTERNS
            short = few or buyer is not None
            known = _by_search(problem, basis, sheaves, level, known, end, SHORT_WORK if short else CORNER_WORK)
            if buyer is not None and not _settled(known, level):
                known, buyer = by_purchase(problem, buyer, known, MORE_STEPS, end), None
            if few and given and not _settled(known, level):
                known = _by_patterns(problem, given, level, known, end, BRIEF_NODES)
                basis = None if _settled(known, level) else basis  # so it will be the better one from here on
            if short and basis is not None and not _settled(known, level):
                known = _by_search(problem, basis, sheaves, level, known, end)
        if not _settled(known, level) and not restricted:
            restricted = True
            known = _by_restricted(problem, relaxation.master.patterns, known, end)
            width = max(problem.step, (known.cost - known.bound) // 16)
            continue
        basis = basis if _settled(known, level) else None
        if not _settled(known, level) and given:
            nodes = BRIEF_NODES if known.brief else NODES
            known = _by_patterns(problem, given, level, known, end, nodes)
        flow_pays = len(problem.rows) <= FLOW_ROWS and not known.brief
        if not _settled(known, level) and flow_pays and time.monotonic() < end:
            own = flow.graph(problem, views, slack, missing)
            known = _by_flow(problem, own, level, known, end)
        if known == before:
            break
    return known


def _takes_long(basis: exact.Basis | None, sheaves: Sequence[patterns.Sheaf] | None) -> bool:
    """Whether even to start the exact search is more work than the search for the boards."""
    return basis is None or sheaves is None or patterns.size(sheaves) * basis.own.determinant > LONG_START


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
    work: int = CORNER_WORK,
) -> Known:
    """The exact search beside the basis."""
    floor, scale = reduced.floor_cost(problem, basis.duals), basis.duals.scale
    slack = level * scale - floor
    beside = exact.corner_at(problem, basis, sheaves, slack)
    found = corner.search(beside.corner, slack, work, end)
    if found.any:
        known = known.with_plan(exact.read(problem, basis, beside, found.beside, found.basic), "exact search")
    least = level + problem.step
    if found.least < FAR:
        least = _rounded_up(Fraction(floor + found.least, scale), problem.step)
    return known.with_bound(least, "exact search")


def _rounded_up(cost: Fraction, step: int) -> int:
    return -(-cost.numerator // (cost.denominator * step)) * step


def _few(
    problem: Problem, sheaves: Sequence[patterns.Sheaf] | None, missing: Iterable[int]
) -> list[Pattern] | None:  # fmt: skip
    """All patterns that may be used, where they are few enough for the pattern master."""
    if sheaves is None or patterns.size(sheaves) > MASTER_PATTERNS:
        return None
    return patterns.one_by_one(problem, sheaves) + list(map(problem.missing, missing))


def _by_patterns(
    problem: Problem, possible: Sequence[Pattern], level: int, known: Known, end: float, nodes: int
) -> Known:
    """The pattern master over all patterns that a plan up to the level may use."""
    given = list(dict.fromkeys([*possible, *known.plan]))
    answer = _ask_master(problem, given, nodes, end)
    plan = _counted(given, answer.counts) if answer is not None and answer.counts else None
    return _learned(known, answer, plan, level, problem.step, "pattern master")


def _by_restricted(problem: Problem, few: Sequence[Pattern], known: Known, end: float) -> Known:
    """The pattern master over the linear programme's patterns only, briefly: a better plan, never a bound."""
    answer = _ask_master(problem, few, BRIEF_NODES, end)
    known = replace(known, timed_out=known.timed_out or answer is None or answer.timed_out)
    if answer is None or not answer.counts:
        return known
    return known.with_plan(_counted(few, answer.counts), "restricted master")


def _ask_master(problem: Problem, given: Sequence[Pattern], nodes: int, end: float) -> Answer | None:
    costs = [pattern.cost for pattern in given]
    seconds = end - time.monotonic()
    effort = Effort(nodes, 0.4 * seconds)
    answer: Answer | None = HELPER.ask("least", problem, given, costs, 0, [], problem.step, effort, seconds=seconds)
    return answer


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


def _counted(given: Sequence[Pattern], counts: Sequence[int]) -> Plan:
    return {pattern: count for pattern, count in zip(given, counts, strict=True) if count}
