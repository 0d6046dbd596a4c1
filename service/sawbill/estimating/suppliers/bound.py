"""A bound on any purchase from a set of suppliers with what it takes to visit them: dual ascent.

Every want j is given a level v_j. Raising it above what a supplier asks takes a part w_js of his fee:

    cost_j + sum of w_js over those bought from  >=  v_j   for every way to meet j,     sum over j of w_js  <=  fee_s,

so goods and fees cost at least the sum of the levels. Levels rise in turn, from line to line, until no fee is left
(facility location: Bilde and Krarup 1977, Erlenkotter 1978; levels begin at what the goods cost without fees).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple


class Step(NamedTuple):
    """A line of a want (see wants.py) from the level at which it begins to take of a supplier's fee."""

    level: int
    supplier: int
    part: int
    whole: int
    cost: int


def ascend(
    levels: Sequence[int], steps: Sequence[Sequence[Step]], fees: Mapping[int, int]
) -> tuple[int, dict[int, int]]:
    """Raise the levels as far as the fees reach; their sum, and what is left of each fee.

    levels: to begin with, for every want, what it costs at least from these suppliers without their fees;
    steps: of these suppliers alone, by level; fees: 0 of those that are paid already.
    """
    reached, left = list(levels), dict(fees)
    taken: list[dict[int, int]] = [{} for _ in levels]
    rising = [j for j, own in enumerate(steps) if own]
    while rising:
        rising = [j for j in rising if _raised(j, reached, steps[j], taken[j], left)]
    return sum(reached), left


def _raised(j: int, reached: list[int], steps: Sequence[Step], taken: dict[int, int], left: dict[int, int]) -> bool:
    """Raise one level to its next step, or as far as the fees reach; whether it may rise again."""
    level, below, to = reached[j], list[Step](), -1
    for step in steps:
        if step.level > level:
            to = step.level
            break
        below.append(step)
    most = min(((left[s.supplier] + taken.get(s.supplier, 0) + s.cost) * s.whole // s.part for s in below), default=to)
    new = most if to < 0 else min(most, to)
    if new <= level:
        return False
    for s in below:
        takes = -(-new * s.part // s.whole) - s.cost
        more = takes - taken.get(s.supplier, 0)
        if more > 0:
            taken[s.supplier] = takes
            left[s.supplier] -= more
    reached[j] = new
    return new == to
