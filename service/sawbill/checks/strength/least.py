"""What loads do to a frame at least, whatever its parts weigh between their lightest wood and their heaviest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final

import numpy as np

from sawbill.checks.statics.elimination import Floats
from sawbill.checks.statics.model import Loads, Model, Solved

EFFECTS: Final = ("forces", "floor", "moments", "shears", "bent", "gone", "stands")
"""What is told of every column that is solved."""


def least_solved(model: Model, light: Loads, heavier: Iterable[Loads], cases: Sequence[Loads]) -> Solved:
    """What each case does at least.

    light: what is always there, of the lightest wood; heavier: the same with a group of parts in their heaviest. More
    weight on one part may lift another. Effects are in proportion to weights as long as the same places press, so that
    the least there is of each is what all groups together take from it.
    """
    more = [_more(light, each) for each in heavier]
    together = [_joined(loads, each) for each in ({}, *more) for loads in cases]
    solved, number = model.solve(light, together), len(more) + 1  # all at once: they share one elimination
    effects = {name: _apart(getattr(solved, name), number, len(cases)) for name in EFFECTS}
    least = {name: _least(effects[name]) for name in ("forces", "moments", "shears", "bent")}
    stands = effects["stands"].all(axis=0)
    return Solved(len(cases), **least, floor=effects["floor"][0], gone=effects["gone"][0], stands=stands)


def _more(light: Loads, heavy: Loads) -> Loads:
    """What the same things weigh more."""
    return {
        member: [(a, b, much - less) for (a, b, less), (_, _, much) in zip(light[member], heavy[member], strict=True)]
        for member in light
        if light[member] != heavy[member]
    }


def _joined(loads: Loads, more: Loads) -> Loads:
    return {member: (*loads.get(member, ()), *more.get(member, ())) for member in {**loads, **more}}


def _apart(effects: Any, groups: int, count: int) -> Any:
    """Effects by column, one behind the other for every way, group and case: by group, as if solved for it alone."""
    rows = effects.shape[:-1]
    return np.moveaxis(effects.reshape(*rows, -1, groups, count), -2, 0).reshape(groups, *rows, -1)


def _least(effects: Floats) -> Floats:
    """The first of the effects, less all that it is less by in each of the others: of the same sign, or nothing."""
    size = np.abs(effects)
    left = size[0] - np.maximum(0.0, size[0] - size[1:]).sum(axis=0)
    least: Floats = np.sign(effects[0]) * np.maximum(0.0, left)
    return least
