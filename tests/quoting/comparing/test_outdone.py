"""The first that is better, held against comparing each with each."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.quoting.comparing.outdone import FEW, first_better


def each_with_each(points: list[list[int]], may: list[bool]) -> list[int]:
    def better(other: int, mine: list[int]) -> bool:
        return points[other] != mine and all(a <= b for a, b in zip(points[other], mine, strict=True))

    return [next((n for n in range(len(points)) if may[n] and better(n, mine)), -1) for mine in points]


@settings(max_examples=40)
@given(st.integers(0, 2**32 - 1), st.integers(1, 5), st.integers(1, 8 * FEW), st.sampled_from([2, 5, 40, 10_000]))
def test_the_first_is_found_that_comparing_each_with_each_finds(seed: int, numbers: int, count: int, most: int) -> None:
    """Also where many points are alike, where hardly one is better, and where some may be better than none."""
    drawn = np.random.default_rng(seed)
    points = drawn.integers(0, most, (numbers, count))
    points[0] = np.sort(points[0])[:: drawn.choice([-1, 1])]
    may = drawn.random(count) < drawn.choice([0.5, 1.0])
    assert first_better(points, may).tolist() == each_with_each(points.T.tolist(), may.tolist())


def test_where_there_is_no_point_none_is_found() -> None:
    assert first_better(np.empty((3, 0), np.int64), np.empty(0, bool)).tolist() == []
