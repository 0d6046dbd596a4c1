"""What carries what in a frame, down to the floor: measured from its boxes and joints.

Parts glued along each other act as one member. A part lies on what it rests on, or hangs in what its hanger is fixed
to; of other joints, the member that is nearer to the floor carries the other. A ladder carries nothing but its treads,
for it may be taken away. Forces [N], lengths [mm].
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from sawbill.checks.spans import Effect, Patch, effect_of
from sawbill.trade.boxes import AXES, Axis
from sawbill.trade.frame import Bolted, Frame, Glued, Hung, Part, Resting
from sawbill.trade.lengths import MM

_ALIKE: Final = 0.75
"""Parts glued along each other act as one if the shorter is at least this share of the longer."""


@dataclass(eq=False, slots=True)
class Member:
    """Parts that act as one; axis: along which; low, high: where it begins and ends along it [mm].

    supports: what carries it, in their order along it; places: where they are, each place once [mm].
    """

    parts: tuple[Part, ...]
    axis: Axis
    low: float
    high: float
    supports: list[Support] = field(default_factory=list)
    places: tuple[float, ...] = ()

    @property
    def upright(self) -> bool:
        """Whether it stands."""
        return self.axis == "z"


@dataclass(eq=False, slots=True)
class Support:
    """Where a member is carried: at what place along it [mm], by what, and from where to where along that [mm].

    bolts: those that carry it there, if they do; place: which of the member's places that is; share: of what is
    carried there, for others may do so too.
    """

    member: Member
    at: float
    carrier: Member
    on: tuple[float, float]
    bolts: list[Bolted] = field(default_factory=list)
    place: int = 0
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Borne:
    """What a load does where it comes: to beams, to what stands or is held at one place [N], at every support [N]."""

    effects: Mapping[Member, Effect]
    weights: Mapping[Member, float]
    carried: Mapping[Support, float]


class LoadPaths:
    """The members of a frame: `of` a part by its key, `members` in the order of parts, `order` down to the floor."""

    def __init__(self, frame: Frame) -> None:
        """Measure a frame."""
        self.frame = frame
        self._ladders = {key for bed in frame.high_beds if bed.ladder for key in bed.ladder.parts}
        self.of: dict[str, Member] = {}
        for keys in _glued_along(frame):
            parts = tuple(frame.by_key[key] for key in keys)
            axis = parts[0].placement.along
            i = AXES.index(axis)
            boxes = [frame.boxes[key] for key in keys]
            member = Member(parts, axis, min(box.low[i] for box in boxes) / MM, max(box.high[i] for box in boxes) / MM)
            self.of.update(dict.fromkeys(keys, member))
        self.members = tuple(dict.fromkeys(self.of.values()))
        self._known: dict[object, Effect] = {}
        for (over, under), joints in self._carried().items():
            over.supports.append(self._support(over, under, joints))
        for member in self.members:
            member.supports.sort(key=lambda support: support.at)
            beside = Counter(support.at for support in member.supports)
            member.places = tuple(beside)
            for support in member.supports:
                support.place, support.share = member.places.index(support.at), 1 / beside[support.at]
        self.order = tuple(self._downward())

    def bear(self, loads: Mapping[Member, Iterable[Patch]]) -> Borne:
        """Follow loads on members down to the floor."""
        at: defaultdict[Member, list[Patch]] = defaultdict(list)
        for member, patches in loads.items():
            at[member] += patches
        effects: dict[Member, Effect] = {}
        weights: dict[Member, float] = {}
        carried: dict[Support, float] = {}
        known = self._known
        for member in self.order:
            if member not in at:
                continue  # it carries nothing of them
            places = member.places
            if member.upright or len(places) < 2:
                weights[member] = total = sum(load for _, _, load in at[member])
                shares = [total / max(1, len(places))] * len(places)
            else:
                alike = places, tuple(at[member])
                if alike not in known:
                    known[alike] = effect_of(places, at[member])
                effects[member] = known[alike]
                shares = list(known[alike].reactions)
            for support in member.supports:
                carried[support] = load = shares[support.place] * support.share
                at[support.carrier].append((*support.on, load))
        return Borne(effects, weights, carried)

    def _carried(self) -> Mapping[tuple[Member, Member], list[_Meeting]]:
        """Which member is carried by which, and where they meet."""
        carried: defaultdict[tuple[Member, Member], list[_Meeting]] = defaultdict(list)
        links: defaultdict[tuple[Member, Member], list[_Meeting]] = defaultdict(list)
        for joint in self.frame.joints:
            if isinstance(joint, Resting | Hung):
                for over in joint.parts[:-1]:
                    if self.of[over] is not self.of[joint.parts[-1]]:
                        carried[self.of[over], self.of[joint.parts[-1]]].append((over, joint.parts[-1], None))
            else:
                bolt = joint if isinstance(joint, Bolted) else None
                for one, other in pairwise(joint.parts):
                    if self.of[one] is not self.of[other]:
                        links[self.of[one], self.of[other]].append((one, other, bolt))
        steps = self._steps([*carried, *links])
        for (first, second), meetings in links.items():
            turned = [(other, one, bolt) for one, other, bolt in meetings]
            for a, b, met in ((first, second, meetings), (second, first, turned)):
                if (b, a) not in carried and ((a, b) in carried or self._carries(b, a, steps)):
                    carried[a, b] += met
        return carried

    def _carries(self, one: Member, other: Member, steps: Mapping[Member, int]) -> bool:
        """Whether the one carries the other, where they are fixed to each other."""
        nearer = one in steps and (other not in steps or steps[one] < steps[other])
        return nearer and not (self._climbed(one) and not self._climbed(other))

    def _climbed(self, member: Member) -> bool:
        return member.parts[0].key in self._ladders

    def _steps(self, pairs: Iterable[tuple[Member, Member]]) -> Mapping[Member, int]:
        """How many joints lie between each member and the floor; those of ladders counted by themselves."""
        beside: defaultdict[Member, list[Member]] = defaultdict(list)
        for one, other in pairs:
            if self._climbed(one) == self._climbed(other):
                beside[one].append(other)
                beside[other].append(one)
        floor = self.frame.bounds.low[2]
        boxes = self.frame.boxes
        steps = {self.of[key]: 0 for key in self.of if boxes[key].low[2] == floor}
        waiting = deque(steps)
        while waiting:
            member = waiting.popleft()
            for other in beside[member]:
                if other not in steps:
                    steps[other] = steps[member] + 1
                    waiting.append(other)
        return steps

    def _support(self, over: Member, under: Member, meetings: Iterable[_Meeting]) -> Support:
        """Where a member is carried by another: in the middle of all that they share."""
        boxes = self.frame.boxes
        pairs = [(boxes[one], boxes[other]) for one, other, _ in meetings]

        def shared(member: Member) -> tuple[float, float]:
            i, lows, highs = AXES.index(member.axis), [], []
            for one, other in pairs:  # a frame has hundreds: comparing is quicker than max and min
                a, b, c, d = one.low[i], other.low[i], one.high[i], other.high[i]
                lows.append(a if a > b else b)
                highs.append(c if c < d else d)
            low, high = min(lows) / MM, max(highs) / MM
            low, high = (low, high) if low <= high else (high, low)  # a hanger may leave a gap
            return max(member.low, low), min(member.high, high)

        low, high = shared(over)
        bolts = list(dict.fromkeys(bolt for _, _, bolt in meetings if bolt is not None))
        return Support(over, (low + high) / 2, under, shared(under), bolts)

    def _downward(self) -> Iterator[Member]:
        """The members, each before those that carry it."""
        left = dict.fromkeys(self.members, 0)
        for member in left:
            for support in member.supports:
                left[support.carrier] += 1
        ready = deque(member for member, count in left.items() if not count)
        while ready:
            member = ready.popleft()
            yield member
            for support in member.supports:
                left[support.carrier] -= 1
                if not left[support.carrier]:
                    ready.append(support.carrier)


_Meeting = tuple[str, str, Bolted | None]
"""A part of what is carried, a part of what carries it, and the bolt through both, if there is one."""


def _glued_along(frame: Frame) -> Iterator[tuple[str, ...]]:
    """The parts, those together that are glued along each other for most of their length."""
    together = {key: [key] for key in frame.by_key}
    for joint in frame.joints:
        if isinstance(joint, Glued):
            one, other = (frame.by_key[key] for key in joint.parts)
            short, long = sorted((one.length, other.length))
            a, b = together[one.key], together[other.key]
            if a is not b and one.placement.along == other.placement.along and short >= _ALIKE * long:
                a += b
                together |= dict.fromkeys(b, a)
    yield from dict.fromkeys(tuple(keys) for keys in together.values())
