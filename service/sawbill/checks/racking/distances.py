"""How much of a bolt counts that keeps a corner from turning, for what wood is around it.

Two bolts that are a couple are pressed across the line between them, this way and that as the furniture is pushed. A
bolt beside an end that butts is pressed along what lies, and presses the upright away from that end, whichever way it
is pushed; an end that butts is pressed, and does not shear out.

Ends and spacings count in proportion, down to the least: the geometry factor of NDS 2018, 12.5.1. Eurocode 5 has no
such factor; that of the NDS is borrowed, of Eurocode's longer distances. Edges have none in either: a bolt has its
edge distance (NDS 2018, Table 12.5.1C; EN 1995-1-1, Table 8.4), or does not count. Lengths [nm].
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final, NamedTuple

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.racking.elevations import Corner
from sawbill.checks.racking.holds import Hold
from sawbill.checks.resistance.distances import Distance
from sawbill.checks.resistance.least_distances import ASKED
from sawbill.checks.resistance.wood import Standard
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.frame import Bolted, Part

END: Final = 1 / 2
SPACING: Final = 3 / 4
"""The least of an end and of a spacing, of what is asked for all of a bolt (NDS 2018, Tables 12.5.1A and B)."""


class Pressed(NamedTuple):
    """How bolts press a side of a corner: along its grain; toward which side across it, 0 for either in turn."""

    member: Member
    along: bool
    toward: int
    shears: bool


def share(paths: LoadPaths, corner: Corner, hold: Hold, standard: Standard) -> float:
    """How much of each bolt of a hold counts."""
    return nearest(paths, corner, hold, standard).factor


def nearest(paths: LoadPaths, corner: Corner, hold: Hold, standard: Standard) -> Distance:
    """The distance that decides it; of a side the part that has the most room is taken."""
    bolts = [bolt for bolt in hold.by if isinstance(bolt, Bolted)]
    each = []
    for side in _sides(corner, hold, bolts):
        parts = [part for part in side.member.parts if part.key in bolts[0].parts]
        each.append(max((min(distances(standard, paths, part, side, bolts), key=_order) for part in parts), key=_order))
    return min(each, key=_order)


def _order(distance: Distance) -> tuple[float, float]:
    return distance.factor, distance.found / distance.full


def _sides(corner: Corner, hold: Hold, bolts: Sequence[Bolted]) -> Iterator[Pressed]:
    couple = hold.kind == "bolts"
    upward = couple and abs(bolts[0].head[2] - bolts[1].head[2]) < _level(bolts)
    toward = 0 if couple else -corner.butts[hold.butt].sense
    for member in (corner.one, corner.other):
        yield Pressed(member, member.upright == upward, toward, couple)


def _level(bolts: Sequence[Bolted]) -> int:
    """How far two bolts are apart level."""
    i = AXES.index(bolts[0].axis)
    return abs(bolts[0].head[1 - i] - bolts[1].head[1 - i])


def _glued(paths: LoadPaths, part: Part, member: Member, bolt: Bolted) -> Box:
    """A part with what is glued beside it, as thick as it along the bolt."""
    own, i = paths.frame.boxes[part.key], AXES.index(bolt.axis)
    parts = (*member.parts, *member.fillers)
    beside = [paths.frame.boxes[each.key] for each in parts if each is not part]
    return bounds([own, *(box for box in beside if box.shared(own)[i] > 0)])


def distances(
    standard: Standard, paths: LoadPaths, part: Part, side: Pressed, bolts: Sequence[Bolted]
) -> Iterator[Distance]:  # fmt: skip
    """Of bolts in a part: each with the least for it to count at all, and what is asked for all of it."""
    asked, box = ASKED[standard], _glued(paths, part, side.member, bolts[0])
    grain, axis = AXES.index(side.member.axis), AXES.index(bolts[0].axis)
    across, d = 3 - grain - axis, fasteners.bolt_sizes()[bolts[0].size].diameter
    for bolt in bolts:
        end = min(bolt.head[grain] - box.low[grain], box.high[grain] - bolt.head[grain])
        full = asked.end(d, upright=side.along, toward=side.shears)[1]
        yield Distance("end", part.name, end, round(END * full), full)
        for toward, edge in ((-1, bolt.head[across] - box.low[across]), (1, box.high[across] - bolt.head[across])):
            loaded = not side.along and side.toward in (0, toward)
            least = asked.edge(d, loaded=loaded)
            yield Distance("loaded edge" if loaded else "edge", part.name, edge, least, least)
    for one, other in combinations((bolt.head for bolt in bolts), 2):
        gaps = abs(one[grain] - other[grain]), abs(one[across] - other[across])
        if gaps[0] >= gaps[1]:
            found, full = gaps[0], asked.along(d, upright=side.along, thick=part.section.thickness)[1]
        else:
            found, full = gaps[1], asked.across(d, upright=side.along)[1]
        yield Distance("spacing", part.name, found, round(SPACING * full), full)
