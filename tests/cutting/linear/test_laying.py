"""Boards laid in turn: each fits and spends what it is said to, nothing is cut twice, and the first is the best."""

from __future__ import annotations

import random
from collections import Counter
from itertools import product

import pytest

from sawbill.cutting import Order, Piece, SmallPart, Stock
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.columns import Duals, price
from sawbill.cutting.linear.laying import Laid, boards_of, lay
from sawbill.cutting.normalise import normalise
from sawbill.cutting.problem import Problem

SCALE = 1_000


def order_of(seed: int) -> Order:
    """A few lengths out of three boards, one of them short in number; every third order has ripped parts."""
    rng = random.Random(seed)
    pine = frozenset({"pine"})
    stocks = tuple(Stock(f"s{n}", "pine", 60 + 25 * n, 60 + 26 * n + rng.randint(0, 9)) for n in range(2))
    few = Stock("few", "pine", 47, rng.randint(30, 50), 2)
    lengths = rng.sample(range(7, 45), rng.randint(2, 5))
    pieces = tuple(Piece(f"p{n}", length, rng.randint(1, 9), pine) for n, length in enumerate(lengths))
    ripped = (SmallPart("block", 5, 9, {"pine": 2}, 10),) if seed % 3 == 0 else ()
    return Order((*stocks, few), pieces, ripped, kerf=rng.randint(0, 2))


def laid_at_random(seed: int) -> tuple[Problem, Duals, list[Laid]]:
    """Boards for the whole order at prices that are nearly its lengths'."""
    (problem,) = normalise(order_of(seed))
    rng = random.Random(-seed - 1)
    rows = tuple(rng.randint(800, 1_200) * (row.length + problem.kerf) for row in problem.rows)
    bins = tuple(0 if bin_.available is None else rng.randint(0, 5 * SCALE) for bin_ in problem.bins)
    duals, fillers = Duals(rows, bins, SCALE), greedy.knapsacks(problem)
    fillings, left = price(problem, fillers, duals, problem.demand), [bin_.available for bin_ in problem.bins]
    return problem, duals, lay(problem, fillers, duals, fillings, problem.demand, left)


@pytest.mark.parametrize("seed", range(30))
def test_boards_laid_hold_all_pieces_within_their_room_and_spend_what_is_told(seed: int) -> None:
    problem, duals, laid = laid_at_random(seed)
    given: Counter[int] = Counter()
    for own in laid:
        items = problem.groups[problem.bins[own.pattern.bin].group]
        assert sum(items[item].length * n for item, n in own.pattern.items) <= problem.bins[own.pattern.bin].room
        worth = sum(duals.rows[row] * amount for row, amount in own.pattern.rows)
        assert own.reduced == own.pattern.cost * SCALE + duals.bins[own.pattern.bin] - worth
        given.update({row: amount * own.times for row, amount in own.pattern.rows})
    for index, row in enumerate(problem.rows):
        assert given[index] >= row.demand
        assert row.part is not None or given[index] == row.demand
    used: Counter[int] = Counter()
    for pattern, count in boards_of(laid).items():
        used[pattern.bin] += count
    assert all(bin_.available is None or used[b] <= bin_.available for b, bin_ in enumerate(problem.bins))


@pytest.mark.parametrize("seed", [seed for seed in range(30) if seed % 3])
def test_no_board_with_the_longest_piece_spends_less_than_the_first(seed: int) -> None:
    problem, duals, laid = laid_at_random(seed)
    (items,) = problem.groups
    longest = max(range(len(items)), key=lambda n: items[n].length)
    room = max(bin_.room for bin_ in problem.bins)
    most = [min(problem.rows[item.row].demand, room // item.length) for item in items]
    spent = []
    for counts in product(*(range(n + 1) for n in most)):
        used = sum(item.length * n for item, n in zip(items, counts, strict=True))
        worth = sum(duals.rows[item.row] * n for item, n in zip(items, counts, strict=True))
        if counts[longest]:
            fitting = [b for b, bin_ in enumerate(problem.bins) if used <= bin_.room]
            spent += [problem.bins[b].cost * SCALE + duals.bins[b] - worth for b in fitting]
    assert laid[0].reduced == min(spent)
