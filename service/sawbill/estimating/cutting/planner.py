"""The whole way from an order to a verified plan."""

from __future__ import annotations

import time
from dataclasses import replace

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
from sawbill.estimating.cutting.problem import MISSING, Problem
from sawbill.estimating.cutting.solve import Solution, solve
from sawbill.estimating.cutting.verify import verify
from sawbill.estimating.cutting.yard import apart, carried

_WORST = (Status.PROVEN, Status.WITHIN_TOLERANCE, Status.TIME_LIMIT)


def plan(
    order: Order, limit: float = 5.0, enough: int | None = None, *, brief: bool = False
) -> CuttingPlan | Infeasible:
    """The cheapest way to cut an order, checked; limit: the emergency stop [s].

    enough: once no plan can cost less than this [minor units], any plan will do, and the search ends.
    brief: do without what may take seconds to prove the last of it.
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
    solutions: list[Solution] = []
    for done, problem in enumerate(problems):
        share = (end - time.monotonic()) / (len(problems) - done)
        left = None if enough is None else enough - sum(solution.bound for solution in solutions)
        solutions.append(solve(problem, order.extra_cost, time.monotonic() + share, left, brief=brief))
    for problem, solution in zip(problems, solutions, strict=True):
        shortfalls += _missing(problem, solution)
    if shortfalls:
        proven = all(s.status is Status.PROVEN or not _missing(p, s) for p, s in zip(problems, solutions, strict=True))
        bound = sum(solution.bound for solution in solutions)
        return Infeasible(tuple(sorted(shortfalls, key=lambda shortfall: shortfall.key)), proven, bound)
    return _checked(order, _plan(order, problems, solutions))


def _missing(problem: Problem, solution: Solution) -> list[Shortfall]:
    """Pieces for which there are not enough boards; of a length's pieces the last in order go without."""
    shortfalls = []
    for pattern, count in solution.plan.items():
        if pattern.bin == MISSING:
            row = problem.rows[pattern.rows[0][0]]
            longest = max(min(b.usable, b.carry or b.usable) for b in problem.bins if b.material in row.materials)
            for key, lot in reversed(row.lots):
                if count:
                    shortfalls.append(Shortfall(key, min(lot, count), longest))
                    count -= min(lot, count)
    return shortfalls


def _plan(order: Order, problems: list[Problem], solutions: list[Solution]) -> CuttingPlan:
    named = [_boards(problem, solution) for problem, solution in zip(problems, solutions, strict=True)]
    stocks = {stock.key: stock for stock in order.stocks}
    at_yard = (
        replace(board, carried=carried(board.cuts, stocks[board.stock], order.kerf)) for own in named for board in own
    )
    all_boards = sorted(at_yard, key=lambda board: _place(stocks, board))
    cost = sum(stocks[board.stock].price * board.count for board in all_boards)
    credited = sum(_credited(problem, solution) for problem, solution in zip(problems, solutions, strict=True))
    return CuttingPlan(
        boards=tuple(all_boards),
        cost=cost,
        bound=sum(solution.bound for solution in solutions),
        status=max((solution.status for solution in solutions), key=_WORST.index, default=Status.PROVEN),
        stage=", ".join(dict.fromkeys(solution.stage for solution in solutions)) or "nothing to cut",
        credited=credited,
    )


def _boards(problem: Problem, solution: Solution) -> list[Board]:
    named = boards.name_boards(problem, solution.layouts)
    return [replace(board, count=count) for board, count in named.items()]


def _credited(problem: Problem, solution: Solution) -> int:
    """What the leftovers are worth, less what boards that cost nothing were worth uncut."""
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
