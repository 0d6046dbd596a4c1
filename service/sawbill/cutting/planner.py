"""The whole way from an order to a verified plan."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache, cached_property
from typing import Final

from sawbill import first_start
from sawbill.cutting import boards
from sawbill.cutting.closing import search
from sawbill.cutting.feasibility import check, too_long
from sawbill.cutting.fine import find
from sawbill.cutting.linear.relaxation import settle
from sawbill.cutting.listed import small
from sawbill.cutting.listed.small import Small
from sawbill.cutting.normalise import normalise
from sawbill.cutting.order import (
    Board,
    CuttingPlan,
    Infeasible,
    Order,
    Piece,
    Shortfall,
    Status,
    Stock,
)
from sawbill.cutting.problem import MISSING
from sawbill.cutting.solve import Found, Solution, finish
from sawbill.cutting.ties import best_of_equals
from sawbill.cutting.verify import verify
from sawbill.cutting.yard import apart, carried
from sawbill.first_start import Part

EMERGENCY: Final = 5.0
"""How long a search may take before a clock stops it [s]; the steps allowed nearly always end it long before."""
DEALT: Final = 1e-4
"""What is kept of it for each length that is asked for, to lay out its boards and to check them [s]."""
_MM: Final = 1_000_000
_TRIAL: Final = Order(
    stocks=(Stock("short", "spruce", 2100 * _MM, 735), Stock("long", "spruce", 4800 * _MM, 1584)),
    pieces=tuple(
        Piece(key, length * _MM, count, frozenset(["spruce"]))
        for key, length, count in (("rail", 1100, 3), ("leg", 350, 4), ("block", 280, 3))
    ),
    kerf=3 * _MM,
)
"""It takes the exact search, the choice of boards and the tie-breaks, which few orders as small do."""
_WORST = (Status.PROVEN, Status.WITHIN_TOLERANCE, Status.TIME_LIMIT)


@dataclass(frozen=True)
class Draft:
    """What boards an order takes at the least cost; how they are best cut among plans of that cost is left open.

    plans: what came of it so far, tidied or not; not what a clock cut short.
    """

    order: Order
    found: tuple[Found, ...]
    plans: dict[bool, CuttingPlan] = field(default_factory=dict, init=False, repr=False, compare=False)

    @cached_property
    def stocks(self) -> Mapping[str, int]:
        """How many boards of each stock, by key."""
        counts: Counter[str] = Counter()
        for each in self.found:
            used: Counter[int] = Counter()
            for pattern, count in each.known.plan.items():
                used[pattern.bin] += count
            for bin_index, count in used.items():
                counts.update(boards.drawn(each.problem, bin_index, count))
        return dict(counts)

    @property
    def cost(self) -> int:
        """What they cost [minor units]."""
        prices = {stock.key: stock.price for stock in self.order.stocks}
        return sum(prices[key] * count for key, count in self.stocks.items())

    @property
    def net(self) -> int:
        """What they cost, less what their leftovers are worth (`CuttingPlan.credited`) [minor units]."""
        return sum(each.known.cost for each in self.found)

    @property
    def bound(self) -> int:
        """No plan costs less, what it keeps credited [minor units]."""
        return sum(each.bound for each in self.found)


def plan(order: Order, limit: float = EMERGENCY) -> CuttingPlan | Infeasible:
    """The cheapest way to cut an order, checked; limit: the emergency stop [s].

    Raises ValueError naming every fault of an order that makes no sense.
    """
    return _plan_until(order, until(limit))


def until(seconds: float) -> float:
    """When so many seconds are over, for an emergency stop (time.monotonic [s]).

    They begin once all compiled loops are ready: the clock is for the search, and they take seconds the first time.
    A twentieth of them is kept for the plan to be laid out and checked.
    """
    make_ready()
    return time.monotonic() + 0.95 * seconds


@cache
def make_ready() -> None:
    """Compile the loops, or load them."""
    first_start.make_ready(PARTS)


@cache
def run_for_small() -> None:
    """Plan a small order, which runs all loops of small orders."""
    _plan_until(_TRIAL, time.monotonic() + 600)


@cache
def run_for_large() -> None:
    """Plan the same in general, and as if it were large, but for what small orders take as well."""
    end = time.monotonic() + 600
    for problem in normalise(_TRIAL):
        found = find(problem, end)
        assert found.relaxation is not None
        settled = settle(problem, found.fillers, found.relaxation, end)
        best_of_equals(problem, found.fillers, settled, found.known.plan, Fraction(0), end)
        search.make_ready(problem)


PARTS: Final = (Part("cutting large orders", run_for_large), Part("cutting small orders", run_for_small))
"""What is compiled to plan, in two parts that take about as long and share as little as may be."""


def _plan_until(order: Order, end: float) -> CuttingPlan | Infeasible:
    found = draft(order, end)
    return found if isinstance(found, Infeasible) else finished(found, end)


def draft(
    order: Order,
    end: float,
    enough: int | None = None,
    *,
    brief: bool = False,
    begun: Draft | None = None,
) -> Draft | Infeasible:
    """The cheapest boards to cut an order from; end: the emergency stop.

    enough: once no plan can cost less than this [minor units], any plan will do, and the search ends.
    brief: do without what may take seconds to prove the last of it.
    begun: an earlier draft, which is gone on from where it is of the same order.
    Raises ValueError naming every fault of an order that makes no sense.
    """
    check(order)
    shortfalls = too_long(order)
    short = {shortfall.key for shortfall in shortfalls}
    parted = apart(order)
    possible = replace(
        parted,
        pieces=tuple(piece for piece in parted.pieces if piece.key not in short),
        small_parts=tuple(part for part in parted.small_parts if part.key not in short),
    )
    problems = normalise(possible)
    end -= DEALT * len(order.pieces)
    found: list[Found] = []
    for done, problem in enumerate(problems):
        share = (end - time.monotonic()) / (len(problems) - done)
        left = None if enough is None else enough - sum(each.bound for each in found)
        known = begun.found[done] if begun is not None and begun.order == order else None
        own = small.find(problem) or find(problem, time.monotonic() + share, left, brief=brief, begun=known)
        found.append(own)
    for each in found:
        shortfalls += _missing(each)
    if shortfalls:
        proven = all((each.proven and not each.known.timed_out) or not _missing(each) for each in found)
        bound = sum(each.bound for each in found)
        return Infeasible(tuple(sorted(shortfalls, key=lambda shortfall: shortfall.key)), proven, bound)
    return Draft(order, tuple(found))


def finished(found: Draft, end: float, *, tidy: bool = True) -> CuttingPlan:
    """The draft's plan, or the best of those of its cost if it shall be tidy, checked; end: the emergency stop."""
    if tidy in found.plans:
        return found.plans[tidy]
    order, solutions = found.order, []
    for done, each in enumerate(found.found):
        share = (end - time.monotonic()) / (len(found.found) - done)
        if isinstance(each, Small):
            solutions.append(small.finish(each, order.extra_cost, tidy=tidy))
        else:
            solutions.append(finish(each, order.extra_cost, time.monotonic() + share, tidy=tidy))
    plan = _checked(order, _plan(order, solutions))
    if not plan.late:
        found.plans[tidy] = plan
    return plan


def _missing(found: Found) -> list[Shortfall]:
    """Pieces for which there are not enough boards; of a length's pieces the last in order go without."""
    shortfalls, problem = [], found.problem
    for pattern, count in found.known.plan.items():
        if pattern.bin == MISSING:
            row = problem.rows[pattern.rows[0][0]]
            longest = max(min(b.usable, b.carry or b.usable) for b in problem.bins if b.material in row.materials)
            for key, lot in reversed(row.lots):
                if count:
                    shortfalls.append(Shortfall(key, min(lot, count), longest))
                    count -= min(lot, count)
    return shortfalls


def _plan(order: Order, solutions: Sequence[Solution]) -> CuttingPlan:
    named = [board for solution in solutions for board in _boards(solution)]
    stocks = {stock.key: stock for stock in order.stocks}
    at_yard = (replace(board, carried=carried(board.cuts, stocks[board.stock], order.kerf)) for board in named)
    all_boards = sorted(at_yard, key=lambda board: _place(stocks, board))
    cost = sum(stocks[board.stock].price * board.count for board in all_boards)
    return CuttingPlan(
        boards=tuple(all_boards),
        cost=cost,
        bound=sum(solution.bound for solution in solutions),
        few=sum(solution.few for solution in solutions),
        status=max((solution.status for solution in solutions), key=_WORST.index, default=Status.PROVEN),
        stage=", ".join(dict.fromkeys(solution.stage for solution in solutions)) or "nothing to cut",
        credited=sum(map(_credited, solutions)),
        late=any(solution.late for solution in solutions),
    )


def _boards(solution: Solution) -> list[Board]:
    named = boards.name_boards(solution.problem, solution.layouts)
    return [replace(board, count=count) for board, count in named.items()]


def _credited(solution: Solution) -> int:
    """What the leftovers are worth, less what boards that cost nothing were worth uncut."""
    problem = solution.problem
    return sum(
        count * (problem.worth(layout.bin, boards.leftover(problem, layout)) + bin_.price - bin_.cost)
        for layout, count in solution.layouts.items()
        for bin_ in [problem.bins[layout.bin]]
    )


def _place(stocks: dict[str, Stock], board: Board) -> tuple[object, ...]:
    """By material, boards on hand first, then the longest; within a stock by what is cut."""
    stock = stocks[board.stock]
    cuts = tuple((-cut.length, cut.key) for cut in board.cuts)
    return (stock.material, not stock.on_hand, -stock.length, stock.key, cuts)


def _checked(order: Order, found: CuttingPlan) -> CuttingPlan:
    """The plan, if the independent checker finds no fault with it."""
    faults = verify(order, found)
    if faults:
        raise AssertionError("cutting plan fails its own order: " + "; ".join(faults))
    return found
