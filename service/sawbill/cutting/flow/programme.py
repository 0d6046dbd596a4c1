"""The closing programme: how many boards pass each arc of the compressed graph (see paths.py).

With x counting the boards that pass an arc,

    inflow = outflow at every node but the ends,
    sum of what arcs give to a row >= its demand (= where no surplus is allowed),
    sum of a limited bin's entries <= its boards,
    low <= cost <= high:  the band between the proven bound and what would be cheaper than the plan at hand.

When it has no solution no plan costs between low and high.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from sawbill.cutting.flow.paths import OUT, Graph
from sawbill.cutting.flow.places import NONE
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.problem import Problem
from sawbill.cutting.solver.answers import Programme


def programme(problem: Problem, own: Graph, low: int, high: int) -> Programme:
    """The programme over a graph: its arcs, then pieces that cannot be had."""
    nodes = 1 + max((node for _, arc in own.arcs for node in (arc.tail, arc.head)), default=-1)
    limited = [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
    bin_row = {b: nodes + len(problem.rows) + n for n, b in enumerate(limited)}
    band = nodes + len(problem.rows) + len(limited)
    columns: list[dict[int, int]] = []
    for group, arc in own.arcs:
        column = {node: sign for node, sign in ((arc.tail, -1), (arc.head, 1)) if node != OUT}
        if arc.item != NONE:
            item = problem.groups[group][arc.item]
            column[nodes + item.row] = item.gives
        if arc.bin in bin_row:
            column[bin_row[arc.bin]] = 1
        if arc.cost:
            column[band] = arc.cost
        columns.append(column)
    columns += [{nodes + row: 1, band: problem.penalty} for row in own.missing]
    costs = [arc.cost for _, arc in own.arcs] + [problem.penalty] * len(own.missing)
    demand = [row.demand for row in problem.rows]
    lowers: list[int | None] = [*[0] * nodes, *demand, *[None] * len(limited), low]
    uppers: list[int | None] = [0] * nodes
    uppers += [row.demand if row.exact else None for row in problem.rows]
    uppers += [problem.bins[b].available for b in limited] + [high]
    entries = tuple(tuple(sorted(column.items())) for column in columns)
    return Programme(tuple(costs), entries, tuple(lowers), tuple(uppers), most=high)


def read(problem: Problem, own: Graph, counts: Sequence[int]) -> Plan:
    """The plan in a solution: paths taken off the graph, each as many times as its thinnest arc allows."""
    flow = {n: count for n, count in enumerate(counts[: len(own.arcs)]) if count}
    plan = {problem.missing(row): n for row, n in zip(own.missing, counts[len(own.arcs) :], strict=True) if n}
    out: dict[int, list[int]] = defaultdict(list)
    for n in flow:
        out[own.arcs[n][1].tail].append(n)
    for first in out[OUT]:
        while flow[first]:
            path = [first]
            while own.arcs[path[-1]][1].head != OUT:
                path.append(next(n for n in out[own.arcs[path[-1]][1].head] if flow[n]))
            times = min(flow[n] for n in path)
            items = Counter(own.arcs[n][1].item for n in path if own.arcs[n][1].item != NONE)
            pattern = problem.pattern(own.arcs[first][1].bin, items.items())
            plan[pattern] = plan.get(pattern, 0) + times
            for n in path:
                flow[n] -= times
    return plan
