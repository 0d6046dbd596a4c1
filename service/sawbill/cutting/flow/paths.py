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
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from sawbill.cutting.flow.places import NONE, Boards, Level, different, places, shared
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.knapsack import NEVER
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.linear.reduced import Prospect
from sawbill.cutting.problem import Problem

MOST_PLACES = 400_000  # beyond which a graph is not made: it bounds time and memory
OUT = -1  # the node before all boards and after them


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
    left, nodes = MOST_PLACES, 0
    for view in views:
        group = problem.bins[view.filler.bins[0]].group
        for boards in shared(problem, view, duals):
            levels = places(view, boards, slack, left, end)
            if levels is None:
                return None
            left -= sum(len(level.at) for level in levels)
            own, used = _compressed(problem, view, boards, levels, slack)
            arcs += [(group, arc._replace(tail=_from(arc.tail, nodes), head=_from(arc.head, nodes))) for arc in own]
            nodes += used
    return Graph(tuple(arcs), tuple(missing))


def _from(node: int, first: int) -> int:
    return node if node == OUT else node + first


def _compressed(
    problem: Problem, view: Prospect, boards: Boards, levels: Sequence[Level], slack: int
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


def _next_items(levels: Sequence[Level]) -> list[int]:
    """For each level, the first of the next item."""
    found, turn = [0] * len(levels), len(levels) - 1
    for n in range(len(levels) - 2, -1, -1):
        if levels[n].item != levels[n + 1].item:
            turn = n + 1
        found[n] = turn
    return found


def _backwards(
    view: Prospect, boards: Boards, levels: Sequence[Level], turns: Sequence[int], slack: int
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


def _lifted(level: Level, boards: Boards) -> Ints:
    """The last position from which all that follows still fits, where places may be moved."""
    if level.item == NONE:
        return np.full(len(level.at), boards.last, np.int64) if boards.lifted else level.at
    return level.label


def _labels(
    view: Prospect, boards: Boards, levels: Sequence[Level], turns: Sequence[int]
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
        _, met = different(_lifted(level, boards))
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
    boards: Boards,
    levels: Sequence[Level],
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
