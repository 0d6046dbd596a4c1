"""The dive when time runs out in the middle of it."""

from __future__ import annotations

import time

import pytest

from sawbill.cutting import Order, Piece, Stock
from sawbill.cutting.closing import dive
from sawbill.cutting.linear import columns, greedy, relaxation
from sawbill.cutting.normalise import normalise

PINE = frozenset({"pine"})
ORDER = Order(
    (Stock("a", "pine", 100, 31), Stock("b", "pine", 140, 40)),
    tuple(Piece(f"p{n}", 13 + 5 * n, 3 + n, PINE) for n in range(9)),
    kerf=1,
)


def test_every_pattern_has_its_count_even_when_the_clock_stops_a_round() -> None:
    """A pattern found in the last round must not be left in the programme without a count."""
    (problem,) = normalise(ORDER)
    fillers = greedy.knapsacks(problem)
    master = columns.Master(problem, greedy.complete(problem, fillers, {}))
    _, counts = dive._solve(problem, fillers, master, problem.demand, end=0)
    assert len(counts) == len(master.patterns)


@pytest.mark.parametrize("ticks", range(1, 60, 3))
def test_a_plan_comes_back_whenever_the_clock_runs_out(ticks: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock runs out at its n-th reading, for many n, so at every place that reads it."""
    (problem,) = normalise(ORDER)
    fillers = greedy.knapsacks(problem)
    start, readings = greedy.complete(problem, fillers, {}), iter(range(10**9))
    monkeypatch.setattr(time, "monotonic", lambda: float(next(readings)))
    bound, relaxed = relaxation.relax(problem, fillers, start, float(ticks))
    found = dive.dive(problem, fillers, relaxed.master, start, bound, float(ticks))
    assert greedy.residual(problem, found) == [0] * len(problem.rows)
    assert bound <= greedy.cost(found) <= greedy.cost(start)
