"""A frame seen from one side: what stands, what lies in that plane, and the corners where they are fixed together.

Seen from the front or from an end, a piece of furniture is several such elevations one behind the other: two sides, or
two ends. Of what runs toward the eye only its faces count, against which others butt. A ladder may be taken away, so it
holds nothing. Lengths [mm], the eye's own across from left to right, and up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from sawbill.checks.load_paths import LoadPaths, Member
from sawbill.trade.boxes import AXES, Axis, Box
from sawbill.trade.frame import Bolted, Glued, Part, Screwed
from sawbill.trade.lengths import MM

Fastener = Bolted | Screwed
Spot = tuple[float, float]
"""A place in an elevation: across, and up."""
TOWARD: Final[Mapping[Axis, Axis]] = {"x": "y", "y": "x"}
"""Along which axis one looks at what runs along another."""


@dataclass(slots=True)
class Butt:
    """Where the end of what lies butts against a face of what is held to a post.

    sense: 1 where that is its right end; at: the place of the face across; low, high: from where to where it is;
    holding: the bolts that keep the part it butts against on the post; prying: how many times the press they are
    pulled with, for they hold it beside the place where it is pressed, 0 where it is pressed onto the post; part,
    against: what butts, and on what.
    """

    sense: int
    at: float
    low: float
    high: float
    part: Part
    against: Part
    holding: Sequence[Bolted]
    prying: float

    @property
    def pressed(self) -> float:
        """How much of its height the edge presses on: a quarter (common practice, no source)."""
        return (self.high - self.low) / 4


@dataclass(slots=True)
class Corner:
    """Where two members of an elevation are fixed to each other, by what passes through both toward the eye.

    glue: the face they share, where it is glued: from where to where, across and up.
    """

    one: Member
    other: Member
    fasteners: list[Fastener] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    glue: list[tuple[float, float, float, float]] = field(default_factory=list)
    butts: list[Butt] = field(default_factory=list)

    @property
    def at(self) -> Spot:
        """The middle of what holds it."""
        spots = self.spots or [((a + b) / 2, (c + d) / 2) for a, b, c, d in self.glue]
        return sum(x for x, _ in spots) / len(spots), sum(z for _, z in spots) / len(spots)


@dataclass(slots=True)
class Elevation:
    """Members that hold each other in one plane, two of them at least on the floor, and their corners; along: the axis
    that the eye sees across."""

    along: Axis
    members: list[Member]
    corners: list[Corner]
    grounded: list[Member]

    def key(self, boxes: Mapping[str, Box]) -> object:
        """What is the same for elevations that are the same, one behind the other."""
        i = AXES.index(self.along)
        return tuple(
            (each.axis, each.low, each.high, *(boxes[part.key].low[i] for part in each.parts[:1]),
             *(part.section.name for part in each.parts))
            for each in self.members
        ), tuple(tuple(each.spots) for each in self.corners)  # fmt: skip


def elevations(paths: LoadPaths, along: Axis) -> list[Elevation]:
    """Those of a frame that can keep it from leaning along an axis."""
    corners = _corners(paths, along)
    grounded, seen, found = set(paths.grounded), set[Member](), []
    stacked = {each for c in corners if c.one.upright and c.other.upright for each in (c.one, c.other)}
    idle = {each for c in corners for each in (c.one, c.other) if each.upright} - grounded - stacked
    corners = [each for each in corners if not (each.one in idle or each.other in idle)]
    linked: defaultdict[Member, list[Member]] = defaultdict(list)
    for corner in corners:
        linked[corner.one].append(corner.other)
        linked[corner.other].append(corner.one)
    for first in linked:
        if first in seen:
            continue
        together, waiting = [], [first]
        seen.add(first)
        while waiting:
            member = waiting.pop()
            together.append(member)
            for other in linked[member]:
                if other not in seen:
                    seen.add(other)
                    waiting.append(other)
        feet = [each for each in together if each.upright and each in grounded]
        if len(feet) > 1:
            inside = set(together)
            together.sort(key=lambda member: member.number)
            feet.sort(key=lambda member: member.number)
            found.append(Elevation(along, together, [each for each in corners if each.one in inside], feet))
    return found


def _corners(paths: LoadPaths, along: Axis) -> list[Corner]:
    """Every corner of a direction."""
    toward, plane = TOWARD[along], (along, "z")
    i, k = AXES.index(along), 2
    found: dict[tuple[Member, Member], Corner] = {}
    holding: defaultdict[tuple[str, Member], list[Bolted]] = defaultdict(list)
    of, boxes, climbed = paths.of, paths.frame.boxes, paths.climbed
    glued: list[Glued] = []
    for joint in paths.frame.joints:
        if isinstance(joint, Glued):
            glued.append(joint)
        elif isinstance(joint, Bolted | Screwed) and joint.axis != "z":
            members = [*dict.fromkeys(of[key] for key in joint.parts)]
            if len(members) < 2:
                continue
            if joint.axis == along:
                for member, other in ((members[0], members[-1]), (members[-1], members[0])):
                    if member.upright and isinstance(joint, Bolted):
                        for key in joint.parts:
                            if of[key] is other:
                                holding[key, member].append(joint)
                continue
            inside = [each for each in members if each.axis in plane and not climbed(each)]
            for one, other in pairwise(inside):
                corner = _corner(found, one, other)
                corner.fasteners.append(joint)
                corner.spots.append((joint.head[i] / MM, joint.head[k] / MM))
    for joint in glued:
        one, other = (of[key] for key in joint.parts)
        if one is other or one.axis == other.axis or {one.axis, other.axis} != set(plane) or climbed(one):
            continue
        a, b = (boxes[key] for key in joint.parts)
        if a.shared(b)[AXES.index(toward)] == 0:
            face = a.common(b)
            _corner(found, one, other).glue.append(
                (face.low[i] / MM, face.high[i] / MM, face.low[k] / MM, face.high[k] / MM)
            )
    corners = list(found.values())
    if holding:
        _butt(paths, along, corners, holding)
    return corners


def _corner(found: dict[tuple[Member, Member], Corner], one: Member, other: Member) -> Corner:
    if other.number < one.number:
        one, other = other, one
    if (one, other) not in found:
        found[one, other] = Corner(one, other)
    return found[one, other]


def _butt(
    paths: LoadPaths, along: Axis, corners: Sequence[Corner], holding: Mapping[tuple[str, Member], list[Bolted]]
) -> None:
    """Find what butts at corners: the end of what lies against what is held to the post there."""
    held: defaultdict[Member, list[str]] = defaultdict(list)
    for key, post in holding:
        held[post].append(key)
    for corner in corners:
        for post, lying in ((corner.one, corner.other), (corner.other, corner.one)):
            if post.upright and not lying.upright:
                corner.butts += _butts(paths, along, lying, post, [(key, holding[key, post]) for key in held[post]])


def _butts(
    paths: LoadPaths, along: Axis, lying: Member, post: Member, held: Sequence[tuple[str, Sequence[Bolted]]]
) -> Iterator[Butt]:
    i, j, boxes = AXES.index(along), AXES.index(TOWARD[along]), paths.frame.boxes
    for part in lying.parts:
        box = boxes[part.key]
        for key, fasteners in held:
            against = boxes[key]
            if against.low[i] == box.high[i]:
                sense, at = 1, box.high[i]
            elif against.high[i] == box.low[i]:
                sense, at = -1, box.low[i]
            else:
                continue
            shared = box.common(against)
            if shared.low[j] < shared.high[j] and shared.low[2] < shared.high[2]:
                stands = [boxes[each.key] for each in post.parts]
                pulled = any(
                    against.low[i] >= each.high[i] if sense > 0 else against.high[i] <= each.low[i] for each in stands
                )
                prying = _prying(shared, against, stands, fasteners, j) if pulled else 0.0
                yield Butt(sense, at / MM, shared.low[2] / MM, shared.high[2] / MM, part, paths.frame.by_key[key],
                           fasteners, prying)  # fmt: skip


def _prying(pressed: Box, against: Box, post: Sequence[Box], fasteners: Sequence[Bolted], j: int) -> float:
    """How many times a press the fasteners are pulled with that hold a part to a post, if it is pressed beside it.

    It turns about the edge of the face they share that is furthest from the press.
    """
    lows = [max(each.low[j], against.low[j]) for each in post]
    highs = [min(each.high[j], against.high[j]) for each in post]
    low, high = min(lows), max(highs)
    middle = (pressed.low[j] + pressed.high[j]) / 2
    bolts = sum(each.head[j] for each in fasteners) / len(fasteners)
    far = high if middle < bolts else low
    return max(1.0, abs(far - middle) / max(abs(far - bolts), 1.0))
