"""What a supplier's share in meeting a need costs at least, so that every mix of suppliers is counted once.

A mix is charged to that of its suppliers who would be cheapest alone. Taken from the dearest to the cheapest, each is
joined to those before him: with t_s(n) the least a supplier asks for n or more, and g(n) the least that the dearer
ones together ask, the mixes charged to s cost at least

    min over 1 <= k <= need of  t_s(k) + g(need - k),        k = need being s alone.

So whoever buys from a set of suppliers pays at least what this says of one of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from math import gcd
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.packs import Pack

Ints = NDArray[np.int64]
FINEST: Final = 200
"""Into how many steps a need is parted at most; beyond, packs are reckoned to hold up to a step more than they do."""
NEVER: Final = 2**60
"""A cost that no purchase has."""


def charges(need: int, packs: Mapping[int, Sequence[Pack]]) -> dict[int, int]:
    """By supplier, what the mixes charged to him cost at least; those who can meet no part of the need are left out."""
    unit = gcd(*(pack.size for own in packs.values() for pack in own))
    if need > FINEST * unit:
        unit = -(-need // FINEST)
    steps = -(-need // unit)
    rest = np.maximum(np.arange(steps + 1)[:, None] - np.arange(steps + 1)[None, :], 0)
    tables = {who: _table(own, unit, steps, rest) for who, own in packs.items() if own}
    dearer = np.full(steps + 1, NEVER, np.int64)
    dearer[0] = 0
    found: dict[int, int] = {}
    for who in sorted(tables, key=lambda who: (-tables[who][-1], who)):
        joined = _joined(tables[who], dearer, rest)
        least = int((tables[who][1:] + dearer[rest[-1, 1:]]).min())
        if least < NEVER:
            found[who] = least
        dearer = joined
    return found


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
