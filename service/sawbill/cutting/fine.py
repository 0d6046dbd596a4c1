"""Orders whose lengths are so many and so fine that their sums cannot all be held: planned on ever finer grids.

Rounded hopefully, no order costs more than it does: what is proven of it holds. Where its cheapest plan fits in truth,
checked in whole nanometres, it is a cheapest plan. The errors of different grids differ, so that a few are tried; then
what fits of the last plan is kept, and the rest planned on the grid rounded safely.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace

from sawbill.cutting import solve
from sawbill.cutting.closing.known import Known
from sawbill.cutting.linear import greedy
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.grid import coarser
from sawbill.cutting.linear.places import TooManyPlacesError
from sawbill.cutting.problem import MISSING, Problem
from sawbill.cutting.solve import Found

NUMBERS = 6_000_000  # places times items of the first grid; the finest must stay within what places.py holds
MOST_PLACES = 200_000
FINER = (1.0, 1.37, 1.91)  # one grid against the first


def find(
    problem: Problem, end: float, enough: int | None = None, *, brief: bool = False, begun: Found | None = None
) -> Found:
    """A plan of least cost as far as it can be found; begun: what was found of the same problem, to go on from."""
    try:
        return solve.find(problem, end, enough, brief=brief, begun=begun)
    except TooManyPlacesError:
        return _on_grids(problem, end, enough, brief=brief)


def _on_grids(problem: Problem, end: float, enough: int | None, *, brief: bool) -> Found:
    """From the hopeful plans, the cheapest that fits; the bound is the highest of any grid."""
    best, bound = None, 0
    for turn, times in enumerate(_grids(problem)):
        begun = time.monotonic()
        share = (end - begun) / (2 * (len(FINER) - turn))
        hoped = solve.find(coarser(problem, times, hopeful=True), time.monotonic() + share, enough, brief=brief)
        bound = max(bound, hoped.bound)
        if best is not None and time.monotonic() > end:
            break
        plan = _in_truth(problem, hoped.known.plan)
        if not _covers(problem, plan):
            plan = _mended(problem, times, plan, time.monotonic() + share)
        known = Known(plan, greedy.cost(plan), bound, hoped.known.stage, hoped.known.timed_out, enough, brief)
        if best is None or known.cost < best.cost:
            best = known
        if best.cost <= bound or 2 * time.monotonic() - begun > end:  # a finer grid takes no less than this has taken
            break
    assert best is not None
    best = replace(best, bound=min(bound, best.cost))
    return Found(problem, best, best.bound, (), None)


def _in_truth(problem: Problem, plan: Plan) -> Plan:
    """What of a plan on a grid fits in truth."""
    found: Plan = {}
    for pattern, count in plan.items():
        own = pattern if pattern.bin == MISSING else problem.pattern(pattern.bin, pattern.items)
        if own.bin == MISSING or problem.admits(own.bin, own.used, own.lends):
            found[own] = found.get(own, 0) + count
    return found


def _covers(problem: Problem, plan: Plan) -> bool:
    return not any(greedy.residual(problem, plan))


def _mended(problem: Problem, times: int, plan: Plan, end: float) -> Plan:
    """The cheaper of a plan with the rest laid out safely, and of one that is safe as a whole."""
    safe = coarser(problem, times)
    above = solve.find(safe, end, brief=True)
    kept = {p: n for p, n in plan.items() if p.bin != MISSING}
    mended = greedy.complete(safe, above.fillers, kept)
    return min((_in_truth(problem, own) for own in (mended, above.known.plan)), key=greedy.cost)


def _grids(problem: Problem) -> Iterator[int]:
    """How many of the problem's units one of a grid's is, the coarsest first."""
    longest, items = max(bin_.room for bin_ in problem.bins), max(map(len, problem.groups))
    places = min(MOST_PLACES, NUMBERS // items)
    return (max(1, int(longest // (finer * places))) for finer in FINER)
