"""The bolts of a frame's links by where they are, whatever the wood: each looked at once. Lengths [mm]."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Support
from sawbill.checks.resistance.distances import Counted, Side, counted
from sawbill.checks.resistance.wood import Standard
from sawbill.trade.boxes import AXES
from sawbill.trade.frame import Bolted, Part
from sawbill.trade.lengths import MM


class Through(NamedTuple):
    """A bolt, the parts of what is carried and of what carries that it goes through, and how thick these are there."""

    bolt: Bolted
    sides: tuple[Sequence[Part], Sequence[Part]]
    thick: tuple[float, float]


class Placed(NamedTuple):
    """The bolts of a support: as how many they count, those of each kind, all parts of either side they go through."""

    counted: Mapping[Standard, Counted]
    through: Sequence[Through]
    parts: Sequence[Part]


class BoltPlaces:
    """Those of a frame."""

    def __init__(self, paths: LoadPaths) -> None:
        self._boxes = paths.frame.boxes
        self._known: dict[Support, Placed] = {}

    def of(self, support: Support) -> Placed:
        """Those of a support."""
        if support not in self._known:
            self._known[support] = self._placed(support)
        return self._known[support]

    def _placed(self, support: Support) -> Placed:
        member, carrier, bolts = support.member, support.carrier, support.bolts
        keys = {key for bolt in bolts for key in bolt.parts}
        over, under = (
            Side(each.parts, [part for part in each.parts if part.key in keys], each.axis, up=each is member)
            for each in (member, carrier)
        )
        through = [self._through(bolt, over.bolted, under.bolted) for bolt in _unlike(support)]
        return Placed(counted(bolts, (over, under), self._boxes), through, [*over.bolted, *under.bolted])

    def _through(self, bolt: Bolted, over: Sequence[Part], under: Sequence[Part]) -> Through:
        one, other = ([part for part in side if part.key in bolt.parts] for side in (over, under))
        return Through(bolt, (one, other), (self.thick(one, bolt), self.thick(other, bolt)))

    def thick(self, parts: Sequence[Part], bolt: Bolted) -> float:
        """How thick parts are together along a bolt."""
        i = AXES.index(bolt.axis)
        boxes = [self._boxes[part.key] for part in parts]
        return sum([box.high[i] - box.low[i] for box in boxes]) / MM


def _unlike(support: Support) -> Sequence[Bolted]:
    """One bolt of each kind: through other parts it bears otherwise."""
    return [*{bolt.parts: bolt for bolt in support.bolts}.values()]
