"""The members of a frame in the wood that is cut for them: what each is as a beam, as a post, at a bolt.

Layers glued side by side share a load by their stiffness, and give way to the side, or stand, as one. Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from sawbill.checks.distances import Counted, Side, counted
from sawbill.checks.load_paths import LoadPaths, Member, Support
from sawbill.checks.wood import SOURCES, AtBolt, Graded, Standard, bolt_load, graded
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, bounds
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Materials

SWAY: Final = 2.4
"""Effective length of a post that may sway, in its heights (NDS 2018, Appendix G)."""
END: Final = 5
"""Within how many depths of its end the bolts of a member may split it (NDS 2018, 3.4.3.3)."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A part of a beam as it stands: how deep and wide it is, the most of a load that may be its share, its woods.

    backed: how wide it is with what is glued beside most of it; through: whether it reaches from the first support to
    the last, so that it takes shear at the ends.
    """

    name: str
    depth: float
    width: float
    backed: float
    share: float
    through: bool
    woods: tuple[Graded, ...]


@dataclass(frozen=True, slots=True)
class Beam:
    """A member that bends: its stiffness E I [N mm2], its layers."""

    stiffness: float
    layers: tuple[Layer, ...]


@dataclass(frozen=True, slots=True)
class Post:
    """A member that stands: its area [mm2], the side by which it gives way, how high it bears, its effective length."""

    member: Member
    area: float
    side: float
    height: float
    effective: float
    woods: tuple[Graded, ...]


@dataclass(frozen=True, slots=True)
class Held:
    """The bolts of a support.

    counted: by each standard as how many they count for their distances, and the shortest of these; bears: what each
    bears [N], and splits: what the wood that they carry bears before it splits [N], both with CD or kmod 1, for all
    woods there.
    """

    counted: Mapping[Standard, Counted]
    bears: Sequence[tuple[Standard, float]]
    splits: Sequence[tuple[Standard, float]]


class Timber:
    """The members of a frame, each looked at once, those that are alike together.

    unknown: that of whose wood no table tells, by name, with the keys of the parts.
    """

    def __init__(self, paths: LoadPaths, materials: Materials) -> None:
        self.unknown: dict[str, list[str]] = {}
        self._paths = paths
        self._boxes = paths.frame.boxes
        self._materials = materials
        self._woods: dict[int, tuple[Graded, ...]] = {}
        self._beams: dict[Member, Beam | None] = {}
        self._beams_alike: dict[object, Beam | None] = {}
        self._held: dict[Support, Held | None] = {}
        self._bolts_alike: dict[object, Sequence[tuple[Standard, float]]] = {}

    def woods(self, part: Part) -> tuple[Graded, ...]:
        """What is known of the wood of a part; of ripped wood nothing is, for its grade was that of the whole."""
        cut = self._materials.get(part.key, ())
        if id(cut) not in self._woods:
            found = [graded(each) for each in cut]
            self._woods[id(cut)] = () if None in found else tuple(each for each in found if each is not None)
        known = self._woods[id(cut)] if part.ripped is None else ()
        if not known:
            self.unknown.setdefault(part.name, []).append(part.key)
        return known

    def beam(self, member: Member) -> Beam | None:
        """A member as a beam; None: no table tells the strength of all of it."""
        if member not in self._beams:
            self._beams[member] = self._beam(member)
        return self._beams[member]

    def held(self, support: Support) -> Held | None:
        """The bolts of a support; None: there are none across that carry."""
        if support not in self._held:
            self._held[support] = self._looked_at(support) if _across(support) else None
        return self._held[support]

    def posts(self, bearing: Iterable[Support]) -> Iterator[Post]:
        """What stands where something bears on it: between the floor and the highest of that it may buckle.

        There it may sway, unless it is a ladder's.
        """
        ladders = {key for bed in self._paths.frame.high_beds if bed.ladder for key in bed.ladder.parts}
        floor, heights = self._paths.frame.bounds.low[2] / MM, dict[Member, float]()
        for support in bearing:
            post = support.carrier
            if post.upright:
                heights[post] = max(sum(support.on) / 2 - floor, heights.get(post, 0.0))
        for post, height in heights.items():
            woods = [self.woods(part) for part in post.parts]
            if all(woods) and height > 0:
                boxes = [self._boxes[part.key] for part in post.parts]
                area = sum(box.size[0] / MM * box.size[1] / MM for box in boxes)
                effective = height if post.parts[0].key in ladders else height * SWAY
                yield Post(post, area, min(bounds(boxes).size[:2]) / MM, height, effective, _each(woods))

    def _beam(self, member: Member) -> Beam | None:
        first, last = member.places[0] * MM, member.places[-1] * MM
        woods = [self.woods(part) for part in member.parts]
        boxes = [self._boxes[part.key] for part in member.parts]
        ends = [box.span(member.axis) for box in boxes]
        through = [low <= first and high >= last for low, high in ends]
        across = 1 if member.axis == "x" else 0
        sizes = [(box.size[2] / MM, box.size[across] / MM) for box in boxes]
        backed = [
            sum(
                width for (_, width), other in zip(sizes, boxes, strict=True) if 2 * box.shared(other)[2] >= box.size[2]
            )
            for box in boxes
        ]
        names = [part.name for part in member.parts]
        alike = tuple(zip(names, sizes, backed, through, map(id, woods), strict=True))
        if alike not in self._beams_alike:
            self._beams_alike[alike] = _layered(names, sizes, backed, through, woods) if all(woods) else None
        return self._beams_alike[alike]

    def _looked_at(self, support: Support) -> Held:
        member, carrier, bolts = support.member, support.carrier, support.bolts
        diameter = min(fasteners.bolt_sizes()[bolt.size].diameter for bolt in bolts)
        keys = {key for bolt in bolts for key in bolt.parts}
        sides = [
            Side(each.parts, [part for part in each.parts if part.key in keys], each.axis, up=each is member)
            for each in (member, carrier)
        ]
        found = {standard: counted(standard, bolts, sides, self._boxes) for standard in SOURCES}
        lowest = min(bolt.head[2] for each in found.values() for bolt in each.bolts or bolts)
        return Held(found, self._bears(support, diameter, found), self._splits(support, lowest))

    def _bears(
        self, support: Support, diameter: int, found: Mapping[Standard, Counted]
    ) -> Sequence[tuple[Standard, float]]:
        bolt, members = support.bolts[0], (support.member, support.carrier)
        parts = [[part for part in member.parts if part.key in bolt.parts] for member in members]
        woods = [[self.woods(part) for part in side] for side in parts]
        i = AXES.index(bolt.axis)
        thick = {
            standard: [sum(self._boxes[part.key].size[i] for part in each.sound(side)) / MM for side in parts]
            for standard, each in found.items()
        }
        along = [member.upright for member in members]  # the load is upright too
        alike = (*map(tuple, thick.values()), *along, diameter, *(tuple(map(id, side)) for side in woods))
        if alike not in self._bolts_alike:
            known = all(each for side in woods for each in side)
            loads: list[tuple[Standard, float]] = []
            for one, other in product(*map(_each, woods)) if known else ():
                if one.standard == other.standard:
                    a, b = thick[one.standard]
                    load = bolt_load(AtBolt(one, a, along[0]), AtBolt(other, b, along[1]), diameter / MM)
                    loads += [] if load is None else [load]
            self._bolts_alike[alike] = loads
            if known and not loads:
                together = f"{members[0].parts[0].name} and {members[1].parts[0].name} together"
                self.unknown.setdefault(together, []).extend(bolt.parts)
        return self._bolts_alike[alike]

    def _splits(self, support: Support, lowest: int) -> Sequence[tuple[Standard, float]]:
        """What a lying member bears before it splits at its bolts: its parts there together, of the worst woods."""
        member, bolt = support.member, support.bolts[0]
        parts = [part for part in member.parts if part.key in bolt.parts]
        if member.upright or not all(self.woods(part) for part in parts):
            return ()
        across = 1 if member.axis == "x" else 0
        found: dict[Standard, float] = {}
        for part in parts:
            box = self._boxes[part.key]
            depth, width, effective = box.size[2] / MM, box.size[across] / MM, (box.high[2] - lowest) / MM
            near = min(support.at - member.low, member.high - support.at) < END * depth
            each: dict[Standard, float] = {}
            for wood in self.woods(part) if effective > 0 else ():
                bears = wood.bolted_end(depth, width, min(effective, depth), near=near)
                each[wood.standard] = min(bears, each.get(wood.standard, bears))
            for standard, bears in each.items():
                found[standard] = found.get(standard, 0.0) + bears
        return tuple(found.items())


def _layered(
    names: Sequence[str], sizes: Sequence[tuple[float, float]], backed: Sequence[float], through: Sequence[bool],
    woods: Sequence[tuple[Graded, ...]],
) -> Beam:  # fmt: skip
    """A beam of layers that each bend about their own middles; of several woods each may be the stiffest there."""
    inertia = [width * depth**3 / 12 for depth, width in sizes]
    least = [min(wood.elasticity for wood in known) * each for known, each in zip(woods, inertia, strict=True)]
    most = [max(wood.elasticity for wood in known) * each for known, each in zip(woods, inertia, strict=True)]
    layers = tuple(
        Layer(name, depth, width, back, stiff / (sum(least) - soft + stiff), whole, known)
        for name, (depth, width), back, soft, stiff, whole, known in zip(
            names, sizes, backed, least, most, through, woods, strict=True
        )
    )
    return Beam(sum(least), layers)


def _across(support: Support) -> bool:
    """Whether bolts carry a member across their axes: those that stand upright hold it down, or hang it."""
    return bool(support.bolts) and all(bolt.axis != "z" for bolt in support.bolts)


def _each(woods: Sequence[tuple[Graded, ...]]) -> tuple[Graded, ...]:
    """Every kind of wood once."""
    return tuple(dict.fromkeys(wood for some in woods for wood in some))
