"""A plan of fewest set-ups among those of given boards' cost, from every way to cut one board.

The ways are listed (listing.py) by prices that prove how little any plan may cost: only those whose reduced cost is
within the slack can be part of such a plan. Costs are counted as cost x W + what the boards count for, W being more
than any plan's boards do, so that of equal costs the fewest boards come first.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, gcd
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.cutting import boards
from sawbill.cutting.boards import Layout, Layouts
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed import listing, supports
from sawbill.cutting.listed.equations import Columns, Wanted
from sawbill.cutting.listed.listing import FAR, Listed, Priced, Sizes
from sawbill.cutting.problem import Problem
from sawbill.cutting.ties import weight

MOST_WAYS = 3_000  # to cut a board
STEPS = 60_000  # of the search for fewest set-ups
SOME_STEPS = 30_000  # of it where there are many lengths: more of them seldom find or prove anything
MANY_ROWS = 6
MOST_ROWS = 12  # different lengths: sets of them are bits
_LARGEST = 2**60


@dataclass(frozen=True, slots=True)
class Prices:
    """Sound prices of the programme, times scale: of rows, and of the boards of each bin; floor: what they prove.

    costs: of a bin's board, as counted, its leftover not yet credited; per_cost: W.
    """

    rows: Ints
    bins: Ints
    scale: int
    floor: int
    costs: Ints
    per_cost: int


def suits(problem: Problem) -> bool:
    """Whether every way to cut a board can be listed: not of lengths that are rounded, nor where blanks lend."""
    if not problem.bins or len(problem.rows) > MOST_ROWS or problem.rounded:
        return False
    cut = any(bin_.carry is not None for bin_ in problem.bins)
    return not (problem.no_slivers and cut and any(row.part is not None for row in problem.rows))


def prices_of(problem: Problem, duals: Duals, most: int) -> Prices:
    """The programme's prices of costs as they are counted, rounded to the safe side; most: no plan costs more."""
    costs, per_cost = counted_costs(problem)
    dearest = max([most, *(bin_.cost for bin_ in problem.bins)]) + 1
    scale = max(1, min(duals.scale, _LARGEST // (dearest * per_cost)))
    rows = [value * per_cost * scale // duals.scale for value in duals.rows]
    bins = [-(-value * per_cost * scale // duals.scale) for value in duals.bins]
    limited = [(bins[b], bin_.available) for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
    floor = sum(value * row.demand for value, row in zip(rows, problem.rows, strict=True))
    floor -= sum(value * available for value, available in limited)
    return Prices(np.array(rows, np.int64), np.array(bins, np.int64), scale, floor, costs, per_cost)


def rank_of(problem: Problem, prices: Prices, layouts: Layouts) -> int:
    """Cost x W + what the boards count for."""
    counted = sum(int(prices.costs[own.bin]) * count for own, count in layouts.items())
    return counted - prices.per_cost * boards.worth(problem, layouts)


def fewest(
    problem: Problem, own: Sizes, prices: Prices, layouts: Layouts, roof: int, known: int, *, least: int = 0
) -> tuple[Layouts, int]:
    """The best plan of at most so many set-ups under a roof of the rank, or the one given; and how few are proven.

    least: no plan has a lower rank than this.
    """
    slack = roof * prices.scale - prices.floor
    near = _near(problem, own, prices, slack) if known > 0 else None
    if near is None:
        return layouts, 1
    wanted = _wanted(problem, prices, near, slack, roof, tight=roof == least)
    columns = _columns(problem, prices, near, wanted)
    steps = STEPS if len(problem.rows) <= MANY_ROWS else SOME_STEPS
    best = supports.fewest(columns, wanted, known, steps, least)
    few = min(best.least, len(layouts))
    if not best.columns:
        return layouts, few
    counts = np.zeros(len(near.ways.bins), np.int64)
    counts[list(best.columns)] = best.counts
    return laid_out(problem, near.ways, counts), few


def spending(
    problem: Problem, own: Sizes, prices: Prices, layouts: Layouts, cost: int, extra_cost: Fraction, *, least: int = 0
) -> tuple[Layouts, int]:
    """The best plan of fewer set-ups for as much more than the least cost as may be spent, or the one given."""
    roof = (cost + int(cost * extra_cost) + 1) * prices.per_cost - 1
    return fewest(problem, own, prices, layouts, roof, len(layouts) - 1, least=least)


class Near(NamedTuple):
    """Ways to cut a board whose reduced cost is within a slack, the least first.

    given: of each row; reduced: their reduced costs; worth: what their leftovers are credited with [minor units].
    """

    ways: Listed
    given: Ints
    reduced: Ints
    worth: Ints


def _near(problem: Problem, own: Sizes, prices: Prices, slack: int) -> Near | None:
    """All of them; None where there is none, or where they are too many to list."""
    values = own.gives * prices.rows
    costs = prices.costs * prices.scale + prices.bins
    rate = ceil(problem.credit * prices.per_cost * prices.scale) if problem.credited else 0
    priced = Priced(float(slack), costs, values, np.full(len(costs), rate, np.int64))
    ways = listing.listed(own, priced, full=True, limit=MOST_WAYS)
    if ways is None or not len(ways.bins):
        return None
    worth = worths(problem, ways)
    reduced = (
        costs[ways.bins] - (ways.counts * values[ways.bins]).sum(axis=1) - worth * (prices.per_cost * prices.scale)
    )
    near = np.argsort(reduced, kind="stable")
    near = near[reduced[near] <= slack]
    ways = Listed(ways.bins[near], ways.counts[near], ways.used[near])
    return Near(ways, ways.counts * own.gives[ways.bins], reduced[near], worth[near])


def _wanted(problem: Problem, prices: Prices, near: Near, slack: int, roof: int, *, tight: bool) -> Wanted:
    return Wanted(
        np.array(problem.demand, np.int64),
        np.array([row.part is not None for row in problem.rows]),
        _sides(problem, prices, near.reduced, slack, tight=tight),
        np.array([bin_.available for bin_ in problem.bins if bin_.available is not None], np.int64),
        slack,
        roof,
    )


def _columns(problem: Problem, prices: Prices, near: Near, wanted: Wanted) -> Columns:
    ways, bins = near.ways, problem.bins
    limited = [b for b, bin_ in enumerate(bins) if bin_.available is not None]
    place = np.full(len(bins), -1, np.int64)
    place[limited] = np.arange(len(limited))
    there_are = np.array([FAR if bin_.available is None else bin_.available for bin_ in bins], np.int64)
    usable = np.array([bin_.usable for bin_ in bins], np.int64)
    equations = near.given[:, ~wanted.loose].astype(float)
    if len(wanted.sides) > equations.shape[1]:
        equations = np.column_stack([equations, near.reduced / _unit(near.reduced)])
    return Columns(
        near.given,
        np.ascontiguousarray(equations),
        place[ways.bins],
        near.reduced,
        prices.costs[ways.bins] - prices.per_cost * near.worth,
        np.maximum(0, usable[ways.bins] - ways.used),
        np.minimum(_most(near, wanted), there_are[ways.bins]),
    )


def _most(near: Near, wanted: Wanted) -> Ints:
    """How many boards of each way a plan may have, or needs: no more of pieces than asked, small parts until enough."""
    each = np.maximum(near.given, 1)
    exact = np.where((near.given > 0) & ~wanted.loose, wanted.demand // each, FAR).min(axis=1)
    enough = np.where(near.given > 0, -(-wanted.demand // each), 0).max(axis=1)
    within = np.where(near.reduced > 0, wanted.slack // np.maximum(near.reduced, 1), FAR)
    most: Ints = np.minimum(np.where(exact < FAR, exact, enough), within)
    return most


def _sides(problem: Problem, prices: Prices, reduced: Ints, slack: int, *, tight: bool) -> NDArray[np.float64]:
    """What must add up exactly: rows that allow no surplus, and, where all is spent on boards, the slack."""
    sides = [float(row.demand) for row in problem.rows if row.part is None]
    free = any(prices.rows[r] for r, row in enumerate(problem.rows) if row.part is not None) or prices.bins.any()
    if tight and not free:
        sides.append(slack / _unit(reduced))
    return np.array(sides, float)


def _unit(reduced: Ints) -> float:
    """By which reduced costs are made numbers of the size of the others."""
    return float(max(1, reduced.max(initial=0)))


def laid_out(problem: Problem, ways: Listed, counts: Ints) -> Layouts:
    """Boards by how they are cut, without what is too much of a row."""
    found: Layouts = Counter()
    for n in np.flatnonzero(counts).tolist():
        cuts = tuple((row, count) for row, count in enumerate(ways.counts[n].tolist()) if count)
        found[Layout(int(ways.bins[n]), cuts)] += int(counts[n])
    return boards.without_surplus(problem, found)


def counted_costs(problem: Problem) -> tuple[Ints, int]:
    """What a board of each bin counts for in the rank, and W; no plan has more boards than there are pieces."""
    weights = [weight(problem, b) for b in range(len(problem.bins))]
    unit = gcd(*weights)
    weights = [each // unit for each in weights]
    per_cost = max(weights) * sum(problem.demand) + 1
    return np.array(
        [bin_.cost * per_cost + n for bin_, n in zip(problem.bins, weights, strict=True)], np.int64
    ), per_cost


def worths(problem: Problem, ways: Listed) -> Ints:
    """What the leftover of each way is credited with [minor units]."""
    if not problem.credited:
        return np.zeros(len(ways.bins), np.int64)
    left = [
        max(0, problem.bins[b].usable - used) for b, used in zip(ways.bins.tolist(), ways.used.tolist(), strict=True)
    ]
    return np.array([problem.worth(b, n) for b, n in zip(ways.bins.tolist(), left, strict=True)], np.int64)
