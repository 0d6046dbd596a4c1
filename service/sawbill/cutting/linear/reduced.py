"""What may still lie in a cheaper plan, by reduced cost.

At sound prices u, m (see bound.py) a plan x costs exactly

    sum u_i d_i - sum m_k A_k  +  sum r_p x_p  +  sum u_i over_i  +  sum m_k unused_k,
    r_p = c_p + m_k - sum u_i a_ip >= 0,

so a plan that costs no more than C uses only patterns with r_p <= C - (sum u d - sum m A), the slack. The best
value P of items before a place in a board and the best S of those after it, both from knapsacks, bound
r_p from below for every pattern that passes there: -(P + S) > slack rules the place out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sawbill.compiled import compiled
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.knapsack import NEVER, Knapsack
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.problem import Problem


@dataclass(frozen=True, slots=True)
class Prospect:
    """The values that lie ahead of every place in a group's boards.

    order: items, longest first; after[i][p]: the best value of items from the i-th on in order and of ending there
    in some board, its cost paid, when those before it take up positions[p].
    """

    filler: Knapsack
    order: tuple[int, ...]
    values: tuple[int, ...]
    after: list[Ints]
    endings: dict[int, Ints]


def floor_cost(problem: Problem, duals: Duals) -> int:
    """sum u_i d_i - sum m_k A_k, scaled: below it no plan lies."""
    total = sum(u * row.demand for u, row in zip(duals.rows, problem.rows, strict=True))
    return total - sum(m * (bin_.available or 0) for m, bin_ in zip(duals.bins, problem.bins, strict=True))


def prospect(problem: Problem, filler: Knapsack, duals: Duals) -> Prospect:
    """The values around every place at these prices."""
    order = tuple(sorted(range(len(filler.items)), key=lambda i: (-filler.items[i].length, i)))
    values = tuple(filler.items[i].gives * duals.rows[filler.items[i].row] for i in order)
    endings = {b: _ending(problem, filler, duals, b) for b in filler.bins}
    end = np.max(np.stack(list(endings.values())), axis=0)
    after = [end]
    for item, value in zip(reversed(order), reversed(values), strict=True):
        end = spread(filler, item, value, end, forward=False)
        after.append(end)
    return Prospect(filler, order, values, after[::-1], endings)


def before(view: Prospect) -> list[Ints]:
    """[i][p]: the best value of items up to the i-th in order that take up positions[p]."""
    start = np.full(len(view.filler.positions), NEVER // 2, np.int64)
    start[0] = 0
    found = []
    for item, value in zip(view.order, view.values, strict=True):
        start = spread(view.filler, item, value, start, forward=True)
        found.append(start)
    return found


def _ending(problem: Problem, filler: Knapsack, duals: Duals, bin_index: int) -> Ints:
    """The value of ending at each position in a board of the bin: minus its net cost, and never where it may not."""
    ends, worths = filler.ends[bin_index], filler.worths[bin_index]
    paid = np.full(len(filler.positions), NEVER // 2, np.int64)
    paid[ends] = -(problem.bins[bin_index].cost * duals.scale + duals.bins[bin_index])
    if worths is not None:
        paid[ends] += worths * duals.scale
    return paid


def spread(filler: Knapsack, item: int, value: int, best: Ints, *, forward: bool) -> Ints:
    """The best values once copies of an item may be added, towards the end of the board or its beginning."""
    moved = best.copy()
    length, most = filler.items[item].length, filler.most[item]
    _moved(filler.positions, length, value, most, moved, forward)
    return moved


@compiled
def _moved(positions: Ints, length: int, value: int, most: int, best: Ints, forward: bool) -> None:
    """The same in place, in splits 1, 2, 4, ..., rest; each place is read before it is written."""
    last, copies = len(positions) - 1, 1
    while most > 0:
        taken = min(copies, most)
        by, worth = taken * length, taken * value
        if positions[last] == last:
            for n in range(last + 1 - by):
                if forward:
                    best[last - n] = max(best[last - n], best[last - n - by] + worth)
                else:
                    best[n] = max(best[n], best[n + by] + worth)
        elif forward:
            source = last
            for at in range(last, 0, -1):
                while source > 0 and positions[source] > positions[at] - by:
                    source -= 1
                if positions[source] == positions[at] - by:
                    best[at] = max(best[at], best[source] + worth)
        else:
            source = 0
            for at in range(last + 1):
                while source < last and positions[source] < positions[at] + by:
                    source += 1
                if positions[source] == positions[at] + by:
                    best[at] = max(best[at], best[source] + worth)
        most -= taken
        copies *= 2


def missing(problem: Problem, duals: Duals, slack: int) -> list[int]:
    """The rows of which a piece may be missing in a plan within the slack: none, unless boards are short."""
    return [row for row, u in enumerate(duals.rows) if problem.penalty * duals.scale - u <= slack]
