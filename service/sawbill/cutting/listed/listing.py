"""Every way to cut one board of a small order: counts of its rows, pieces or blocks of small parts, that a board holds.

Counts go down from the most that fits, row by row. Where leftovers are worth nothing, only boards are wanted that no
further piece fits in; where prices are given, only those whose reduced cost may be within a slack.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.boards import taken
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.problem import Problem

FAR = 2**62
TRIES = 60_000  # counts that are tried in one bin's boards


class Sizes(NamedTuple):
    """What rows take up in boards, one bin each.

    taken[bin, row, n]: of n of a row, kerfs included [nm]; most: how many of a row are worth laying in one board;
    gives: of a row by one of them; rooms: usable lengths with a kerf more [nm]; blank: rows of small parts.
    """

    taken: Ints
    most: Ints
    gives: Ints
    rooms: Ints
    blank: Ints
    kerf: int
    no_slivers: bool


def sizes(problem: Problem) -> Sizes:
    """Of a problem whose pieces come from few enough materials that every row may be tried in every bin."""
    rows, bins = problem.rows, problem.bins
    gives = [[_gives(problem, b, r) for r in range(len(rows))] for b in range(len(bins))]
    longest = max(-(-row.demand // max(1, n)) for own in gives for row, n in zip(rows, own, strict=True))
    most = [[0] * len(rows) for _ in bins]
    table = np.full((len(bins), len(rows), longest + 1), FAR, np.int64)
    for b, bin_ in enumerate(bins):
        room = bin_.usable + problem.kerf
        for r, row in enumerate(rows):
            table[b, r, 0] = 0
            if not gives[b][r]:
                continue
            wanted = -(-row.demand // gives[b][r])
            if row.part is None:
                each = row.length + problem.kerf
                if bin_.carry is None or row.length <= bin_.carry:
                    most[b][r] = min(wanted, room // each)
                    table[b, r, 1 : most[b][r] + 1] = np.arange(1, most[b][r] + 1) * each
                continue
            for n in range(1, wanted + 1):
                length = taken(row, n, problem.kerf, bin_.carry)
                if length > room:
                    break
                most[b][r], table[b, r, n] = n, length
    return Sizes(
        table,
        np.array(most, np.int64),
        np.array(gives, np.int64),
        np.array([bin_.usable + problem.kerf for bin_ in bins], np.int64),
        np.array([row.part is not None for row in rows], np.int64),
        problem.kerf,
        problem.no_slivers,
    )


def _gives(problem: Problem, bin_index: int, row: int) -> int:
    own, material = problem.rows[row], problem.bins[bin_index].material
    if material not in own.materials:
        return 0
    return 1 if own.part is None else own.part.strips[material]


class Priced(NamedTuple):
    """Prices by which boards are left out, and the slack.

    costs: of each bin's board; values[bin, row]: of one of a row; rates: the most that a nm left over may be worth.
    """

    slack: float
    costs: Ints
    values: Ints
    rates: Ints


class Listed(NamedTuple):
    """Ways to cut a board, one row each: of which bin, counts of the rows, and what is used up, kerfs included [nm]."""

    bins: Ints
    counts: Ints
    used: Ints


def listed(own: Sizes, priced: Priced, *, full: bool, limit: int) -> Listed | None:
    """All ways, or those that no further piece fits in; None when they are more than the limit."""
    bins, rows = own.most.shape
    found = Listed(np.empty(limit, np.int64), np.empty((limit, rows), np.int64), np.empty(limit, np.int64))
    work = np.zeros((3, rows + 1), np.int64)
    ahead = np.zeros(rows + 1)
    count = 0
    for b in range(bins):
        count = _listed(own, priced, b, full, found, count, work, ahead)
        if count < 0:
            return None
    return Listed(found.bins[:count], found.counts[:count], found.used[:count])


@compiled
def _listed(
    own: Sizes, priced: Priced, b: int, full: bool, found: Listed, count: int, work: Ints, ahead: NDArray[np.float64]
) -> int:  # fmt: skip
    """Add a bin's ways from number `count` on; how many there are then, -1 when too many."""
    taken, most, room, rows = own.taken[b], own.most[b], own.rooms[b], own.most.shape[1]
    counts, used, value = work[0], work[1], work[2]
    ahead[rows] = max(0.0, float(priced.rates[b]))
    for row in range(rows - 1, -1, -1):  # the most that a nm is worth from this row on
        ahead[row] = ahead[row + 1]
        for n in range(1, most[row] + 1):
            ahead[row] = max(ahead[row], n * priced.values[b, row] / taken[row, n])
    least = priced.costs[b] - priced.slack
    tries, row = TRIES, rows - rows  # a number of the same type as later on, for which all is compiled once
    counts[row] = _most(taken, most, row, room)
    while row >= 0:
        if counts[row] < 0:
            row -= 1
            if row >= 0:
                counts[row] -= 1
            continue
        used[row + 1] = used[row] + taken[row, counts[row]]
        value[row + 1] = value[row] + counts[row] * priced.values[b, row]
        tries -= 1
        if tries < 0:
            return -1
        left = room - used[row + 1]
        if value[row + 1] + left * ahead[row + 1] * (1 + 1e-9) < least - 1:
            counts[row] -= 1
            continue
        if row < rows - 1:
            row += 1
            counts[row] = _most(taken, most, row, room - used[row])
            continue
        if used[rows] and _ends_well(own, counts, left) and (full or _is_full(own, b, counts, used[rows])):
            if count == len(found.bins):
                return -1
            found.bins[count], found.used[count] = b, used[rows]
            for n in range(rows):
                found.counts[count, n] = counts[n]
            count += 1
        counts[row] = counts[row] - 1 if full or own.no_slivers else -1
    return count


@compiled_part
def _most(taken: Ints, most: Ints, row: int, left: int) -> int:
    """How many of a row fit in what is left."""
    count = int(most[row])
    while taken[row, count] > left:
        count -= 1
    return count


@compiled_part
def _ends_well(own: Sizes, counts: Ints, spare: int) -> bool:
    """Whether a board with so much to spare is held and leaves no forbidden sliver: a blank would take it up."""
    if spare < 0 or not own.no_slivers or spare == 0 or spare >= own.kerf:
        return spare >= 0
    for row in range(len(own.blank)):  # noqa: SIM110  # no generator can be compiled
        if own.blank[row] and counts[row]:
            return True
    return False


@compiled_part
def _is_full(own: Sizes, b: int, counts: Ints, used: int) -> bool:
    """Whether no one of a row more could be laid in the board."""
    for row in range(own.most.shape[1]):
        if counts[row] < own.most[b, row]:
            more = used - own.taken[b, row, counts[row]] + own.taken[b, row, counts[row] + 1]
            counts[row] += 1
            fits = _ends_well(own, counts, own.rooms[b] - more)
            counts[row] -= 1
            if fits:
                return False
    return True
