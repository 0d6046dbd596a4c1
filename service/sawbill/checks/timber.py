"""The members of a frame in the wood that is cut for them: what each is as a beam, as a post, at a bolt.

Layers glued side by side share a load by their stiffness, and give way to the side, or stand, as one. Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from sawbill.checks.load_paths import LoadPaths, Member, Support
from sawbill.checks.wood import AtBolt, Graded, Standard, bolt_load, graded
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, bounds
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Materials

SWAY: Final = 2.4
"""Effective length of a post that may sway, in its heights (NDS 2018, Appendix G)."""
LOADED_EDGE: Final = 4
"""How many diameters a bolt is from the edge it presses on, across the grain (NDS 2018, Table 12.5.1C; EN 1995-1-1,
Table 8.4)."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A part of a beam as it stands: how deep and wide it is, its share of the beam's stiffness, its woods.

    through: whether it reaches from the first support to the last, so that it takes shear at the ends.
    """

    name: str
    depth: float
    width: float
    share: float
    through: bool
    woods: tuple[Graded, ...]


@dataclass(frozen=True, slots=True)
class Beam:
    """A member that bends: its stiffness E I [N mm2], how wide it is in all, its layers."""

    stiffness: float
    width: float
    layers: tuple[Layer, ...]


@dataclass(frozen=True, slots=True)
class Post:
    """A member that stands: its area [mm2], the side by which it gives way and its effective length."""

    member: Member
    area: float
    side: float
    effective: float
    woods: tuple[Graded, ...]


@dataclass(frozen=True, slots=True)
class Edge:
    """How far the furthest bolt of a support is from the edge it presses on, how far it should be [nm].

    clear: how many are as far as they should be; along the grain, all.
    """

    far: int
    least: int
    clear: int


class Timber:
    """The members of a frame, each looked at once, those that are alike together; unknown: of which no table tells."""

    def __init__(self, paths: LoadPaths, materials: Materials) -> None:
        self.unknown: dict[str, None] = {}
        self._paths = paths
        self._boxes = paths.frame.boxes
        self._materials = materials
        self._woods: dict[int, tuple[Graded, ...]] = {}
        self._beams: dict[Member, Beam | None] = {}
        self._beams_alike: dict[object, Beam | None] = {}
        self._edges: dict[Support, Edge] = {}
        self._bolts: dict[Support, Sequence[tuple[Standard, float]]] = {}
        self._bolts_alike: dict[object, Sequence[tuple[Standard, float]]] = {}

    def woods(self, part: Part) -> tuple[Graded, ...]:
        """What is known of the wood of a part; of ripped wood nothing is, for its grade was that of the whole."""
        cut = self._materials.get(part.key, ())
        if id(cut) not in self._woods:
            found = [graded(each) for each in cut]
            self._woods[id(cut)] = () if None in found else tuple(each for each in found if each is not None)
        known = self._woods[id(cut)] if part.ripped is None else ()
        if not known:
            self.unknown[part.name] = None
        return known

    def beam(self, member: Member) -> Beam | None:
        """A member as a beam; None: no table tells the strength of all of it."""
        if member not in self._beams:
            self._beams[member] = self._beam(member)
        return self._beams[member]

    def bolt(self, support: Support) -> Sequence[tuple[Standard, float]]:
        """What each bolt of a support bears [N] with CD or kmod 1, for all woods on either side."""
        if support not in self._bolts:
            self._bolts[support] = self._bolt(support)
        return self._bolts[support]

    def edge(self, support: Support) -> Edge:
        """How far the bolts of a support are from the edge that they press on, and how many keep away from it."""
        if support not in self._edges:
            member = support.member
            far = [
                max(self._boxes[part.key].high[2] for part in member.parts if part.key in bolt.parts) - bolt.head[2]
                for bolt in support.bolts
            ]
            least = LOADED_EDGE * fasteners.bolt_sizes()[support.bolts[0].size].diameter
            clear = len(far) if member.upright else sum(each >= least for each in far)
            self._edges[support] = Edge(max(far), least, clear)
        return self._edges[support]

    def posts(self) -> Iterator[Post]:
        """What stands and carries something: between the floor and the highest of it it may buckle.

        There it may sway, unless it is a ladder's.
        """
        ladders = {key for bed in self._paths.frame.high_beds if bed.ladder for key in bed.ladder.parts}
        floor, heights = self._paths.frame.bounds.low[2] / MM, dict[Member, float]()
        for member in self._paths.members:
            for support in member.supports:
                post = support.carrier
                if post.upright:
                    heights[post] = max(support.on[1] - floor, heights.get(post, 0.0))
        for post, height in heights.items():
            woods = [self.woods(part) for part in post.parts]
            if all(woods):
                boxes = [self._boxes[part.key] for part in post.parts]
                area = sum(box.size[0] / MM * box.size[1] / MM for box in boxes)
                effective = height if post.parts[0].key in ladders else height * SWAY
                yield Post(post, area, min(bounds(boxes).size[:2]) / MM, effective, _each(woods))

    def _beam(self, member: Member) -> Beam | None:
        first, last = member.places[0] * MM, member.places[-1] * MM
        woods = [self.woods(part) for part in member.parts]
        boxes = [self._boxes[part.key] for part in member.parts]
        ends = [box.span(member.axis) for box in boxes]
        through = [low <= first and high >= last for low, high in ends]
        across = 1 if member.axis == "x" else 0
        sizes = [(box.size[2] / MM, box.size[across] / MM) for box in boxes]
        alike = tuple(zip(sizes, through, map(id, woods), strict=True))
        if alike not in self._beams_alike:
            names = [part.name for part in member.parts]
            self._beams_alike[alike] = _layered(names, sizes, through, woods) if all(woods) else None
        return self._beams_alike[alike]

    def _bolt(self, support: Support) -> Sequence[tuple[Standard, float]]:
        bolt, members = support.bolts[0], (support.member, support.carrier)
        parts = [[part for part in member.parts if part.key in bolt.parts] for member in members]
        woods = [[self.woods(part) for part in side] for side in parts]
        i = AXES.index(bolt.axis)
        thick = [sum(self._boxes[part.key].size[i] for part in side) / MM for side in parts]
        along = [member.upright for member in members]  # the load is upright too
        alike = (*thick, *along, bolt.size, *(tuple(map(id, side)) for side in woods))
        if alike not in self._bolts_alike:
            known = all(each for side in woods for each in side)
            diameter = fasteners.bolt_sizes()[bolt.size].diameter / MM
            pairs = product(*map(_each, woods)) if known else ()
            loads = (
                bolt_load(AtBolt(one, thick[0], along[0]), AtBolt(other, thick[1], along[1]), diameter)
                for one, other in pairs
            )
            self._bolts_alike[alike] = [load for load in loads if load is not None]
        return self._bolts_alike[alike]


def _layered(
    names: Sequence[str], sizes: Sequence[tuple[float, float]], through: Sequence[bool],
    woods: Sequence[tuple[Graded, ...]],
) -> Beam:  # fmt: skip
    """A beam of layers that each bend about their own middles."""
    stiff = [
        min(wood.elasticity for wood in known) * width * depth**3 / 12
        for known, (depth, width) in zip(woods, sizes, strict=True)
    ]
    layers = tuple(
        Layer(name, depth, width, each / sum(stiff), whole, known)
        for name, (depth, width), each, whole, known in zip(names, sizes, stiff, through, woods, strict=True)
    )
    return Beam(sum(stiff), sum(width for _, width in sizes), layers)


def _each(woods: Sequence[tuple[Graded, ...]]) -> tuple[Graded, ...]:
    """Every kind of wood once."""
    return tuple(dict.fromkeys(wood for some in woods for wood in some))
