"""Which of several ways no cheaper one beats: none that spends as much everywhere (Nemhauser and Ullmann 1969)."""

from __future__ import annotations

from bisect import bisect_left

import numpy as np

from sawbill.buying.suppliers.levels import Ints


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
    """The same however many deliver, each held against all that are kept."""
    kept = list[int]()
    for i in range(len(goods)):
        if not (goods[kept] >= goods[i]).all(axis=1).any():
            kept.append(i)
    return kept
