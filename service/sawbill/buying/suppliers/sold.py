"""What one supplier sells of a need: packs that may be bought in any number, and lots of those that may not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from math import gcd
from typing import Final

import numpy as np

from sawbill.buying.packs import Pack
from sawbill.buying.suppliers.levels import NEVER, Ints

FINEST: Final = 200
"""Into how many steps a need is parted at most; beyond, packs are reckoned to hold up to a step more than they do."""


def of(packs: Sequence[Pack], need: int, unit: int, steps: int) -> Iterator[tuple[int, int, int]]:
    """His packs as (steps held, price, whether any number may be had), the last ones lots of which one may be.

    A lot is a number of packs that have a least quantity, a limit below the need or another price, of all such items.
    """
    prices = Counter(pack.item for pack in packs)
    tied = list[Pack]()
    for pack in packs:
        if prices[pack.item] == 1 and pack.least == 1 and _enough(pack, need):
            yield -(-pack.size // unit), pack.price, 1
        else:
            tied.append(pack)
    if tied:
        costs = table(tied, unit, steps)
        for n in range(1, steps + 1):
            if costs[n] < NEVER and (n == steps or costs[n] < costs[n + 1]):
                yield n, int(costs[n]), 0


def steps_of(need: int, sizes: Sequence[int]) -> tuple[int, int]:
    """The unit in which a need is counted, and how many of it that is: exact, or FINEST steps."""
    unit = max(gcd(*sizes) or 1, -(-need // FINEST))
    return unit, -(-need // unit)


def _enough(pack: Pack, need: int) -> bool:
    return pack.available is None or pack.available >= -(-need // pack.size)


def table(packs: Sequence[Pack], unit: int, steps: int) -> Ints:
    """The least that packs cost which hold n steps or more, for every n up to so many; NEVER where none do."""
    wanted = np.arange(steps + 1)
    rest = np.maximum(wanted[:, None] - wanted[None, :], 0)
    table: Ints = np.where(wanted > 0, NEVER, 0)
    for _, item in groupby(sorted(packs, key=lambda pack: pack.item), key=lambda pack: pack.item):
        costs = np.minimum.reduce([_at_price(pack, -(-pack.size // unit), wanted) for pack in item])
        table = np.minimum((costs[None, :] + table[rest]).min(axis=1), NEVER)
    return table


def _at_price(pack: Pack, size: int, wanted: Ints) -> Ints:
    number = np.maximum(-(-wanted // size), pack.least)
    cost = number * pack.price
    if pack.available is not None:
        cost[number > pack.available] = NEVER
    cost[0] = 0
    return cost
