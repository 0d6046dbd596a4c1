"""What bolts, screws and wood bear at the corners of an elevation, and how much of it a push uses.

A bolt's or screw's force is what turns the corner over its arm, and its share of what slides it; that may run along the
grain of one member and across that of the other, or the other way round, and the worse counts. Forces [N].
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import inf
from typing import Final, Literal, NamedTuple

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.racking.bent import Bent, Layer, most_bent
from sawbill.checks.racking.distances import share
from sawbill.checks.racking.elevations import Corner
from sawbill.checks.racking.holds import Hold, under_washer
from sawbill.checks.racking.sway import Racked, Swayed
from sawbill.checks.resistance.screwed import ScrewedJoints
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import AtBolt, Graded, Lasting, Standard, bolt_load
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis
from sawbill.trade.frame import Bolted, Fastener, Screwed
from sawbill.trade.lengths import MM

ALIKE: Final = 1e-9
"""Of two that bear as much, but for the last digits, the first is told."""
_BESIDE: Final[Mapping[Axis, tuple[int, int]]] = {"x": (1, 2), "y": (0, 2), "z": (0, 1)}
What = Literal["bolts", "screws", "pressed face", "washers", "bent wood"]


class Use(NamedTuple):
    """How much of what something at a corner bears a push uses; column: which push.

    hold: what holds the corner, -1 of wood that is bent beside it; moment: what turns the corner there, or bends the
    wood [N mm]; slide: what slides it, for each fastener [N]; force: what of both comes to the one that bears [N];
    bears: what that bears, for as long as the push lasts [N]; bent: which member is bent, which of its layers counts.
    """

    what: What
    standard: Standard
    used: float
    corner: int
    hold: int
    column: int
    moment: float
    slide: float
    force: float
    bears: float
    bent: tuple[Member, Layer] | None = None


class Bearing:
    """What holds the corners of a frame, in the wood that is cut for it; what is alike is looked at once."""

    def __init__(self, paths: LoadPaths, timber: Timber, screwed: ScrewedJoints, lasting: Lasting) -> None:
        self.paths, self.timber, self.screwed, self.lasting = paths, timber, screwed, lasting
        self._known: dict[object, Sequence[tuple[AtBolt, AtBolt, Standard, float]]] = {}
        self._places: dict[int, object] = {}
        self._shares: dict[object, float] = {}

    def uses(self, racked: Racked, swayed: Swayed) -> Iterator[Use]:
        """The most of each kind at corners that are alike."""
        corners, holds = racked.seen.corners, racked.holds
        if not holds:
            return
        counts = [Counter(map(type, corner.fasteners)) for corner in corners]
        shared = np.array([counts[h.corner][type(h.by[0])] if h.by else 1 for h in holds], np.float64)
        moments = np.abs(swayed.turning)
        slides = np.hypot(swayed.forces[:, 0], swayed.forces[:, 1])[[h.corner for h in holds]] / shared[:, None]
        slides[moments == 0] = 0.0
        forces = moments / np.array([h.arm for h in holds])[:, None] + slides
        columns = forces.argmax(axis=1)
        rows = np.arange(len(holds))
        most = forces[rows, columns].tolist()
        worst: dict[object, int] = {}
        names = [_names(corner) for corner in corners]
        for number, hold in enumerate(holds):
            if hold.by:
                key = hold.kind, names[hold.corner], *map(self._place, hold.by)
                if key not in worst or most[number] > most[worst[key]] * (1 + ALIKE):
                    worst[key] = number
        for number in worst.values():
            at = number, columns[number]
            yield from self._of(racked, holds[number], number, int(at[1]),
                                (float(moments[at]), float(slides[at]), float(forces[at])))  # fmt: skip
        for bent in most_bent(racked, swayed, self.timber):
            yield from self._bends(bent)

    def _bends(self, bent: Bent) -> Iterator[Use]:
        """The wood of a member that is bent, by each of its layers; none where no table tells of one."""
        for layer in bent.layers:
            woods = [self.timber.woods(part) for part in layer.parts]
            for wood in dict.fromkeys(each for some in woods for each in some) if all(woods) else ():
                bears = layer.bears(wood, self.lasting)
                yield Use("bent wood", wood.standard, bent.moment / bears, bent.corner, -1, bent.column, bent.moment,
                          0.0, bent.moment, bears, (bent.member, layer))  # fmt: skip

    def _of(
        self, racked: Racked, hold: Hold, number: int, column: int, found: tuple[float, float, float]
    ) -> Iterator[Use]:
        corner, (moment, _, force) = racked.seen.corners[hold.corner], found
        what: What = "bolts" if isinstance(hold.by[0], Bolted) else "screws"
        if force:
            bearing = self.fastener(corner, hold, racked.seen.along)
            for standard, bears in bearing.items():
                bears *= self._lasts(standard)
                used = force / bears if bears else inf
                yield Use(what, standard, used, hold.corner, number, column, *found, bears)
        if hold.kind == "butt" and moment:
            butt, press = corner.butts[hold.butt], moment / hold.arm * len(hold.by)
            for standard, bears in self.face(hold, corner).items():
                yield Use(
                    "pressed face", standard, press / bears, hold.corner, number, column, moment, 0.0, press, bears
                )
            pull = press * butt.prying / len(butt.holding)
            for standard, bears in self.washers(butt.holding).items() if butt.prying else ():
                yield Use("washers", standard, pull / bears, hold.corner, number, column, moment, 0.0, pull, bears)

    def _place(self, fastener: Fastener) -> object:
        """What is the same for fasteners of a size in like woods, and for bolts as far from the ends and edges of their
        parts, on either side."""
        if id(fastener) not in self._places:
            frame, head = self.paths.frame, fastener.head
            woods = tuple([self.timber.cut_for(frame.by_key[key]) for key in fastener.parts])
            far: list[tuple[int, int]] = []
            for key in fastener.parts if isinstance(fastener, Bolted) else ():
                box = frame.boxes[key]
                for k in _BESIDE[fastener.axis]:
                    low, high = head[k] - box.low[k], box.high[k] - head[k]
                    far.append((low, high) if low <= high else (high, low))
            self._places[id(fastener)] = fastener.size, woods, *far
        return self._places[id(fastener)]

    def _lasts(self, standard: Standard) -> float:
        return self.lasting.cd if standard == "NDS" else self.lasting.kmod

    def fastener(self, corner: Corner, hold: Hold, along: str) -> Mapping[Standard, float]:
        """What the weakest fastener of a hold bears across itself, with CD or kmod 1."""
        if not isinstance(hold.by[0], Bolted):
            found: dict[Standard, float] = {}
            for each in dict.fromkeys(by for by in hold.by if isinstance(by, Screwed)):
                for standard, bears in self.screwed.together((each,)).items():
                    found[standard] = min(bears, found.get(standard, bears))
            return found
        bolts: list[Bolted] = [each for each in hold.by if isinstance(each, Bolted)]
        least: dict[Standard, float] = {}
        for *_, standard, bears in self.at_bolts(corner, bolts):
            least[standard] = min(bears, least.get(standard, bears))
        return {standard: bears * self._share(corner, hold, standard) for standard, bears in least.items()}

    def _share(self, corner: Corner, hold: Hold, standard: Standard) -> float:
        """How much of its bolts counts, looked at once for both ways they are turned."""
        key = standard, hold.kind, hold.butt, *map(id, hold.by)
        if key not in self._shares:
            self._shares[key] = share(self.paths, corner, hold, standard)
        return self._shares[key]

    @staticmethod
    def diameter(bolt: Bolted) -> float:
        """Of a bolt [mm]."""
        return fasteners.bolt_sizes()[bolt.size].diameter / MM

    def at_bolts(self, corner: Corner, bolts: Sequence[Bolted]) -> Sequence[tuple[AtBolt, AtBolt, Standard, float]]:
        """Both woods at each bolt and what it bears in them, for all pairs, along the grain of the one or the other."""
        alike = {bolt.parts: bolt for bolt in bolts}
        return [found for bolt in alike.values() for found in self._at_bolt(corner, bolt)]

    def _at_bolt(self, corner: Corner, bolt: Bolted) -> Sequence[tuple[AtBolt, AtBolt, Standard, float]]:
        members, boxes, i = (corner.one, corner.other), self.paths.frame.boxes, AXES.index(bolt.axis)
        parts = [[part for part in member.parts if part.key in bolt.parts] for member in members]
        thick = [sum(boxes[part.key].size[i] for part in side) / MM for side in parts]
        woods = [tuple(dict.fromkeys(wood for part in side for wood in self.timber.woods(part))) for side in parts]
        if not all(self.timber.woods(part) for side in parts for part in side):
            return []
        square = members[0].axis != members[1].axis
        key = bolt.size, square, *thick, *(id(wood) for side in woods for wood in side)
        if key not in self._known:
            self._known[key] = _loads(woods, thick, self.diameter(bolt), square=square)
        return self._known[key]

    def face(self, hold: Hold, corner: Corner) -> Mapping[Standard, float]:
        """What the edge of an end that butts may press with, across the grain of what it butts against."""
        butt = corner.butts[hold.butt]
        long, wide = butt.part.section.thickness / MM, butt.pressed
        return self._across(self.timber.woods(butt.against), long, wide)

    def washers(self, bolts: Sequence[Bolted]) -> Mapping[Standard, float]:
        """What a bolt may be pulled with, its washers pressed across the grain."""
        side = under_washer(bolts[0]) ** 0.5
        parts = [self.paths.frame.by_key[key] for key in (bolts[0].parts[0], bolts[0].parts[-1])]
        woods = [wood for part in parts for wood in self.timber.woods(part)]
        return {
            standard: bears * (3.0 if standard == "EC5" else 1.0)  # 8.5.2(2), from memory
            for standard, bears in self._across(woods, side, side).items()
        }

    def _across(self, woods: Sequence[Graded], long: float, wide: float) -> Mapping[Standard, float]:
        found: dict[Standard, float] = {}
        for wood in dict.fromkeys(woods):
            bears = wood.bearing(long, wide, (0.0, 0.0), (0.0, 0.0))
            bears *= 1.0 if wood.standard == "NDS" else self.lasting.kmod
            found[wood.standard] = min(bears, found.get(wood.standard, bears))
        return found


def _loads(
    woods: Sequence[Sequence[Graded]], thick: Sequence[float], diameter: float, *, square: bool
) -> Sequence[tuple[AtBolt, AtBolt, Standard, float]]:  # fmt: skip
    """What a bolt bears in all pairs of two woods; square: whether their grains are square to each other."""
    found = []
    for one, other in product(*woods):
        for turned in (False, True):
            a, b = AtBolt(one, thick[0], turned), AtBolt(other, thick[1], turned != square)
            if (load := bolt_load(a, b, diameter)) is not None:
                found.append((a, b, *load))
    return found


def _names(corner: Corner) -> tuple[str, str]:
    """What both members are called."""
    return corner.one.parts[0].name, corner.other.parts[0].name
