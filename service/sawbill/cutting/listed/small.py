"""Small orders, which most are: every way to cut a board is listed, and the least cost found and dealt at once.

All ways side by side make a linear programme of a few rows, solved without column generation; its basis, in exact
numbers, is what the exact search goes on from (see corner/), and where that takes long the search for the boards to
buy (see bought.py). Costs are counted so that of equal ones the fewest boards come first: cost x W + what the boards
count for, W being more than any plan's boards do. Then the fewest set-ups among all such plans are searched for (see
supports.py). Steps are counted; an order that takes more of them, or does not fit 64 bits, is planned the general way,
as are those with pieces that cannot be had, and with blanks out of boards that the yard cuts where slivers are
forbidden.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from sawbill.cutting import boards
from sawbill.cutting.boards import Layouts
from sawbill.cutting.closing.known import Known
from sawbill.cutting.corner.solutions import solutions
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed import bought, listing, setups
from sawbill.cutting.listed.listing import FAR, Listed, Priced, Sizes
from sawbill.cutting.listed.setups import MOST_WAYS, Prices, counted_costs, fewest, laid_out, worths
from sawbill.cutting.listed.whole import Covering, View, view
from sawbill.cutting.order import Status
from sawbill.cutting.problem import Pattern, Problem
from sawbill.cutting.solve import Found, Solution
from sawbill.cutting.ties import FRONT

MOST_ROWS = 6  # different lengths
MOST_LIMITED = 6  # kinds of boards of which there are only so many
SOME_WORK, WORK = 20_000, 150_000  # columns the exact search may try, where boards can be searched for and where not
SUMS = 30_000  # columns that may be tried to find more plans of the same rank, where that search does not end


@dataclass(frozen=True, slots=True)
class Small(Found):
    """A small order's cheapest plan with fewest boards, and what the search for fewest set-ups goes on from.

    rank: cost x W + what the boards count for; ways: that leave no room for a further piece, and view: the programme
    over them.
    """

    sizes: Sizes
    prices: Prices
    layouts: Layouts
    rank: int
    ways: Listed
    view: View


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
    ranks = costs[ways.bins] - per_cost * worths(problem, ways)
    limited = [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
    covering = _covering(problem, own, ways, limited, ranks)
    basic, _ = covering.solved()
    seen = None if basic is None else view(covering, basic)
    counts = None if seen is None else _best(problem, ways, seen, costs)
    if seen is None or counts is None:
        return None
    rank = int(ranks @ counts)
    cost = rank // per_cost
    bins = np.zeros(len(problem.bins), np.int64)
    bins[limited] = -seen.prices[len(problem.rows) :]
    plan = {
        _pattern(ways, covering, n, int(ranks[n]) // per_cost): int(counts[n]) for n in np.flatnonzero(counts).tolist()
    }
    known = Known(plan, cost, cost, "small order")
    rows, floor = seen.prices[: len(problem.rows)], int(seen.prices @ covering.target)
    held = Prices(rows, bins, seen.own.determinant, floor, costs, per_cost)
    return Small(problem, known, cost, (), None, own, held, laid_out(problem, ways, counts), rank, ways, seen)


def _best(problem: Problem, ways: Listed, seen: View, costs: Ints) -> Ints | None:
    """Counts of the ways in the best plan: by the exact search if it is soon done, or by the boards to buy."""
    start = seen.at_once()
    if start is None and bought.suits(problem):
        start = bought.dived(seen)
    if start is None:
        return None
    roof, by_boards = int(seen.covering.ranks @ start), bought.suits(problem)
    found, _ = seen.best(roof, SOME_WORK if by_boards else WORK)
    return bought.best(problem, ways, seen, costs, start) if found is None and by_boards else found


def _pattern(ways: Listed, covering: Covering, way: int, cost: int) -> Pattern:
    """A way as a pattern, of which items and units are left out: they are not laid out by it."""
    rows = covering.columns[way, : ways.counts.shape[1]].tolist()
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
    seen = found.view
    slack = seen.slack(found.rank)
    corner, near = seen.corner(slack)
    plans = solutions(corner, slack, SUMS)
    counts = np.zeros((len(plans.beside), len(seen.beside)), np.int64)
    counts[:, near[plans.columns]] = plans.beside
    counts[:, seen.basic] = plans.basic
    counts = counts[:, : len(found.ways.bins)]
    first = np.argsort((counts > 0).sum(axis=1), kind="stable")[:FRONT]
    return [laid_out(found.problem, found.ways, counts[n]) for n in first.tolist()]


def suits(problem: Problem) -> bool:
    """Whether an order is small, and wishes for nothing that is not listed here."""
    limited = sum(bin_.available is not None for bin_ in problem.bins)
    return len(problem.rows) <= MOST_ROWS and limited <= MOST_LIMITED and setups.suits(problem)


def _covering(problem: Problem, own: Sizes, ways: Listed, limited: list[int], ranks: Ints) -> Covering:
    """What each way gives of the rows, and the board it takes of a limited bin."""
    given = ways.counts * own.gives[ways.bins]
    return Covering(
        np.hstack([given, (ways.bins[:, None] == np.array(limited, np.int64)[None, :]).astype(np.int64)]),
        ranks,
        np.array([*problem.demand, *(problem.bins[b].available or 0 for b in limited)], np.int64),
        np.array([row.exact for row in problem.rows] + [False] * len(limited)),
        np.array([-1] * len(problem.rows) + [1] * len(limited), np.int64),
    )
