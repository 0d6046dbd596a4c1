"""What the yard cuts before boards are carried: a board longer than can be carried, into lengths that can be.

The yard squares an end and cuts across like the shop, with the same kerf. Every piece is cut off anyway, so a board
can be carried in parts exactly when each of its pieces can be carried by itself, and what is left over is cut too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sawbill.cutting.order import Cut, Order, SmallPart, Stock
from sawbill.cutting.problem import blank_length, carried_lengths, most_blocks


def reach(stock: Stock) -> int:
    """The longest piece that a board gives, carried [nm]."""
    usable = stock.length - stock.trim
    return min(usable, stock.carry) if _is_cut(stock) and stock.carry is not None else usable


def apart(order: Order) -> Order:
    """The order with boards that the yard cuts as materials of their own, for what can be carried of them alone."""
    if not any(map(_is_cut, order.stocks)):
        return order
    cut = {(stock.material, stock.carry or 0) for stock in order.stocks if _is_cut(stock)}
    stocks = (
        replace(stock, material=_name(stock.material, stock.carry or 0)) if _is_cut(stock) else stock
        for stock in order.stocks
    )
    pieces = (
        replace(piece, materials=piece.materials | {
            _name(material, carry) for material, carry in cut if material in piece.materials and piece.length <= carry
        })
        for piece in order.pieces
    )  # fmt: skip
    parts = (
        replace(part, strips={**part.strips, **{
            _name(material, carry): part.strips[material]
            for material, carry in sorted(cut)
            if material in part.strips and blank_length(part, 1, order.kerf) <= carry
        }})
        for part in order.small_parts
    )  # fmt: skip
    return replace(order, stocks=tuple(stocks), pieces=tuple(pieces), small_parts=tuple(parts))


def fewest(part: SmallPart, blocks: int, carry: int | None, kerf: int) -> int:
    """How many blanks so many blocks in a row take, as few as can be carried."""
    return 1 if carry is None else -(-blocks // most_blocks(part, carry, kerf))


def blanks(part: SmallPart, blocks: int, number: int, kerf: int) -> list[int]:
    """The lengths of so many blanks for blocks in a row, alike as far as may be: so the least of them is waste [nm]."""
    least, more = divmod(blocks, number)
    return [blank_length(part, n, kerf) for n in [least + 1] * more + [least] * (number - more)]


def carried(cuts: Sequence[Cut], stock: Stock, kerf: int) -> tuple[int, ...]:
    """The lengths a board is cut into at the yard, from its squared end, each as long as can be carried [nm].

    None where the board is carried whole. The first has the end trim still, unless it is too long with it.
    """
    if not _is_cut(stock) or stock.carry is None:
        return ()
    usable, end = stock.length - stock.trim, cuts[-1].at + cuts[-1].length
    spans, at = [(cut.at, cut.at + cut.length) for cut in cuts], end + kerf
    for length in carried_lengths(max(0, usable - at), stock.carry, kerf):
        spans.append((at, at + length))
        at += length + kerf
    start = -stock.trim if stock.trim + cuts[0].length <= stock.carry else 0
    found, end = [], spans[0][1]
    for span in spans[1:]:
        if span[1] - start > stock.carry:
            found.append(end - start)
            start = span[0]
        end = span[1]
    return (*found, (usable if usable - start <= stock.carry else end) - start)


def _is_cut(stock: Stock) -> bool:
    return stock.carry is not None and stock.length > stock.carry


def _name(material: str, carry: int) -> str:
    return f"{material}, carried in {carry} nm"
