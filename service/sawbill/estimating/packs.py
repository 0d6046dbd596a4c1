"""Whole packs for a need: the cheapest mix of pack sizes, with price breaks and limited stock, exactly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

Counts = tuple[int, ...]
Choice = tuple[int, int, Counts]
"""Cost [minor units], packs, and how many of each."""


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack of so many [pieces, or any whole unit] at a price [minor units].

    least: how many of these packs must be bought for the price to hold; available: None for no limit.
    """

    size: int
    price: int
    least: int = 1
    available: int | None = None


def buy_packs(need: int, packs: Sequence[Pack]) -> Counts | None:
    """Choose how many of each pack to buy, in the order given, so that they hold at least the need.

    The least cost is chosen, among equal costs the fewest packs, among those the packs named first.
    Returns: the counts, or None when all there is does not reach.

    best(n), the cheapest way to hold at least n, is worked out pack by pack:
    best(n) = min over k of k price + best(n - k size), with k = 0 or least <= k <= available.
    """
    if not packs:
        return None if need > 0 else ()
    unit = gcd(*(pack.size for pack in packs))
    target = max(0, -(-need // unit))
    bulk, of = _bulk(target, packs, unit)
    best: list[Choice | None] = [(0, 0, ())] + [None] * (target - bulk * (packs[of].size // unit))
    for pack in packs:
        best = [_cheapest(best, n, pack, pack.size // unit) for n in range(len(best))]
    reached = best[-1]
    return reached and tuple(count + bulk * (i == of) for i, count in enumerate(reached[2]))


def _bulk(target: int, packs: Sequence[Pack], unit: int) -> tuple[int, int]:
    """How many packs of the best price a piece are surely in a cheapest choice, and which pack that is.

    Of any b other packs, b being that pack's size, some add up to a multiple of b (pigeonhole) and can be
    changed for packs of the best price at no more cost. So the others hold less than b times the largest size,
    and the rest of a large need is of the best pack; unless stock is limited or prices break by quantity.
    """
    of = min(range(len(packs)), key=lambda i: (Fraction(packs[i].price, packs[i].size), -packs[i].size))
    if any(pack.available is not None or pack.least > 1 for pack in packs):
        return 0, of
    size = packs[of].size // unit
    others = size * max(pack.size // unit for pack in packs)
    return max(0, target - others) // size, of


def _cheapest(best: Sequence[Choice | None], n: int, pack: Pack, size: int) -> Choice | None:
    """The cheapest way to hold n units when this pack joins those in the table."""
    ways = [
        (before[0] + k * pack.price, before[1] + k, (*before[2], k))
        for k in _counts(n, pack, size)
        if (before := best[max(0, n - k * size)]) is not None
    ]
    return min(ways, key=lambda way: (way[0], way[1], tuple(-k for k in way[2])), default=None)


def _counts(n: int, pack: Pack, size: int) -> Iterator[int]:
    """How many of a pack could be of use for n units: none, or from its least up to what holds them all."""
    yield 0
    most = max(pack.least, -(-n // size))
    for k in range(max(1, pack.least), most + 1):
        if pack.available is None or k <= pack.available:
            yield k
