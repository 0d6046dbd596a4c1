"""How much of a bolt counts that keeps a corner from turning, for what wood is around it.

Its force runs across the line to the bolt it makes a couple with, or along what lies where an end butts, and either way
in turn as the furniture is pushed this way and that. An end that butts is pressed, and does not shear out.
Lengths [nm].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from sawbill.checks.load_paths import LoadPaths, Member
from sawbill.checks.racking.elevations import Corner
from sawbill.checks.resistance.distances import ASKED
from sawbill.checks.resistance.wood import Standard
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.frame import Bolted, Part

HALF: Final = 0.5
"""From so much of a distance on a bolt counts in proportion: by NDS 2018, 12.5.1, of ends and spacings; borrowed for
loaded edges, and for Eurocode 5, as the push lasts seconds (common practice, no source)."""


def shares(paths: LoadPaths, corner: Corner, bolts: Sequence[Bolted]) -> Mapping[Standard, float]:
    """How much of each bolt counts, by standard: of two that are a couple, of one where an end butts."""
    found: dict[Standard, float] = {}
    for standard in ASKED:
        there, asked = nearest(paths, corner, bolts, standard)
        found[standard] = 0.0 if there < HALF * asked else min(1.0, there / asked)
    return found


def nearest(paths: LoadPaths, corner: Corner, bolts: Sequence[Bolted], standard: Standard) -> tuple[int, int]:
    """The distance that decides it: what there is, and what is asked."""
    each = [
        max(
            (min(distances(standard, paths, part, member, bolts, along=along), key=_ratio) for part in parts),
            key=_ratio,
        )
        for member, parts, along in _sides(corner, bolts)
    ]
    return min(each, key=_ratio)


def _ratio(distance: tuple[int, int]) -> float:
    return distance[0] / distance[1]


def _sides(corner: Corner, bolts: Sequence[Bolted]) -> Iterator[tuple[Member, Sequence[Part], bool]]:
    """Both members, their parts at the bolts, and whether the force runs along their grain."""
    upward = len(bolts) > 1 and abs(bolts[0].head[2] - bolts[1].head[2]) < _level(bolts)
    for member in (corner.one, corner.other):
        yield member, [part for part in member.parts if part.key in bolts[0].parts], member.upright == upward


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
    standard: Standard, paths: LoadPaths, part: Part, member: Member, bolts: Sequence[Bolted], *, along: bool
) -> Iterator[tuple[int, int]]:  # fmt: skip
    """Of bolts in a part: each as what is there, and what is asked for the full strength."""
    asked, box = ASKED[standard], _glued(paths, part, member, bolts[0])
    grain, axis = AXES.index(member.axis), AXES.index(bolts[0].axis)
    across, d = 3 - grain - axis, fasteners.bolt_sizes()[bolts[0].size].diameter
    couple = len(bolts) > 1
    for bolt in bolts:
        end = min(bolt.head[grain] - box.low[grain], box.high[grain] - bolt.head[grain])
        yield end, asked.end(d, upright=along, toward=couple)[1]
        edge = min(bolt.head[across] - box.low[across], box.high[across] - bolt.head[across])
        yield edge, asked.edge(d, loaded=not along)
    if couple:
        one, other = (bolt.head for bolt in bolts)
        gaps = abs(one[grain] - other[grain]), abs(one[across] - other[across])
        if gaps[0] >= gaps[1]:
            yield gaps[0], asked.along(d, upright=along, thick=part.section.thickness)[1]
        else:
            yield gaps[1], asked.across(d, upright=along)[1]
