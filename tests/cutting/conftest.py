"""An order's least cost by trying everything: small, slow, and none of the planner's code."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import product

import pytest

from sawbill.cutting import Order, SmallPart, Stock


def _fits(order: Order, stock: Stock, lengths: list[int]) -> int | None:
    rest = stock.length - stock.trim - sum(lengths) - order.kerf * (len(lengths) - 1)
    if rest < 0 or (order.no_slivers and 0 < rest < order.kerf):
        return None
    return max(0, rest - order.kerf)


def _worth(order: Order, stock: Stock, length: int) -> int:
    """What is left, at the yard cut into the longest that can be carried and the rest."""
    carry = _carry(stock)
    whole, rest = divmod(length, carry + order.kerf) if length > carry else (0, length)
    kept = [carry] * whole + [min(rest, carry)]
    if rest > carry:  # the blade runs off the end
        kept = [carry] * (whole + 1)
    return sum(int(part * order.credit // 1) for part in kept if order.keep is not None and part >= order.keep)


def _carry(stock: Stock) -> int:
    return stock.length if stock.carry is None else min(stock.carry, stock.length)


def _blanks(order: Order, part: SmallPart, stock: Stock) -> Iterator[tuple[int, int]]:
    """(length, parts) of the blanks of one part that a board may hold, and of none; of several, with the cuts between.

    Of every whole length that is safe and can be carried, so that some are longer than they must be. Several are tried
    only where one would be too long to be carried.
    """
    yield 0, 0
    strips = part.strips.get(stock.material, 0)
    single = {
        (length, blocks * strips)
        for length in range(part.least_blank, _carry(stock) + 1)
        if strips and (blocks := (length + order.kerf) // (part.length + order.kerf))
    }
    found = more = single
    while more and _carry(stock) < stock.length:
        more = {(a + n + order.kerf, b + m) for a, b in more for n, m in single if a + n + order.kerf <= stock.length}
        more, found = more - found, found | more
    yield from sorted(found)


@pytest.fixture(scope="session")
def least_cost() -> Callable[[Order], int | None]:
    """The least cost, leftovers credited, or None when there is no plan: every set of pieces in every board."""

    def solve(order: Order) -> int | None:
        pieces = [piece for piece in order.pieces for _ in range(piece.count)]
        parts = order.small_parts

        def boards(stock: Stock) -> list[tuple[int, tuple[int, ...], int]]:
            """(pieces as bits, parts of each small part, net cost) of every way to cut one board."""
            found: dict[tuple[int, tuple[int, ...]], int] = {}
            before = _worth(order, stock, stock.length - stock.trim) if stock.price == 0 else 0
            for mask in range(1 << len(pieces)):
                own = [pieces[i] for i in range(len(pieces)) if mask >> i & 1]
                if any(stock.material not in piece.materials or piece.length > _carry(stock) for piece in own):
                    continue
                for blanks in product(*(_blanks(order, part, stock) for part in parts)):
                    lengths = [piece.length for piece in own] + [length for length, _ in blanks if length]
                    left = _fits(order, stock, lengths) if lengths else None
                    if left is not None:
                        net = stock.price + before - _worth(order, stock, left)
                        key = mask, tuple(n for _, n in blanks)
                        found[key] = min(net, found.get(key, net))
            return [(*key, net) for key, net in found.items()]

        ways = [boards(stock) for stock in order.stocks]

        @cache
        def best(index: int, used: int, mask: int, need: tuple[int, ...]) -> int | None:
            """Least cost for what is left, from stock number index on, of which so many boards are used up."""
            if not mask and not any(need):
                return 0
            if index == len(ways):
                return None
            options = [best(index + 1, 0, mask, need)]
            available = order.stocks[index].available
            if available is None or used < available:
                for own, had, net in ways[index]:
                    rest = tuple(max(0, n - h) for n, h in zip(need, had, strict=True))
                    if own & mask == own and (own or rest != need):
                        more = best(index, used + 1, mask & ~own, rest)
                        options.append(None if more is None else more + net)
            return min((option for option in options if option is not None), default=None)

        return best(0, 0, (1 << len(pieces)) - 1, tuple(part.count for part in parts))

    return solve
