"""Which of many points is the first that is nowhere worse than another and somewhere better (Pareto dominance).

The points are halved again and again, each time in the number in which they lie farthest apart (a k-d tree, Bentley
1975), and whole halves are passed by: those that cannot hold what is better, or hold nothing before what was found.
So a hundred thousand points take seconds, where each against each would take ten thousand million comparisons.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

FEW: Final = 32
"""How many points are compared each with each."""
NONE: Final = -1
"""No point is better."""
Ints = npt.NDArray[np.int64]


def first_better(points: Ints, may: npt.NDArray[np.bool_]) -> Ints:
    """By point, the first that is better, or NONE; points: a column each, of which less is better.

    may: which of them count as better than any.
    """
    some = np.flatnonzero(may)
    found = np.full(points.shape[1], points.shape[1], np.int64)
    if len(some):
        _look(points, some, np.arange(points.shape[1]), found)
    return np.where(found < points.shape[1], found, NONE)


def _look(points: Ints, some: Ints, asking: Ints, found: Ints) -> None:
    """See which of some points are better than those that ask, of which each knows the first it found."""
    mine, first = points[:, some], some.min()
    low, high = mine.min(axis=1, keepdims=True), mine.max(axis=1, keepdims=True)
    theirs = points[:, asking]
    could = (low <= theirs).all(axis=0) & (low < theirs).any(axis=0) & (first < found[asking])
    asking, theirs = asking[could], theirs[:, could]
    all_of_them = (high <= theirs).all(axis=0) & (high < theirs).any(axis=0)
    found[asking[all_of_them]] = first
    asking = asking[~all_of_them]
    if not len(asking):
        return
    if len(some) <= FEW:
        _compare(points, np.sort(some), asking, found)
        return
    widest = mine[int((high - low).argmax())]
    halves = np.argpartition(widest, len(some) // 2)
    for half in np.split(some[halves], [len(some) // 2]):
        _look(points, half, asking, found)


def _compare(points: Ints, some: Ints, asking: Ints, found: Ints) -> None:
    """Compare each of some points, in their order, with each that asks."""
    no_worse = np.ones((len(some), len(asking)), bool)
    better = np.zeros_like(no_worse)
    for row in points:
        mine, theirs = row[some][:, None], row[asking][None]
        no_worse &= mine <= theirs
        better |= mine < theirs
    better &= no_worse
    first = np.where(better.any(axis=0), some[better.argmax(axis=0)], len(found))
    found[asking] = np.minimum(found[asking], first)
