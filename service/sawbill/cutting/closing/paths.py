"""Boards as paths through a compressed graph, kept small by reduced cost.

A path lays items longest first. A place is told by the item at hand, how many of it lie already, and the position;
from it one more of the item is laid, or the next item is turned to. A board of room R enters at W - R, W the longest
room, so that one graph with one end serves all lengths of board. Then, as in

    F. Brandao, J. P. Pedroso: Bin packing and related problems: general arc-flow formulation with graph compression,
    Computers & Operations Research 69 (2016),

- what no path within the slack passes goes: best value up to a place + best value after it < -slack (see reduced.py);
- a place moves to the last position from which all that follows still fits, and those that meet are one;
- a place moves back to the first position that all before it reach, and all at one position are one node.

No step loses a path, and every arc is as long as its item at least, so that every path still fits its board.

Where boards may not end everywhere, or what is left over is worth something, positions are what they are: each bin has
a graph of its own, with an arc from every end, and no place is moved.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.knapsack import NEVER
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.linear.reduced import Prospect, spread
from sawbill.cutting.problem import Problem

MOST_PLACES = 400_000  # beyond which a graph is not made: it bounds time and memory
OUT = -1  # the node before all boards and after them
NONE = -1


class Arc(NamedTuple):
    """From a node to a higher one: an item laid, a board of a bin begun, or neither, NONE for what it is not."""

    tail: int
    head: int
    item: int = NONE
    bin: int = NONE
    cost: int = 0


@dataclass(frozen=True, slots=True)
class Graph:
    """All that is left of the boards' graphs, and the rows of which a piece may be missing."""

    arcs: tuple[tuple[int, Arc], ...]
    missing: tuple[int, ...]


@dataclass(slots=True)
class _Level:
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
class _Boards:
    """Boards that share a graph: where each bin's enter and at what value; what a position is worth as an end."""

    entries: dict[int, tuple[int, int]]
    last: int
    ending: Callable[[Ints], Ints]
    ahead: Callable[[int, Ints], Ints]
    lifted: bool


def graph(
    problem: Problem,
    views: Sequence[Prospect],
    duals: Duals,
    slack: int,
    missing: Sequence[int],
    end: float = math.inf,
) -> Graph | None:
    """The compressed graph of all plans within the slack; None when it is too large, or time is up before it is made.

    end: the emergency stop.
    """
    arcs: list[tuple[int, Arc]] = []
    places, nodes = MOST_PLACES, 0
    for view in views:
        group = problem.bins[view.filler.bins[0]].group
        for boards in _shared(problem, view, duals):
            levels = _places(view, boards, slack, places, end)
            if levels is None:
                return None
            places -= sum(len(level.at) for level in levels)
            own, used = _compressed(problem, view, boards, levels, slack)
            arcs += [(group, arc._replace(tail=_from(arc.tail, nodes), head=_from(arc.head, nodes))) for arc in own]
            nodes += used
    return Graph(tuple(arcs), tuple(missing))


def _from(node: int, first: int) -> int:
    return node if node == OUT else node + first


def _shared(problem: Problem, view: Prospect, duals: Duals) -> Iterator[_Boards]:
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

        yield _Boards(entries, longest, lambda at: np.zeros(len(at), np.int64), ahead, lifted=True)
        return
    for b in view.endings:
        yield _by_itself(problem, view, b)


def _by_itself(problem: Problem, view: Prospect, b: int) -> _Boards:
    """A bin's boards alone, which may end only where they may."""
    positions = view.filler.positions

    def told(values: Ints, at: Ints) -> Ints:
        """What is told of places, never where no board may be cut to."""
        index = np.minimum(positions.searchsorted(at), len(positions) - 1)
        return np.where(positions[index] == at, values[index], NEVER // 2)

    return _Boards(
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


def _places(view: Prospect, boards: _Boards, slack: int, limit: int, end: float) -> list[_Level] | None:
    """All places a path within the slack may pass, level by level, and at last those where all items are done with."""
    starts = np.array(sorted({at for at, _ in boards.entries.values()}), np.int64)
    best = np.full(len(starts), NEVER // 2, np.int64)
    for position, value in boards.entries.values():
        best[starts == position] = np.maximum(best[starts == position], value)
    at: Ints = starts
    levels: list[_Level] = []
    for depth, item in enumerate(view.order):
        own = _copies(view, boards, slack, depth, at, best)
        ends, worths = np.concatenate([level.at for level in own]), np.concatenate([level.best for level in own])
        good = worths + boards.ahead(depth + 1, ends) >= -slack
        at, index = _different(ends[good])
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
    levels.append(_Level(NONE, at, best, none, none, boards.ending(at), at))
    return levels


def _different(values: Ints) -> tuple[Ints, Ints]:
    """The different values, ascending, and of which each is."""
    found: tuple[Ints, Ints] = np.unique(values, return_inverse=True)
    return found


def _copies(view: Prospect, boards: _Boards, slack: int, depth: int, at: Ints, best: Ints) -> list[_Level]:
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
        levels.append(_Level(item, at, best, placed, placed, at, at))
        at, best = moved[well], worth[well]
        if not len(at):
            break
    return levels


def _compressed(
    problem: Problem, view: Prospect, boards: _Boards, levels: Sequence[_Level], slack: int
) -> tuple[list[Arc], int]:
    """The arcs once places are moved and met, each once, between nodes from 0 on; and how many nodes there are."""
    turns = _next_items(levels)
    _backwards(view, boards, levels, turns, slack)
    labels, first = _labels(view, boards, levels, turns)
    arcs: set[tuple[int, int, int]] = set()
    for n, level in enumerate(levels[:-1]):
        for to, item, leads in ((n + 1, level.item, level.placed), (turns[n], NONE, level.skipped)):
            there = np.flatnonzero(leads >= 0)
            tails, heads = labels[n][there], labels[to][leads[there]]
            arcs.update((t, h, item) for t, h in zip(tails.tolist(), heads.tolist(), strict=True) if t < h)
    return _numbered(problem, boards, levels, labels, first, arcs, view, slack)


def _next_items(levels: Sequence[_Level]) -> list[int]:
    """For each level, the first of the next item."""
    found, turn = [0] * len(levels), len(levels) - 1
    for n in range(len(levels) - 2, -1, -1):
        if levels[n].item != levels[n + 1].item:
            turn = n + 1
        found[n] = turn
    return found


def _backwards(
    view: Prospect, boards: _Boards, levels: Sequence[_Level], turns: Sequence[int], slack: int
) -> None:  # fmt: skip
    """From the end: the best value after each place, without the arcs that no path within the slack passes."""
    values = dict(zip(view.order, view.values, strict=True))
    for n in range(len(levels) - 2, -1, -1):
        level = levels[n]
        level.after = np.full(len(level.at), NEVER // 2, np.int64)
        level.label = np.full(len(level.at), boards.last, np.int64)
        length = int(view.filler.lengths[level.item])
        for to, leads, value, by in (
            (n + 1, level.placed, values[level.item], length),
            (turns[n], level.skipped, 0, 0),
        ):
            there = np.flatnonzero(leads >= 0)
            after = levels[to].after[leads[there]] + value
            good = level.best[there] + after >= -slack
            leads[there[~good]] = NONE
            there, after = there[good], after[good]
            level.after[there] = np.maximum(level.after[there], after)
            label = _lifted(levels[to], boards)[leads[there]] - by
            level.label[there] = np.minimum(level.label[there], label)


def _lifted(level: _Level, boards: _Boards) -> Ints:
    """The last position from which all that follows still fits, where places may be moved."""
    if level.item == NONE:
        return np.full(len(level.at), boards.last, np.int64) if boards.lifted else level.at
    return level.label


def _labels(
    view: Prospect, boards: _Boards, levels: Sequence[_Level], turns: Sequence[int]
) -> tuple[list[Ints], dict[int, int]]:
    """For each place the first position that all before it reach; and the node at which each bin's boards enter."""
    labels = [np.full(len(level.at), NEVER, np.int64) for level in levels]
    first: dict[int, int] = {}
    for b, (position, _) in boards.entries.items():
        index = int(levels[0].at.searchsorted(position))
        if index < len(levels[0].at) and levels[0].at[index] == position:
            first[b] = index
            labels[0][index] = position
    for n, level in enumerate(levels):
        _, met = _different(_lifted(level, boards))
        reached = np.full(met.max(initial=-1) + 1, NEVER, np.int64)
        np.maximum.at(reached, met, labels[n])
        labels[n] = reached[met]
        if level.item == NONE:
            break
        length = int(view.filler.lengths[level.item])
        for to, leads, by in ((n + 1, level.placed, length), (turns[n], level.skipped, 0)):
            there = np.flatnonzero((leads >= 0) & (labels[n] > NEVER))
            np.maximum.at(labels[to], leads[there], labels[n][there] + by)
    return labels, first


def _numbered(
    problem: Problem,
    boards: _Boards,
    levels: Sequence[_Level],
    labels: Sequence[Ints],
    first: dict[int, int],
    arcs: set[tuple[int, int, int]],
    view: Prospect,
    slack: int,
) -> tuple[list[Arc], int]:
    """The arcs with the boards' beginnings and ends, between nodes counted from 0."""
    values = dict(zip(boards.entries, (value for _, value in boards.entries.values()), strict=True))
    begun = {b: int(labels[0][i]) for b, i in first.items() if values[b] + levels[0].after[i] >= -slack}
    positions = sorted({p for tail, head, _ in arcs if tail > NEVER for p in (tail, head)} | set(begun.values()))
    node = {p: n for n, p in enumerate(positions)}
    if boards.lifted:
        node[boards.last] = OUT
        if len(labels[-1]):
            node[int(labels[-1].max())] = OUT
    found = [Arc(node[tail], node[head], item=item) for tail, head, item in sorted(arcs) if tail > NEVER]
    found += [Arc(OUT, node[p], bin=b, cost=problem.bins[b].cost) for b, p in begun.items() if node[p] != OUT]
    if not boards.lifted:
        (b,) = boards.entries
        good = levels[-1].best + levels[-1].after >= -slack
        for p in sorted(set(levels[-1].at[good].tolist())):
            if p:
                found.append(Arc(node[p], OUT, cost=-problem.worth(b, problem.leftover(b, problem.at(p)[0]))))
    return found, len(positions)
