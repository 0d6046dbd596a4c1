"""Among plans of the same cost: fewest boards, then fewest set-ups, then the largest single leftover.

When more may be spent for fewer set-ups, among plans within the roof: fewest set-ups, then cost, boards, leftover.
A board on hand counts by its length against the longest, so that short ones are used up before long.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import gcd
from typing import TypeVar

import numpy as np

from sawbill.cutting import boards
from sawbill.cutting.closing import model
from sawbill.cutting.corner.lattice import Ints
from sawbill.cutting.corner.solutions import solutions
from sawbill.cutting.linear import basis as exact
from sawbill.cutting.linear import greedy, patterns, reduced
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.relaxation import Relaxation
from sawbill.cutting.problem import MISSING, Pattern, Problem
from sawbill.cutting.solver.answers import Effort
from sawbill.cutting.solver.helper import HELPER

Value = TypeVar("Value")

SUMS = 80_000  # columns that the enumeration of equal plans may try
PATTERNS = 1_000  # patterns it may use
MASTER_PATTERNS = 40  # up to which the pattern master is asked when the enumeration stays incomplete
FRONT = 8  # plans that are laid out in full to compare them
FULL = 1_000  # what a bought board counts for
NODES = 5  # of branch and bound in one tie-break


def weight(problem: Problem, bin_index: int) -> int:
    """What a board counts for: a thousand, or as much less when it is on hand as it is shorter than the longest."""
    bin_ = problem.bins[bin_index]
    longest = max(other.usable for other in problem.bins)
    return max(1, FULL * bin_.usable // longest) if bin_.on_hand else FULL


def best(problem: Problem, plan: Plan, others: Iterable[Plan], extra_cost: Fraction) -> Plan:
    """The best of a plan and others, as they would be cut: leaving out surplus may split one set-up into two."""
    return min([plan, *others], key=lambda each: _rank(problem, each, extra_cost))


def _rank(problem: Problem, plan: Plan, extra_cost: Fraction) -> tuple[object, ...]:
    """Cost, boards and set-ups, in the order that is asked for; then the largest leftover, then a fixed order."""
    layouts = boards.lay_out(problem, plan)
    leftover = max(boards.leftover(problem, layout) for layout in layouts)
    count = sum(weight(problem, pattern.bin) * n for pattern, n in plan.items())
    ranks = in_order(greedy.cost(plan), count, len(layouts), extra_cost)
    return (*ranks, -leftover, sorted(layouts.items()))


def in_order(cost: Value, boards: Value, setups: Value, extra_cost: Fraction) -> tuple[Value, Value, Value]:
    """The order that is asked for."""
    return (setups, cost, boards) if extra_cost else (cost, boards, setups)


def best_of_equals(
    problem: Problem,
    fillers: Sequence[Knapsack],
    relaxation: Relaxation,
    plan: Plan,
    extra_cost: Fraction,
    end: float,
) -> tuple[Plan, bool]:
    """The best ranked plan that steps allow to find, and whether the clock cut the search short.

    Where more may be spent, the best plan of the least cost is found first: what is dearer must be better than it.
    """
    if not plan or any(pattern.bin == MISSING for pattern in plan):
        return plan, False
    if extra_cost:
        plan, timed_out = best_of_equals(problem, fillers, relaxation, plan, Fraction(0), end)
        if timed_out:
            return plan, True
    roof = greedy.cost(plan) + int(greedy.cost(plan) * extra_cost)
    others, complete = _equals(problem, relaxation, roof, extra_cost, end)
    plan, timed_out = best(problem, plan, others, extra_cost), time.monotonic() > end
    if not complete and not timed_out:
        plan, timed_out = _by_programme(problem, relaxation, plan, roof, extra_cost, end)
    return gathered(problem, fillers, plan), timed_out


def gathered(problem: Problem, fillers: Sequence[Knapsack], plan: Plan) -> Plan:
    """The plan with its largest leftover made larger, by packing another board fuller with pieces of the same two.

    Only boards that are cut alike with no other are touched, so that no set-up is added; where leftovers are
    credited their sizes are settled already.
    """
    if problem.credit:
        return plan
    for _ in range(len(plan)):
        single = [pattern for pattern, count in plan.items() if count == 1]
        if len(single) < 2:
            break
        source = max(single, key=lambda p: (problem.leftover(p.bin, p.used), p.bin, p.items))
        trades = [_trade(problem, fillers, source, other) for other in single if other != source]
        better = [pair for pair in trades if pair and pair[0].used < source.used]
        if not better:
            break
        emptier, fuller, other = min(better, key=lambda pair: (pair[0].used, pair[0].items, pair[1].items))
        plan = {pattern: count for pattern, count in plan.items() if pattern not in (source, other)}
        for pattern in (emptier, fuller):
            plan[pattern] = plan.get(pattern, 0) + 1
    return plan


def _trade(
    problem: Problem, fillers: Sequence[Knapsack], source: Pattern, other: Pattern
) -> tuple[Pattern, Pattern, Pattern] | None:
    """The source's board with as little as possible, the other's with as much, and the other as it was."""
    group = problem.bins[source.bin].group
    if problem.bins[other.bin].group != group:
        return None
    filler = next(filler for filler in fillers if other.bin in filler.bins)
    pool = Counter(dict(source.items))
    pool.update(dict(other.items))
    most = [pool[item] for item in range(len(filler.items))]
    filling = filler.best([item.length for item in filler.items], most)[other.bin]
    pool.subtract(dict(filling.items))
    emptier, fuller = problem.pattern(source.bin, pool.items()), problem.pattern(other.bin, filling.items)
    if not emptier.items or not fuller.items or not problem.admits(source.bin, emptier.used, emptier.lends):
        return None
    return emptier, fuller, other


def _equals(
    problem: Problem, relaxation: Relaxation, roof: int, extra_cost: Fraction, end: float
) -> tuple[list[Plan], bool]:
    """The front runners among plans that cost no more than the roof, and whether it is known what all of those are."""
    basis = relaxation.basis
    if basis is None:
        return [], False
    slack = roof * basis.duals.scale - reduced.floor_cost(problem, basis.duals)
    sheaves = patterns.promising(problem, relaxation.views, slack, PATTERNS)
    if sheaves is None:
        return [], False
    beside = exact.corner_at(problem, basis, sheaves, slack)
    found = solutions(beside.corner, slack, SUMS)
    used = [beside.pattern(problem, column) for column in found.columns.tolist()]
    given = [*used, *basis.patterns]
    counts = np.hstack([found.beside, found.basic[:, : len(basis.patterns)]])
    front = _front(problem, given, counts, extra_cost)
    return [
        {p: n for p, n in zip(given, counts[row].tolist(), strict=True) if p and n} for row in front
    ], found.complete


def _front(problem: Problem, given: Sequence[Pattern | None], counts: Ints, extra_cost: Fraction) -> list[int]:
    """The rows that come first by cost, boards and patterns, in the order asked for, then by the largest leftover."""
    cut = np.array([p is not None for p in given])
    cost = counts @ np.array([p.cost if p else 0 for p in given], np.int64)
    count = counts @ np.array([weight(problem, p.bin) if p else 0 for p in given], np.int64)
    leftovers = np.array([problem.leftover(p.bin, p.used) if p else -1 for p in given], np.int64)
    leftover = np.where(counts > 0, leftovers, -1).max(axis=1, initial=-1)
    ranks = in_order(cost, count, ((counts > 0) & cut).sum(axis=1), extra_cost)
    found: list[int] = np.lexsort((-leftover, *reversed(ranks)))[:FRONT].tolist()
    return found


def _by_programme(
    problem: Problem,
    relaxation: Relaxation,
    plan: Plan,
    roof: int,
    extra_cost: Fraction,
    end: float,
) -> tuple[Plan, bool]:
    """The same by the pattern master, when the patterns are few: the first rank outweighs the next."""
    duals = relaxation.duals
    slack = roof * duals.scale - reduced.floor_cost(problem, duals)
    sheaves = patterns.promising(problem, relaxation.views, slack, MASTER_PATTERNS)
    if sheaves is None:
        return plan, False
    given = list(dict.fromkeys([*patterns.one_by_one(problem, sheaves), *plan]))
    costs = [pattern.cost for pattern in given]
    counts = [weight(problem, pattern.bin) for pattern in given]
    unit = gcd(*counts)
    weights, per_setup = [count // unit * (len(given) + 1) for count in counts], 1
    if extra_cost:
        weights, per_setup = costs, roof + 1
    seconds = end - time.monotonic()
    effort = Effort(NODES, 0.8 * seconds, proof=False)
    asked = model.programme(problem, given, weights, per_setup, (costs, roof))
    answer = HELPER.ask(asked, 1, 0, effort, seconds=seconds)
    if answer is None:
        return plan, True
    found = {pattern: n for pattern, n in zip(given, answer.counts, strict=False) if n}
    return best(problem, plan, [found] if found else [], extra_cost), answer.timed_out
