"""A bound on any purchase from a set of suppliers with what it takes to visit them: dual ascent.

Every want j is given a level v_j. Raising it above what a supplier asks takes the difference w_js of his fee:

    cost_j + sum of w_js over those bought from  >=  v_j   for every way to meet j,     sum over j of w_js  <=  fee_s,

so goods and fees cost at least the sum of the levels. Levels rise in turn, from one price asked to the next, until
no fee is left (facility location: Bilde and Krarup 1977, Erlenkotter 1978). They begin at what the goods cost without.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from typing import NamedTuple


class Asked(NamedTuple):
    """What a supplier asks for a want (see wants.py)."""

    cost: int
    supplier: int


def ascend(
    levels: Sequence[int], asked: Sequence[Sequence[Asked]], fees: Mapping[int, int]
) -> tuple[int, dict[int, int]]:
    """Raise the levels as far as the fees reach; their sum, and what is left of each fee.

    levels: to begin with, for every want, what it costs at least from these suppliers without their fees;
    asked: by these suppliers alone, the cheapest first; fees: 0 of those that are paid already.
    """
    reached, left = list(levels), dict(fees)
    taken: list[dict[int, int]] = [{} for _ in levels]
    rising = [j for j, own in enumerate(asked) if own]
    while rising:
        rising = [j for j in rising if _raised(j, reached, asked[j], taken[j], left)]
    return sum(reached), left


def _raised(j: int, reached: list[int], asked: Sequence[Asked], taken: dict[int, int], left: dict[int, int]) -> bool:
    """Raise one level to what the next supplier asks, or as far as the fees reach; whether it may rise again."""
    level = reached[j]
    below = bisect_right(asked, (level, len(left) + max(left, default=0)))
    to = asked[below].cost if below < len(asked) else None
    most = min((cost + left[who] + taken.get(who, 0) for cost, who in asked[:below]), default=to)
    new = most if to is None or (most is not None and most < to) else to
    if new is None or new <= level:
        return False
    for cost, who in asked[:below]:
        left[who] -= new - cost - taken.get(who, 0)
        taken[who] = new - cost
    reached[j] = new
    return new == to
