"""A plan held against its order with a ruler: whether it can be sawn, carried and paid for as it says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from sawbill.cutting import Board, CuttingPlan, Order, Stock


def faults_of(order: Order, plan: CuttingPlan) -> list[str]:
    """Tell in words everything about a plan that cannot be."""
    stocks = {stock.key: stock for stock in order.stocks}
    return [
        *(f"{board.stock}: {fault}" for board in plan.boards for fault in _sawn(order, board, stocks[board.stock])),
        *_counted(order, plan),
        *_paid(order, plan, stocks),
    ]


def _sawn(order: Order, board: Board, stock: Stock) -> Iterator[str]:
    """One board: where its pieces begin and end, what the last cut leaves, and how it is carried."""
    usable, kerf = stock.length - stock.trim, order.kerf
    spans = sorted((cut.at, cut.at + cut.length) for cut in board.cuts)
    if board.count < 1 or not spans or spans[0][0] < 0 or spans[-1][1] > usable:
        yield f"{board.count} boards with pieces at {spans} nm of {usable} nm"
        return
    if any(after < end + kerf for (_, end), (after, _) in pairwise(spans)):
        yield f"pieces at {spans} nm leave no room for a kerf of {kerf} nm between"
    spare = usable - spans[-1][1]
    if order.no_slivers and 0 < spare < kerf:
        yield f"a sliver of {spare} nm is left"
    if board.leftover != max(0, spare - kerf):
        yield f"{max(0, spare - kerf)} nm are left over, not {board.leftover} nm"
    yield from _carried(board, stock, spans, kerf)
    yield from _pieces(order, board, stock)


def _carried(board: Board, stock: Stock, spans: list[tuple[int, int]], kerf: int) -> Iterator[str]:
    """The yard's lengths: short enough, in a row, no cut through a piece, and nothing of the board lost but kerfs."""
    if stock.carry is None or stock.length <= stock.carry:
        if board.carried:
            yield "it is cut at the yard without need"
        return
    usable = stock.length - stock.trim
    for at in (-stock.trim, 0):
        ends, position = [], at
        for length in board.carried:
            ends.append((position, position + length))
            position += length + kerf
        within = all(any(low <= begin and end <= high for low, high in ends) for begin, end in spans)
        if ends and within and ends[-1][1] <= usable <= position and max(board.carried) <= stock.carry:
            return
    yield f"it cannot be carried as {board.carried} nm with pieces at {spans} nm, {stock.carry} nm at most"


def _pieces(order: Order, board: Board, stock: Stock) -> Iterator[str]:
    """Each piece has its length and its material, and each blank is long enough for what comes out of it."""
    pieces = {piece.key: piece for piece in order.pieces}
    parts = {part.key: part for part in order.small_parts}
    for cut in board.cuts:
        if not cut.blank:
            piece = pieces[cut.key]
            if (cut.length, cut.parts) != (piece.length, 1) or stock.material not in piece.materials:
                yield f"{cut} is not {piece}"
            continue
        part = parts[cut.key]
        strips, rows, used = part.strips.get(stock.material, 0), 0, part.length
        while used <= cut.length:
            rows, used = rows + 1, used + order.kerf + part.length
        if cut.length < part.least_blank or not 1 <= cut.parts <= strips * rows:
            yield f"{cut} gives at most {strips * rows} of {part}"


def _counted(order: Order, plan: CuttingPlan) -> Iterator[str]:
    """What is asked for is there, no piece too many, and no more boards than there are."""
    had: Counter[str] = Counter()
    used: Counter[str] = Counter()
    for board in plan.boards:
        used[board.stock] += board.count
        for cut in board.cuts:
            had[cut.key] += cut.parts * board.count
    wrong = [piece.key for piece in order.pieces if had[piece.key] != piece.count]
    wrong += [part.key for part in order.small_parts if had[part.key] < part.count]
    yield from (f"{key} is had {had[key]} times" for key in wrong)
    for stock in order.stocks:
        if stock.available is not None and used[stock.key] > stock.available:
            yield f"{used[stock.key]} boards of {stock.key} are used, {stock.available} are there"


def _paid(order: Order, plan: CuttingPlan, stocks: dict[str, Stock]) -> Iterator[str]:
    cost = sum(stocks[board.stock].price * board.count for board in plan.boards)
    worth = sum(_credit(order, board, stocks[board.stock]) * board.count for board in plan.boards)
    if (plan.cost, plan.credited) != (cost, worth):
        yield f"it costs {cost} and {worth} is credited, not {plan.cost} and {plan.credited}"


def _credit(order: Order, board: Board, stock: Stock) -> int:
    """What a board's leftover is worth, less what it was worth whole where it cost nothing [minor units]."""
    whole = stock.length - stock.trim if stock.price == 0 else 0
    return _worth(order, stock, board.leftover) - _worth(order, stock, whole)


def _worth(order: Order, stock: Stock, length: int) -> int:
    if order.keep is None:
        return 0
    carry = stock.carry if stock.carry is not None and stock.length > stock.carry else length
    total = 0
    while length > 0:
        part = min(length, carry)
        total += int(Fraction(part) * order.credit) if part >= order.keep else 0
        length -= part + order.kerf
    return total
