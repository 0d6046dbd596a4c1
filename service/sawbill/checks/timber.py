"""The members of a frame in the wood that is cut for them: what it is, and what it and bolts bear where they meet.

Lengths [mm].
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from math import isqrt
from typing import Final

from sawbill.checks.load_paths import LoadPaths, Support
from sawbill.checks.wood import AtBolt, Graded, Standard, bolt_load, graded
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES
from sawbill.trade.frame import Bolted, Part
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Materials

END: Final = 5
"""Within how many depths of its end the bolts of a member may split it (NDS 2018, 3.4.3.3)."""


@dataclass(frozen=True, slots=True)
class Held:
    """The bolts of a support: how far the furthest is from the edge it presses on, how far it should be [nm].

    count: as how many they count by each standard, those left out that are nearer; bears: what each bears [N], and
    splits: what the wood that they carry bears before it splits [N], both with CD or kmod 1, for all woods there.
    """

    far: int
    least: int
    count: Mapping[Standard, float]
    bears: Sequence[tuple[Standard, float]]
    splits: Sequence[tuple[Standard, float]]


class Timber:
    """The members of a frame, each looked at once, those that are alike together; unknown: of which no table tells."""

    def __init__(self, paths: LoadPaths, materials: Materials) -> None:
        self.unknown: dict[str, None] = {}
        self._paths = paths
        self._boxes = paths.frame.boxes
        self._materials = materials
        self._woods: dict[int, tuple[Graded, ...]] = {}
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
            self.unknown[part.name] = None
        return known

    def held(self, support: Support) -> Held | None:
        """The bolts of a support; None: there are none across that carry."""
        if support not in self._held:
            self._held[support] = self._looked_at(support) if _across(support) else None
        return self._held[support]

    def at_bolts(self, support: Support) -> Sequence[tuple[AtBolt, AtBolt, Standard, float]]:
        """Both woods at the bolts of a support, what is carried first, and what a bolt bears in them, for all pairs."""
        bolt, members = support.bolts[0], (support.member, support.carrier)
        parts = [[part for part in member.parts if part.key in bolt.parts] for member in members]
        i, found = AXES.index(bolt.axis), []
        thick = [sum(self._boxes[part.key].size[i] for part in side) / MM for side in parts]
        for one, other in product(*(_each([self.woods(part) for part in side]) for side in parts)):
            side, main = AtBolt(one, thick[0], members[0].upright), AtBolt(other, thick[1], members[1].upright)
            load = bolt_load(side, main, self.diameter(support) / MM)
            if load is not None:
                found.append((side, main, *load))
        return found

    def diameter(self, support: Support) -> int:
        """Of the thinnest of the bolts of a support [nm]."""
        return min(fasteners.bolt_sizes()[bolt.size].diameter for bolt in support.bolts)

    def at_splits(self, support: Support, standard: Standard) -> Iterator[tuple[Graded, float, float, float, bool]]:
        """Each part of a lying member at its bolts, in the worst wood: how deep and wide, from its loaded edge to the
        furthest bolt that counts [mm], whether that is near its end."""
        member, across = support.member, 1 if support.member.axis == "x" else 0
        lowest = self._lowest(support)
        for part in member.parts:
            if part.key in support.bolts[0].parts:
                box = self._boxes[part.key]
                depth, width, effective = box.size[2] / MM, box.size[across] / MM, (box.high[2] - lowest) / MM
                near, effective = self._near(support, depth), min(effective, depth)
                woods = [wood for wood in self.woods(part) if wood.standard == standard]
                if effective > 0 and woods:
                    yield (
                        min(woods, key=lambda w: w.bolted_end(depth, width, effective, near=near)),
                        depth,
                        width,
                        effective,
                        near,
                    )

    def _near(self, support: Support, depth: float) -> bool:
        """Whether a place is near an end of the member."""
        return min(support.at - support.member.low, support.member.high - support.at) < END * depth

    def _lowest(self, support: Support) -> int:
        """How high the lowest of the bolts that count is [nm]."""
        member, bolts = support.member, support.bolts
        least = fasteners.LOADED_EDGE * max(fasteners.bolt_sizes()[bolt.size].diameter for bolt in bolts)
        tops = [max(self._boxes[part.key].high[2] for part in member.parts if part.key in bolt.parts) for bolt in bolts]
        far = [top - bolt.head[2] for top, bolt in zip(tops, bolts, strict=True)]
        counted = [bolt for bolt, each in zip(bolts, far, strict=True) if each >= least or member.upright] or bolts
        return min(bolt.head[2] for bolt in counted)

    def _looked_at(self, support: Support) -> Held:
        member, bolts = support.member, support.bolts
        diameter = min(fasteners.bolt_sizes()[bolt.size].diameter for bolt in bolts)
        least = fasteners.LOADED_EDGE * max(fasteners.bolt_sizes()[bolt.size].diameter for bolt in bolts)
        tops = [max(self._boxes[part.key].high[2] for part in member.parts if part.key in bolt.parts) for bolt in bolts]
        far = [top - bolt.head[2] for top, bolt in zip(tops, bolts, strict=True)]
        counted = [
            bolt for bolt, each in zip(bolts, far, strict=True) if each >= least or member.upright
        ] or bolts  # where none is far enough that is told
        lowest = min(bolt.head[2] for bolt in counted)
        return Held(
            max(far), least, _count(counted, diameter), self._bears(support, diameter), self._splits(support, lowest)
        )

    def _bears(self, support: Support, diameter: int) -> Sequence[tuple[Standard, float]]:
        bolt, members = support.bolts[0], (support.member, support.carrier)
        parts = [[part for part in member.parts if part.key in bolt.parts] for member in members]
        woods = [[self.woods(part) for part in side] for side in parts]
        i = AXES.index(bolt.axis)
        thick = [sum(self._boxes[part.key].size[i] for part in side) / MM for side in parts]
        along = [member.upright for member in members]  # the load is upright too
        alike = (*thick, *along, diameter, *(tuple(map(id, side)) for side in woods))
        if alike not in self._bolts_alike:
            known = all(each for side in woods for each in side)
            pairs = product(*map(_each, woods)) if known else ()
            loads = (
                bolt_load(AtBolt(one, thick[0], along[0]), AtBolt(other, thick[1], along[1]), diameter / MM)
                for one, other in pairs
            )
            self._bolts_alike[alike] = [load for load in loads if load is not None]
            if known and not self._bolts_alike[alike]:
                self.unknown[f"{members[0].parts[0].name} and {members[1].parts[0].name} together"] = None
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


def _across(support: Support) -> bool:
    """Whether bolts carry a member across their axes: those that stand upright hold it down, or hang it."""
    return bool(support.bolts) and all(bolt.axis != "z" for bolt in support.bolts)


def _count(bolts: Sequence[Bolted], diameter: int) -> Mapping[Standard, float]:
    """As how many bolts some count that may be too near to each other, or stand in a row along the load.

    Nearer than three diameters they count as one. In a row the geometry factor (NDS 2018, Table 12.5.1B) and the
    effective number (EN 1995-1-1, 8.34) make them fewer.
    """
    number = len(bolts)
    if number < 2:
        return {"NDS": 1.0, "EC5": 1.0}
    gap = min(
        isqrt(sum((a - b) ** 2 for a, b in zip(one.head, other.head, strict=True)))
        for one, other in combinations(bolts, 2)
    )
    if gap < 3 * diameter:
        return {"NDS": 1.0, "EC5": 1.0}
    rows = Counter(bolt.head[:2] for bolt in bolts)
    row = max(rows.values())
    effective = min(row, row**0.9 * (gap / (13 * diameter)) ** 0.25) if row > 1 else 1.0
    return {"NDS": number * min(1.0, gap / (4 * diameter)) if row > 1 else number, "EC5": number / row * effective}


def _each(woods: Sequence[tuple[Graded, ...]]) -> tuple[Graded, ...]:
    """Every kind of wood once."""
    return tuple(dict.fromkeys(wood for some in woods for wood in some))
