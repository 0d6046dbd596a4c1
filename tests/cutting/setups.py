"""The fewest boards and set-ups of a small order's cheapest plans: all plans tried, or a general solver asked.

None of it is the planner's code.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from ortools.sat.python import cp_model

from sawbill.cutting import CuttingPlan, Order, Stock

FULL = 1_000  # what a bought board counts for; one on hand as much less as it is shorter than the longest

Way = tuple[str, tuple[int, ...]]  # a stock's key, and how many of each piece


def _weight(order: Order, stock: Stock) -> int:
    longest = max(own.length - own.trim for own in order.stocks)
    return max(1, FULL * (stock.length - stock.trim) // longest) if stock.on_hand else FULL


def _ways(order: Order, stock: Stock) -> Iterator[tuple[int, ...]]:
    """Every count of pieces that one board holds."""

    def grown(counts: tuple[int, ...], rest: int) -> Iterator[tuple[int, ...]]:
        if len(counts) == len(order.pieces):
            spare = rest + (order.kerf if any(counts) else 0)
            if any(counts) and not (order.no_slivers and 0 < spare < order.kerf):
                yield counts
            return
        piece, n = order.pieces[len(counts)], 0
        while n <= piece.count and n * (piece.length + order.kerf) <= rest + order.kerf:
            if n == 0 or stock.material in piece.materials:
                yield from grown((*counts, n), rest - n * (piece.length + order.kerf))
            n += 1

    yield from grown((), stock.length - stock.trim)


def best(order: Order) -> tuple[int, int, int] | None:
    """The least (cost, what the boards count for, different ways to cut one) of pieces alone; None where none is."""
    ways: list[tuple[Way, int, int]] = [
        ((stock.key, counts), stock.price, _weight(order, stock))
        for stock in order.stocks
        for counts in _ways(order, stock)
    ]
    available = {stock.key: stock.available for stock in order.stocks}

    @cache
    def least(n: int, need: tuple[int, ...], left: tuple[int | None, ...]) -> tuple[int, int, int] | None:
        if not any(need):
            return 0, 0, 0
        if n == len(ways):
            return None
        found = least(n + 1, need, left)
        (key, counts), price, weight = ways[n]
        place = list(available).index(key)
        times = 1
        while all(a * times <= b for a, b in zip(counts, need, strict=True)):
            have = left[place]
            if have is not None and have < times:
                break
            after = tuple(own if own is None or i != place else own - times for i, own in enumerate(left))
            rest = tuple(b - a * times for a, b in zip(counts, need, strict=True))
            more = least(n + 1, rest, after)
            if more is not None:
                own = (more[0] + times * price, more[1] + times * weight, more[2] + 1)
                found = own if found is None else min(found, own)
            times += 1
        return found

    return least(0, tuple(piece.count for piece in order.pieces), tuple(available.values()))


def cheapest_by_setups(order: Order) -> dict[int, int]:
    """The least cost of pieces alone by how many different ways to cut a board a plan takes."""
    ways = [(stock, counts) for stock in order.stocks for counts in _ways(order, stock)]
    keys = [stock.key for stock in order.stocks]

    @cache
    def least(n: int, need: tuple[int, ...], left: tuple[int | None, ...]) -> dict[int, int]:
        if not any(need):
            return {0: 0}
        if n == len(ways):
            return {}
        found = dict(least(n + 1, need, left))
        stock, counts = ways[n]
        place, times = keys.index(stock.key), 1
        while all(a * times <= b for a, b in zip(counts, need, strict=True)):
            have = left[place]
            if have is not None and have < times:
                break
            after = tuple(own if own is None or i != place else own - times for i, own in enumerate(left))
            rest = tuple(b - a * times for a, b in zip(counts, need, strict=True))
            for setups, cost in least(n + 1, rest, after).items():
                own = cost + times * stock.price
                found[setups + 1] = min(own, found.get(setups + 1, own))
            times += 1
        return found

    return least(0, tuple(piece.count for piece in order.pieces), tuple(stock.available for stock in order.stocks))


def proven_set_ups(order: Order, cost: int, boards: int) -> int:
    """The fewest ways to cut a board of a plan of pieces at that cost and weight of boards, by OR-Tools CP-SAT."""
    model, used, counts = cp_model.CpModel(), [], []
    ways = [(stock, way) for stock in order.stocks for way in _ways(order, stock)]
    for stock, way in ways:
        most = min(piece.count // n for piece, n in zip(order.pieces, way, strict=True) if n)
        count, is_used = model.new_int_var(0, most, f"{stock.key} {way}"), model.new_bool_var(f"use {stock.key} {way}")
        model.add(count <= most * is_used)
        counts.append(count)
        used.append(is_used)
    for n, piece in enumerate(order.pieces):
        model.add(sum(count * way[n] for count, (_, way) in zip(counts, ways, strict=True)) == piece.count)
    model.add(sum(count * stock.price for count, (stock, _) in zip(counts, ways, strict=True)) == cost)
    model.add(sum(count * _weight(order, stock) for count, (stock, _) in zip(counts, ways, strict=True)) == boards)
    for stock in order.stocks:
        if stock.available is not None:
            own = [count for count, (other, _) in zip(counts, ways, strict=True) if other == stock]
            model.add(sum(own) <= stock.available)
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def had(order: Order, plan: CuttingPlan) -> tuple[int, int, int]:
    """The same of a plan; boards with pieces of other names or of stocks alike are cut alike."""
    stocks = {stock.key: stock for stock in order.stocks}
    alike = {
        (stocks[b.stock].material, stocks[b.stock].length - stocks[b.stock].trim, stocks[b.stock].price,
         stocks[b.stock].on_hand, tuple(sorted((cut.length, cut.key) for cut in b.cuts)))
        for b in plan.boards
    }  # fmt: skip
    weight = sum(_weight(order, stocks[b.stock]) * b.count for b in plan.boards)
    return plan.cost, weight, len(alike)
