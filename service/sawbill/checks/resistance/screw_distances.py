"""How far screws that carry are from ends, edges and each other, in holes that are bored, as all of ours are.

The NDS asks that nothing splits, and its commentary says how far (12.1.5.7 with Table C12.1.5.7, from memory);
Eurocode 5 has Table 8.2. Of loads that are upright. Lengths [nm].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from sawbill.checks.resistance.distances import Distance, Kind
from sawbill.checks.resistance.wood import Standard
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Box
from sawbill.trade.frame import Part, Screwed
from sawbill.trade.lengths import MM

Least = Mapping[str, float]
"""The least distances in diameters: of the end that is pressed on and of the other, of edges, along and across."""
_NDS: Final[Mapping[bool, Least]] = {
    True: {"loaded end": 10, "end": 5, "loaded edge": 2.5, "edge": 2.5, "along": 10, "across": 2.5},
    False: {"loaded end": 5, "end": 5, "loaded edge": 2.5, "edge": 2.5, "along": 5, "across": 2.5},
}
_EC5: Final[Mapping[bool, Least]] = {
    True: {"loaded end": 12, "end": 7, "loaded edge": 3, "edge": 3, "along": 5, "across": 3},
    False: {"loaded end": 7, "end": 7, "loaded edge": 7, "edge": 3, "along": 4, "across": 4},
}
_THIN: Final = 5 * MM
"""Below this diameter the edge that is pressed on is 5 d away and not 7 d."""


def least_of(standard: Standard, size: str, *, upright: bool) -> Least:
    """The least distances in a part that stands, whose grain runs along the load, or that lies."""
    if standard == "NDS":
        return _NDS[upright]
    thin = fasteners.screw_sizes()[size].diameter < _THIN
    return {**_EC5[upright], "loaded edge": 5.0} if thin and not upright else _EC5[upright]


def distances(
    standard: Standard, joints: Sequence[Screwed], part: Part, box: Box, *, up: bool
) -> Iterator[Distance]:  # fmt: skip
    """Every distance of screws in a part; up: whether they press it upward, as they do what they carry."""
    i, upright = AXES.index(part.placement.along), part.placement.along == "z"
    joints = sorted(joints, key=lambda joint: joint.head[i])
    for number, joint in enumerate(joints):
        if joint.axis == part.placement.along:
            continue  # into end grain
        across, d = 3 - i - AXES.index(joint.axis), fasteners.screw_sizes()[joint.size].diameter
        least = least_of(standard, joint.size, upright=upright)

        def told(kind: Kind, found: int, times: float, d: int = d) -> Distance:
            least = round(times * d)
            return Distance(kind, part.name, found, least, least)

        ends, edges = ((joint.head[k] - box.low[k], box.high[k] - joint.head[k]) for k in (i, across))
        pressed, end = (
            told("end", ends[1] if up else ends[0], least["loaded end"]),
            told("end", min(ends), least["end"]),
        )
        yield pressed if pressed.found * end.least <= end.found * pressed.least else end
        loaded = edges[1] if up else edges[0]
        if not upright and across == 2:
            yield told("loaded edge", loaded, least["loaded edge"])
        yield told("edge", min(edges), least["edge"])
        for other in joints[number + 1 :]:  # the first that is far enough along is the last to look at
            along, beside = abs(joint.head[i] - other.head[i]), abs(joint.head[across] - other.head[across])
            apart, aside = told("spacing", along, least["along"]), told("spacing", beside, least["across"])
            yield apart if apart.found * aside.least >= aside.found * apart.least else aside
            if along >= apart.least:
                break
