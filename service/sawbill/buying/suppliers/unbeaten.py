"""Which of several ways no cheaper one beats: none that spends as much everywhere (Nemhauser and Ullmann 1969)."""

from __future__ import annotations

from bisect import bisect_left
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.buying.suppliers.levels import Ints

BLOCK: Final = 64
"""How many ways are held against those that are kept at a time."""


def unbeaten(goods: Ints) -> Ints:
    """Which of ways told from the cheapest on spend more somewhere than each that is cheaper."""
    if goods.shape[1] == 1:
        own = goods[:, 0]
        found: Ints = np.flatnonzero(own > np.maximum.accumulate(np.concatenate(([-1], own[:-1]))))
        return found
    return np.array(by_two(goods) if goods.shape[1] == 2 else by_any(goods), np.int64)


def by_two(goods: Ints) -> list[int]:
    """The same where there are two who deliver: of those kept, whoever spends more at one spends less at the other."""
    firsts, seconds, kept = list[int](), list[int](), list[int]()
    for n, (first, second) in enumerate(goods.tolist()):
        at = bisect_left(firsts, first)
        if at < len(firsts) and seconds[at] >= second:
            continue
        kept.append(n)
        end = at + (at < len(firsts) and firsts[at] == first)
        while at and seconds[at - 1] <= second:
            at -= 1
        firsts[at:end], seconds[at:end] = [first], [second]
    return kept


def by_any(goods: Ints) -> list[int]:
    """The same however many deliver: block by block, held against all that are kept, then against each other.

    What beats a way that is itself beaten beats it too, so it does not matter in what order that is found out.
    """
    kept = np.zeros(0, np.int64)
    for first in range(0, len(goods), BLOCK):
        block = np.arange(first, min(first + BLOCK, len(goods)))
        block = block[~_reached(goods[block], goods[kept]).any(axis=1)]
        earlier = np.tril(_reached(goods[block], goods[block]), -1)
        kept = np.concatenate((kept, block[~earlier.any(axis=1)]))
    return [int(n) for n in kept]


def _reached(goods: Ints, others: Ints) -> NDArray[np.bool_]:
    """Whether others spend as much everywhere [way, other]."""
    found = np.ones((len(goods), len(others)), np.bool_)
    for own, their in zip(goods.T, others.T, strict=True):
        found &= their[None, :] >= own[:, None]
    return found
