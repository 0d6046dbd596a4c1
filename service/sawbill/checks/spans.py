"""Beams between supports, each span by itself: as if sawn through over what carries it.

So a beam that runs on is reckoned by hand: of loads spread alike, no moment in a span or over a support is greater
than that of its longest span cut free. What a support between two spans carries, and the shear beside it, is up to a
quarter more than of spans cut free (two equal ones: 5/4), and is taken as that. Forces [N], lengths [mm].
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

Patch = tuple[float, float, float]
"""A load spread evenly: where it begins and ends along the beam, and how much it is in all; a point where both meet."""
RUNS_ON: Final = 1.25
"""How much more a support between two equal spans carries of an even load than if they were cut free."""
_POINT: Final = 1e-3
"""What is spread over no more than this stands at a point [mm]."""


@dataclass(frozen=True, slots=True)
class Effect:
    """The greatest moment [N mm], the span it is in [mm]; the greatest shear [N]; what each support carries [N]."""

    moment: float
    span: float
    shear: float
    reactions: tuple[float, ...]


def effect_of(supports: Sequence[float], patches: Iterable[Patch]) -> Effect:
    """Of loads on a beam over two supports or more, named in their order; its ends may reach past them."""
    reactions = [0.0] * len(supports)
    spans: list[list[Patch]] = [[] for _ in supports[1:]]
    ends: tuple[list[Patch], list[Patch]] = [], []
    for low, high, load in (piece for patch in patches for piece in _cut(supports, patch)):
        middle = (low + high) / 2
        if middle < supports[0] or middle > supports[-1]:
            ends[middle > supports[-1]].append((low, high, load))
        else:
            spans[max(0, sum(place < middle for place in supports) - 1)].append((low, high, load))
    moment, shear, span = 0.0, 0.0, max(high - low for low, high in pairwise(supports))
    for i, inside in enumerate(spans):
        if inside:
            found, left, right = between(supports[i], supports[i + 1], inside)
            reactions[i] += left
            reactions[i + 1] += right
            shear = max(shear, left, right)
            if found > moment:
                moment, span = found, supports[i + 1] - supports[i]
    for outer, inner, loads in ((0, 1, ends[0]), (-1, -2, ends[1])):
        if loads:
            sum_of = sum(load for _, _, load in loads)
            over = sum(load * abs((low + high) / 2 - supports[outer]) for low, high, load in loads)
            reactions[outer] += sum_of + over / abs(supports[inner] - supports[outer])
            shear = max(shear, sum_of)
            if over > moment:
                moment, span = over, abs(supports[inner] - supports[outer])
    if len(supports) > 2:
        shear *= RUNS_ON
        reactions[1:-1] = [RUNS_ON * each for each in reactions[1:-1]]
    return Effect(moment, span, shear, tuple(reactions))


def between(low: float, high: float, patches: Iterable[Patch]) -> tuple[float, float, float]:
    """Of loads between two supports: the greatest moment, and what the one and the other support carry."""
    steps: list[tuple[float, float, float]] = []  # a place, a load that stands there, the change of what is spread
    total = turning = 0.0
    for start, end, load in patches:
        total += load
        turning += load * ((start + end) / 2 - low)
        if end - start > _POINT:
            rate = load / (end - start)
            steps += [(start, 0.0, rate), (end, 0.0, -rate)]
        else:
            steps.append(((start + end) / 2, load, 0.0))
    right = turning / (high - low)
    place, moment, shear, rate, most = low, 0.0, total - right, 0.0, 0.0
    for at, stands, change in sorted(steps):
        reach = at - place
        if rate > 0 and 0 < shear < rate * reach:
            most = max(most, moment + shear * shear / (2 * rate))
        moment += shear * reach - rate * reach * reach / 2
        shear -= rate * reach + stands
        rate, place, most = rate + change, at, max(most, moment)
    return most, total - right, right


def _cut(supports: Sequence[float], patch: Patch) -> Iterator[Patch]:
    """Cut a load where it passes a support."""
    low, high, load = patch
    for place in supports:
        if low < place < high:
            share = load * (place - low) / (high - low)
            yield low, place, share
            low, load = place, load - share
    yield low, high, load
