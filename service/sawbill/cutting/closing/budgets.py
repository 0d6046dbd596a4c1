"""Every purchase within a level, listed: what the rest of a budget holds at most tells early which cannot do.

For needs sum r_jk y_k >= a_j in whole numbers, let F_jk(c) be the most that bins from k on hold of need j for c,

    F_jk(c) = max(F_j,k+1(c), F_jk(c - c_k) + r_jk),

as in an unbounded knapsack (Bellman's recursion). Counts are chosen bin by bin; a choice is given up once, for any
need, what is had and F of the budget that is left fall short of a_j. What is left is seldom given up later, so that
there are hardly more steps than purchases, where boxes are parted a hundred times as often (see choice.py). It takes a
table as long as the level has steps of the cost.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sawbill.compiled import compiled
from sawbill.cutting.closing.choice import Need, widest
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.problem import Problem

NUMBERS = 4_000_000  # in the table, at most
MOST = 100_000  # purchases that may be listed
STEPS = 4_000_000  # counts of one bin that may be tried for it
_LARGEST = 2**62  # number that sums stay below


def listed(problem: Problem, needs: Sequence[Need], level: int) -> Ints | None:
    """The purchases that meet all needs and cost no more than the level, a row each, the cheapest first.

    None where they are too many, or the table would be too large. Whatever costs nothing is taken.
    """
    lows, highs = widest(problem, level)
    budget, boards = level // problem.step, int(highs.sum())
    most = NUMBERS // ((len(problem.bins) + 1) * (budget + 1))
    told = [each for each in needs if 0 < each.amount < _LARGEST // (boards + 1)][:most]
    if not told:
        return None
    costs = np.array([bin_.cost // problem.step for bin_ in problem.bins], np.int64)
    rooms = np.array([each.capped for each in told], np.int64).T.copy()
    amounts = np.array([each.amount for each in told], np.int64)
    found = np.empty((MOST, len(costs)), np.int64)
    held = np.zeros((len(costs) + 1, budget + 1, len(told)), np.int64)
    count = _listed(costs, lows, highs, rooms, amounts, held, found, STEPS)
    if count < 0:
        return None
    rows = found[:count]
    for each in needs:
        rows = rows if each in told else that_meet(each, rows)
    order: Ints = np.lexsort((*rows.T[::-1], rows @ costs))
    return rows[order]


def that_meet(need: Need, purchases: Ints) -> Ints:
    """Those of some purchases that meet a need, reckoned in whole numbers however large."""
    boards = int(purchases.sum(axis=1).max(initial=0))
    kind = np.int64 if need.amount < _LARGEST // (boards + 1) else object
    meeting: Ints = purchases[purchases @ np.array(need.capped, kind) >= need.amount]
    return meeting


@compiled
def _listed(
    costs: Ints, lows: Ints, highs: Ints, rooms: Ints, amounts: Ints, held: Ints, found: Ints, steps: int
) -> int:  # fmt: skip
    """How many are found, -1 where they or the steps are too many; held: room for the table, of 0s."""
    bins, needs, whole = len(costs), len(amounts), held.shape[1] - 1
    for k in range(bins - 1, -1, -1):
        for c in range(whole + 1):
            for j in range(needs):
                most = held[k + 1, c, j]
                if costs[k] == 0:
                    most += highs[k] * rooms[k, j]
                elif c >= costs[k]:
                    most = max(most, held[k, c - costs[k], j] + rooms[k, j])
                held[k, c, j] = most
    counts, left, had = lows - 1, np.full(bins + 1, whole), np.zeros((bins + 1, needs), np.int64)
    k = count = 0
    while k >= 0:
        counts[k] += 1
        steps -= 1
        rest = left[k] - counts[k] * costs[k]
        if steps < 0 or count == len(found):
            return -1
        if rest < 0 or counts[k] > highs[k]:
            counts[k] = lows[k] - 1
            k -= 1
            continue
        enough = True
        for j in range(needs):
            had[k + 1, j] = had[k, j] + counts[k] * rooms[k, j]
            enough = enough and had[k + 1, j] + held[k + 1, rest, j] >= amounts[j]
        if enough and k == bins - 1:
            for each in range(bins):
                found[count, each] = counts[each]
            count += 1
        elif enough:
            left[k + 1] = rest
            k += 1
    return count
