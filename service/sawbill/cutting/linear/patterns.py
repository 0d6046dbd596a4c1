"""Ways to cut one board: every pattern that a plan up to some cost may use, by its reduced cost."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sawbill.compiled import compiled
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.knapsack import NEVER, Flags
from sawbill.cutting.linear.places import Ints, place
from sawbill.cutting.linear.reduced import Prospect
from sawbill.cutting.problem import Pattern, Problem


@dataclass(frozen=True, slots=True)
class Sheaf:
    """Patterns of one bin side by side: the items their counts belong to, and the counts, one row a pattern."""

    bin: int
    order: tuple[int, ...]
    counts: Ints

    def pattern(self, problem: Problem, row: int) -> Pattern:
        """One of them."""
        return problem.pattern(self.bin, zip(self.order, self.counts[row].tolist(), strict=True))


def promising(
    problem: Problem, views: Sequence[Prospect], slack: int, limit: int, end: float = math.inf
) -> list[Sheaf] | None:
    """Every pattern whose reduced cost is within the slack and that no other dominates; None when too many, or late.

    Where leftovers are worth nothing a pattern that a further item fits is its fuller neighbour with a surplus.
    """
    found: list[Sheaf] = []
    dominance = not problem.credited
    for view in views:
        fillings = _fillings(view, slack, 4 * limit, end)
        if fillings is None:
            return None
        for bin_index in view.filler.bins:
            counts = _ending_well(problem, view, bin_index, fillings, slack, dominance)
            counts = _undominated(problem, view, bin_index, counts)
            limit -= len(counts)
            if limit < 0:
                return None
            if len(counts):
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
    if problem.credited:
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


def _fillings(view: Prospect, slack: int, limit: int, end: float) -> _Fillings | None:
    """All fillings that may end within the slack, item by item; None when they are more than the limit, or late."""
    filler, order = view.filler, np.array(view.order, np.int64)
    own = _Fillings(np.zeros(1, np.int64), np.zeros(1, np.int64), np.zeros((1, 0), np.int64))
    most = [filler.most[item] for item in view.order]
    for depth, (length, value) in enumerate(zip(filler.lengths[order].tolist(), view.values, strict=True)):
        ahead = view.after[depth + 1]
        at_most = min(limit, MOST_WORK // (depth + 1) ** 2)
        grown = np.empty((3, at_most + 1), np.int64)
        count = _with_item(filler.positions, length, value, most[depth], ahead, slack, own.places, own.values, grown)
        if count > at_most or time.monotonic() > end:
            return None
        chosen, added, ends = grown[:, :count]
        own = _Fillings(ends.copy(), own.values[chosen] + added * value, np.column_stack([own.counts[chosen], added]))
    return own


@compiled
def _with_item(
    positions: Ints, length: int, value: int, most: int, ahead: Ints, slack: int, places: Ints, values: Ints,
    grown: Ints,
) -> int:  # fmt: skip
    """Fillings with none, one, two, ... of an item more, as far as they may end within the slack; how many there are.

    By count, then in the order of the fillings they come of: which that is, how many are added, and where it ends. The
    search stops once there is no room for more of them.
    """
    chosen, added, ends = grown[0], grown[1], grown[2]
    found = 0
    for count in range(most + 1):
        inside = False
        for n in range(len(places)):
            end = positions[places[n]] + count * length
            if end > positions[-1] or found == len(chosen):
                continue
            inside = True
            at = place(positions, end)
            if positions[at] == end and values[n] + count * value + ahead[at] >= -slack:
                chosen[found], added[found], ends[found] = n, count, at
                found += 1
        if not inside:
            break
    return found


def _ending_well(
    problem: Problem, view: Prospect, bin_index: int, fillings: _Fillings, slack: int, dominance: bool
) -> Ints:
    """The counts of the fillings that fit a bin's boards within the slack, and that no item could be added to."""
    filler, ending = view.filler, view.endings[bin_index]
    most = [problem.most(bin_index, filler.items[item]) if dominance else 0 for item in view.order]
    lengths = filler.lengths[np.array(view.order)]
    well = np.zeros(len(fillings.places), np.bool_)
    _find_well(
        filler.positions, lengths, np.array(most), ending, slack, fillings.places, fillings.values, fillings.counts,
        well,
    )  # fmt: skip
    found: Ints = fillings.counts[well]
    return found


def _undominated(problem: Problem, view: Prospect, bin_index: int, counts: Ints) -> Ints:
    """Without what other blanks of the same board make needless: those that give no more, of no smaller a net cost.

    Only boards with as many of every piece are held against each other, one by one or by one kind of small parts.
    """
    parts = [row for row, own in enumerate(problem.rows) if own.part is not None]
    if not parts or len(counts) < 2:
        return counts
    items = [view.filler.items[item] for item in view.order]
    given = np.zeros((len(items), len(problem.rows)), np.int64)
    for n, item in enumerate(items):
        given[n, item.row] = item.gives
    had, used = counts @ given, counts @ np.array([item.length for item in items], np.int64)
    had[:, parts] = np.minimum(had[:, parts], [problem.rows[row].demand for row in parts])
    costs = np.zeros(len(used), np.int64)
    if problem.credited:
        costs = -np.array([problem.worth(bin_index, problem.leftover(bin_index, n)) for n in used.tolist()], np.int64)
    first = [had[:, row] for row in range(len(problem.rows)) if row not in parts]
    order = np.lexsort((used, costs, *(-had[:, row] for row in reversed(parts)), *reversed(first)))
    kept, group, least = [], None, 0
    for n in order.tolist():
        own = tuple(int(column[n]) for column in first) + (tuple(had[n, parts].tolist()) if len(parts) > 1 else ())
        if own != group or costs[n] < least:
            kept.append(n)
            group, least = own, costs[n]
    found: Ints = counts[np.sort(np.array(kept, np.int64))]
    return found


@compiled
def _find_well(
    positions: Ints, lengths: Ints, most: Ints, ending: Ints, slack: int, places: Ints, values: Ints, counts: Ints,
    well: Flags,
) -> None:  # fmt: skip
    """Tell which fillings may end where they do within the slack, and could not take in one more of an item."""
    for n in range(len(places)):
        at = places[n]
        well[n] = at > 0 and values[n] + ending[at] >= -slack
        for item in range(len(lengths) if well[n] else 0):
            end = positions[at] + lengths[item]
            if counts[n, item] < most[item] and end <= positions[-1]:
                next_ = place(positions, end)
                well[n] = well[n] and not (positions[next_] == end and ending[next_] > NEVER // 2)
