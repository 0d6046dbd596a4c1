"""The knapsack against every filling there is."""

from __future__ import annotations

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.estimating.cutting import Order, Piece, Stock
from sawbill.estimating.cutting.knapsack import Knapsack, reachable, splits
from sawbill.estimating.cutting.normalise import normalise

PINE = frozenset({"pine"})


@given(st.integers(0, 200))
def test_splits_make_every_number_of_copies_and_no_more(count: int) -> None:
    sums = {0}
    for copies in splits(count):
        sums |= {total + copies for total in sums}
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
