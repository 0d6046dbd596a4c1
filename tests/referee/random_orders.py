"""Orders at random, small enough that every way to cut every board can be listed; the same seed gives the same."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from random import Random

from sawbill.cutting import Order, Piece, SmallPart, Stock

MM = 1_000_000
SIXTEENTH = 25_400_000 // 16
MATERIALS = ("ash", "beech", "cherry")


def random_order(chance: Random) -> Order:
    """Make up an order: mostly of up to six lengths, now and then of more, and any of the wishes that it may have."""
    step = chance.choice([MM, 5 * MM, 100 * MM, SIXTEENTH, 1_000])
    kerf = chance.choice([0, 3 * MM, 3 * MM, 3_175_000, 2_200_000, SIXTEENTH * 2])
    materials = MATERIALS[: chance.choice([1, 1, 2, 3])]
    longest = chance.choice([1200, 2400, 2400, 3600, 4800])
    plain = chance.random() < 0.4
    stocks = _stocks(chance, materials, longest, step, plain)
    number = chance.choice([1, 2, 3, 3, 4, 4, 5, 5, 6, 6, 8, 10, 12, 14])
    most = chance.choice([2, 4, 9, 20])
    pieces = tuple(_piece(chance, i, stocks, longest, most, step) for i in range(number))
    parts = tuple(_part(chance, i, materials, step) for i in range(chance.choice([0, 0, 0, 1, 1, 2])))
    order = Order(stocks, pieces if chance.random() < 0.9 or not parts else (), () if plain else parts, kerf)
    return order if plain else _with_wishes(chance, order)


def _stocks(chance: Random, materials: tuple[str, ...], longest: int, step: int, plain: bool) -> tuple[Stock, ...]:
    """Up to three lengths of each material at prices about their length, some of them on hand or few."""
    found = []
    rate = Fraction(chance.choice([3, 10, 40]), 10)
    for material in materials:
        for _ in range(chance.choice([1, 1, 2, 3])):
            length = _length(chance, longest // 2, longest, step)
            on_hand = not plain and chance.random() < 0.2
            price = 0 if on_hand else max(1, int(rate * length / MM * chance.choice([9, 10, 10, 11]) / 10))
            if not on_hand and chance.random() < 0.2:
                price = max(50, price // 50 * 50)
            few = on_hand or chance.random() < 0.15
            found.append(
                Stock(
                    f"s{len(found)}", material, length, price, chance.randint(0, 6) if few else None,
                    0 if on_hand else chance.choice([0, 0, 10 * MM]), on_hand,
                    _length(chance, longest // 4, longest, step) if not plain and chance.random() < 0.15 else None,
                )
            )  # fmt: skip
    return tuple(found)


def _length(chance: Random, least: int, most: int, step: int) -> int:
    """A length between two [mm], in whole steps [nm]."""
    return max(1, chance.randint(least * MM, most * MM) // step) * step


def _some(chance: Random, materials: Sequence[str]) -> list[str]:
    if chance.random() < 0.25:
        return chance.sample(materials, chance.randint(1, len(materials)))
    return [chance.choice(materials)]


def _piece(chance: Random, number: int, stocks: Sequence[Stock], longest: int, most: int, step: int) -> Piece:
    """Pieces that nearly always fit a board that may be bought."""
    materials = _some(chance, sorted({stock.material for stock in stocks}))
    fitting = [s.length - s.trim for s in stocks if s.material in materials and s.available != 0]
    reach = max(fitting, default=longest * MM) // MM if chance.random() < 0.98 else longest
    length = _length(chance, min(reach, longest // 8), reach, step)
    return Piece(f"p{number}", length, chance.randint(1, most), frozenset(materials))


def _part(chance: Random, number: int, materials: tuple[str, ...], step: int) -> SmallPart:
    strips = {name: chance.choice([1, 2, 2, 3, 4]) for name in _some(chance, materials)}
    length = _length(chance, 40, 400, step)
    return SmallPart(f"r{number}", length, chance.randint(1, 24), strips, chance.choice([300, 305, 305]) * MM)


def _with_wishes(chance: Random, order: Order) -> Order:
    no_slivers = chance.random() < 0.3
    keep, credit, extra = None, Fraction(0), Fraction(0)
    if chance.random() < 0.25:
        keep = chance.choice([100, 300, 600]) * MM
        dearest = min((Fraction(s.price, 2 * s.length) for s in order.stocks if s.price), default=Fraction(0))
        credit = dearest * chance.choice([Fraction(1), Fraction(1, 2), Fraction(1, 5)])
    if chance.random() < 0.15:
        extra = chance.choice([Fraction(1, 100), Fraction(1, 20), Fraction(1, 10)])
    return Order(order.stocks, order.pieces, order.small_parts, order.kerf, no_slivers, keep, credit, extra)
