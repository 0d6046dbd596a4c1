"""The whole way from an order to a verified plan."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sawbill.estimating.cutting import boards
from sawbill.estimating.cutting.feasibility import check, too_long
from sawbill.estimating.cutting.normalise import normalise
from sawbill.estimating.cutting.order import (
    Board,
    CuttingPlan,
    Infeasible,
    Order,
    Shortfall,
    Status,
    Stock,
)
from sawbill.estimating.cutting.problem import MISSING
from sawbill.estimating.cutting.solve import Found, Solution, find, finish
from sawbill.estimating.cutting.verify import verify
from sawbill.estimating.cutting.yard import apart, carried

_WORST = (Status.PROVEN, Status.WITHIN_TOLERANCE, Status.TIME_LIMIT)


@dataclass(frozen=True, slots=True)
class Draft:
    """What boards an order takes at the least cost; how they are best cut among plans of that cost is left open."""

    order: Order
    found: tuple[Found, ...]

    @property
    def stocks(self) -> dict[str, int]:
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
    def bound(self) -> int:
        """No plan costs less, what it keeps credited [minor units]."""
        return sum(each.bound for each in self.found)


def plan(order: Order, limit: float = 5.0) -> CuttingPlan | Infeasible:
    """The cheapest way to cut an order, checked; limit: the emergency stop [s].

    Raises ValueError naming every fault of an order that makes no sense.
    """
    end = time.monotonic() + limit
    found = draft(order, limit)
    return found if isinstance(found, Infeasible) else finished(found, end)


def draft(
    order: Order,
    limit: float = 5.0,
    enough: int | None = None,
    *,
    brief: bool = False,
    begun: Draft | None = None,
) -> Draft | Infeasible:
    """The cheapest boards to cut an order from; limit: the emergency stop [s].

    enough: once no plan can cost less than this [minor units], any plan will do, and the search ends.
    brief: do without what may take seconds to prove the last of it.
    begun: an earlier draft, which is gone on from where it is of the same order.
    Raises ValueError naming every fault of an order that makes no sense.
    """
    end = time.monotonic() + limit
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
    found: list[Found] = []
    for done, problem in enumerate(problems):
        share = (end - time.monotonic()) / (len(problems) - done)
        left = None if enough is None else enough - sum(each.bound for each in found)
        known = begun.found[done] if begun is not None and begun.order == order else None
        found.append(find(problem, time.monotonic() + share, left, brief=brief, begun=known))
    for each in found:
        shortfalls += _missing(each)
    if shortfalls:
        proven = all((each.proven and not each.known.timed_out) or not _missing(each) for each in found)
        bound = sum(each.bound for each in found)
        return Infeasible(tuple(sorted(shortfalls, key=lambda shortfall: shortfall.key)), proven, bound)
    return Draft(order, tuple(found))


def finished(found: Draft, end: float, *, tidy: bool = True) -> CuttingPlan:
    """The draft's plan, or the best of those of its cost if it shall be tidy, checked; end: the emergency stop."""
    order, solutions = found.order, []
    for done, each in enumerate(found.found):
        share = (end - time.monotonic()) / (len(found.found) - done)
        solutions.append(finish(each, order.extra_cost, time.monotonic() + share, tidy=tidy))
    return _checked(order, _plan(order, solutions))


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
        status=max((solution.status for solution in solutions), key=_WORST.index, default=Status.PROVEN),
        stage=", ".join(dict.fromkeys(solution.stage for solution in solutions)) or "nothing to cut",
        credited=sum(map(_credited, solutions)),
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
