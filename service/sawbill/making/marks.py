"""Marks: which parts of one letter are drilled alike, and which are mirror images of each other.

Parts are alike if one can be laid over the other, turned as a piece of wood may be turned, so that every hole meets
one of its kind, and every housing. If that takes a mirror, they are mirror images: to be drilled as a pair.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations, product
from typing import Final

from sawbill.making.operations import Hole, Housing, Offset
from sawbill.trade.boxes import AXES, Axis
from sawbill.trade.frame import Frame, Part

_STEP: Final = 198_437
"""Half of how far apart holes may be and be one [nm]: of 1/64 in. A prime: no usual length lies between two steps."""
_EVEN: Final = {("x", "y", "z"), ("y", "z", "x"), ("z", "x", "y")}
_FACES: Final = ("end", "edge", "face")

Vector = tuple[int, int, int]
Spot = tuple[Vector, Vector, str, int, int]
"""A hole as seen from the middle of its part: where [steps], its way, its purpose, diameter and depth (0: through)."""
Turn = tuple[Vector, Vector]
"""A way to turn a part: which axis comes where, and whether it is reversed."""


@dataclass(frozen=True, slots=True)
class Mark:
    """What a part is marked with: its letter, numbered where like parts are drilled differently.

    mirror_of: the mark that it is the mirror image of, if any comes before it.
    """

    name: str
    mirror_of: str | None = None


def marks(frame: Frame, holes: Iterable[Hole | Housing], letters: Mapping[str, str]) -> dict[str, Mark]:
    """Mark every part of a frame, by its letter in the cut list; holes: all that is laid out on its parts."""
    drilled: dict[str, list[Hole | Housing]] = {}
    for each in holes:
        drilled.setdefault(each.part, []).append(each)
    groups: dict[str, list[Part]] = {}
    for part in frame.parts:
        groups.setdefault(letters[part.key], []).append(part)
    found: dict[str, Mark] = {}
    for letter, parts in groups.items():
        found |= _marked(letter, parts, drilled)
    return {part.key: found[part.key] for part in frame.parts}


def _marked(letter: str, parts: Sequence[Part], drilled: Mapping[str, Sequence[Hole | Housing]]) -> dict[str, Mark]:
    """Mark the parts of one letter, in their order."""
    kinds: dict[tuple[Spot, ...], list[str]] = {}
    turned: dict[tuple[object, ...], tuple[Spot, ...]] = {}
    for part in parts:
        spots, size = _spots(part, drilled.get(part.key, ())), (part.length, part.width, part.section.thickness)
        kind = turned.get((spots, size)) or turned.setdefault((spots, size), _least(spots, _turns(size, 1)))
        kinds.setdefault(kind, []).append(part.key)
    if len(kinds) == 1:
        return {part.key: Mark(letter) for part in parts}
    size = parts[0].length, parts[0].width, parts[0].section.thickness
    found: dict[str, Mark] = {}
    told: dict[tuple[Spot, ...], str] = {}
    for number, (kind, keys) in enumerate(kinds.items(), 1):
        mark = Mark(f"{letter}{number}", told.get(_least(kind, _turns(size, -1))))
        told[kind] = mark.name
        found |= dict.fromkeys(keys, mark)
    return found


def _spots(part: Part, holes: Iterable[Hole | Housing]) -> tuple[Spot, ...]:
    """The holes of a part in its own right-handed axes: along its length, across its width, through its thickness."""
    along, across = part.placement.along, part.placement.across
    through: Axis = next(axis for axis in AXES if axis not in (along, across))
    hand = 1 if (along, across, through) in _EVEN else -1
    sizes = (part.length, part.width, part.section.thickness)
    return tuple(sorted(_spot(hole, sizes, hand) for hole in holes))


def _spot(hole: Hole | Housing, sizes: Vector, hand: int) -> Spot:
    at, way = [0, 0, 0], [0, 0, 0]
    way[_FACES.index(hole.into)] = hole.toward
    for offset, size in _middles(hole):
        axis = _FACES.index(offset.side.rpartition(" ")[2])
        at[axis] = _steps(2 * offset.distance + size - sizes[axis])
    at[2], way[2] = at[2] * hand, way[2] * hand
    if isinstance(hole, Housing):
        return (at[0], at[1], at[2]), (way[0], way[1], way[2]), f"housing, {hole.long} nm long", hole.wide, hole.deep
    toward = (way[0], way[1], way[2]) if hole.depth else _unsigned(way)
    return (at[0], at[1], at[2]), toward, hole.purpose, hole.diameter, hole.depth or 0


def _middles(each: Hole | Housing) -> Sequence[tuple[Offset, int]]:
    """Offsets of a hole's middle, or of where a housing begins with how far it reaches from there."""
    if isinstance(each, Housing):
        return tuple(zip(each.starts, (each.wide, each.long), strict=True))
    return tuple((offset, 0) for offset in each.offsets)


def _unsigned(way: Sequence[int]) -> Vector:
    """A hole that goes through is one from either side."""
    return abs(way[0]), abs(way[1]), abs(way[2])


def _steps(twice: int) -> int:
    """Twice a distance from the middle [nm], in whole steps, alike on both sides of it."""
    whole = (abs(twice) + _STEP) // (2 * _STEP)
    return whole if twice >= 0 else -whole


def _turns(size: Vector, hand: int) -> Iterator[Turn]:
    """Every way to lay a piece of a size over itself: hand 1 by turning it, -1 in the mirror."""
    for one, two, three in permutations(range(3)):
        order = one, two, three
        if (size[one], size[two], size[three]) == size:
            parity = 1 if order in ((0, 1, 2), (1, 2, 0), (2, 0, 1)) else -1
            for a, b, c in product((1, -1), repeat=3):
                if a * b * c * parity == hand:
                    yield order, (a, b, c)


def _least(spots: Sequence[Spot], turns: Iterable[Turn]) -> tuple[Spot, ...]:
    """The same holes as they lie after the turn that puts them first in order: alike for all that are alike."""
    return min((tuple(sorted(_turned(spot, turn) for spot in spots)) for turn in turns), default=())


def _turned(spot: Spot, turn: Turn) -> Spot:
    (at, way, purpose, diameter, depth), (order, sign) = spot, turn
    place = at[order[0]] * sign[0], at[order[1]] * sign[1], at[order[2]] * sign[2]
    toward = way[order[0]] * sign[0], way[order[1]] * sign[1], way[order[2]] * sign[2]
    return place, toward if depth else _unsigned(toward), purpose, diameter, depth
