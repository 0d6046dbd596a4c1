"""The closing programme: boards as paths through a graph of positions, kept small by reduced cost.

Nodes are positions in a board, an arc (i, p) lays item i at p, an end (k, p) stops there in a board of bin k.
With x and y counting boards that pass them,

    inflow = outflow (ends included) at every position but 0,
    sum of what arcs give to a row >= its demand (= where no surplus is allowed),
    sum of a limited bin's ends <= its boards,
    low <= sum cost y <= high:  the band between the proven bound and what would be cheaper than the plan at hand.

Only arcs and ends with reduced cost within the slack are in it (see reduced.py), so when it has no
solution no plan costs between low and high.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sawbill.estimating.cutting.answers import Programme
from sawbill.estimating.cutting.greedy import Plan
from sawbill.estimating.cutting.problem import Problem
from sawbill.estimating.cutting.reduced import Prospect, before


@dataclass(frozen=True, slots=True)
class Arc:
    """An item laid at a position (both in units), in the graph of a group."""

    group: int
    item: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class End:
    """Boards of a bin that end at a position, and what each costs, its leftover credited."""

    group: int
    bin: int
    at: int
    cost: int


@dataclass(frozen=True, slots=True)
class Graph:
    """All that is left of the boards' graphs."""

    arcs: tuple[Arc, ...]
    ends: tuple[End, ...]
    missing: tuple[int, ...]


def graph(problem: Problem, views: Sequence[Prospect], slack: int, missing: Sequence[int]) -> Graph:
    """The arcs and ends whose reduced cost may be within the slack; missing: rows that may fall short."""
    arcs: list[Arc] = []
    ends: list[End] = []
    for view in views:
        filler, positions = view.filler, view.filler.positions
        group, behind = problem.bins[filler.bins[0]].group, before(view)
        for depth, item in enumerate(view.order):
            source, target = filler.steps(item)
            value = behind[depth][source] + view.values[depth] + view.after[depth][target]
            kept = positions[source][value >= -slack]
            length = problem.stride(filler.items[item])
            arcs += [Arc(group, item, int(p), int(p) + length) for p in kept]
        for bin_index, ending in view.endings.items():
            for at in np.flatnonzero(behind[-1] + ending >= -slack):
                if place := int(positions[at]):
                    worth = problem.worth(bin_index, problem.leftover(bin_index, problem.at(place)[0]))
                    ends.append(End(group, bin_index, place, problem.bins[bin_index].cost - worth))
    return Graph(tuple(arcs), tuple(ends), tuple(missing))


def programme(problem: Problem, own: Graph, low: int, high: int) -> Programme:
    """The programme over a graph: arcs first, then ends, then pieces that cannot be had."""
    nodes = sorted({(arc.group, p) for arc in own.arcs for p in (arc.start, arc.end) if p})
    node_row = {node: n for n, node in enumerate(nodes)}
    first_row = len(nodes)
    limited = [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
    bin_row = {b: first_row + len(problem.rows) + n for n, b in enumerate(limited)}
    band = first_row + len(problem.rows) + len(limited)
    columns: list[dict[int, int]] = []
    for arc in own.arcs:
        item = problem.groups[arc.group][arc.item]
        column = {first_row + item.row: item.gives, node_row[arc.group, arc.end]: 1}
        if arc.start:
            column[node_row[arc.group, arc.start]] = -1
        columns.append(column)
    for end in own.ends:
        column = {band: end.cost}
        if (end.group, end.at) in node_row:
            column[node_row[end.group, end.at]] = -1
        if end.bin in bin_row:
            column[bin_row[end.bin]] = 1
        columns.append(column)
    columns += [{first_row + row: 1, band: problem.penalty} for row in own.missing]
    costs = [0] * len(own.arcs) + [end.cost for end in own.ends] + [problem.penalty] * len(own.missing)
    demand = [row.demand for row in problem.rows]
    lowers: list[int | None] = [*[0] * len(nodes), *demand, *[None] * len(limited), low]
    uppers: list[int | None] = [0] * len(nodes)
    uppers += [row.demand if row.exact else None for row in problem.rows]
    uppers += [problem.bins[b].available for b in limited] + [high]
    entries = tuple(tuple(sorted(column.items())) for column in columns)
    return Programme(tuple(costs), entries, tuple(lowers), tuple(uppers))


def read(problem: Problem, own: Graph, counts: Sequence[int]) -> Plan:
    """The plan in a solution: paths taken off the graph, each as many times as its thinnest arc allows."""
    flow = {arc: n for arc, n in zip(own.arcs, counts, strict=False) if n}
    stops = {end: n for end, n in zip(own.ends, counts[len(own.arcs) :], strict=False) if n}
    missing = counts[len(own.arcs) + len(own.ends) :]
    into: dict[tuple[int, int], list[Arc]] = defaultdict(list)
    for arc in flow:
        into[arc.group, arc.end].append(arc)
    plan: Plan = {problem.missing(row): n for row, n in zip(own.missing, missing, strict=True) if n}
    for end in sorted(stops, key=lambda end: (end.bin, end.at)):
        while stops[end]:
            path = _path_to(end, into, flow)
            times = min(stops[end], *(flow[arc] for arc in path))
            items = Counter(arc.item for arc in path)
            pattern = problem.pattern(end.bin, items.items())
            plan[pattern] = plan.get(pattern, 0) + times
            stops[end] -= times
            for arc in path:
                flow[arc] -= times
    return plan


def _path_to(end: End, into: dict[tuple[int, int], list[Arc]], flow: dict[Arc, int]) -> list[Arc]:
    path, at = [], end.at
    while at:
        arc = next(arc for arc in into[end.group, at] if flow[arc])
        path.append(arc)
        at = arc.start
    return path
