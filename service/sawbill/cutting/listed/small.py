"""Small orders, which most are: every way to cut a board is listed, and the least cost found and dealt at once.

All ways side by side make a linear programme of a few rows, solved without column generation; its basis, in exact
numbers, is what the exact search goes on from (see corner.py). Costs are counted so that of equal ones the fewest
boards come first: cost x W + what the boards count for, W being more than any plan's boards do. Then the fewest
set-ups among all such plans are searched for (see supports.py). Steps are counted; an order that takes more of them,
or does not fit 64 bits, is planned the general way, as are those with pieces that cannot be had, and with blanks out
of boards that the yard cuts where slivers are forbidden.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from sawbill.cutting import boards
from sawbill.cutting.boards import Layouts
from sawbill.cutting.closing.known import Known
from sawbill.cutting.closing.solutions import solutions
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.linear.sums import Corner
from sawbill.cutting.listed import dual, listing, setups
from sawbill.cutting.listed.listing import FAR, Listed, Priced, Sizes
from sawbill.cutting.listed.setups import MOST_WAYS, Prices, counted_costs, fewest, laid_out, worths
from sawbill.cutting.listed.whole import whole
from sawbill.cutting.order import Status
from sawbill.cutting.problem import Pattern, Problem
from sawbill.cutting.solve import Found, Solution
from sawbill.cutting.ties import FRONT

MOST_ROWS = 6  # different lengths
MOST_LIMITED = 6  # kinds of boards of which there are only so many
SUMS = 60_000  # columns that may be tried to find more plans of the same rank, where that search does not end


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
    costs, per_cost = counted_costs(problem)
    none = np.zeros(len(problem.bins), np.int64)
    free = Priced(float(FAR), none, np.zeros_like(own.most), none)
    ways = listing.listed(own, free, full=problem.credited, limit=MOST_WAYS)
    if ways is None or not len(ways.bins):
        return None
    limited = [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
    columns = _columns(own, ways, limited)
    ranks = costs[ways.bins] - per_cost * worths(problem, ways)
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
    layouts = laid_out(problem, ways, counts)
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
        layouts, few = fewest(problem, found.sizes, found.prices, layouts, found.rank, len(layouts), least=found.rank)
        if few < len(layouts):
            layouts = min([layouts, *_equals(found)], key=len)
        if extra_cost:
            layouts, few = setups.spending(
                problem, found.sizes, found.prices, layouts, cost, extra_cost, least=found.rank
            )
    spent = sum(problem.bins[own.bin].cost * n for own, n in layouts.items()) - boards.worth(problem, layouts)
    status = Status.PROVEN if spent <= cost else Status.WITHIN_TOLERANCE
    return Solution(problem, layouts, cost, status, found.known.stage, few)


def _equals(found: Small) -> list[Layouts]:
    """Some of the plans of the same rank, where the search for fewest set-ups has not ended: the first in so many."""
    seen, prices = found.seen, found.prices
    slack = found.rank * prices.scale - prices.floor
    plans = solutions(seen.corner, slack, SUMS)
    counts = np.zeros((len(plans.beside), len(seen.ways.bins) + len(seen.basic)), np.int64)
    counts[:, seen.near[plans.columns]] = plans.beside
    counts[:, seen.basic] = plans.basic
    counts = counts[:, : len(seen.ways.bins)]
    first = np.argsort((counts > 0).sum(axis=1), kind="stable")[:FRONT]
    return [laid_out(found.problem, seen.ways, counts[n]) for n in first.tolist()]


def suits(problem: Problem) -> bool:
    """Whether an order is small, and wishes for nothing that is not listed here."""
    limited = sum(bin_.available is not None for bin_ in problem.bins)
    return len(problem.rows) <= MOST_ROWS and limited <= MOST_LIMITED and setups.suits(problem)


def _columns(own: Sizes, ways: Listed, limited: list[int]) -> Ints:
    """What each way gives of the rows, and the board it takes of a limited bin."""
    given = ways.counts * own.gives[ways.bins]
    return np.hstack([given, (ways.bins[:, None] == np.array(limited, np.int64)[None, :]).astype(np.int64)])
