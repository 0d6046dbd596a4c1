"""A whole plan at given prices, and the patterns that may lower the optimum: board after board with the longest left.

For the longest piece left, each kind of board is filled up in turn, the most promising first: depth first, what is
longest first, and nowhere that cannot come below the least reduced cost found so far,

    r = c_k + m_k - sum u_i a_ip >= cost so far - f[room left],    f from the knapsack at the same prices (knapsack.py),

for so many steps a board. Where there are many lengths, nearly every board comes to what the knapsack promises: at
prices that are nearly right such a plan is nearly the best, and its patterns, of all rows, spare most rounds of column
generation, which the knapsack's few do not. Nothing is proven by it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Filling, Knapsack
from sawbill.cutting.linear.places import Ints, place
from sawbill.cutting.problem import Pattern, Problem

STEPS = 3_000  # pieces that are tried for one board
BOARDS = 4  # times the items, how many patterns there is room for
_ANY = 2**40  # boards, where there is no limit
_FAR = 2**62


class Pieces(NamedTuple):
    """The items, longest first: which row each gives how much of, its length, and what one is worth."""

    rows: Ints
    gives: Ints
    lengths: Ints
    values: Ints


class Boards(NamedTuple):
    """The bins: the room of each, what one costs, scaled, and how many are left."""

    rooms: Ints
    costs: Ints
    left: Ints


@dataclass(frozen=True, slots=True)
class Laid:
    """A pattern, how many boards are cut by it, and its reduced cost, scaled."""

    pattern: Pattern
    times: int
    reduced: int


def lay(
    problem: Problem,
    fillers: Sequence[Knapsack],
    duals: Duals,
    fillings: Mapping[int, Filling],
    rest: Sequence[int],
    left: Sequence[int | None],
    within: int = _FAR,
) -> list[Laid]:
    """Boards for what is left to be cut, from those left; fillings: the knapsacks' at these prices.

    within: those of a reduced cost below it alone are told, scaled. None where it matters where a board ends.
    """
    wanted, found = np.array(rest, np.int64), []
    for filler in fillers:
        upto = fillings[filler.bins[0]].upto
        if upto is None:
            continue
        order = np.argsort(-filler.lengths, kind="stable")
        items = [filler.items[n] for n in order.tolist()]
        rows, gives = np.array([item.row for item in items]), np.array([item.gives for item in items])
        pieces = Pieces(rows, gives, filler.lengths[order], gives * np.array(duals.rows, np.int64)[rows])
        boards = _boards(problem, filler, duals, left)
        most = int(boards.rooms.max() // pieces.lengths.min()) + 1
        told, chosen = np.zeros((BOARDS * len(items) + 64, 4), np.int64), np.zeros((2, most), np.int64)
        laid = np.zeros((len(told), most), np.int64)
        count = _laid(pieces, boards, filler.positions, upto, wanted, STEPS, chosen, boards.rooms.copy(), laid, told)
        for (bin_, size, times, reduced), own in zip(told[:count].tolist(), laid, strict=False):
            if reduced < within:
                inside = np.bincount(order[own[:size]])
                items_of = ((item, int(inside[item])) for item in np.flatnonzero(inside).tolist())
                found.append(Laid(problem.pattern(filler.bins[bin_], items_of), times, reduced))
    return found


def boards_of(laid: Sequence[Laid]) -> Plan:
    """All that was laid."""
    plan: Plan = {}
    for own in laid:
        plan[own.pattern] = plan.get(own.pattern, 0) + own.times
    return plan


def _boards(problem: Problem, filler: Knapsack, duals: Duals, left: Sequence[int | None]) -> Boards:
    rooms = [filler.problem.bins[b].room for b in filler.bins]
    costs = [problem.bins[b].cost * duals.scale + duals.bins[b] for b in filler.bins]
    counts = [_ANY if left[b] is None else left[b] for b in filler.bins]
    return Boards(np.array(rooms, np.int64), np.array(costs, np.int64), np.array(counts, np.int64))


@compiled
def _laid(
    pieces: Pieces, boards: Boards, positions: Ints, upto: Ints, rest: Ints, steps: int, chosen: Ints,
    promises: Ints, laid: Ints, told: Ints,
) -> int:  # fmt: skip
    """How many patterns there are; told: the bin, the size, the times and the reduced cost of each, laid: its items.

    A pattern is cut as often as it can be without surplus, and once at least.
    """
    count = 0
    for first in range(len(pieces.rows)):
        while rest[pieces.rows[first]] > 0 and count < len(told):
            bin_, size, reduced = _best_with(first, pieces, boards, positions, upto, rest, steps, chosen, promises)
            if bin_ < 0:  # there is no board for it
                break
            times = 0
            while times < boards.left[bin_] and _taken(chosen[1], size, pieces, rest, times == 0):
                times += 1
            boards.left[bin_] -= times
            told[count, 0], told[count, 1], told[count, 2], told[count, 3] = bin_, size, times, reduced
            for n in range(size):
                laid[count, n] = chosen[1, n]
            count += 1
    return count


@compiled_part
def _taken(items: Ints, size: int, pieces: Pieces, rest: Ints, surplus: bool) -> bool:
    """Take a pattern's items off the rest, if all are still wanted, or there may be a surplus."""
    for n in range(size):
        rest[pieces.rows[items[n]]] -= pieces.gives[items[n]]
        if rest[pieces.rows[items[n]]] < 0 and not surplus:
            for back in range(n + 1):
                rest[pieces.rows[items[back]]] += pieces.gives[items[back]]
            return False
    return True


@compiled_part
def _best_with(
    first: int, pieces: Pieces, boards: Boards, positions: Ints, upto: Ints, rest: Ints, steps: int, chosen: Ints,
    promises: Ints,
) -> tuple[int, int, int]:  # fmt: skip
    """The bin, the size and the reduced cost of the best board found that holds an item; -1 where there is none.

    chosen: its first row is for the search, the second becomes the items; promises: of each bin, what it may come to.
    """
    found, size, least = -1, 0, _FAR
    length, value = pieces.lengths[first], pieces.values[first]
    for b in range(len(promises)):
        room = boards.rooms[b] - length
        promises[b] = _FAR
        if boards.left[b] > 0 and room >= 0:
            promises[b] = boards.costs[b] - value - upto[place(positions, room)]
    rest[pieces.rows[first]] -= pieces.gives[first]
    chosen[0, 0] = first
    while steps > 0:
        b = 0
        for other in range(len(promises)):
            b = other if promises[other] < promises[b] else b
        if promises[b] >= least:
            break
        promises[b] = _FAR
        room, cost = boards.rooms[b] - length, boards.costs[b] - value
        least, more, steps = _filled_up(pieces, room, cost, least, positions, upto, rest, steps, chosen)
        if more:
            found, size = b, more
    rest[pieces.rows[first]] += pieces.gives[first]
    return found, size, least


@compiled_part
def _filled_up(
    pieces: Pieces, room: int, cost: int, least: int, positions: Ints, upto: Ints, rest: Ints, steps: int, chosen: Ints
) -> tuple[int, int, int]:
    """The least reduced cost, how many items come to it, 0 where none come below what was known, and the steps left.

    room, cost: once the first of the items chosen lies in the board.
    """
    depth, size, item = 1, 0, chosen[0, 0]
    while depth:
        if cost < least:
            least, size = cost, depth
            for n in range(depth):
                chosen[1, n] = chosen[0, n]
        while item < len(pieces.rows) and steps > 0:
            steps -= 1
            left, value = room - pieces.lengths[item], pieces.values[item]
            wanted = left >= 0 and rest[pieces.rows[item]] > 0
            if wanted and cost - value - upto[place(positions, left)] < least:
                break
            item += 1
        if item < len(pieces.rows) and steps > 0:
            sign = 1
            chosen[0, depth] = item
            depth += 1
        else:
            sign = -1
            depth -= 1
            item = chosen[0, depth]
        if depth or sign > 0:
            rest[pieces.rows[item]] -= sign * pieces.gives[item]
            room -= sign * pieces.lengths[item]
            cost -= sign * pieces.values[item]
            item += sign < 0
    return least, size, steps
