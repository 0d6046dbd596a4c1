"""What it costs to do without a supplier or to go to one, of all suppliers at once; and sets made better by that."""

from __future__ import annotations

import numpy as np

from sawbill.buying.suppliers.levels import NEVER, Ints, forward, with_row
from sawbill.compiled import compiled, compiled_part, emptied


@compiled
def swept(
    needs: Ints,
    rows: Ints,
    packs: Ints,
    shut: Ints,
    floors: Ints,
    shares: Ints,
    tables: Ints,
    origins: Ints,
    rests: Ints,
    ends: Ints,
    without: Ints,
) -> int:
    """The sum of the levels; without[s]: by how much it rises if nothing is bought from s.

    Shares are lowered as far as no level falls by it: what is left of a fee then is what a visit costs beyond.
    """
    total = 0
    emptied(without)
    for j in range(len(needs)):
        steps, first, last = needs[j, 0], needs[j, 1], needs[j, 2]
        width = last - first
        _backward(steps, first, width, rows, packs, shut, shares, rests, ends)
        level = max(rests[0, steps], floors[j])
        total += level
        for n in range(steps + 1):
            tables[0, n] = NEVER if n else 0
        for i in range(width):
            row = first + i
            s = rows[row, 0]
            for n in range(steps + 1):
                tables[i + 1, n] = tables[i, n]
            if shut[s] != 0:
                continue
            with_row(i, i + 1, steps, tables, origins, row, rows, packs, shares[row])
            used = tables[-1]
            apart, through = NEVER, NEVER
            for n in range(steps + 1):
                rest = rests[i + 1, steps - n]
                apart = min(apart, tables[i, n] + rest)
                through = min(through, used[n] + rest)
            without[s] = min(NEVER, without[s] + max(apart, floors[j]) - level)
            lower = min(shares[row], max(0, through - level))
            if lower > 0:
                shares[row] -= lower
                for n in range(1, steps + 1):
                    tables[i + 1, n] = min(tables[i, n], used[n] - lower)
    return total


@compiled_part
def _backward(
    steps: int, first: int, width: int, rows: Ints, packs: Ints, shut: Ints, shares: Ints, rests: Ints, ends: Ints
) -> None:
    """rests[i, n]: what n of a need cost at least by its rows from the i-th on."""
    for n in range(1, steps + 1):
        rests[width, n] = NEVER
    rests[width, 0] = 0
    for i in range(width - 1, -1, -1):
        for n in range(steps + 1):
            rests[i, n] = rests[i + 1, n]
        if shut[rows[first + i, 0]] == 0:
            with_row(i + 1, i, steps, rests, ends, first + i, rows, packs, shares[first + i])


@compiled_part
def gains(
    needs: Ints, rows: Ints, packs: Ints, shut: Ints, shares: Ints, tables: Ints, origins: Ints, saved: Ints
) -> int:
    """saved[s]: what the goods cost less if one may also buy from a supplier who is shut; what they cost now."""
    total = 0
    emptied(saved)
    for j in range(len(needs)):
        steps, first, last = needs[j, 0], needs[j, 1], needs[j, 2]
        level = forward(j, tables, origins, needs, rows, packs, shut, shares)
        total += level
        for row in range(first, last):
            s = rows[row, 0]
            if shut[s] == 1:
                cost = with_row(last - first, last - first + 1, steps, tables, origins, row, rows, packs, 0)
                saved[s] += max(0, level - cost)
    return total


@compiled
def improved(
    needs: Ints,
    rows: Ints,
    packs: Ints,
    fees: Ints,
    floors: Ints,
    shut: Ints,
    fixed: Ints,
    tables: Ints,
    origins: Ints,
    rests: Ints,
    ends: Ints,
    moves: int,
    swaps: bool,
) -> int:
    """Make a set of suppliers cheaper by leaving one out, taking one in, or both; what it costs then.

    swaps: whether both at once is tried; fixed: those never left out;
    shut: 1 for those not in the set, who may be taken in, 2 for those who may not.
    """
    number = len(fees)
    none = np.zeros(len(rows), np.int64)
    without = np.zeros(number, np.int64)
    saved = np.zeros(number, np.int64)
    cost = swept(needs, rows, packs, shut, floors, none, tables, origins, rests, ends, without)
    for s in range(number):
        cost += fees[s] if shut[s] == 0 else 0
    for _ in range(moves):
        swept(needs, rows, packs, shut, floors, none, tables, origins, rests, ends, without)
        gains(needs, rows, packs, shut, none, tables, origins, saved)
        least, who = _best_move(shut, fixed, fees, without, saved)
        other = -1
        if who < 0 and swaps:
            for s in range(number):
                if shut[s] != 1 or saved[s] == 0:
                    continue
                shut[s] = 0
                swept(needs, rows, packs, shut, floors, none, tables, origins, rests, ends, without)
                shut[s] = 1
                for t in range(number):
                    change = fees[s] - saved[s] + without[t] - fees[t]
                    if change < least and t != s and shut[t] == 0 and fixed[t] == 0:
                        least, who, other = change, s, t
        if who < 0:
            break
        shut[who] = 1 - shut[who]
        if other >= 0:
            shut[other] = 1
        cost += least
    return cost


@compiled_part
def _best_move(shut: Ints, fixed: Ints, fees: Ints, without: Ints, saved: Ints) -> tuple[int, int]:
    """By how much one supplier left out or taken in changes the cost at the least, and who; none where -1."""
    least, who = 0, -1
    for s in range(len(fees)):
        change = 0
        if shut[s] == 0 and fixed[s] == 0:
            change = without[s] - fees[s]
        elif shut[s] == 1:
            change = fees[s] - saved[s]
        if change < least:
            least, who = change, s
    return least, who
