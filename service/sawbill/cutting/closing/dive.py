"""From the linear programme to whole boards: fix what is whole, round one count, solve the rest again.

At every depth the greedy completes what is fixed so far to a whole plan; the cheapest of these plans is kept.
The programme over what is left, x_p >= 0 with sum a_ip x_p >= d_i - fixed_i, is a relaxation of the rest only;
it guides, and proves nothing.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence

from sawbill.cutting.linear import columns, greedy
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.laying import boards_of, lay
from sawbill.cutting.problem import MISSING, Pattern, Problem

_NEARLY = 1e-6  # a count so close to a whole number is one
_ROUNDS = 50  # pricing rounds at each depth: the residual's new patterns
MANY = 30  # lengths left from which several counts are rounded up at once
_LAID = 4  # pricing rounds then
_SHARE = 0.25  # of the boards that are left, in the first dive; later ones take smaller steps


def dive(
    problem: Problem,
    fillers: Sequence[Knapsack],
    master: columns.Master,
    best: Plan,
    bound: int,
    end: float,
    turn: int = 0,
) -> Plan:
    """The cheapest plan met on the way down, or the one given; stops as soon as one costs no more than the bound.

    end: the emergency stop; turn: which part, counted from the largest, is rounded up where there is the first choice.
    """
    fixed: Plan = {}
    for _ in range(2 * len(problem.rows) + 10):
        rest, left = greedy.residual(problem, fixed), greedy.boards_left(problem, fixed)
        if greedy.cost(best) <= bound or not any(rest) or time.monotonic() > end:
            break
        many = sum(map(bool, rest)) > MANY and fillers[0].any_end
        master.want(rest, left)
        if many:
            value, counts, laid = _solve_many(problem, fillers, master, rest, left, end)
            best = min(best, greedy.complete(problem, fillers, together(fixed, laid)), key=greedy.cost)
        else:
            value, counts = _solve(problem, fillers, master, rest, end)
        if greedy.cost(fixed) + value > greedy.cost(best) - problem.step + _NEARLY:
            break  # nothing cheaper is in sight below
        fix = _fix_several if many else _fix
        added = fix(problem, master.patterns, counts, rest, left, turn)
        if sum(added.values()) == 1:
            turn = 0
        if not added:
            break
        fixed = together(fixed, added)
        if not many:
            best = min(best, greedy.complete(problem, fillers, fixed), key=greedy.cost)
    master.want(problem.demand, [bin_.available for bin_ in problem.bins])
    return best


def together(plan: Plan, other: Plan) -> Plan:
    """The boards of both plans."""
    found = dict(plan)
    for pattern, count in other.items():
        found[pattern] = found.get(pattern, 0) + count
    return found


def _solve(
    problem: Problem, fillers: Sequence[Knapsack], master: columns.Master, rest: Sequence[int], end: float
) -> tuple[float, list[float]]:
    """The optimum for what is left, its cost and counts, with a few rounds of new patterns that fit it."""
    value, counts = master.solve(end)
    for _ in range(_ROUNDS):
        duals = master.duals()
        fillings = columns.price(problem, fillers, duals, rest)
        if time.monotonic() > end or not master.add(columns.improving(problem, duals, fillings)):
            break
        value, counts = master.solve(end)
    return value, [float(count) for count in counts]


def _solve_many(
    problem: Problem, fillers: Sequence[Knapsack], master: columns.Master, rest: Sequence[int],
    left: Sequence[int | None], end: float,
) -> tuple[float, list[float], Plan]:  # fmt: skip
    """The same where many lengths are left, in fewer rounds, and the cheapest of the plans laid at its prices."""
    best: Plan = {}
    value, counts = master.solve(end)
    for turn in range(_LAID):
        duals = master.duals()
        fillings = columns.price(problem, fillers, duals, rest)
        laid = lay(problem, fillers, duals, fillings, rest, left)
        plan = boards_of(laid)
        best = plan if not turn else min(best, plan, key=greedy.cost)
        new = [own.pattern for own in laid if own.reduced < -int(_NEARLY * duals.scale)]
        if time.monotonic() > end or not master.add(columns.improving(problem, duals, fillings) + new):
            break
        value, counts = master.solve(end)
    return value, [float(count) for count in counts], best


def _fix_several(
    problem: Problem,
    patterns: Sequence[Pattern],
    counts: Sequence[float],
    rest: Sequence[int],
    left: Sequence[int | None],
    turn: int,
) -> Plan:
    """The whole parts of the counts and the largest of the others, as far as they give no surplus."""
    fixed: Plan = {}
    rest, left, wanted = list(rest), list(left), 2 * _SHARE * sum(counts) / (2 + turn)
    for count, n in sorted(((-count, n) for n, count in enumerate(counts) if count > _NEARLY))[turn:]:
        pattern, times = patterns[n], max(1, math.floor(-count + _NEARLY))
        if pattern.bin == MISSING:
            continue
        if times == 1 and sum(fixed.values()) >= wanted:
            break
        has = left[pattern.bin]
        times = min(times, *(rest[row] // amount for row, amount in pattern.rows), times if has is None else has)
        if times > 0:
            fixed[pattern] = times
            left[pattern.bin] = None if has is None else has - times
            for row, amount in pattern.rows:
                rest[row] -= amount * times
    return fixed


def _fix(
    problem: Problem,
    patterns: Sequence[Pattern],
    counts: Sequence[float],
    rest: Sequence[int],
    left: Sequence[int | None],
    turn: int,
) -> Plan:
    """The whole parts of the counts; when there are none, one board of the largest part, or of one after it."""
    whole = {
        p: math.floor(count + _NEARLY)
        for p, count in zip(patterns, counts, strict=True)
        if count >= 1 - _NEARLY and p.bin != MISSING
    }
    if whole:
        return whole
    rows = [row.exact for row in problem.rows]
    parts = [
        (-count, n)
        for n, (p, count) in enumerate(zip(patterns, counts, strict=True))
        if count > _NEARLY
        and p.bin != MISSING
        and left[p.bin] != 0
        and all(amount <= rest[row] or not rows[row] for row, amount in p.rows)
    ]
    return {patterns[sorted(parts)[min(turn, len(parts) - 1)][1]]: 1} if parts else {}
