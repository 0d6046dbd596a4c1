"""A plan at once, good but unproven: fill the board that gives the most for its price, as often as it is asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sawbill.cutting.linear.knapsack import Filling, Knapsack
from sawbill.cutting.problem import Pattern, Problem

MANY = 25  # different items left from which boards are filled longest first, not by the knapsack
FINE = 500_000  # items times places in a board from which they are likewise: lengths are so fine
Plan = dict[Pattern, int]
Filled = dict[int, tuple[list[int], Mapping[int, Filling]]]
"""By knapsack, how many of each item were left when its boards were filled last, and how."""


def knapsacks(problem: Problem) -> list[Knapsack]:
    """One knapsack for each group that has boards."""
    used = sorted({bin_.group for bin_ in problem.bins})
    return [Knapsack(problem, group) for group in used]


def cost(plan: Plan) -> int:
    """What a plan costs [minor units], leftovers credited and missing pieces punished."""
    return sum(pattern.cost * count for pattern, count in plan.items())


def boards_left(problem: Problem, plan: Plan) -> list[int | None]:
    """How many boards of each bin a plan leaves, None for no limit."""
    left = [bin_.available for bin_ in problem.bins]
    for pattern, count in plan.items():
        if pattern.bin >= 0:
            have = left[pattern.bin]
            left[pattern.bin] = None if have is None else have - count
    return left


def residual(problem: Problem, plan: Plan) -> list[int]:
    """How many of each row a plan leaves to be cut."""
    rest = list(problem.demand)
    for pattern, count in plan.items():
        for row, amount in pattern.rows:
            rest[row] -= amount * count
    return [max(0, amount) for amount in rest]


def complete(problem: Problem, fillers: Sequence[Knapsack], plan: Plan) -> Plan:
    """A plan for the whole order that keeps the given boards and adds the best value for money."""
    whole = dict(plan)
    rest, left = residual(problem, plan), boards_left(problem, plan)
    filled: Filled = {}
    while any(rest):
        pattern, times = _next_board(problem, fillers, rest, left, filled)
        whole[pattern] = whole.get(pattern, 0) + times
        for row, amount in pattern.rows:
            rest[row] = max(0, rest[row] - amount * times)
        if pattern.bin >= 0:
            have = left[pattern.bin]
            left[pattern.bin] = None if have is None else have - times
    return whole


def _next_board(
    problem: Problem, fillers: Sequence[Knapsack], rest: list[int], left: list[int | None], filled: Filled
) -> tuple[Pattern, int]:
    """The filling with the most length for its price; the cheapest board that takes all the rest, if one does."""
    offers = []
    for n, filler in enumerate(fillers):
        most = [-(-rest[item.row] // item.gives) for item in filler.items]
        if n not in filled or filled[n][0] != most:
            filled[n] = most, _filled(filler, most)
        fillings = filled[n][1]
        needed = _needed(filler, rest)
        for bin_index, filling in fillings.items():
            something = filling.items if problem.credit else filling.value > 0
            if something and left[bin_index] != 0:
                offers.append((*_offer(problem, bin_index, filling, rest, needed), bin_index, filling))
    if not offers:
        row = next(row for row, amount in enumerate(rest) if amount)
        return problem.missing(row), rest[row]
    *_, bin_index, filling = min(offers, key=lambda offer: offer[:4])
    pattern = problem.pattern(bin_index, filling.items)
    times = min(max(1, rest[row] // amount) for row, amount in pattern.rows)
    have = left[bin_index]
    return pattern, times if have is None else min(times, have)


def _filled(filler: Knapsack, most: Sequence[int]) -> Mapping[int, Filling]:
    """Boards of a group with as much length as may be, or nearly so where items are many."""
    items = sum(number > 0 for number in most)
    if items > MANY or items * len(filler.positions) > FINE:
        return filler.longest_first(most)
    return filler.best([item.length for item in filler.items], most)


def _needed(filler: Knapsack, rest: Sequence[int]) -> int:
    """No board takes all the rest in less length than this [units]."""
    least: dict[int, int] = {}
    for item in filler.items:
        if rest[item.row]:
            length = -(-rest[item.row] * item.length // item.gives)
            least[item.row] = min(length, least.get(item.row, length))
    return sum(least.values())


def _offer(
    problem: Problem, bin_index: int, filling: Filling, rest: Sequence[int], needed: int
) -> tuple[bool, float, int]:
    """Whether a filling leaves something of the rest, its price by length or as a whole, and the length against it.

    The items are looked at only where that can matter.
    """
    cost, used = problem.bins[bin_index].cost, filling.value
    if not problem.credit and used < needed:
        return True, cost / used, -used
    pattern = problem.pattern(bin_index, filling.items)
    rows = dict(pattern.rows)
    if all(amount <= rows.get(row, 0) for row, amount in enumerate(rest)):
        return False, float(pattern.cost), -pattern.used
    return True, pattern.cost / pattern.used, -pattern.used
