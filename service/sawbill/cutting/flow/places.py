"""Where boards may be cut to: the places that paths within the slack pass, level by level (see paths.py)."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.knapsack import NEVER
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.linear.reduced import Prospect, spread
from sawbill.cutting.problem import Problem

NONE = -1


@dataclass(slots=True)
class Level:
    """Places at which so many of an item lie: positions, the best value up to each and after it, where arcs lead.

    placed: the place one more leads to, on the next level; skipped: on the next item's first level; NONE for none.
    """

    item: int
    at: Ints
    best: Ints
    placed: Ints
    skipped: Ints
    after: Ints
    label: Ints


@dataclass(frozen=True, slots=True)
class Boards:
    """Boards that share a graph: where each bin's enter and at what value; what a position is worth as an end."""

    entries: dict[int, tuple[int, int]]
    last: int
    ending: Callable[[Ints], Ints]
    ahead: Callable[[int, Ints], Ints]
    lifted: bool


def shared(problem: Problem, view: Prospect, duals: Duals) -> Iterator[Boards]:
    """The boards of a group: all in one graph, or each bin's by itself where it matters where they end."""
    filler = view.filler
    if filler.any_end:
        longest = max(problem.bins[b].room for b in filler.bins)
        entries = {
            b: (longest - problem.bins[b].room, -(problem.bins[b].cost * duals.scale + duals.bins[b]))
            for b in filler.bins
        }
        most = _most_ahead(view)

        def ahead(depth: int, at: Ints) -> Ints:
            return most[depth][filler.positions.searchsorted(longest - at, side="right") - 1]

        yield Boards(entries, longest, lambda at: np.zeros(len(at), np.int64), ahead, lifted=True)
        return
    for b in view.endings:
        yield _by_itself(problem, view, b)


def _by_itself(problem: Problem, view: Prospect, b: int) -> Boards:
    """A bin's boards alone, which may end only where they may."""
    positions = view.filler.positions

    def told(values: Ints, at: Ints) -> Ints:
        """What is told of places, never where no board may be cut to."""
        index = np.minimum(positions.searchsorted(at), len(positions) - 1)
        return np.where(positions[index] == at, values[index], NEVER // 2)

    return Boards(
        {b: (0, 0)},
        int(positions[-1]),
        lambda at: told(view.endings[b], at),
        lambda depth, at: told(view.after[depth], at),
        lifted=False,
    )


def _most_ahead(view: Prospect) -> list[Ints]:
    """[i][p]: the best value of items from the i-th on that take up no more than positions[p]."""
    best = np.full(len(view.filler.positions), NEVER // 2, np.int64)
    best[0] = 0
    found = [np.maximum.accumulate(best)]
    for item, value in zip(reversed(view.order), reversed(view.values), strict=True):
        best = spread(view.filler, item, value, best, forward=True)
        found.append(np.maximum.accumulate(best))
    return found[::-1]


def places(view: Prospect, boards: Boards, slack: int, limit: int, end: float) -> list[Level] | None:
    """All places a path within the slack may pass, level by level, and at last those where all items are done with."""
    starts = np.array(sorted({at for at, _ in boards.entries.values()}), np.int64)
    best = np.full(len(starts), NEVER // 2, np.int64)
    for position, value in boards.entries.values():
        best[starts == position] = np.maximum(best[starts == position], value)
    at: Ints = starts
    levels: list[Level] = []
    for depth, item in enumerate(view.order):
        own = _copies(view, boards, slack, depth, at, best)
        ends, worths = np.concatenate([level.at for level in own]), np.concatenate([level.best for level in own])
        good = worths + boards.ahead(depth + 1, ends) >= -slack
        at, index = different(ends[good])
        best = np.full(len(at), NEVER // 2, np.int64)
        np.maximum.at(best, index, worths[good])
        skipped = np.full(len(ends), NONE, np.int64)
        skipped[good] = index
        first = 0
        for level in own:
            level.item, level.skipped = item, skipped[first : first + len(level.at)]
            first += len(level.at)
        levels += own
        limit -= len(ends)
        if limit < 0 or time.monotonic() > end:
            return None
    none = np.full(len(at), NONE, np.int64)
    levels.append(Level(NONE, at, best, none, none, boards.ending(at), at))
    return levels


def different(values: Ints) -> tuple[Ints, Ints]:
    """The different values, ascending, and of which each is."""
    found: tuple[Ints, Ints] = np.unique(values, return_inverse=True)
    return found


def _copies(view: Prospect, boards: Boards, slack: int, depth: int, at: Ints, best: Ints) -> list[Level]:
    """Places with none, one, two, ... of an item, from those where it is turned to."""
    item, value = view.order[depth], view.values[depth]
    length, levels = int(view.filler.lengths[item]), []
    for copy in range(view.filler.most[item] + 1):
        good = at + length <= boards.last if copy < view.filler.most[item] else np.zeros(len(at), np.bool_)
        moved, worth = at[good] + length, best[good] + value
        well = worth + boards.ahead(depth, moved) >= -slack
        good[good] = well
        placed = np.full(len(at), NONE, np.int64)
        placed[good] = np.arange(np.count_nonzero(good))
        levels.append(Level(item, at, best, placed, placed, at, at))
        at, best = moved[well], worth[well]
        if not len(at):
            break
    return levels
