"""Which members a frame has, where they meet, and which carries which: measured from its boxes and joints.

Parts glued along each other act as one member. A part lies on what it rests on, or hangs in what its hanger is fixed
to; of other joints, the member that is nearer to the floor carries the other. A ladder carries nothing but its treads,
for it may be taken away. Forces [N], lengths [mm].
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from itertools import pairwise
from math import inf
from typing import Final

from sawbill.checks.members import Kind, Member, Support, members_of
from sawbill.trade.boxes import AXES, Box
from sawbill.trade.frame import Bolted, Fastener, Frame, Glued, Housed, Hung, Joint, Lying, Resting, Screwed
from sawbill.trade.lengths import MM


class LoadPaths:
    """The members of a frame: `of` a part by its key, `members` in the order of parts; `links`: wherever they meet.

    met: what each meets, once for each link; idle: what only lies on others and bears nothing, such as the stops of a
    mattress, with the links by which it lies there: it is a weight, and is not trusted to hold its carriers together.
    """

    def __init__(self, frame: Frame) -> None:
        """Measure a frame."""
        self.frame = frame
        self._ladders = {key for bed in frame.high_beds if bed.ladder for key in bed.ladder.parts}
        self.of = members_of(frame)
        self.members = tuple(dict.fromkeys(self.of.values()))
        links = tuple(self._linked())
        self.idle = self._idle(links)
        self.members = tuple(member for member in self.members if member not in self.idle)
        for number, member in enumerate(self.members):
            member.number = number
        self.links = tuple(link for link in links if link.member not in self.idle)
        self.met: dict[Member, list[Member]] = {member: [] for member in self.members}
        for link in self.links:
            self.met[link.member].append(link.carrier)
            self.met[link.carrier].append(link.member)
            if link.carries:
                link.member.supports.append(link)
        for member in self.members:
            member.supports.sort(key=lambda support: support.at)
            member.places = tuple(dict.fromkeys(support.at for support in member.supports))

    def under(self, loaded: Iterable[Member]) -> Iterator[Support]:
        """What carries members, and what carries that, down to the floor."""
        waiting = deque(dict.fromkeys(loaded))
        known = set(waiting)
        while waiting:
            for support in waiting.popleft().supports:
                yield support
                if support.carrier not in known:
                    known.add(support.carrier)
                    waiting.append(support.carrier)

    def climbed(self, member: Member) -> bool:
        """Whether it belongs to a ladder, which may be taken away."""
        return member.parts[0].key in self._ladders

    def _idle(self, links: Iterable[Support]) -> Mapping[Member, list[Support]]:
        """What only rests on slats, seats or shelves, which bear people and things, and bears none itself."""
        frame = self.frame
        places = [*(place.slats for place in frame.sleeping_places), *(each.parts for each in frame.surfaces)]
        used = {self.of[key] for keys in places for key in keys}
        busy, resting = used | {self.of[key] for key in self._ladders}, dict[Member, list[Support]]()
        for link in links:
            busy.add(link.carrier)
            if link.kind == "rests" and link.carrier in used and not link.member.upright:
                resting.setdefault(link.member, []).append(link)
            else:
                busy.add(link.member)
        return {member: lies for member, lies in resting.items() if member not in busy}

    def _linked(self) -> Iterator[Support]:
        """Wherever members meet, once for each kind of joint between them; of parallel ones once for each joint."""
        met: defaultdict[tuple[Member, Member, Kind, int], list[_Meeting]] = defaultdict(list)
        of = self.of
        for number, joint in enumerate(self.frame.joints):
            for one, other in _pairs(joint):
                over, under = of[one], of[other]
                if over is under:
                    continue
                kind, turned = self._kind(one, other, joint)
                if turned:
                    one, other, over, under = other, one, under, over
                apart = number if over.axis == under.axis and not over.upright else -1
                met[over, under, kind, apart].append((one, other, joint))
        steps = self._steps((over, under) for over, under, _, _ in met)
        for (over, under, kind, _), meetings in met.items():
            if kind in ("rests", "hung"):
                carries = self.climbed(over) or not self.climbed(under)
                yield self._link(over, under, kind, meetings, carries=carries)
            elif self._carries(over, under, steps):
                turned_round = [(other, one, joint) for one, other, joint in meetings]
                yield self._link(under, over, kind, turned_round, carries=True)
            else:
                yield self._link(over, under, kind, meetings, carries=self._carries(under, over, steps))

    def _kind(self, one: str, other: str, joint: Joint) -> tuple[Kind, bool]:
        """How a joint holds two parts; whether it is the other that is carried, or comes first in the frame."""
        kind = _KINDS[type(joint)]
        if kind in ("rests", "hung"):
            return kind, False
        if (other, one) in self.frame.housings:  # screws only keep the end in its housing, which carries it
            return "rests", True
        if isinstance(joint, Fastener) and joint.axis == "z":
            upper, lower = self.frame.boxes[one], self.frame.boxes[other]
            if upper.low[2] >= lower.high[2]:
                return "rests", False
            if lower.low[2] >= upper.high[2]:
                return "rests", True
        return kind, self.of[other].number < self.of[one].number

    def _carries(self, one: Member, other: Member, steps: Mapping[Member, int]) -> bool:
        """Whether the one carries the other, where they are fixed to each other."""
        nearer = one in steps and (other not in steps or steps[one] < steps[other])
        return nearer and not (self.climbed(one) and not self.climbed(other))

    def _steps(self, pairs: Iterable[tuple[Member, Member]]) -> Mapping[Member, int]:
        """How many joints lie between each member and the floor; those of ladders counted by themselves."""
        beside: defaultdict[Member, list[Member]] = defaultdict(list)
        for one, other in pairs:
            if self.climbed(one) == self.climbed(other):
                beside[one].append(other)
                beside[other].append(one)
        steps = dict.fromkeys(self.grounded, 0)
        waiting = deque(steps)
        while waiting:
            member = waiting.popleft()
            for other in beside[member]:
                if other not in steps:
                    steps[other] = steps[member] + 1
                    waiting.append(other)
        return steps

    @cached_property
    def grounded(self) -> tuple[Member, ...]:
        """What stands or lies on the floor."""
        floor, boxes = self.frame.bounds.low[2], self.frame.boxes
        return tuple(dict.fromkeys(member for key, member in self.of.items() if boxes[key].low[2] == floor))

    def _link(self, over: Member, under: Member, kind: Kind, meetings: list[_Meeting], *, carries: bool) -> Support:
        """Where a member meets another: in the middle of all that they share, or where their one fastener is."""
        joints = [*{id(joint): joint for _, _, joint in meetings}.values()] if len(meetings) > 1 else [meetings[0][2]]
        bolts = [joint for joint in joints if isinstance(joint, Bolted)] if kind in ("bolted", "rests") else []
        first = joints[0]
        if over.axis == under.axis != "z" and isinstance(first, Fastener):
            low = high = first.head[AXES.index(over.axis)] / MM
            on = low, high
        else:
            boxes = self.frame.boxes
            pairs = [(boxes[one], boxes[other]) for one, other, _ in meetings]
            (low, high), on = _shared(over, pairs), _shared(under, pairs)
        keys = [(one, other) for one, other, _ in meetings]
        return Support(over, (low + high) / 2, under, on, kind, joints, keys, high - low, carries, bolts)


def _shared(member: Member, pairs: Iterable[tuple[Box, Box]]) -> tuple[float, float]:
    """From where to where along a member pairs of boxes share it [mm]."""
    i, low, high = AXES.index(member.axis), inf, -inf
    for one, other in pairs:  # a frame has hundreds: comparing is quicker than max and min
        a, b, c, d = one.low[i], other.low[i], one.high[i], other.high[i]
        a, c = (a if a > b else b), (c if c < d else d)
        low, high = (a if a < low else low), (c if c > high else high)
    low, high = (low / MM, high / MM) if low <= high else (high / MM, low / MM)  # a hanger may leave a gap
    return (low if low > member.low else member.low), (high if high < member.high else member.high)


_KINDS: Final[Mapping[type[Joint], Kind]] = {
    Resting: "rests", Housed: "rests", Hung: "hung", Bolted: "bolted", Screwed: "screwed", Glued: "glued"
}  # fmt: skip
_Meeting = tuple[str, str, Joint]
"""A part of what is carried, a part of what carries it, and their joint."""


def _pairs(joint: Joint) -> Iterable[tuple[str, str]]:
    """The parts of a joint that touch, two by two."""
    if isinstance(joint, Lying):
        return ((over, joint.parts[-1]) for over in joint.parts[:-1])
    return pairwise(joint.parts)
