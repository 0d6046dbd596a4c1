"""The members of a frame in the wood that is cut for them: what it is, and what it and bolts bear where they meet.

Lengths [mm].
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product
from typing import Final, NamedTuple

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Support
from sawbill.checks.resistance.bolt_places import BoltPlaces, Placed, Through
from sawbill.checks.resistance.distances import Counted
from sawbill.checks.resistance.wood import AtBolt, Graded, Standard, bolt_load, graded
from sawbill.trade import fasteners
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Material, Materials

END: Final = 5
"""Within how many depths of its end the bolts of a member may split it (NDS 2018, 3.4.3.3)."""


AtBolts = tuple[AtBolt, AtBolt, Standard, float]
"""Both woods at a bolt, and what it bears in them by their standard, with CD or kmod 1 [N]."""


class Held(NamedTuple):
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

    unknown: that of whose wood no table tells, by name, with the keys of the parts; some: whether it is asked of some
    parts alone, all others being left out; places: the bolts of its links, where they were looked at before.
    """

    def __init__(
        self, paths: LoadPaths, materials: Materials, *, some: bool = False, places: BoltPlaces | None = None
    ) -> None:
        self.some, self._places = some, places or BoltPlaces(paths)
        self.unknown: dict[str, list[str]] = {}
        self._paths = paths
        self._boxes = paths.frame.boxes
        self._materials = materials
        self._woods: dict[int, tuple[Graded, ...]] = {}
        self._of: dict[str, tuple[Graded, ...]] = {}
        self._cut: dict[int, int] = {}
        self._numbers: dict[tuple[Material, ...] | None, int] = {}
        self._held: dict[Support, Held | None] = {}
        self._bolts_alike: dict[object, Sequence[AtBolts]] = {}

    def known(self, part: Part) -> tuple[Graded, ...]:
        """What is known of the wood of a part; of ripped wood nothing is, for its grade was that of the whole."""
        if self.leaves_out((part.key,)):
            return ()
        cut = self._materials.get(part.key, ())
        if id(cut) not in self._woods:
            found = [graded(each) for each in cut]
            self._woods[id(cut)] = () if None in found else tuple(each for each in found if each is not None)
        return self._woods[id(cut)] if part.ripped is None else ()

    def woods(self, part: Part) -> tuple[Graded, ...]:
        """The same of a part that carries: where nothing is known, it is told."""
        found = self._of.get(part.key)
        if found is None:
            found = self._of[part.key] = self.known(part)
            if not found:
                self.unknown.setdefault(part.name, []).append(part.key)
        return found

    def leaves_out(self, keys: Iterable[str]) -> bool:
        """Whether nothing is asked of parts."""
        return self.some and self._materials.keys().isdisjoint(keys)

    def cut_for(self, part: Part) -> int:
        """The same for parts that are cut from the same woods."""
        cut = self._materials.get(part.key)
        if id(cut) not in self._cut:
            self._cut[id(cut)] = self._numbers.setdefault(cut, len(self._numbers))
        return self._cut[id(cut)]

    def held(self, support: Support) -> Held | None:
        """The bolts of a support; None: there are none across that carry."""
        if support not in self._held:
            asked = _across(support) and not self.leaves_out(key for bolt in support.bolts for key in bolt.parts)
            self._held[support] = self._looked_at(support) if asked else None
        return self._held[support]

    def at_bolts(self, support: Support) -> Sequence[AtBolts]:
        """Both woods at the bolts of a support, what is carried first, and what a bolt bears in them, for all pairs.

        How thick they are there is what of them counts, by the standard of the pair; of bolts through other parts each
        by itself.
        """
        placed, diameter = self._places.of(support), self.diameter(support)
        return [each for bolt in placed.through for each in self._at_bolt(support, bolt, placed.counted, diameter)]

    def _at_bolt(
        self, support: Support, through: Through, counted_by: Mapping[Standard, Counted], diameter: int
    ) -> Sequence[AtBolts]:  # fmt: skip
        woods = [[self.woods(part) for part in side] for side in through.sides]
        thick = {
            standard: tuple([self._places.thick(each.sound(side), through.bolt) for side in through.sides])
            if each.left else through.thick
            for standard, each in counted_by.items()
        }  # fmt: skip
        along = support.member.upright, support.carrier.upright  # the load is upright too
        alike = (*thick.values(), *along, diameter, *[tuple(map(id, side)) for side in woods])
        if alike not in self._bolts_alike:
            found: list[AtBolts] = []
            for one, other in product(*map(_each, woods)) if all(map(all, woods)) else ():
                a, b = thick[one.standard]
                side, main = AtBolt(one, a, along[0]), AtBolt(other, b, along[1])
                if (load := bolt_load(side, main, diameter / MM)) is not None:
                    found.append((side, main, *load))
            self._bolts_alike[alike] = found
        return self._bolts_alike[alike]

    def diameter(self, support: Support) -> int:
        """Of the thinnest of the bolts of a support [nm]."""
        return min(fasteners.bolt_sizes()[bolt.size].diameter for bolt in support.bolts)

    def at_splits(self, support: Support, standard: Standard) -> Iterator[tuple[Graded, float, float, float, bool]]:
        """Each part of a lying member at its bolts, in the worst wood: how deep and wide, from its loaded edge to the
        furthest bolt that counts [mm], whether that is near its end."""
        member, across = support.member, 1 if support.member.axis == "x" else 0
        held = self.held(support)
        assert held is not None
        lowest = _lowest(held.counted[standard], support)
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

    def _looked_at(self, support: Support) -> Held:
        placed = self._places.of(support)
        return Held(placed.counted, self._bears(support, placed), self._splits(support, placed))

    def _bears(self, support: Support, placed: Placed) -> Sequence[tuple[Standard, float]]:
        """What each bolt bears in all pairs of woods; that between woods of two standards is told to be unknown."""
        woods = [self.woods(part) for part in placed.parts]  # each is looked at
        diameter = self.diameter(support)
        loads = [
            each[2:] for bolt in placed.through for each in self._at_bolt(support, bolt, placed.counted, diameter)
        ]  # fmt: skip
        if all(woods) and not loads:
            together = f"{support.member.parts[0].name} and {support.carrier.parts[0].name} together"
            self.unknown.setdefault(together, []).extend(support.bolts[0].parts)
        return loads if all(woods) else ()

    def _splits(self, support: Support, placed: Placed) -> Sequence[tuple[Standard, float]]:
        """What a lying member bears before it splits at its bolts: its parts there together, of the worst woods.

        What lies on the floor does not: nothing hangs from its bolts, and what they press on it the floor bears below.
        """
        member, parts = support.member, placed.through[0].sides[0]
        lies = member in self._paths.grounded
        if member.upright or lies or not all(self.woods(part) for part in parts):
            return ()
        across = 1 if member.axis == "x" else 0
        lowest = {standard: _lowest(each, support) for standard, each in placed.counted.items()}
        found: dict[Standard, float] = {}
        for part in parts:
            box, each = self._boxes[part.key], dict[Standard, float]()
            depth, width = (box.high[2] - box.low[2]) / MM, (box.high[across] - box.low[across]) / MM
            near = self._near(support, depth)
            for wood in self.woods(part):
                effective = (box.high[2] - lowest[wood.standard]) / MM
                if effective <= 0:
                    continue
                bears = wood.bolted_end(depth, width, min(effective, depth), near=near)
                each[wood.standard] = min(bears, each.get(wood.standard, bears))
            for standard, bears in each.items():
                found[standard] = found.get(standard, 0.0) + bears
        return tuple(found.items())


def _lowest(those: Counted, support: Support) -> int:
    """How high the lowest of the bolts that count by a standard is [nm]; of all where none does."""
    return min(bolt.head[2] for bolt in those.bolts or support.bolts)


def _across(support: Support) -> bool:
    """Whether bolts carry a member across their axes: those that stand upright hold it down, or hang it."""
    return bool(support.bolts) and all(bolt.axis != "z" for bolt in support.bolts)


def _each(woods: Sequence[tuple[Graded, ...]]) -> tuple[Graded, ...]:
    """Every kind of wood once."""
    return tuple(dict.fromkeys(wood for some in woods for wood in some))
