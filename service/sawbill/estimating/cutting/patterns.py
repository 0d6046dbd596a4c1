"""Ways to cut one board: every pattern that a plan up to some cost may use, by its reduced cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sawbill.estimating.cutting.columns import Duals
from sawbill.estimating.cutting.knapsack import NEVER, Ints
from sawbill.estimating.cutting.problem import Pattern, Problem
from sawbill.estimating.cutting.reduced import Prospect


@dataclass(frozen=True, slots=True)
class Sheaf:
    """Patterns of one bin side by side: the items their counts belong to, and the counts, one row a pattern."""

    bin: int
    order: tuple[int, ...]
    counts: Ints

    def pattern(self, problem: Problem, row: int) -> Pattern:
        """One of them."""
        return problem.pattern(self.bin, zip(self.order, self.counts[row].tolist(), strict=True))


def promising(problem: Problem, views: Sequence[Prospect], slack: int, limit: int) -> list[Sheaf] | None:
    """Every pattern whose reduced cost is within the slack and that no other dominates; None when too many.

    Where surplus is free a pattern that a further item fits is its fuller neighbour with a surplus.
    """
    found: list[Sheaf] = []
    dominance = not any(row.exact for row in problem.rows)
    for view in views:
        fillings = _fillings(view, slack, 4 * limit)
        if fillings is None:
            return None
        for bin_index in view.filler.bins:
            counts = _ending_well(problem, view, bin_index, fillings, slack, dominance)
            limit -= len(counts)
            if limit < 0:
                return None
            found.append(Sheaf(bin_index, view.order, counts))
    return found


def size(sheaves: Sequence[Sheaf]) -> int:
    """How many patterns there are."""
    return sum(len(sheaf.counts) for sheaf in sheaves)


def one_by_one(problem: Problem, sheaves: Sequence[Sheaf]) -> list[Pattern]:
    """All of them, one by one."""
    return [sheaf.pattern(problem, row) for sheaf in sheaves for row in range(len(sheaf.counts))]


def reduced_costs(problem: Problem, duals: Duals, sheaf: Sheaf) -> Ints:
    """Each pattern's reduced cost, c_p + m_k - sum u_i a_ip, scaled."""
    bin_, items = problem.bins[sheaf.bin], problem.groups[problem.bins[sheaf.bin].group]
    values = np.array([items[item].gives * duals.rows[items[item].row] for item in sheaf.order], np.int64)
    costs = bin_.cost * duals.scale + duals.bins[sheaf.bin] - sheaf.counts @ values
    if problem.keep is not None and problem.credit:
        used = sheaf.counts @ np.array([items[item].length for item in sheaf.order], np.int64)
        worths = [problem.worth(sheaf.bin, problem.leftover(sheaf.bin, int(length))) for length in used]
        costs = costs - np.array(worths, np.int64) * duals.scale
    return np.asarray(costs, np.int64)


MOST_WORK = 120_000_000  # fillings x items x items, beyond which patterns are not listed; it bounds the memory too


@dataclass(frozen=True, slots=True)
class _Fillings:
    """Fillings side by side: the place each ends at, as an index, its value, and its counts in the view's order."""

    places: Ints
    values: Ints
    counts: Ints


def _fillings(view: Prospect, slack: int, limit: int) -> _Fillings | None:
    """All fillings that may end within the slack, item by item; None when they are more than the limit."""
    filler, positions = view.filler, view.filler.positions
    places, values = np.zeros(1, np.int64), np.zeros(1, np.int64)
    counts = np.zeros((1, 0), np.int64)
    for depth, item in enumerate(view.order):
        if not len(places):
            return _Fillings(places, values, np.zeros((0, len(view.order)), np.int64))
        length, ahead = filler.items[item].length, view.after[depth + 1]
        chosen, added, ends_at, worths = [], [], [], []
        for count in range(filler.most[item] + 1):
            ends = positions[places] + count * length
            inside = np.flatnonzero(ends <= positions[-1])
            if not len(inside):
                break
            reached = np.searchsorted(positions, ends[inside])
            worth = values[inside] + count * view.values[depth]
            good = worth + ahead[reached] >= -slack
            chosen.append(inside[good])
            added.append(len(chosen[-1]))
            ends_at.append(reached[good])
            worths.append(worth[good])
        places, values = np.concatenate(ends_at), np.concatenate(worths)
        column = np.repeat(np.arange(len(added)), added)
        counts = np.column_stack([counts[np.concatenate(chosen)], column])
        if len(places) > limit or len(places) * (depth + 1) ** 2 > MOST_WORK:
            return None
    return _Fillings(places, values, counts)


def _ending_well(
    problem: Problem, view: Prospect, bin_index: int, fillings: _Fillings, slack: int, dominance: bool
) -> Ints:
    """The counts of the fillings that fit a bin's boards within the slack, and that no item could be added to."""
    filler, positions, ending = view.filler, view.filler.positions, view.endings[bin_index]
    well = (fillings.values + ending[fillings.places] >= -slack) & (fillings.places > 0)
    places, counts = fillings.places[well], fillings.counts[well]
    if not dominance or not len(places):
        return counts
    grows = np.zeros(len(places), bool)
    for depth, item in enumerate(view.order):
        ends = positions[places] + filler.items[item].length
        inside = ends <= positions[-1]
        reached = np.minimum(np.searchsorted(positions, ends), len(positions) - 1)
        may_end = inside & (positions[reached] == ends) & (ending[reached] > NEVER // 2)
        grows |= may_end & (counts[:, depth] < problem.most(bin_index, filler.items[item]))
    return counts[~grows]
