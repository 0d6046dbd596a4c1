"""What one supplier sells of a need: packs that may be bought in any number, and lots of those that may not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from sawbill.buying.packs import Pack
from sawbill.buying.suppliers.levels import NEVER, Ints


def of(packs: Sequence[Pack], need: int, unit: int, steps: int) -> Iterator[tuple[int, int, int]]:
    """His packs as (steps held, price, whether any number may be had), the last ones lots of which one may be.

    A lot is a number of packs that have a least quantity, a limit below the need or another price, of all such items.
    """
    tied = list[Pack]()
    for _, item in groupby(sorted(packs, key=lambda pack: pack.item), key=lambda pack: pack.item):
        prices = list(item)
        if len(prices) == 1 and prices[0].least == 1 and _enough(prices[0], need):
            yield -(-prices[0].size // unit), prices[0].price, 1
        else:
            tied += prices
    if tied:
        wanted = np.arange(steps + 1)
        table = _table(tied, unit, steps, np.maximum(wanted[:, None] - wanted[None, :], 0))
        for n in range(1, steps + 1):
            if table[n] < NEVER and (n == steps or table[n] < table[n + 1]):
                yield n, int(table[n]), 0


def _enough(pack: Pack, need: int) -> bool:
    return pack.available is None or pack.available >= -(-need // pack.size)


def _table(packs: Sequence[Pack], unit: int, steps: int, rest: Ints) -> Ints:
    """The least that packs of one supplier cost which hold n steps or more, for every n."""
    wanted = np.arange(steps + 1)
    table: Ints | None = None
    for _, item in groupby(sorted(packs, key=lambda pack: pack.item), key=lambda pack: pack.item):
        costs = np.minimum.reduce([_at_price(pack, -(-pack.size // unit), wanted) for pack in item])
        table = costs if table is None else _joined(costs, table, rest)
    assert table is not None
    return table


def _at_price(pack: Pack, size: int, wanted: Ints) -> Ints:
    number = np.maximum(-(-wanted // size), pack.least)
    cost = number * pack.price
    if pack.available is not None:
        cost[number > pack.available] = NEVER
    cost[0] = 0
    return cost


def _joined(one: Ints, other: Ints, rest: Ints) -> Ints:
    """The least that both together cost for n steps or more, for every n."""
    joined: Ints = np.minimum((one[None, :] + other[rest]).min(axis=1), NEVER)
    return joined
