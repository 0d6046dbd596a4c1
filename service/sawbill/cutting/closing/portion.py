"""A part of a problem as a problem of its own: some of its pieces, cut from the boards of some of its groups."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from math import gcd

from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.problem import MISSING, Problem


@dataclass(frozen=True, slots=True)
class Portion:
    """The part's problem, and which row, bin and, group by group, item of the whole each of its own is."""

    whole: Problem
    problem: Problem
    rows: tuple[int, ...]
    bins: tuple[int, ...]
    items: tuple[tuple[int, ...], ...]

    def plan(self, plan: Plan) -> Plan:
        """A plan of the part's in patterns of the whole problem."""
        found: Plan = {}
        for pattern, count in plan.items():
            if pattern.bin == MISSING:
                found[self.whole.missing(self.rows[pattern.rows[0][0]])] = count
            else:
                items = self.items[self.problem.bins[pattern.bin].group]
                own = ((items[item], n) for item, n in pattern.items)
                found[self.whole.pattern(self.bins[pattern.bin], own)] = count
        return found


def portion(
    whole: Problem, demand: Sequence[int], available: Sequence[int | None], groups: Collection[int]
) -> Portion:  # fmt: skip
    """So much of each row, from so many boards of each bin in these groups; rows of which nothing is asked go."""
    rows = [row for row, amount in enumerate(demand) if amount]
    place = {row: n for n, row in enumerate(rows)}
    items = {
        group: own
        for group in sorted(groups)
        if (own := tuple(n for n, item in enumerate(whole.groups[group]) if item.row in place))
    }
    number = {group: n for n, group in enumerate(items)}
    bins = [b for b, bin_ in enumerate(whole.bins) if bin_.group in items and available[b] != 0]
    step = gcd(*(whole.bins[b].cost for b in bins)) if whole.step > 1 else whole.step
    step = max(1, step)
    problem = replace(
        whole,
        rows=tuple(replace(whole.rows[row], demand=demand[row]) for row in rows),
        groups=tuple(
            tuple(replace(whole.groups[group][n], row=place[whole.groups[group][n].row]) for n in own)
            for group, own in items.items()
        ),
        bins=tuple(replace(whole.bins[b], group=number[whole.bins[b].group], available=available[b]) for b in bins),
        step=step,
        penalty=-(-whole.penalty // step) * step,
    )
    return Portion(whole, problem, tuple(rows), tuple(bins), tuple(items.values()))
