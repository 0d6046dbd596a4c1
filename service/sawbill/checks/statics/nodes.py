"""The nodes of a frame, where along a member something holds it, and the beams between them. Lengths [mm]."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member, layer_stiffnesses
from sawbill.checks.statics.elimination import Floats, Ints
from sawbill.checks.statics.springs import E
from sawbill.trade.boxes import AXES
from sawbill.trade.lengths import MM

NEAR: Final = 0.5
"""Places of a member no further apart than this are one node."""


class Nodes:
    """The nodes of all members, row by row in their order.

    of: the places of those of each member; starts: the row of its first, and one more; places: of all; dofs: of each,
    by which it gives way: down, and by a turn (-1: it does not).
    """

    def __init__(self, paths: LoadPaths, attached: Sequence[Sequence[float]]) -> None:
        """Where each member is held at these places."""
        self._paths, holes = paths, _holes(paths)
        self.of = [
            _stations(paths, member, sorted(places), holes.get(member, ()))
            for member, places in zip(paths.members, attached, strict=True)
        ]
        counts = [len(places) for places in self.of]
        self.starts: Ints = np.array([0, *counts], np.int64).cumsum()
        self._first = self.starts.tolist()
        self.places: Floats = np.array([place for places in self.of for place in places])
        self.dofs = self._numbered()

    def first(self, member: Member) -> int:
        """The row of the first node of a member."""
        return int(self._first[member.number])

    def near(self, member: Member, place: float) -> int:
        """The row of the node of a member that is nearest to a place."""
        places, first = self.of[member.number], self.first(member)
        if len(places) == 1:
            return first
        after = bisect_left(places, place)
        if after and (after == len(places) or place - places[after - 1] <= places[after] - place):
            after -= 1
        return first + after

    def _numbered(self) -> Ints:
        """The dofs of every node in the order in which least is filled in between them.

        First what carries nothing, such as slats, which then ties no more together than what it lies on; then what
        lies, along the frame; last what stands, which ties together all that it bears.
        """
        carry = {link.carrier for link in self._paths.links if link.carries}
        across: list[tuple[int, float, int]] = []
        for member, places in zip(self._paths.members, self.of, strict=True):
            last = 2 if member.upright else int(member in carry)
            if member.axis == "x":
                across += [(last, place, member.number) for place in places]
            else:
                box = self._paths.frame.boxes[member.parts[0].key]
                across += [(last, (box.low[0] + box.high[0]) / 2 / MM, member.number)] * len(places)
        found, count = [(-1, -1)] * len(across), 0
        for node in sorted(range(len(across)), key=across.__getitem__):
            upright = across[node][0] == 2
            found[node] = (count, -1) if upright else (count, count + 1)
            count += 1 if upright else 2
        return np.array(found, np.int64)


def _stations(paths: LoadPaths, member: Member, attached: list[float], holes: Sequence[float]) -> list[float]:
    """The nodes of a member, in their order: where something holds it, and where between those a layer ends or a bolt
    passes, whose hole weakens it."""
    if member.upright or not attached:
        return [(member.low + member.high) / 2]
    also = [*holes]
    if len(member.parts) > 1:
        i = AXES.index(member.axis)
        boxes = [paths.frame.boxes[part.key] for part in member.parts]
        also += [end / MM for box in boxes for end in (box.low[i], box.high[i])]
    if also:
        attached = sorted([*attached, *(place for place in also if attached[0] < place < attached[-1])])
    nodes: list[float] = []
    for place in attached:
        if not nodes or place - nodes[-1] > NEAR:
            nodes.append(place)
    return nodes


def _holes(paths: LoadPaths) -> Mapping[Member, list[float]]:
    """Where along each member that lies bolts go through it."""
    found: dict[Member, list[float]] = {}
    for key, bolts in paths.frame.bolts.items():
        member = paths.of[key]
        if not member.upright:
            i = AXES.index(member.axis)
            found.setdefault(member, []).extend([bolt.head[i] / MM for bolt in bolts if bolt.axis != member.axis])
    return found


class Beams(NamedTuple):
    """What lies between two nodes: the four dofs of each, how long it is, how stiff E I [N mm2]."""

    dofs: Ints
    lengths: Floats
    stiffs: Floats


def beams_between(paths: LoadPaths, nodes: Nodes) -> Beams:
    """The beams of all members that lie."""
    over: list[int] = []
    lengths: list[float] = []
    stiffs: list[float] = []
    for member, places in zip(paths.members, nodes.of, strict=True):
        if len(places) > 1:
            over += range(nodes.first(member), nodes.first(member) + len(places) - 1)
            lengths += [b - a for a, b in pairwise(places)]
            stiffs += _stiffs(paths, member, places)
    least = min((stiff for stiff in stiffs if stiff > 0), default=1.0)  # where layers do not meet there is a hinge
    one = np.array(over, np.int64)
    dofs = np.concatenate((nodes.dofs[one], nodes.dofs[one + 1]), axis=1).reshape(-1, 4)
    return Beams(dofs, np.array(lengths, np.float64), np.array([stiff or least / 1e6 for stiff in stiffs], np.float64))


def _stiffs(paths: LoadPaths, member: Member, places: Sequence[float]) -> Iterator[float]:
    """How stiff a member is from each of its nodes to the next: what there is of its layers."""
    layers = [*_layers(paths, member)]
    for a, b in pairwise(places):
        yield sum(stiff for low, high, stiff in layers if low <= (a + b) / 2 <= high)


def _layers(paths: LoadPaths, member: Member) -> Iterator[tuple[float, float, float]]:
    """From where to where each of its layers reaches, and how stiff it is as it stands, about its own middle."""
    i = AXES.index(member.axis)
    for part, inertia in zip(member.parts, layer_stiffnesses(member.parts), strict=True):
        box = paths.frame.boxes[part.key]
        yield box.low[i] / MM, box.high[i] / MM, E * inertia
