"""The knapsack against every filling there is."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.cutting import Order, Piece, Stock
from sawbill.cutting.linear import knapsack as module
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.knapsack import NEVER, Knapsack, reachable, split
from sawbill.cutting.linear.reduced import before, prospect
from sawbill.cutting.normalise import normalise

PINE = frozenset({"pine"})


@given(st.lists(st.integers(0, 200), min_size=1, max_size=4))
def test_splits_make_every_number_of_copies_and_no_more(most: list[int]) -> None:
    room = np.zeros((2, 64), np.int64)
    count = split(np.array(most, np.int64), room[0], room[1])
    items, copies = room[:, :count]
    for item, count in enumerate(most):
        sums = {0}
        for number in copies[items == item].tolist():
            sums |= {total + number for total in sums}
        assert sums == set(range(count + 1))


def test_reachable_totals_are_exactly_the_sums_that_fit() -> None:
    assert reachable([3, 5], [2, 1], 10).tolist() == [0, 3, 5, 6, 8]


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    pieces=st.lists(st.tuples(st.integers(3, 15), st.integers(1, 4)), min_size=1, max_size=4, unique_by=lambda p: p[0]),
    values=st.lists(st.integers(0, 30), min_size=4, max_size=4),
    boards=st.lists(st.integers(16, 40), min_size=1, max_size=2, unique=True),
    kerf=st.integers(0, 2),
    no_slivers=st.booleans(),
)
def test_every_bin_gets_its_most_valuable_filling(
    pieces: list[tuple[int, int]], values: list[int], boards: list[int], kerf: int, no_slivers: bool
) -> None:
    stocks = tuple(Stock(f"s{length}", "pine", length, length, 9) for length in boards)
    wanted = tuple(Piece(f"p{length}", length, count, PINE) for length, count in pieces)
    (problem,) = normalise(Order(stocks, wanted, kerf=kerf, no_slivers=no_slivers))
    filler = Knapsack(problem, 0)
    values = values[: len(filler.items)]
    most = [row.demand for row in problem.rows]
    for bin_index, filling in filler.best(values, most).items():
        usable = problem.bins[bin_index].usable
        best = 0
        for counts in product(*(range(count + 1) for count in most)):
            total = sum(row.length * n for row, n in zip(problem.rows, counts, strict=True))
            rest = usable - total - kerf * (sum(counts) - 1)
            if sum(counts) and rest >= 0 and not (no_slivers and 0 < rest < kerf):
                best = max(best, sum(v * n for v, n in zip(values, counts, strict=True)))
        assert filling.value == best
        assert sum(values[item] * n for item, n in filling.items) == best


@pytest.mark.parametrize("seed", range(12))
def test_it_makes_no_difference_whether_all_positions_are_held_or_those_alone_that_can_be_reached(
    monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    random = np.random.default_rng(seed)
    lengths = sorted({int(n) for n in random.integers(20, 120, 5)})
    wanted = tuple(Piece(f"p{length}", length, int(random.integers(1, 6)), PINE) for length in lengths)
    stocks = (Stock("short", "pine", 170, 30, 3), Stock("long", "pine", 330, 55))
    (problem,) = normalise(Order(stocks, wanted, kerf=2))
    prices = Duals(tuple(random.integers(0, 40, len(problem.rows)).tolist()), (3, 0), 1)
    values = [prices.rows[item.row] for item in problem.groups[0]]
    most = [row.demand for row in problem.rows]
    found = []
    for share in (0.0, 2.0):
        monkeypatch.setattr(module, "DENSE", share)
        filler = Knapsack(problem, 0)
        view = prospect(problem, filler, prices)
        ways = [
            {int(at): int(n) for at, n in zip(filler.positions, each, strict=True) if n > NEVER // 4}
            for each in before(view)
        ]
        reached = set(reachable([item.length for item in filler.items], filler.most, int(filler.positions[-1])))
        steps = {
            (int(filler.positions[a]), int(filler.positions[b]))
            for item in range(len(values))
            for a, b in zip(*filler.steps(item), strict=True)
        }
        found.append((
            {b: (filling.value, filling.items) for b, filling in filler.best(values, most).items()},
            [{at: n for at, n in each.items() if at in reached} for each in ways],
            [int(each[0]) for each in view.after],
            {(a, b) for a, b in steps if a in reached and b in reached},
        ))  # fmt: skip
        assert filler.dense == (share == 0.0)
    assert found[0] == found[1]
