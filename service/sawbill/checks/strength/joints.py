"""Where members meet: what bolts bear across, the wood at them, and wood that is pressed across its grain."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member, Support
from sawbill.checks.resistance.distances import Distance
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Graded, Standard
from sawbill.checks.strength.used import Columns, Used, first_most
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM


def bolted(paths: LoadPaths, timber: Timber, columns: Columns) -> Iterator[Used]:
    """The bolts of every link that has some, each with its share, and the wood that they carry: those used most."""
    borne: defaultdict[tuple[str, Standard], list[tuple[int, float]]] = defaultdict(list)
    for number, link in enumerate(paths.links):
        held = timber.held(link) if link.bolts else None
        if held is None:
            continue
        for standard, each in held.bears:
            if count := held.counted[standard].count:  # else the rule on distances tells
                borne["bolts", standard].append((number, count * each))
        for standard, each in held.splits:
            borne["bolted-end", standard].append((number, each))
    lasting = [*columns.of]
    for (rule, standard), links in borne.items() if lasting else ():
        numbers = [number for number, _ in links]
        bears = np.array([bears for _, bears in links])[:, None]
        used = columns.forces[numbers] / bears / columns.lasts(standard)
        row, at = first_most(used)
        number = numbers[row]
        yield Used(rule, standard, float(used[row, at]), paths.links[number].member, lasting[at], number)


class Near(NamedTuple):
    """A distance of fasteners of a diameter [nm], and the member that they hold."""

    distance: Distance
    member: Member
    diameter: int


def nearest_bolts(bearing: Iterable[Support], timber: Timber) -> Mapping[Standard, Near]:
    """The bolts with the least room for what they should have, by standard."""
    found: dict[Standard, Near] = {}
    for link in bearing:
        held = timber.held(link)
        for standard in dict.fromkeys(standard for standard, _ in held.bears) if held else ():
            near = held.counted[standard].nearest if held else None
            if near and nearer(near, found.get(standard)):
                found[standard] = Near(near, link.member, timber.diameter(link))
    return found


def nearer(distance: Distance, known: Near | None) -> bool:
    """Whether a distance is shorter for what it should be than one that is known."""
    return known is None or distance.found * known.distance.least < known.distance.found * distance.least


class Face(NamedTuple):
    """Where a part that lies is pressed across its grain, by which link, with what share of its force.

    sizes: how long the face is along the grain, how wide; how far it is from either end of the part; how much wood
    beside it has no other face on it, half of what lies between two faces for each [mm].
    """

    part: Part
    member: Member
    link: int
    share: float
    sizes: tuple[float, float, float, float, float, float]

    def bears(self, wood: Graded) -> float:
        """What the whole link may press with until this face has its share [N], with kmod 1."""
        long, wide, one, other, before, after = self.sizes
        return wood.bearing(long, wide, (one, other), (before, after)) / self.share


def faces_of(paths: LoadPaths) -> Iterator[Face]:
    """The faces of all that rests; of several that meet in one place each bears its share by its area."""
    found: defaultdict[str, list[_Meeting]] = defaultdict(list)
    for number, link in enumerate(paths.links):
        if link.kind == "rests":
            for key, meeting in _faces(paths, number, link):
                found[key].append(meeting)
    for key, meetings in found.items():
        part, member = paths.frame.by_key[key], paths.of[key]
        start, end = paths.frame.boxes[key].span(member.axis)
        meetings.sort()
        for i, (low, high, wide, number, share) in enumerate(meetings):
            before = (low - meetings[i - 1][1]) / 2 if i else low - start
            after = (meetings[i + 1][0] - high) / 2 if i + 1 < len(meetings) else end - high
            sizes = ((high - low) / MM, wide / MM, (low - start) / MM, (end - high) / MM, before / MM, after / MM)
            yield Face(part, member, number, share, sizes)


_Meeting = tuple[int, int, int, int, float]
"""From where to where along a part, how wide [nm], by which link, and what share of it."""


def _faces(paths: LoadPaths, number: int, link: Support) -> Iterator[tuple[str, _Meeting]]:
    boxes = paths.frame.boxes
    meet = []
    for pair in dict.fromkeys(link.pairs):
        (ax, ay, _), (bx, by, _) = boxes[pair[0]].low, boxes[pair[0]].high
        (cx, cy, _), (dx, dy, _) = boxes[pair[1]].low, boxes[pair[1]].high
        x, y = (max(ax, cx), min(bx, dx)), (max(ay, cy), min(by, dy))
        if x[1] > x[0] and y[1] > y[0]:
            meet.append((pair, x, y, (x[1] - x[0]) * (y[1] - y[0])))
    whole = sum(area for *_, area in meet)
    for pair, x, y, area in meet:
        for member, key in zip((link.member, link.carrier), pair, strict=True):
            if not member.upright:
                along, across = (x, y) if member.axis == "x" else (y, x)
                yield key, (*along, across[1] - across[0], number, area / whole)


def pressed(every: Iterable[Face], timber: Timber, columns: Columns) -> Iterator[Used]:
    """Wood pressed across its grain where it rests, or bears what rests on it; of faces alike the most pressed."""
    faces: defaultdict[Standard, list[tuple[Face, float]]] = defaultdict(list)
    known: dict[object, Sequence[tuple[Standard, float]]] = {}
    for face in every:
        woods = timber.woods(face.part)
        alike = face.sizes, face.share, id(woods)
        if alike not in known:
            known[alike] = [(wood.standard, face.bears(wood)) for wood in woods]
        for standard, bears in known[alike]:
            faces[standard].append((face, bears))
    lasting = [*columns.of]
    for standard, each in faces.items() if lasting else ():
        used = columns.forces[[face.link for face, _ in each]] / np.array([bears for _, bears in each])[:, None]
        used = used if standard == "NDS" else used / columns.lasts(standard)
        row, at = first_most(used)
        face = each[row][0]
        yield Used("bearing", standard, float(used[row, at]), face.member, lasting[at], face.link, part=face.part)
