"""The best plan of whole boards from the basis of a programme over listed ways, in exact numbers (see small.py)."""

from __future__ import annotations

import numpy as np

from sawbill.compiled import compiled
from sawbill.cutting.closing import corner
from sawbill.cutting.linear.lattice import Lattice, lattice
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.linear.sums import Corner

MOST_CLASSES = 20_000  # of the basis's lattice
WORK = 150_000  # columns the exact search may try
_LARGEST = 2**61
_ANY = 2**40


def whole(
    columns: Ints, ranks: Ints, target: Ints, exact: Ints, signs: Ints, basic: Ints
) -> tuple[Ints, Ints, Corner, Ints] | None:  # fmt: skip
    """Counts of the columns in the best plan of whole boards, the basis's exact prices, and what lies beside it."""
    size, ways = len(target), len(ranks)
    beside = np.vstack([columns, np.diag(signs)])  # a surplus takes from its row, an unused board gives to its bin's
    costs = np.concatenate([ranks, np.zeros(size, np.int64)])
    own = lattice(beside[basic].T, MOST_CLASSES)
    if own is None:
        return None
    sums = float(abs(costs[basic]).max()) * float(abs(own.adjugate).max()) * size
    if sums * max(1, int(columns.max())) * size >= _LARGEST or sums * float(target.max()) * size >= _LARGEST:
        return None
    prices = costs[basic] @ own.adjugate
    reduced = costs * own.determinant - beside @ prices
    free = np.concatenate([np.ones(ways, bool), ~exact])
    free[basic] = False
    if (reduced[free] < 0).any():
        return None
    start = _start(columns, ranks, target, exact, basic, own, prices, len(signs[signs < 0]))
    if start is None:
        return None
    slack = int(ranks @ start) * own.determinant - int(prices @ target)
    near = np.flatnonzero(free & (reduced <= slack))
    surplus = np.where(exact, 0, np.minimum(slack // np.maximum(prices, 1), _ANY))
    most = target + np.where(signs < 0, np.where(prices > 0, surplus, np.where(exact, 0, _ANY)), 0)
    held = np.array([n >= ways and exact[n - ways] for n in basic.tolist()])
    corner_ = Corner(own, np.ascontiguousarray(beside[near].T), reduced[near], target, most, held)
    found = corner.search(corner_, slack, WORK)
    if not found.any or found.least < sum(int(reduced[near[n]]) * count for n, count in found.beside.items()):
        return None
    counts = np.zeros(ways + size, np.int64)
    for n, count in found.beside.items():
        counts[near[n]] = count
    counts[basic] += np.array(found.basic, np.int64)
    return counts[:ways], prices, corner_, near


def _start(
    columns: Ints, ranks: Ints, target: Ints, exact: Ints, basic: Ints, own: Lattice, prices: Ints, rows: int
) -> Ints | None:  # fmt: skip
    """Counts of a plan at once: whole boards of the basis, and the rest by what gives most for its cost."""
    values = own.adjugate @ target // own.determinant
    counts = np.zeros(len(ranks), np.int64)
    for n, value in zip(basic.tolist(), values.tolist(), strict=True):
        if n < len(ranks):
            counts[n] = max(0, value)
    best = None
    for own_start in (counts, np.zeros_like(counts)):
        if _filled(columns, ranks, target, exact, prices, rows, own_start) and (
            best is None or ranks @ own_start < ranks @ best
        ):
            best = own_start
    return best


@compiled
def _filled(
    columns: Ints, ranks: Ints, target: Ints, exact: Ints, prices: Ints, rows: int, counts: Ints
) -> bool:  # fmt: skip
    """Add boards until nothing is left to be cut; whether that succeeds."""
    left = target.copy()
    for j in range(len(counts)):
        for i in range(len(left)):
            left[i] -= columns[j, i] * counts[j]
    for _ in range(10_000):
        rest = 0
        for i in range(rows):
            rest = max(rest, left[i])
            if exact[i] and left[i] < 0:
                return False
        if rest == 0:
            return True
        chosen, most = -1, 0.0
        for j in range(len(counts)):
            given, fits = 0.0, True
            for i in range(len(left)):
                if i < rows:
                    given += max(0, min(left[i], columns[j, i])) * (prices[i] + 1e-3)
                    fits = fits and not (exact[i] and columns[j, i] > left[i])
                else:
                    fits = fits and columns[j, i] <= left[i]
            if fits and given > 0 and (chosen < 0 or given * (ranks[chosen] + 1e-3) > most * (ranks[j] + 1e-3)):
                chosen, most = j, given
        if chosen < 0:
            return False
        times = 1 << 40
        for i in range(len(left)):
            if columns[chosen, i] and (i >= rows or left[i] > 0):
                times = min(times, left[i] // columns[chosen, i])
        times = max(1, times)
        counts[chosen] += times
        for i in range(len(left)):
            left[i] -= columns[chosen, i] * times
    return False
