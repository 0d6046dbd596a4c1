"""Small orders, which most are: every way to cut a board is listed, and the least cost found and dealt at once.

All ways side by side make a linear programme of a few rows, solved without column generation; its basis, in exact
numbers, is what the exact search goes on from (see corner.py). Costs are counted so that of equal ones the fewest
boards come first: cost x W + what the boards count for, W being more than any plan's boards do. Then the fewest
set-ups among all such plans are searched for (see supports.py). Steps are counted; an order that takes more of them,
or does not fit 64 bits, is planned the general way, as are those with pieces that cannot be had, and with blanks out
of boards that the yard cuts where slivers are forbidden.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.cutting import boards, corner, dual, listing, supports
from sawbill.estimating.cutting.boards import Layout, Layouts
from sawbill.estimating.cutting.counting import Columns, Wanted
from sawbill.estimating.cutting.known import Known
from sawbill.estimating.cutting.listing import FAR, Listed, Priced, Sizes
from sawbill.estimating.cutting.order import Status
from sawbill.estimating.cutting.places import Ints
from sawbill.estimating.cutting.problem import Pattern, Problem
from sawbill.estimating.cutting.solve import Found, Solution
from sawbill.estimating.cutting.sums import Corner
from sawbill.estimating.cutting.ties import FRONT, weight
from sawbill.estimating.cutting.whole import whole

MOST_ROWS = 6  # different lengths
MOST_LIMITED = 6  # kinds of boards of which there are only so many
MOST_WAYS = 3_000  # to cut a board
SUMS = 60_000  # columns that may be tried to find more plans of the same rank, where that search does not end
STEPS = 400_000  # of the search for fewest set-ups


@dataclass(frozen=True, slots=True)
class Prices:
    """Exact prices of the programme, times scale: of rows, and of the boards of each bin; floor: what they prove.

    costs: of a bin's board, as counted, its leftover not yet credited; per_cost: W.
    """

    rows: Ints
    bins: Ints
    scale: int
    floor: int
    costs: Ints
    per_cost: int


@dataclass(frozen=True, slots=True)
class Seen:
    """Ways that leave no room for a further piece, and the programme over them as seen from its basis.

    near and basic: numbers of the columns beside the basis and in it, those from len(ways) on being surpluses.
    """

    ways: Listed
    corner: Corner
    near: Ints
    basic: Ints


@dataclass(frozen=True, slots=True)
class Small(Found):
    """A small order's cheapest plan with fewest boards, and what the search for fewest set-ups goes on from.

    rank: cost x W + what the boards count for.
    """

    sizes: Sizes
    prices: Prices
    layouts: Layouts
    rank: int
    seen: Seen


def find(problem: Problem) -> Small | None:
    """The least cost and, at it, the fewest boards, both proven; None where the general way is to be gone."""
    if not suits(problem):
        return None
    own = listing.sizes(problem)
    costs, per_cost = _costs(problem)
    none = np.zeros(len(problem.bins), np.int64)
    free = Priced(float(FAR), none, np.zeros_like(own.most), none)
    ways = listing.listed(own, free, full=problem.credited, limit=MOST_WAYS)
    if ways is None or not len(ways.bins):
        return None
    limited = [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
    columns = _columns(own, ways, limited)
    ranks = costs[ways.bins] - per_cost * _worths(problem, ways)
    target = np.array([*problem.demand, *(problem.bins[b].available or 0 for b in limited)], np.int64)
    exact = np.array([row.exact for row in problem.rows] + [False] * len(limited))
    signs = np.array([-1] * len(problem.rows) + [1] * len(limited), np.int64)
    basic = dual.basis((columns * signs).astype(float), ranks.astype(float), (target * signs).astype(float), exact)
    if basic is None:
        return None
    solved = whole(columns, ranks, target, exact, signs, basic)
    if solved is None:
        return None
    counts, prices, corner_, near = solved
    layouts = _layouts(problem, ways, counts)
    rank = int(ranks @ counts)
    cost = rank // per_cost
    bins = np.zeros(len(problem.bins), np.int64)
    bins[limited] = -prices[len(problem.rows) :]
    floor = int(prices @ target)
    plan = {
        _pattern(ways, columns, n, int(ranks[n]) // per_cost): int(counts[n]) for n in np.flatnonzero(counts).tolist()
    }
    known = Known(plan, cost, cost, "small order")
    held = Prices(prices[: len(problem.rows)], bins, corner_.own.determinant, floor, costs, per_cost)
    return Small(problem, known, cost, (), None, own, held, layouts, rank, Seen(ways, corner_, near, basic))


def _pattern(ways: Listed, columns: Ints, way: int, cost: int) -> Pattern:
    """A way as a pattern, of which items and units are left out: they are not laid out by it."""
    rows = columns[way, : ways.counts.shape[1]].tolist()
    return Pattern(int(ways.bins[way]), (), tuple((r, n) for r, n in enumerate(rows) if n), int(ways.used[way]), cost)


def finish(found: Small, extra_cost: Fraction, *, tidy: bool) -> Solution:
    """The best among plans of the cost found, or of little more if that is allowed, laid out."""
    problem, layouts, cost = found.problem, found.layouts, found.known.cost
    few = 1
    if tidy:
        layouts, few = _tidied(found, layouts, found.rank, len(layouts))
        if few < len(layouts):
            layouts = min([layouts, *_equals(found)], key=len)
        if extra_cost:
            roof = (cost + int(cost * extra_cost) + 1) * found.prices.per_cost - 1
            layouts, few = _tidied(found, layouts, roof, len(layouts) - 1)
    spent = sum(problem.bins[own.bin].cost * n for own, n in layouts.items()) - boards.worth(problem, layouts)
    status = Status.PROVEN if spent <= cost else Status.WITHIN_TOLERANCE
    return Solution(problem, layouts, cost, status, found.known.stage, few)


def _tidied(found: Small, layouts: Layouts, roof: int, known: int) -> tuple[Layouts, int]:
    """The best plan of at most so many set-ups under a roof of the rank, or the one given; and how few are proven."""
    problem, prices = found.problem, found.prices
    slack = roof * prices.scale - prices.floor
    values = found.sizes.gives * prices.rows
    costs = prices.costs * prices.scale + prices.bins
    rate = ceil(problem.credit * prices.per_cost * prices.scale) if problem.credited else 0
    priced = Priced(float(slack), costs, values, np.full(len(costs), rate, np.int64))
    ways = listing.listed(found.sizes, priced, full=True, limit=MOST_WAYS)
    if ways is None or known < 1:
        return layouts, 1
    worths = _worths(problem, ways)
    reduced = (
        costs[ways.bins] - (ways.counts * values[ways.bins]).sum(axis=1) - worths * (prices.per_cost * prices.scale)
    )
    near = np.argsort(reduced, kind="stable")
    near = near[reduced[near] <= slack]
    ways, reduced = Listed(ways.bins[near], ways.counts[near], ways.used[near]), reduced[near]
    limited = [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
    place = np.full(len(problem.bins), -1, np.int64)
    place[limited] = np.arange(len(limited))
    rooms = np.array([bin_.usable for bin_ in problem.bins], np.int64)
    given, loose = ways.counts * found.sizes.gives[ways.bins], found.sizes.blank.astype(np.bool_)
    equations, sides = _equations(found, given, reduced, slack, tight=roof == found.rank)
    own = Columns(
        given,
        equations,
        place[ways.bins],
        reduced,
        prices.costs[ways.bins] - prices.per_cost * worths[near],
        np.maximum(0, rooms[ways.bins] - ways.used),
    )
    wanted = Wanted(
        np.array(problem.demand, np.int64),
        loose,
        sides,
        np.array([problem.bins[b].available for b in limited], np.int64),
        slack,
        roof,
    )
    best = supports.fewest(own, wanted, known, STEPS)
    if not best.columns:
        return layouts, best.least
    counts = np.zeros(len(ways.bins), np.int64)
    counts[list(best.columns)] = best.counts
    return _layouts(problem, ways, counts), best.least


def _equals(found: Small) -> list[Layouts]:
    """Some of the plans of the same rank, where the search for fewest set-ups has not ended: the first in so many."""
    seen, prices = found.seen, found.prices
    slack = found.rank * prices.scale - prices.floor
    plans = corner.solutions(seen.corner, slack, SUMS)
    counts = np.zeros((len(plans.beside), len(seen.ways.bins) + len(seen.basic)), np.int64)
    counts[:, seen.near[plans.columns]] = plans.beside
    counts[:, seen.basic] = plans.basic
    counts = counts[:, : len(seen.ways.bins)]
    first = np.argsort((counts > 0).sum(axis=1), kind="stable")[:FRONT]
    return [_layouts(found.problem, seen.ways, counts[n]) for n in first.tolist()]


def _equations(
    found: Small, given: Ints, reduced: Ints, slack: int, *, tight: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:  # fmt: skip
    """What must add up exactly: rows that allow no surplus, and, where all is spent on boards, the slack."""
    exact = [row for row, own in enumerate(found.problem.rows) if own.part is None]
    sides = [float(found.problem.rows[row].demand) for row in exact]
    columns = [given[:, exact].astype(float)]
    free = any(found.prices.rows[row] for row in range(given.shape[1]) if row not in exact) or found.prices.bins.any()
    if tight and not free:
        unit = float(max(1, reduced.max(initial=0)))
        columns.append((reduced / unit)[:, None])
        sides.append(slack / unit)
    return np.ascontiguousarray(np.hstack(columns)), np.array(sides, float)


def _layouts(problem: Problem, ways: Listed, counts: Ints) -> Layouts:
    """Boards by how they are cut, without what is too much of a row."""
    found: Layouts = Counter()
    for n in np.flatnonzero(counts).tolist():
        cuts = tuple((row, count) for row, count in enumerate(ways.counts[n].tolist()) if count)
        found[Layout(int(ways.bins[n]), cuts)] += int(counts[n])
    return boards.without_surplus(problem, found)


def suits(problem: Problem) -> bool:
    """Whether an order is small, and wishes for nothing that is not listed here."""
    limited = sum(bin_.available is not None for bin_ in problem.bins)
    if not problem.bins or len(problem.rows) > MOST_ROWS or limited > MOST_LIMITED or problem.rounded:
        return False
    cut = any(bin_.carry is not None for bin_ in problem.bins)
    return not (problem.no_slivers and cut and any(row.part is not None for row in problem.rows))


def _costs(problem: Problem) -> tuple[Ints, int]:
    """What a board of each bin counts for in the rank, and W; no plan has more boards than there are pieces."""
    weights = [weight(problem, b) for b in range(len(problem.bins))]
    per_cost = max(weights) * sum(problem.demand) + 1
    return np.array(
        [bin_.cost * per_cost + n for bin_, n in zip(problem.bins, weights, strict=True)], np.int64
    ), per_cost


def _columns(own: Sizes, ways: Listed, limited: list[int]) -> Ints:
    """What each way gives of the rows, and the board it takes of a limited bin."""
    given = ways.counts * own.gives[ways.bins]
    return np.hstack([given, (ways.bins[:, None] == np.array(limited, np.int64)[None, :]).astype(np.int64)])


def _worths(problem: Problem, ways: Listed) -> Ints:
    """What the leftover of each way is credited with [minor units]."""
    if not problem.credited:
        return np.zeros(len(ways.bins), np.int64)
    left = [
        max(0, problem.bins[b].usable - used) for b, used in zip(ways.bins.tolist(), ways.used.tolist(), strict=True)
    ]
    return np.array([problem.worth(b, n) for b, n in zip(ways.bins.tolist(), left, strict=True)], np.int64)
