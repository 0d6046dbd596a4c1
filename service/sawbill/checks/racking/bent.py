"""How a push at the top bends the members of an elevation: from corner to corner, most beside one of them.

A post of laminations bends as one, as in `sway`; boards that lie share a moment by their shapes. Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from sawbill.checks.members import Member, layer_stiffnesses
from sawbill.checks.racking.sway import Racked, Swayed
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Graded, Lasting
from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM

ALIKE = 1e-9
"""Of two that are bent as much, but for the last digits, the first is told."""


class Layer(NamedTuple):
    """What bends as one: how deep it is along the push's plane, how wide, with what is glued beside it; of these parts.

    share: what it takes of a moment; span: how far it is held sideways at its ends alone.
    """

    parts: tuple[Part, ...]
    depth: float
    width: float
    backed: float
    share: float
    span: float

    @property
    def modulus(self) -> float:
        """Its section modulus [mm3]."""
        return self.width * self.depth**2 / 6

    def bears(self, wood: Graded, lasting: Lasting) -> float:
        """What moment of its member it bears [N mm]."""
        stress = wood.bending(self.depth, self.width, self.backed, self.span, lasting)
        return stress * self.modulus / self.share


class Bent(NamedTuple):
    """A member where it is bent most, in which column, beside which corner [N mm]; its layers there."""

    member: Member
    moment: float
    column: int
    corner: int
    layers: Sequence[Layer]


def most_bent(racked: Racked, swayed: Swayed, timber: Timber) -> Iterator[Bent]:
    """Every member where it is bent most; of those alike, in like wood, the one that is bent most of all."""
    most = swayed.bent.max(axis=(1, 2)).tolist()
    worst: dict[object, tuple[float, Member, int]] = {}
    for member, rows in racked.rows.items():
        if rows:
            row = max(rows, key=most.__getitem__)
            alike = tuple([(part.name, part.section.name, timber.cut_for(part)) for part in member.parts])
            if most[row] > (worst[alike][0] if alike in worst else 0.0) * (1 + ALIKE):
                worst[alike] = most[row], member, row
    for moment, member, row in worst.values():
        end, column = divmod(int(swayed.bent[row].argmax()), swayed.bent.shape[2])
        place = racked.places[member][row - racked.rows[member].start + end]
        yield Bent(member, moment, column, _nearest(racked, member, place), [*_layers(racked, member, place)])


def _nearest(racked: Racked, member: Member, place: float) -> int:
    """The corner of a member that is nearest to a place."""
    i = 1 if member.upright else 0
    mine = [n for n, corner in enumerate(racked.seen.corners) if member in (corner.one, corner.other)]
    return min(mine, key=lambda n: abs(racked.seen.corners[n].at[i] - place))


def _layers(racked: Racked, member: Member, place: float) -> Iterator[Layer]:
    boxes, i = racked.paths.frame.boxes, AXES.index(member.axis)
    parts = [part for part in member.parts if boxes[part.key].low[i] <= place * MM <= boxes[part.key].high[i]]
    span = max(high - low for low, high in pairwise(racked.places[member]))
    if member.upright:
        k = AXES.index(racked.seen.along)
        size = bounds(boxes[part.key] for part in parts).size
        deep, wide = size[k] / MM, size[1 - k] / MM
        yield Layer(tuple(parts), deep, wide, wide, 1.0, span)
        return
    stiff = layer_stiffnesses(parts)
    whole = sum(stiff)
    for part, each in zip(parts, stiff, strict=True):
        if each:
            deep, wide = _shape(boxes[part.key], member)
            beside = (_shape(boxes[other.key], member)[1] for other in parts
                      if 2 * boxes[other.key].shared(boxes[part.key])[2] >= boxes[part.key].size[2])  # fmt: skip
            yield Layer((part,), deep, wide, sum(beside), each / whole, span)


def _shape(box: Box, member: Member) -> tuple[float, float]:
    """How deep and wide a board is that lies."""
    return box.size[2] / MM, box.size[1 if member.axis == "x" else 0] / MM
