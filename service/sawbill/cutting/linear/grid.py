"""The same problem in coarser units: rounded so that what fits there fits in truth, or that what fits in truth does.

Pieces rounded up and boards down make every filling a pattern of the exact problem; pieces rounded down and boards up
make every pattern a filling, so that the least cost is no higher than the true one.
"""

from __future__ import annotations

from dataclasses import replace

from sawbill.cutting.problem import Bin, Item, Problem


def coarser(problem: Problem, times: int, *, hopeful: bool = False) -> Problem:
    """The problem in units so many times as large, rounded safely, or hopefully; slivers are then let be."""

    def item(own: Item) -> Item:
        return replace(own, length=max(1, own.length // times) if hopeful else -(-own.length // times))

    def bin_(own: Bin) -> Bin:
        return replace(own, room=-(-own.room // times) if hopeful else own.room // times)

    return replace(
        problem,
        groups=tuple(tuple(map(item, items)) for items in problem.groups),
        bins=tuple(map(bin_, problem.bins)),
        unit=problem.unit * times,
        no_slivers=problem.no_slivers and not hopeful,
        rounded=True,
    )
