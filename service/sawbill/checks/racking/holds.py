"""What holds a corner of an elevation against turning: bolts and screws in couples, glue, an end that butts.

Forces [N], lengths [mm], turns [rad].
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot, pi
from typing import Final, Literal

from sawbill.checks.racking.elevations import Corner
from sawbill.checks.statics.springs import ACROSS, GLUE, slip
from sawbill.trade import fasteners
from sawbill.trade.frame import Bolted, Fastener
from sawbill.trade.lengths import MM

FIT: Final = 0.5
"""How far an end that butts may be from the face, as it is sawn and put together [mm] (common practice, no source)."""

Kind = Literal["screws", "glue", "bolts", "butt"]


@dataclass(slots=True)
class Hold:
    """What holds a corner against turning: how stiff [N mm/rad], and how far it turns before it does [rad].

    sense: clockwise 1, the other way -1, both 0; arm: the moment over it is what each fastener of `by` bears [mm];
    butt: which end that butts presses with as much as all of these.
    """

    corner: int
    kind: Kind
    stiff: float
    play: float
    sense: int
    arm: float
    by: Sequence[Fastener]
    butt: int = -1


def play_of(bolt: Bolted) -> float:
    """How much wider its holes are than a bolt [mm]."""
    return fasteners.bolt_play(fasteners.bolt_sizes()[bolt.size]) / MM


def stiffness(fastener: Fastener) -> float:
    """Kser, a plane it is sheared in [N/mm]."""
    sizes = fasteners.bolt_sizes() if isinstance(fastener, Bolted) else fasteners.screw_sizes()
    return slip(sizes[fastener.size].diameter / MM)


def holds_of(number: int, corner: Corner) -> Iterator[Hold]:
    """All that holds a corner against turning."""
    at = corner.at
    screws = [n for n, each in enumerate(corner.fasteners) if not isinstance(each, Bolted)]
    bolts = [n for n, each in enumerate(corner.fasteners) if isinstance(each, Bolted)]
    if len(screws) > 1:
        x, z = (sum(corner.spots[n][i] for n in screws) / len(screws) for i in (0, 1))
        reach = [hypot(corner.spots[n][0] - x, corner.spots[n][1] - z) for n in screws]
        stiffs = [stiffness(corner.fasteners[n]) for n in screws]
        stiff = sum(k * r * r for k, r in zip(stiffs, reach, strict=True))
        most = max(k * r for k, r in zip(stiffs, reach, strict=True))
        if most:
            yield Hold(number, "screws", stiff, 0.0, 0, stiff / most, [corner.fasteners[n] for n in screws])
    for a, b, c, d in corner.glue:
        long = ((b - a) ** 2 + (d - c) ** 2) / 12
        yield Hold(number, "glue", GLUE * long, 0.0, 0, long**0.5, ())
    pairs = [(hypot(corner.spots[a][0] - corner.spots[b][0], corner.spots[a][1] - corner.spots[b][1]), a, b)
             for a, b in combinations(bolts, 2)]  # fmt: skip
    if pairs and (apart := max(pairs))[0] > 0:
        two = [bolt for bolt in (corner.fasteners[n] for n in apart[1:]) if isinstance(bolt, Bolted)]
        stiff = min(map(stiffness, two)) * apart[0] ** 2 / 2
        play = sum(map(play_of, two)) / apart[0]
        for sense in (1, -1):
            yield Hold(number, "bolts", stiff, play, sense, apart[0], two)
    if corner.butts and corner.fasteners:
        yield from _butting(number, corner, at, [corner.fasteners[n] for n in bolts or screws])


def _butting(number: int, corner: Corner, at: tuple[float, float], by: Sequence[Fastener]) -> Iterator[Hold]:
    """Bolts, and the upper or lower edge of an end that butts.

    Where what lies turns clockwise against the post, it goes to the right above the bolt, and to the left below it: its
    right end presses with its upper edge, its left one with its lower.
    """
    lies = -1 if corner.one.upright else 1
    for i, butt in enumerate(corner.butts):
        for sense in (1, -1):
            arm = butt.high - at[1] if sense * lies * butt.sense > 0 else at[1] - butt.low
            arm -= butt.pressed / 2
            if arm <= 0:
                continue
            wide = butt.against.section.thickness / MM
            face = ACROSS * butt.part.section.thickness / MM * butt.pressed / (wide / 2)
            give = 1 / sum(map(stiffness, by)) + 1 / face
            if butt.prying:
                give += butt.prying**2 / sum(map(_pulled, butt.holding))
            play = max(play_of(each) if isinstance(each, Bolted) else 0.0 for each in by) + FIT
            yield Hold(number, "butt", arm * arm / give, play / arm, sense, arm * len(by), by, i)


def under_washer(bolt: Bolted) -> float:
    """How much wood a bolt's washer presses, or its round head if that is less [mm2]."""
    return pi / 4 * (_pressing(bolt) ** 2 - (fasteners.bolt_sizes()[bolt.size].diameter / MM) ** 2)


def _pulled(bolt: Bolted) -> float:
    """How stiff a bolt is along itself, its washer pressed into as much wood as it is wide [N/mm]."""
    return ACROSS * under_washer(bolt) / _pressing(bolt)


def _pressing(bolt: Bolted) -> float:
    """How wide its washer is, or its round head if that is less [mm]."""
    size = fasteners.bolt_sizes()[bolt.size]
    return min(size.washer_diameter, size.round_head_least if bolt.round_head else size.washer_diameter) / MM


def between(corner: Corner, by: Sequence[Fastener]) -> tuple[str, str]:
    """What the parts of both members are called that fasteners hold; of a leg of two parts the one they go through."""
    held = {key for each in by for key in each.parts}
    one, other = (
        next((part.name for part in member.parts if part.key in held), member.parts[0].name)
        for member in (corner.one, corner.other)
    )
    return one, other
