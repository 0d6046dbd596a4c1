"""The independent checker: holds a plan against its order in whole nanometres, with none of the solver's code."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from sawbill.cutting.order import Board, Cut, CuttingPlan, Order, Piece, SmallPart, Stock


def verify(order: Order, plan: CuttingPlan) -> list[str]:
    """Every way in which the plan fails the order, in words; empty when it is good."""
    stocks = {stock.key: stock for stock in order.stocks}
    faults = [f"board of unknown stock {board.stock!r}" for board in plan.boards if board.stock not in stocks]
    boards = [(board, stocks[board.stock]) for board in plan.boards if board.stock in stocks]
    asked = _Asked({piece.key: piece for piece in order.pieces}, {part.key: part for part in order.small_parts})
    for board, stock in boards:
        faults += [f"board {board.stock!r}: {fault}" for fault in _board_faults(order, asked, board, stock)]
    faults += _count_faults(order, plan)
    faults += _stock_faults(order, plan)
    faults += _money_faults(order, plan, boards)
    return faults


class _Asked(NamedTuple):
    """What an order asks for, by key."""

    pieces: dict[str, Piece]
    parts: dict[str, SmallPart]


def _board_faults(order: Order, asked: _Asked, board: Board, stock: Stock) -> Iterator[str]:
    if board.count < 1 or not board.cuts:
        yield "no boards, or nothing cut from them"
        return
    free = 0
    for cut in sorted(board.cuts, key=lambda cut: cut.at):
        if cut.at < free:
            yield f"{cut.key!r} at {cut.at} nm overlaps what lies before it, or its kerf, up to {free} nm"
        free = cut.at + cut.length + order.kerf
        yield from _cut_faults(order, asked, cut, stock)
    end, usable = free - order.kerf, stock.length - stock.trim
    if end > usable:
        yield f"cuts end at {end} nm, the usable length is {usable} nm"
    if order.no_slivers and 0 < usable - end < order.kerf:
        yield f"the last cut leaves a sliver of {usable - end} nm"
    if board.leftover != max(0, usable - free):
        yield f"leftover is {max(0, usable - free)} nm, not {board.leftover} nm"
    yield from _carried_faults(order, board, stock)


def _carried_faults(order: Order, board: Board, stock: Stock) -> Iterator[str]:
    """A board longer than may be carried must be cut into lengths that may, none of them through a cut's piece."""
    if stock.carry is None or stock.length <= stock.carry:
        if board.carried:
            yield "the yard cuts a board that may be carried whole"
        return
    first = min(board.cuts, key=lambda cut: cut.at)
    at, whole = (0 if stock.trim + first.length > stock.carry else -stock.trim), 0
    for length in board.carried:
        if not 0 < length <= stock.carry:
            yield f"{length} nm cannot be carried, at most {stock.carry} nm can"
        whole += sum(at <= cut.at and cut.at + cut.length <= at + length for cut in board.cuts)
        at += length + order.kerf
    if whole != len(board.cuts):
        yield f"the lengths carried hold {whole} of {len(board.cuts)} cuts whole"
    end, usable = at - order.kerf, stock.length - stock.trim
    if not end <= usable <= at:
        yield f"the lengths carried end at {end} nm, the usable length is {usable} nm"


def _cut_faults(order: Order, asked: _Asked, cut: Cut, stock: Stock) -> Iterator[str]:
    if cut.blank and cut.key in asked.parts:
        yield from _blank_faults(order, cut, asked.parts[cut.key], stock)
    elif not cut.blank and cut.key in asked.pieces:
        yield from _piece_faults(cut, asked.pieces[cut.key], stock)
    else:
        yield f"{cut.key!r} is not in the order"


def _piece_faults(cut: Cut, piece: Piece, stock: Stock) -> Iterator[str]:
    if cut.length != piece.length or cut.parts != 1:
        yield f"{cut.key!r} is cut to {cut.length} nm, not {piece.length} nm"
    if stock.material not in piece.materials:
        yield f"{cut.key!r} may not come from {stock.material!r}"


def _blank_faults(order: Order, cut: Cut, part: SmallPart, stock: Stock) -> Iterator[str]:
    strips = part.strips.get(stock.material, 0)
    blocks = (cut.length + order.kerf) // (part.length + order.kerf)
    if strips < 1:
        yield f"blank for {cut.key!r} may not come from {stock.material!r}"
    if cut.length < part.least_blank:
        yield f"blank for {cut.key!r} is {cut.length} nm, less than is safe ({part.least_blank} nm)"
    if not 1 <= cut.parts <= blocks * strips:
        yield f"blank for {cut.key!r} gives at most {blocks * strips} parts, not {cut.parts}"


def _count_faults(order: Order, plan: CuttingPlan) -> Iterator[str]:
    had: Counter[str] = Counter()
    for board in plan.boards:
        for cut in board.cuts:
            had[cut.key] += cut.parts * board.count
    for piece in order.pieces:
        if had[piece.key] != piece.count:
            yield f"{piece.key!r} is cut {had[piece.key]} times, not {piece.count}"
    for part in order.small_parts:
        if had[part.key] < part.count:
            yield f"{part.key!r} is had {had[part.key]} times, not {part.count}"


def _stock_faults(order: Order, plan: CuttingPlan) -> Iterator[str]:
    used: Counter[str] = Counter()
    for board in plan.boards:
        used[board.stock] += board.count
    for stock in order.stocks:
        if stock.available is not None and used[stock.key] > stock.available:
            yield f"{used[stock.key]} boards of {stock.key!r} are used, {stock.available} are there"


def _money_faults(order: Order, plan: CuttingPlan, boards: list[tuple[Board, Stock]]) -> Iterator[str]:
    price = sum(stock.price * board.count for board, stock in boards)
    if plan.cost != price:
        yield f"the boards cost {price}, not {plan.cost}"
    worth = sum(_credit(order, board, stock) * board.count for board, stock in boards)
    if plan.credited != worth:
        yield f"the leftovers are worth {worth} more than the boards on hand were, not {plan.credited}"
    if plan.bound > price - worth:
        yield f"the bound {plan.bound} is above the plan's own net cost {price - worth}"


def _credit(order: Order, board: Board, stock: Stock) -> int:
    """What the leftover is worth; a board that cost nothing was worth something uncut as well."""
    before = stock.length - stock.trim if stock.price == 0 else 0
    worth = 0
    for whole, sign in ((board.leftover, 1), (before, -1)):
        left = whole
        while left > 0:
            part = left if stock.carry is None or stock.length <= stock.carry else min(left, stock.carry)
            if order.keep is not None and part >= order.keep:
                worth += sign * int(part * order.credit // 1)
            left -= part + order.kerf
    return worth
