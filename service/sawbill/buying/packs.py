"""Whole packs for a need: the cheapest mix of pack sizes, with price breaks and limited stock, exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from math import gcd

Counts = tuple[int, ...]
Choice = tuple[int, int, Counts]
"""Cost [minor units], packs, and how many of each, negative so that the least is the most of the first."""


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack of so many [pieces, or any whole unit] at a price [minor units].

    least: how many of these packs must be bought for the price to hold; available: None for no limit; item:
    packs named alike are one thing at several prices, so only one of those prices is paid ("": a thing of its own).
    """

    size: int
    price: int
    least: int = 1
    available: int | None = None
    item: str = ""


def buy_packs(need: int, packs: Sequence[Pack]) -> Counts | None:
    """Choose how many of each pack to buy, in the order given, so that they hold at least the need.

    The least cost is chosen, among equal costs the fewest packs, among those the packs named first; a pack that
    another outdoes, being no dearer and holding no less, is never among them.
    Returns: the counts, or None when all there is does not reach.

    best(n), the cheapest way to hold at least n, is worked out item by item:
    best(n) = min over k of k price + best(n - k size), with k = 0 or least <= k <= available.
    """
    return _bought(need, tuple(packs)) if need > 0 else (0,) * len(packs)


@lru_cache(maxsize=4_096)  # beds of all sizes take much the same screws
def _bought(need: int, given: tuple[Pack, ...]) -> Counts | None:
    packs = [_unlimited(pack, need) for pack in given]
    if not any(_is_enough(pack, need) for pack in packs) and _all_there_is(packs) < need:
        return None
    useful = [i for i in range(len(packs)) if not _outdone(i, packs, need)]
    if len(useful) < len(packs):
        some = _bought(need, tuple(given[i] for i in useful))
        placed = dict(zip(useful, some or (), strict=True))
        return tuple(placed.get(i, 0) for i in range(len(packs)))
    unit = gcd(*(pack.size for pack in packs))
    of, bulk = _bulk(need, packs)
    if bulk:
        packs[of] = replace(packs[of], least=1)
    target = max(0, -(-(need - bulk * packs[of].size) // unit))
    best: list[Choice | None] = [(0, 0, ()), *[None] * target]
    for group in _items(packs):
        best = _with_item(best, group, unit)
    if best[-1] is None:
        return None
    order = [i for group in _items(packs) for i, _ in group]
    counts = dict(zip(order, best[-1][2], strict=True))
    return tuple(bulk * (i == of) - counts[i] for i in range(len(packs)))


def _outdone(i: int, packs: Sequence[Pack], need: int) -> bool:
    """Whether another pack, one of which may be had and any number, holds no less for no more; of equals the first."""

    def value(n: int) -> tuple[int, int]:
        return min(packs[n].size, need), -packs[n].price

    size, price = value(i)
    for j, other in enumerate(packs):
        if j != i and other.available is None and other.least == 1:
            its_size, its_price = value(j)
            if its_size >= size and its_price >= price and ((its_size, its_price) != (size, price) or j < i):
                return True
    return False


def _items(packs: Sequence[Pack]) -> list[list[tuple[int, Pack]]]:
    """The packs with their places, those of one item together, items in the order of their first pack."""
    groups: dict[object, list[tuple[int, Pack]]] = {}
    for i, pack in enumerate(packs):
        groups.setdefault(pack.item or i, []).append((i, pack))
    return list(groups.values())


def _unlimited(pack: Pack, need: int) -> Pack:
    """The pack without its limit, where that is more than could be of use."""
    return replace(pack, available=None) if _is_enough(pack, need) else pack


def _is_enough(pack: Pack, need: int) -> bool:
    """Whether there are so many of a pack that it meets the need alone."""
    return pack.available is None or pack.available >= max(pack.least, -(-need // pack.size))


def _all_there_is(packs: Sequence[Pack]) -> int:
    """What all the packs in stock hold; no pack is without a limit."""
    return sum(
        max((pack.available or 0) * pack.size for _, pack in group if pack.least <= (pack.available or 0))
        for group in _items(packs)
        if any(pack.least <= (pack.available or 0) for _, pack in group)
    )


def _bulk(need: int, packs: Sequence[Pack]) -> tuple[int, int]:
    """The pack of the best price a piece that has no limit, and how many of it are surely in a cheapest choice.

    So many packs of another as this one's size hold as much as other-size packs of this one, which cost no
    more. So another stays below the number that leaves it its least quantity, once enough are exchanged to
    reach this one's; what the others can hold below those numbers is met by trying, the rest is of this pack.
    """
    free = [i for i, pack in enumerate(packs) if pack.available is None]
    if not free:
        return 0, 0
    of = min(free, key=lambda i: (Fraction(packs[i].price, packs[i].size), -packs[i].size))
    best = packs[of]
    others = 0
    for pack in (pack for i, pack in enumerate(packs) if i != of):
        most = pack.least + -(-best.least // pack.size) * best.size
        dearer = pack.price * best.size >= best.price * pack.size
        others += pack.size * (most if dearer or pack.available is None else pack.available)
    bulk = max(0, (need - others) // best.size)
    return of, bulk if bulk >= best.least else 0


def _with_item(best: Sequence[Choice | None], group: Sequence[tuple[int, Pack]], unit: int) -> list[Choice | None]:
    """The cheapest choices when the packs of one item join those in the table, at one of their prices or none."""
    width = len(group)
    tables = [[before and (before[0], before[1], before[2] + (0,) * width) for before in best]]
    tables += [_at_price(best, pack, unit, (0,) * i, (0,) * (width - i - 1)) for i, (_, pack) in enumerate(group)]
    return [min(filter(None, ways), default=None) for ways in zip(*tables, strict=True)]


def _at_price(
    best: Sequence[Choice | None], pack: Pack, unit: int, before: Counts, after: Counts
) -> list[Choice | None]:
    """The cheapest choices that hold at least the pack's least quantity of it."""
    size = pack.size // unit

    def joined(n: int, k: int) -> Choice | None:
        had = best[max(0, n - k * size)]
        return had and (had[0] + k * pack.price, had[1] + k, (*had[2], *before, -k, *after))

    if pack.available is not None:
        ranges = range(pack.least, pack.available + 1)
        return [min(filter(None, (joined(n, k) for k in ranges)), default=None) for n in range(len(best))]
    table: list[Choice | None] = []
    at = len(best[0][2]) + len(before) if best[0] else 0
    for n in range(len(best)):
        more = table[max(0, n - size)] if n else None
        ways = [joined(n, pack.least), more and _one_more(more, at, pack.price)]
        table.append(min(filter(None, ways), default=None))
    return table


def _one_more(choice: Choice, at: int, price: int) -> Choice:
    """The choice with one more of the pack in a place."""
    cost, number, counts = choice
    return cost + price, number + 1, (*counts[:at], counts[at] - 1, *counts[at + 1 :])
