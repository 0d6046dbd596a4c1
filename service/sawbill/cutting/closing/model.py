"""The pattern master: the integer programme over a list of patterns.

With x_p the number of boards cut by pattern p and a_ip what each gives of row i, it is

    least  sum c_p x_p   with   sum a_ip x_p >= d_i (= d_i where no surplus is allowed)   for each row i,
                                sum_{p of bin k} x_p <= A_k                               for each limited bin k,

and for tie-breaks a roof on the cost, and y_p = 1 where x_p > 0 (x_p <= U_p y_p).
"""

from __future__ import annotations

import time
from collections.abc import Sequence

from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.problem import MISSING, Pattern, Problem
from sawbill.cutting.solver.answers import Answer, Effort, Programme
from sawbill.cutting.solver.helper import HELPER

_SHARE = 0.4  # of the time left that one question may take

Roof = tuple[Sequence[int], int]  # a weight for each pattern, and the most their total may be


def programme(
    problem: Problem,
    patterns: Sequence[Pattern],
    weights: Sequence[int] | None = None,
    per_setup: int = 0,
    roof: Roof | None = None,
) -> Programme:
    """The plan of least total weight, its cost unless others are given, each different pattern weighing so much more.

    Columns: the patterns, then y of each that takes a board, where set-ups weigh anything.
    """
    rows = len(problem.rows)
    limited = {
        b: rows + n for n, b in enumerate(b for b, bin_ in enumerate(problem.bins) if bin_.available is not None)
    }
    columns = [list(pattern.rows) for pattern in patterns]
    lowers: list[int | None] = [*problem.demand, *[None] * len(limited)]
    uppers: list[int | None] = [row.demand if row.exact else None for row in problem.rows]
    uppers += [problem.bins[b].available for b in limited]
    for pattern, column in zip(patterns, columns, strict=True):
        if pattern.bin in limited:
            column.append((limited[pattern.bin], 1))
    if roof is not None:
        for weight, column in zip(roof[0], columns, strict=True):
            column += [(len(lowers), weight)] if weight else []
        lowers.append(None)
        uppers.append(roof[1])
    costs = [pattern.cost for pattern in patterns] if weights is None else list(weights)
    setups = [n for n, pattern in enumerate(patterns) if pattern.bin != MISSING and per_setup]
    for n in setups:
        columns[n].append((len(lowers), 1))
        columns.append([(len(lowers), -most_boards(problem, patterns[n]))])
        costs.append(per_setup)
        lowers.append(None)
        uppers.append(0)
    return Programme(tuple(costs), tuple(map(tuple, columns)), tuple(lowers), tuple(uppers))


def most_boards(problem: Problem, pattern: Pattern) -> int:
    """How often a pattern can be wanted: until it alone covers each of its rows, U_p = max_i ceil(d_i / a_ip)."""
    return max(-(-problem.rows[row].demand // amount) for row, amount in pattern.rows)


def ask(problem: Problem, given: Sequence[Pattern], target: int, nodes: int, end: float) -> Answer | None:
    """A plan over a few patterns, from the helper; None when the clock ran out, end: the emergency stop.

    It proves nothing of plans that use others; one that costs no more than the target will do.
    """
    seconds = end - time.monotonic()
    effort = Effort(nodes, _SHARE * seconds, proof=False)
    answer: Answer | None = HELPER.ask(programme(problem, given), problem.step, target, effort, seconds=seconds)
    return answer


def counted(given: Sequence[Pattern], answer: Answer | None) -> Plan | None:
    """The plan of an answer, if it gives one."""
    if answer is None or not answer.counts:
        return None
    return {pattern: count for pattern, count in zip(given, answer.counts, strict=False) if count}
