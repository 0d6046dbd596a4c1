"""What it costs to do without a supplier or to go to one, of all suppliers at once; and sets made better by that."""

from __future__ import annotations

from typing import NamedTuple

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
    apart: Ints,
) -> int:
    """The sum of the levels; without[s]: by how much it rises if nothing is bought from s.

    apart[row]: what its need costs without a row. Shares are lowered as far as no level falls by it: what is left of a
    fee then is what a visit costs beyond.
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
            least, through = NEVER, NEVER
            for n in range(steps + 1):
                rest = rests[i + 1, steps - n]
                least = min(least, tables[i, n] + rest)
                through = min(through, used[n] + rest)
            apart[row] = max(least, floors[j])
            without[s] = min(NEVER, without[s] + apart[row] - level)
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


class Told(NamedTuple):
    """What is known of a set of suppliers: by supplier what it costs more without, and what is saved with one more.

    levels: what each need costs; apart, through: of each row, what its need costs without it, and by it, where it is
    of one who is shut. rows: room for what is not looked at.
    """

    without: Ints
    saved: Ints
    changes: Ints
    levels: Ints
    apart: Ints
    through: Ints
    rows: Ints


def told_of(sellers: int, needs: int, rows: int) -> Told:
    """Room for what is told of so many."""
    return Told(*(np.zeros(size, np.int64) for size in (sellers, sellers, sellers, needs, rows, rows, rows)))


@compiled_part
def gains(
    needs: Ints, rows: Ints, packs: Ints, shut: Ints, shares: Ints, tables: Ints, origins: Ints, told: Told
) -> None:
    """Tell what is saved if one may also buy from a supplier who is shut."""
    emptied(told.saved)
    for j in range(len(needs)):
        steps, first, last = needs[j, 0], needs[j, 1], needs[j, 2]
        level = forward(j, tables, origins, needs, rows, packs, shut, shares)
        told.levels[j] = level
        for row in range(first, last):
            s = rows[row, 0]
            if shut[s] == 1:
                cost = with_row(last - first, last - first + 1, steps, tables, origins, row, rows, packs, 0)
                told.through[row] = cost
                told.saved[s] += max(0, level - cost)


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
    told: Told,
    moves: int,
    swaps: bool,
) -> int:
    """Make a set of suppliers cheaper by leaving one out, taking one in, or both; what it costs then.

    swaps: whether both at once is tried; fixed: those never left out;
    shut: 1 for those not in the set, who may be taken in, 2 for those who may not.
    """
    none, number = np.zeros(len(rows), np.int64), len(fees)
    cost = swept(needs, rows, packs, shut, floors, none, tables, origins, rests, ends, told.without, told.apart)
    for s in range(number):
        cost += fees[s] if shut[s] == 0 else 0
    for _ in range(moves):
        gains(needs, rows, packs, shut, none, tables, origins, told)
        least, who = _best_move(shut, fixed, fees, told.without, told.saved)
        other = -1
        for s in range(number if who < 0 and swaps else 0):
            if shut[s] != 1 or told.saved[s] == 0:
                continue
            change = fees[s] - told.saved[s]
            if change + _least_change(s, needs, rows, fees, floors, shut, fixed, told) >= least:
                continue
            shut[s] = 0
            swept(needs, rows, packs, shut, floors, none, tables, origins, rests, ends, told.without, told.rows)
            shut[s] = 1
            for t in range(number):
                own = change + told.without[t] - fees[t]
                if own < least and t != s and shut[t] == 0 and fixed[t] == 0:
                    least, who, other = own, s, t
        if who < 0:
            break
        shut[who] = 1 - shut[who]
        if other >= 0:
            shut[other] = 1
        cost += least
        swept(needs, rows, packs, shut, floors, none, tables, origins, rests, ends, told.without, told.apart)
    return cost


@compiled_part
def _least_change(
    s: int, needs: Ints, rows: Ints, fees: Ints, floors: Ints, shut: Ints, fixed: Ints, told: Told
) -> int:  # fmt: skip
    """Once s is taken in, leaving out another changes the cost by no less than this.

    A need from the set with s and without t costs no less than without t, or than by something of s.
    """
    changes = told.changes
    for t in range(len(fees)):
        changes[t] = -fees[t] if shut[t] == 0 and fixed[t] == 0 else NEVER
    for j in range(len(needs)):
        by_it = NEVER
        for row in range(needs[j, 1], needs[j, 2]):
            if rows[row, 0] == s:
                by_it = told.through[row]
        now = max(min(told.levels[j], by_it), floors[j])
        for row in range(needs[j, 1], needs[j, 2]):
            if shut[rows[row, 0]] == 0:
                changes[rows[row, 0]] += max(min(told.apart[row], by_it), floors[j]) - now
    least = NEVER
    for t in range(len(fees)):
        least = min(least, changes[t])
    return least


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
