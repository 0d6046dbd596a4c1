"""How far bolts are from ends, edges and each other, and how many of them count for it.

Of bolts that carry upright loads. By the NDS each group has a geometry factor, the least of what its distances are of
those for full strength; a bolt below the least distance does not count. By Eurocode 5 a bolt has its distances or does
not count, and bolts in a row along the grain count as fewer. Lengths [nm].
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise
from typing import Final, Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis, Box, bounds
from sawbill.trade.frame import Bolted, Part

Kind = Literal["end", "loaded edge", "edge", "spacing"]
_LISTED: Final = 80 * 10**6
"""The least of a loaded end by Eurocode 5, whatever the diameter (Table 8.4)."""


_ALIKE: Final = 1e-9
"""Of two choices that count as much, but for the last digits, the first is taken."""


@dataclass(frozen=True, slots=True)
class Distance:
    """One distance of a bolt in a part: what it is, the least for it to count, and that from which all of it does."""

    kind: Kind
    part: str
    found: int
    least: int
    full: int

    @property
    def factor(self) -> float:
        """The geometry factor (NDS 2018, 12.5.1): the share of the full distance; 0 below the least."""
        return 0.0 if self.found < self.least else min(1.0, self.found / self.full)


@dataclass(frozen=True, slots=True)
class Counted:
    """As how many bolts a group counts, which of them do, and the distance that is the shortest for what it should be.

    left: the keys of parts that a bolt of these is too near to an end or an edge of, which therefore do not count.
    """

    count: float
    bolts: tuple[Bolted, ...]
    nearest: Distance
    left: frozenset[str] = frozenset()

    def sound(self, parts: Sequence[Part]) -> Sequence[Part]:
        """Those of the parts of a side that count; all where none does."""
        return [part for part in parts if part.key not in self.left] or parts


@dataclass(frozen=True, slots=True)
class Side:
    """What bolts hold of a member: the parts of all of it, those the bolts go through, along which axis its grain runs.

    up: whether bolts press it upward, as they do what they carry.
    """

    parts: Sequence[Part]
    bolted: Sequence[Part]
    grain: Axis
    up: bool


def counted(
    standard: Literal["NDS", "EC5"], bolts: Sequence[Bolted], sides: Iterable[Side], boxes: Mapping[str, Box]
) -> Counted:
    """Of bolts through the same parts the choice that counts most, the others taken as not there.

    Each distance is that of the part of a side that has the most room.
    """
    sides, diameter = tuple(sides), max(fasteners.bolt_sizes()[bolt.size].diameter for bolt in bolts)
    asked = _asked(standard)
    own = {bolt.head: [d for side in sides for d in _roomiest(asked, bolt, side, boxes, diameter)] for bolt in bolts}
    best = Counted(0.0, (), max((min(each, key=_ratio) for each in own.values()), key=_ratio))
    for number in range(len(bolts), 0, -1):
        for chosen in combinations(bolts, number):
            near = [d for bolt in chosen for d in own[bolt.head]]
            near += [d for side in sides for d in _between(asked, chosen, side, diameter)]
            factor = min(d.factor for d in near)
            count = asked.number(chosen, sides, diameter) * (factor if standard == "NDS" else float(factor > 0))
            if count > best.count + _ALIKE:
                best = Counted(count, chosen, min(near, key=_ratio), _unsound(asked, chosen, sides, boxes, diameter))
    return best


def _unsound(
    asked: _Asked, bolts: Sequence[Bolted], sides: Sequence[Side], boxes: Mapping[str, Box], diameter: int
) -> frozenset[str]:
    """The parts in which one of the bolts has not the least distances, though it has in another of the side."""
    return frozenset(
        part.key
        for side in sides for part in side.bolted for bolt in bolts
        if part.key in bolt.parts and min(map(_ratio, _own(asked, bolt, part, side, boxes, diameter))) < 1
    )  # fmt: skip


def _ratio(distance: Distance) -> float:
    return distance.found / distance.least


def _roomiest(asked: _Asked, bolt: Bolted, side: Side, boxes: Mapping[str, Box], diameter: int) -> list[Distance]:
    """The distances of a bolt in that part of a side where the shortest of them is the longest."""
    each = [list(_own(asked, bolt, part, side, boxes, diameter)) for part in side.bolted if part.key in bolt.parts]
    return max(each, key=lambda found: min(map(_ratio, found)), default=[])


def _own(
    asked: _Asked, bolt: Bolted, part: Part, side: Side, boxes: Mapping[str, Box], diameter: int
) -> Iterator[Distance]:
    """From ends and edges, of what is glued beside a part too."""
    i = AXES.index(bolt.axis)
    beside = [boxes[part.key]]
    beside += [
        boxes[other.key] for other in side.parts if other is not part and boxes[other.key].shared(beside[0])[i] > 0
    ]
    box, along = bounds(beside), AXES.index(side.grain)
    ends = bolt.head[along] - box.low[along], box.high[along] - bolt.head[along]
    across = 3 - i - along
    edges = bolt.head[across] - box.low[across], box.high[across] - bolt.head[across]
    for toward, end in zip((False, True), ends, strict=True):
        least, full = asked.end(diameter, upright=side.grain == "z", toward=toward == side.up)
        yield Distance("end", part.name, end, least, full)
    for toward, edge in zip((False, True), edges, strict=True):
        loaded = side.grain != "z" and toward == side.up
        least = asked.edge(diameter, loaded=loaded)
        yield Distance("loaded edge" if loaded else "edge", part.name, edge, least, least)


def _between(asked: _Asked, bolts: Sequence[Bolted], side: Side, diameter: int) -> Iterator[Distance]:
    """Between each two, along the grain where they are apart along it, else across."""
    along = AXES.index(side.grain)
    for one, other in combinations(bolts, 2):
        apart = [abs(a - b) for a, b in zip(one.head, other.head, strict=True)]
        i = AXES.index(one.axis)
        across = 3 - i - along
        name = side.bolted[0].name
        if apart[along] >= apart[across]:
            yield Distance("spacing", name, apart[along], *asked.along(diameter, upright=side.grain == "z", thick=side))
        else:
            yield Distance("spacing", name, apart[across], *asked.across(diameter, upright=side.grain == "z"))


class _Asked:
    """What the NDS asks: each as the least distance and the full one, of the bolt's diameter [nm]."""

    def end(self, d: int, *, upright: bool, toward: bool) -> tuple[int, int]:
        """Table 12.5.1A, softwood: along the grain toward an end 7D, away from it 4D; across it 4D; half of it."""
        full = 7 * d if upright and toward else 4 * d
        return full // 2, full

    def edge(self, d: int, *, loaded: bool) -> int:
        """Table 12.5.1C: the loaded edge across the grain 4D, others 1.5D."""
        return fasteners.LOADED_EDGE * d if loaded else 3 * d // 2

    def along(self, d: int, *, upright: bool, thick: Side) -> tuple[int, int]:
        """In a row along the grain 3D and 4D (12.5.1B); of loads across it between rows (12.5.1D)."""
        if upright:
            return 3 * d, 4 * d
        long = sum(part.section.thickness for part in thick.bolted)
        least = 5 * d // 2 if long <= 2 * d else 5 * d if long >= 6 * d else (5 * long + 10 * d) // 8
        return least, least

    def across(self, d: int, *, upright: bool) -> tuple[int, int]:
        """Rows along the grain 1.5D (12.5.1D); in a row across it 3D, and 4D as what it is fixed to wants (12.5.1B)."""
        return (3 * d // 2, 3 * d // 2) if upright else (3 * d, 4 * d)

    def number(self, bolts: Sequence[Bolted], sides: Sequence[Side], d: int) -> float:
        """Cg of so few, so near, is 1 within a hundredth (Table 11.3.6A)."""
        return float(len(bolts))


class _AskedEc5(_Asked):
    """What Eurocode 5 asks (Table 8.4, loads along the grain of what stands, across that of what lies)."""

    def end(self, d: int, *, upright: bool, toward: bool) -> tuple[int, int]:
        """a3,t and a3,c: toward the end 7d and 80 mm, away from it 4d; across the grain (1 + 6 sin 90) d."""
        least = (max(7 * d, _LISTED) if toward else 4 * d) if upright else 7 * d
        return least, least

    def edge(self, d: int, *, loaded: bool) -> int:
        """a4,t (2 + 2 sin 90) d and a4,c 3d."""
        return fasteners.LOADED_EDGE * d if loaded else 3 * d

    def along(self, d: int, *, upright: bool, thick: Side) -> tuple[int, int]:
        """a1 (4 + cos a) d."""
        least = 5 * d if upright else 4 * d
        return least, least

    def across(self, d: int, *, upright: bool) -> tuple[int, int]:
        """a2 4d."""
        return 4 * d, 4 * d

    def number(self, bolts: Sequence[Bolted], sides: Sequence[Side], d: int) -> float:
        """The effective number in a row along the grain of what stands (8.34)."""
        if len(bolts) < 2 or not any(side.grain == "z" for side in sides):
            return float(len(bolts))
        rows = Counter(bolt.head[:2] for bolt in bolts)
        row = max(rows.values())
        if row < 2:
            return float(len(bolts))
        heights = sorted(bolt.head[2] for bolt in bolts if rows[bolt.head[:2]] == row)
        gap = min(b - a for a, b in pairwise(heights) if b > a)
        return len(bolts) / row * float(min(row, row**0.9 * (gap / (13 * d)) ** 0.25))


@cache
def _asked(standard: Literal["NDS", "EC5"]) -> _Asked:
    return _Asked() if standard == "NDS" else _AskedEc5()
