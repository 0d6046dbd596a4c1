"""Beams that carry beside their middle, such as a rail with a ledger: they are twisted from one hold to the next.

It is statics: whatever comes to a beam so far beside the middle of what holds it turns it, and comes to the next hold
on either side by the lever. Places along the beam [mm], moments [N mm].
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member, Support
from sawbill.checks.resistance import torsion
from sawbill.checks.resistance.wood import Standard
from sawbill.checks.strength.beams import Beam, Layer
from sawbill.checks.strength.used import Columns, Used, first_most
from sawbill.trade.boxes import AXES, bounds
from sawbill.trade.lengths import MM

SEAT: Final = 19.05
"""From the face of what a hanger is nailed to, to the middle of its seat: 3/4 in (common practice, no source)."""
SLIGHT: Final = 0.5
"""What is carried by less than this beside the middle does not twist."""


@dataclass(frozen=True, slots=True)
class Twisted:
    """A beam at one of its holds: what there is of it there, and by how much each link twists it there.

    arms: by link, how far it is beside the middle, times how much of it comes to this hold by the lever [mm].
    """

    beam: Beam
    place: float
    layers: tuple[Layer, ...]
    arms: Mapping[int, tuple[float, float]]

    def share(self, layer: Layer) -> float:
        """What a layer takes of the twist, by how stiff it is."""
        stiff = torsion.stiffness(layer.width, layer.depth)
        return stiff / sum(torsion.stiffness(each.width, each.depth) for each in self.layers)


def twisted(beams: Sequence[Beam], paths: LoadPaths) -> Iterator[Twisted]:
    """Every hold of every beam that something twists."""
    borne: defaultdict[Member, list[int]] = defaultdict(list)
    for number, link in enumerate(paths.links):
        if link.presses and link.carries:
            borne[link.carrier].append(number)
    for beam in beams:
        if beam.member in borne:
            yield from _holds(beam, paths, borne[beam.member])


def _holds(beam: Beam, paths: LoadPaths, borne: Sequence[int]) -> Iterator[Twisted]:
    member, across = beam.member, 1 if beam.member.axis == "x" else 0
    held = [link for link in member.supports if not link.presses]
    if len({link.at for link in held}) < 2:
        return
    boxes, keys = paths.frame.boxes, {key for link in held for joint in link.joints for key in joint.parts}
    middle_of = bounds(boxes[part.key] for part in member.parts if part.key in keys)
    middle = (middle_of.low[across] + middle_of.high[across]) / 2 / MM
    loads = {
        number: (place, arm)
        for number in borne
        for place, arm in [_load(paths, paths.links[number], across, middle)] if abs(arm) > SLIGHT
    }  # fmt: skip
    places = sorted({link.at for link in held})
    for low, high in pairwise(places) if loads else ():
        for here, there in ((low, high), (high, low)):
            arms = {n: (arm, _lever(at, here, there, places)) for n, (at, arm) in loads.items()}
            arms = {n: each for n, each in arms.items() if each[1] > 0}
            i = AXES.index(member.axis)
            layers = tuple(
                layer for layer in beam.layers
                if boxes[layer.part.key].low[i] / MM <= here <= boxes[layer.part.key].high[i] / MM
            )  # fmt: skip
            if arms and layers:
                yield Twisted(beam, here, layers, arms)


def _load(paths: LoadPaths, link: Support, across: int, middle: float) -> tuple[float, float]:
    """Where along a beam a link presses, and how far beside the middle."""
    boxes, at = paths.frame.boxes, sum(link.on) / 2
    pairs = [(boxes[one], boxes[other]) for one, other in link.pairs]
    if link.kind == "hung":
        one, other = pairs[0]
        face = other.high[across] if one.low[across] >= other.high[across] else other.low[across]
        side = 1 if face == other.high[across] else -1
        return at, face / MM + side * SEAT - middle
    low = min(max(one.low[across], other.low[across]) for one, other in pairs)
    high = max(min(one.high[across], other.high[across]) for one, other in pairs)
    return at, (low + high) / 2 / MM - middle


def _lever(at: float, here: float, there: float, places: Sequence[float]) -> float:
    """How much of what is at a place comes to one hold of a span; all of what is beyond the last."""
    low, high = min(here, there), max(here, there)
    if low <= at <= high:
        return (there - at) / (there - here)
    outside = at < places[0] if here < there else at > places[-1]
    return 1.0 if outside and here in (places[0], places[-1]) else 0.0


def twists(places: Sequence[Twisted], columns: Columns) -> Iterator[Used]:
    """The shear of what is twisted most."""
    durations = [*columns.of]
    found: defaultdict[Standard, list[tuple[Twisted, Layer, list[float], list[float]]]] = defaultdict(list)
    for each in places if durations else ():
        rows, by = [*each.arms], [arm * lever for arm, lever in each.arms.values()]
        moment = columns.most_of(np.array(by) @ columns.solved.forces[rows])
        for layer in each.layers:
            stress = [torsion.stress(one * each.share(layer), layer.width, layer.depth) for one in moment]
            for wood in layer.woods:
                bears = [torsion.strength(wood, layer.width, layer.depth, lasting) for lasting in durations]
                found[wood.standard].append((each, layer, stress, bears))
    for standard, all_of in found.items():
        used = np.array([stress for *_, stress, _ in all_of]) / np.array([bears for *_, bears in all_of])
        row, at = first_most(used)
        each, layer, *_ = all_of[row]
        levers = np.array([arm * lever for arm, lever in each.arms.values()])
        these = columns.of[durations[at]]
        column = int(these[int(np.abs(levers @ columns.solved.forces[[*each.arms]][:, these]).argmax())])
        yield Used(
            "torsion", standard, float(used[row, at]), each.beam.member, durations[at], min(each.arms),
            part=layer.part, column=column,
        )  # fmt: skip
