"""An order's least cost over every way to cut a board, listed one by one, by a general solver at gap 0.

It shares nothing with the planner but the order: lengths in their own unit, patterns by plain recursion, and SCIP
through OR-Tools for which to use.
"""

from __future__ import annotations

from collections.abc import Iterator

from ortools.linear_solver import pywraplp

from sawbill.cutting import Order, SmallPart, Stock

Lay = tuple[str, int, int]  # whose it is, how many of it this gives, its length


def _lays(order: Order, stock: Stock) -> list[Lay]:
    """Pieces, and blanks of any number of lengths in a row up to what is asked."""
    found = [(piece.key, 1, piece.length) for piece in order.pieces if stock.material in piece.materials]
    for part in order.small_parts:
        strips = part.strips.get(stock.material, 0)
        blocks = range(1, -(-part.count // strips) + 1) if strips else ()
        found += [(part.key, m * strips, _blank(order, part, m)) for m in blocks]
    return found


def _blank(order: Order, part: SmallPart, blocks: int) -> int:
    return max(part.least_blank, blocks * (part.length + order.kerf) - order.kerf)


def _ways(order: Order, lays: list[Lay], usable: int, at: int = 0) -> Iterator[tuple[list[Lay], int]]:
    """What may lie in a board, and where it ends; `at` is where the next may begin."""
    yield [], max(0, at - order.kerf)
    for n, lay in enumerate(lays):
        if at + lay[2] <= usable:
            for others, end in _ways(order, lays[n:], usable, at + lay[2] + order.kerf):
                yield [lay, *others], end


def _worth(order: Order, length: int) -> int:
    return int(length * order.credit // 1) if order.keep is not None and length >= order.keep else 0


def least_cost_of(order: Order) -> int:
    """The least cost, what is kept credited; every order asked of it must be possible."""
    model = pywraplp.Solver.CreateSolver("SCIP")
    asked = {part.key: part.count for part in (*order.pieces, *order.small_parts)}
    had: dict[str, list[pywraplp.LinearExpr]] = {key: [] for key in asked}
    costs = []
    for stock in order.stocks:
        usable, boards = stock.length - stock.trim, []
        before = _worth(order, usable) if stock.price == 0 else 0
        for lays, end in _ways(order, _lays(order, stock), usable):
            if not lays or (order.no_slivers and 0 < usable - end < order.kerf):
                continue
            times = model.IntVar(0, sum(asked.values()), "")
            boards.append(times)
            costs.append((stock.price + before - _worth(order, max(0, usable - end - order.kerf))) * times)
            for key in {key for key, _, _ in lays}:
                had[key].append(sum(gives for own, gives, _ in lays if own == key) * times)
        if stock.available is not None:
            model.Add(model.Sum(boards) <= stock.available)
    for piece in order.pieces:
        total = model.Sum(had[piece.key])
        model.Add(total == piece.count) if order.credit else model.Add(total >= piece.count)
    for part in order.small_parts:
        model.Add(model.Sum(had[part.key]) >= part.count)
    model.Minimize(model.Sum(costs))
    exact = pywraplp.MPSolverParameters()
    exact.SetDoubleParam(pywraplp.MPSolverParameters.RELATIVE_MIP_GAP, 0.0)
    assert model.Solve(exact) == pywraplp.Solver.OPTIMAL
    return round(model.Objective().Value())
