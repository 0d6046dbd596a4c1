"""What goods and visits cost at least: each supplier's fee shared out among the needs that are bought from him.

Whatever the shares w_js >= 0 of need j in the fee of supplier s, as long as no fee is shared out beyond what it is,

    v_j  =  min over the ways to meet j of  price + sum of w_js over all suppliers of the way,

goods and fees cost at least the sum of all v_j, and what is left of the fees of those who must be visited. The v_j are
found by dynamic programming over suppliers, shares as fixed charges; the shares by steps along what is used and what
is not (subgradients of the Lagrangian dual: Held, Wolfe and Crowder 1974, Polyak 1969). All that is told is reckoned
in whole numbers for shares rounded down, so that it holds whatever the steps.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part, copied, emptied

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
NEVER = 2**50
"""A cost that no purchase has."""


@compiled_part
def forward(j: int, tables: Ints, origins: Ints, needs: Ints, rows: Ints, packs: Ints, shut: Ints, shares: Ints) -> int:
    """Fill tables[i, n]: the least that the first i rows of a need cost for n steps; what the whole costs.

    origins[i, n]: of how many steps the rows before it are left to care for if row i is used, -1 if it is not.
    """
    steps, first, last = needs[j, 0], needs[j, 1], needs[j, 2]
    for n in range(1, steps + 1):
        tables[0, n] = NEVER
    tables[0, 0] = 0
    for i in range(last - first):
        row = first + i
        for n in range(steps + 1):
            tables[i + 1, n] = tables[i, n]
            origins[i, n] = -1
        if shut[rows[row, 0]] == 0:
            with_row(i, i + 1, steps, tables, origins, row, rows, packs, shares[row])
    return int(tables[last - first, steps])


@compiled_part
def with_row(
    before: int, after: int, steps: int, tables: Ints, origins: Ints, row: int, rows: Ints, packs: Ints, share: int
) -> int:
    """Let a row join a table into another, where that is cheaper; what it costs at least to use it at all.

    A way to use it is one of its fixed lots, or none, and free packs besides.
    """
    used = tables[-1]
    origin = origins[-1]
    used[0] = NEVER
    for n in range(1, steps + 1):
        least, left = NEVER, -1
        for p in range(rows[row, 1], rows[row, 2]):
            size, price, free = packs[p, 0], packs[p, 1], packs[p, 2]
            rest = max(0, n - size)
            cost = tables[before, rest] + price + share
            if cost < least:
                least, left = cost, rest
            if free != 0 and used[rest] + price < least:
                least, left = used[rest] + price, origin[rest]
        used[n] = least
        origin[n] = left
        if least < tables[after, n]:
            tables[after, n] = least
            origins[after - 1, n] = left
    return int(used[steps])


@compiled
def bound_of(
    needs: Ints,
    rows: Ints,
    packs: Ints,
    shut: Ints,
    shares: Ints,
    floors: Ints,
    tables: Ints,
    origins: Ints,
    used: Ints,
    levels: Ints,
) -> int:
    """The sum of the levels, which are filled in; used[row]: whether the way found for its need uses it."""
    total = 0
    for j in range(len(needs)):
        steps, first, last = needs[j, 0], needs[j, 1], needs[j, 2]
        level = forward(j, tables, origins, needs, rows, packs, shut, shares)
        for row in range(first, last):
            used[row] = 0
        if level >= floors[j]:
            n = steps
            for i in range(last - first - 1, -1, -1):
                if n > 0 and origins[i, n] >= 0 and tables[i + 1, n] < tables[i, n]:
                    used[first + i] = 1
                    n = origins[i, n]
        levels[j] = max(level, floors[j])
        total += levels[j]
    return total


class Room(NamedTuple):
    """Room to share out fees in: by row, by need, then by supplier."""

    shares: Floats
    whole: Ints
    used: Ints
    levels: Ints
    counts: Ints
    sizes: Ints
    sums: Floats
    active: Floats


def room_for(rows: Ints, needs: int, sellers: int) -> Room:
    """Room for these; sizes: how many rows each supplier has."""
    number, sizes = len(rows), np.bincount(rows[:, 0], minlength=sellers).astype(np.int64)
    return Room(
        np.zeros(number), np.zeros(number, np.int64), np.zeros(number, np.int64), np.zeros(needs, np.int64),
        np.zeros(sellers, np.int64), sizes, np.zeros(sellers), np.zeros(sellers),
    )  # fmt: skip


@compiled
def raised(
    needs: Ints,
    rows: Ints,
    packs: Ints,
    shut: Ints,
    fees: Ints,
    floors: Ints,
    best_shares: Floats,
    goal: int,
    rounds: int,
    tables: Ints,
    origins: Ints,
    room: Room,
) -> int:
    """Share out the fees better and better, until the levels add up to the goal; their best sum.

    best_shares: to begin with, then those of that sum.
    """
    shares, whole, used = room.shares, room.whole, room.used
    copied(best_shares, shares)
    best, pace, idle = -1, 1.0, 0
    for _ in range(rounds):
        for row in range(len(rows)):
            whole[row] = int(shares[row])
        found = bound_of(needs, rows, packs, shut, whole, floors, tables, origins, used, room.levels)
        idle = 0 if found > best + (goal - best) // 50 else idle + 1
        if found > best:
            best = found
            copied(shares, best_shares)
        if best >= goal:
            break
        if idle >= 10:
            pace, idle = pace / 2, 0
            if pace < 0.02:
                break
            copied(best_shares, shares)
        step = pace * (goal - found) / _length(rows, fees, used, room)
        for row in range(len(rows)):
            if used[row] != 0:
                shares[row] += step
        fitted(shares, rows, fees, room)
    return best


@compiled_part
def _length(rows: Ints, fees: Ints, used: Ints, room: Room) -> float:
    """How far all shares together move by one step each of those that are used, their sums held; 1 where not at all."""
    counts, sizes = room.counts, room.sizes
    emptied(counts)
    for row in range(len(rows)):
        counts[rows[row, 0]] += used[row]
    length = 0.0
    for s in range(len(fees)):
        if fees[s] > 0 and counts[s] > 0:
            length += counts[s] - counts[s] * counts[s] / sizes[s]
    return length if length > 0 else 1.0


@compiled_part
def fitted(shares: Floats, rows: Ints, fees: Ints, room: Room) -> None:
    """Take as much from each share of a fee as makes them fit it, none below nothing (the nearest point that fits)."""
    sums, active = room.sums, room.active
    for _ in range(50):
        emptied(sums)
        emptied(active)
        for row in range(len(rows)):
            if shares[row] > 0:
                sums[rows[row, 0]] += shares[row]
                active[rows[row, 0]] += 1
        more = False
        for row in range(len(rows)):
            s = rows[row, 0]
            if shares[row] > 0 and sums[s] > fees[s] + 1e-6:
                shares[row] = max(0.0, shares[row] - (sums[s] - fees[s]) / active[s])
                more = True
        if not more:
            break
