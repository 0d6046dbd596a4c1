"""How far bolts are from ends, edges and each other, and how many of them count for it.

Of bolts that carry upright loads. By the NDS each group has a geometry factor, the least of what its distances are of
those for full strength; a bolt below the least distance does not count. By Eurocode 5 a bolt has its distances or does
not count, and bolts in a row along the grain count as fewer. Lengths [nm].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import inf
from typing import Final, Literal, NamedTuple

from sawbill.checks.resistance.least_distances import ASKED, Asked
from sawbill.checks.resistance.wood import Standard
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis, Box, Point, bounds
from sawbill.trade.frame import Bolted, Part

Kind = Literal["end", "loaded edge", "edge", "spacing"]
DISTANCE_TO: Final[Mapping[Kind, str]] = {
    "end": "end", "loaded edge": "edge they press on", "edge": "edge", "spacing": "next bolt",
}  # fmt: skip
"""What it is a distance to, in words."""
ASKED_IN: Final[Mapping[Standard, str]] = {"NDS": "12.5.1, Tables 12.5.1A to D", "EC5": "8.5.1.1, Table 8.4"}
"""Where either standard asks for them."""
_ALIKE: Final = 1e-9
"""Of two choices that count as much, but for the last digits, the first is taken."""


class Distance(NamedTuple):
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


class Side(NamedTuple):
    """What bolts hold of a member: the parts of all of it, those the bolts go through, along which axis its grain runs.

    up: whether bolts press it upward, as they do what they carry.
    """

    parts: Sequence[Part]
    bolted: Sequence[Part]
    grain: Axis
    up: bool


def counted(bolts: Sequence[Bolted], sides: Sequence[Side], boxes: Mapping[str, Box]) -> Mapping[Standard, Counted]:
    """By either standard, of bolts through the same parts the choice that counts most, the others taken as not there.

    Each distance is that of the part of a side that has the most room.
    """
    found: dict[Standard, Counted] = {}
    for standard, (count, chosen, nearest, left) in _chosen(_group(bolts, sides, boxes)).items():
        keys = frozenset(sides[i].bolted[j].key for i, j in left)
        found[standard] = Counted(count, tuple(bolts[i] for i in chosen), nearest, keys)
    return found


Reach = tuple[int, int, int, int]
"""How far a bolt is from either end and either edge of a part, and of what is glued beside it."""


class _Bored(NamedTuple):
    """A side as bolts see it; parts: the name of each that they go through, and the reach of each bolt in it, None
    where one does not; thick: all of these together."""

    upright: bool
    along: int
    up: bool
    thick: int
    parts: tuple[tuple[str, tuple[Reach | None, ...]], ...]


class _Group(NamedTuple):
    """Bolts and what they go through, wherever in the frame that is: many groups of a frame are alike.

    places: of each bolt, from the first; axis: along which they run.
    """

    diameter: int
    axis: int
    places: tuple[Point, ...]
    sides: tuple[_Bored, ...]


def _group(bolts: Sequence[Bolted], sides: Sequence[Side], boxes: Mapping[str, Box]) -> _Group:
    x, y, z = bolts[0].head
    return _Group(
        max([fasteners.bolt_sizes()[bolt.size].diameter for bolt in bolts]),
        AXES.index(bolts[0].axis),
        tuple([(bolt.head[0] - x, bolt.head[1] - y, bolt.head[2] - z) for bolt in bolts]),
        tuple([
            _Bored(
                side.grain == "z", AXES.index(side.grain), side.up, sum([p.section.thickness for p in side.bolted]),
                tuple([(part.name, _reaches(bolts, part, side, boxes)) for part in side.bolted]),
            )
            for side in sides
        ]),
    )  # fmt: skip


def _reaches(
    bolts: Sequence[Bolted], part: Part, side: Side, boxes: Mapping[str, Box]
) -> tuple[Reach | None, ...]:  # fmt: skip
    box, i, along = boxes[part.key], AXES.index(bolts[0].axis), AXES.index(side.grain)
    across = 3 - i - along
    if len(side.parts) > 1:
        start, end = box.low[i], box.high[i]
        every = [boxes[each.key] for each in side.parts]
        beside = [each for each in every if each.low[i] < end and start < each.high[i]]
        box = bounds(beside) if len(beside) > 1 else box
    (a, c), (b, d) = (box.low[along], box.low[across]), (box.high[along], box.high[across])
    return tuple([
        (bolt.head[along] - a, b - bolt.head[along], bolt.head[across] - c, d - bolt.head[across])
        if part.key in bolt.parts else None
        for bolt in bolts
    ])  # fmt: skip


_Choice = tuple[float, tuple[int, ...], Distance, frozenset[tuple[int, int]]]
"""As `Counted`, of the places of bolts, and of sides and parts."""


@lru_cache(maxsize=4_096)  # the corners of a bed are alike, and so are beds
def _chosen(group: _Group) -> Mapping[Standard, _Choice]:
    return {standard: _chosen_by(standard, group) for standard in ASKED}


def _chosen_by(standard: Standard, group: _Group) -> _Choice:
    asked, numbers = ASKED[standard], range(len(group.places))
    own = [[[_own(asked, *part, side, i, group) for part in side.parts] for side in group.sides] for i in numbers]
    rooms = [[d for side in each for d in max(filter(None, side), key=_shortest, default=[])] for each in own]
    nearest = max((min(each, key=_ratio) for each in rooms), key=_ratio)
    most, best, upright = 0.0, tuple[int, ...](), any(side.upright for side in group.sides)
    for number in range(len(group.places), 0, -1):
        for chosen in combinations(numbers, number):
            near = [d for i in chosen for d in rooms[i]]
            near += [d for side in group.sides for d in _between(asked, chosen, side, group)]
            factor = min(d.factor for d in near)
            count = asked.number([group.places[i] for i in chosen], group.diameter, upright=upright) * (
                factor if standard == "NDS" else float(factor > 0)
            )
            if count > most + _ALIKE:
                most, best, nearest = count, chosen, min(near, key=_ratio)
    left = frozenset(
        (s, p) for i in best for s, side in enumerate(own[i]) for p, part in enumerate(side) if _shortest(part) < 1
    )
    return most, best, nearest, left


def _ratio(distance: Distance) -> float:
    return distance.found / distance.least


def _shortest(distances: Sequence[Distance]) -> float:
    """The shortest for what it should be; none where the bolt does not go through."""
    return min(map(_ratio, distances), default=inf)


def _own(
    asked: Asked, name: str, reaches: Sequence[Reach | None], side: _Bored, bolt: int, group: _Group
) -> list[Distance]:
    """The distances of a bolt from ends and edges of a part."""
    reach, d = reaches[bolt], group.diameter
    if reach is None:
        return []
    found = []
    for toward, end in zip((False, True), reach[:2], strict=True):
        found.append(Distance("end", name, end, *asked.end(d, upright=side.upright, toward=toward == side.up)))
    for toward, edge in zip((False, True), reach[2:], strict=True):
        loaded = not side.upright and toward == side.up
        least = asked.edge(d, loaded=loaded)
        found.append(Distance("loaded edge" if loaded else "edge", name, edge, least, least))
    return found


def _between(asked: Asked, bolts: Sequence[int], side: _Bored, group: _Group) -> Iterator[Distance]:
    """Between each two, along the grain where they are apart along it, else across."""
    across, d = 3 - group.axis - side.along, group.diameter
    for one, other in combinations(bolts, 2):
        apart = [abs(a - b) for a, b in zip(group.places[one], group.places[other], strict=True)]
        name = side.parts[0][0]
        if apart[side.along] >= apart[across]:
            least = asked.along(d, upright=side.upright, thick=side.thick)
            yield Distance("spacing", name, apart[side.along], *least)
        else:
            yield Distance("spacing", name, apart[across], *asked.across(d, upright=side.upright))


def room_for(kind: Kind, what: str) -> str:
    """What gives fasteners the room they lack; wider boards are no longer."""
    return f"Smaller {what} need less room" + (", and wider sections have more." if "edge" in kind else ".")
