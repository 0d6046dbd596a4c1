"""A push followed from the board to what holds it. Places along the frame [mm], forces [N]."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.resistance.bored import hole_of
from sawbill.checks.resistance.pulled import THREAD
from sawbill.checks.site import HEAVIEST_USER
from sawbill.checks.strength.pushes.demands import OFF, PAD, Bent, Comes, Couple, Demand, Pulled, Rule, Shared
from sawbill.checks.strength.pushes.walls import LIFT, Push, pushes
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.frame import Bolted, Fastener, Part, Screwed
from sawbill.trade.lengths import MM

Reaction = tuple[Member, float, Comes]
"""What comes to a member: how high, and how much."""


@dataclass(slots=True)
class Fixed:
    """Where a part is fixed to a member, and by what."""

    member: Member
    joints: list[Fastener] = field(default_factory=list)

    def place(self, axis: int) -> float:
        """The middle of its fasteners along an axis."""
        return sum(joint.head[axis] for joint in self.joints) / len(self.joints) / MM


class Pushed:
    """What pushes ask of a frame: its demands; loose: the boards that nothing holds at two places."""

    def __init__(self, paths: LoadPaths, user: int) -> None:
        """Of users of a mass [g]."""
        self._paths, self._boxes = paths, paths.frame.boxes
        self._grounded = set(paths.grounded)
        self._lying: dict[Member, Sequence[tuple[Member, Fastener]]] = {}
        self.loose: list[Member] = []
        self.demands = tuple(self._demands(user))

    def _demands(self, user: int) -> Iterator[Demand]:
        for push in pushes(self._paths, user):
            worst: dict[Member, Reaction] = {}
            for board in push.boards:
                supports = self._supports(push, board)
                if len(supports) < 2:
                    self.loose.append(self._paths.of[board.key])
                    continue
                forces = _forces(push, self._boxes[board.key].span(AXES[1 - push.axis]), supports)
                yield from self._bent(push, board, supports)
                yield from self._torn(push, board, supports, forces)
                for fixed, force in zip(supports, forces, strict=True):
                    height = fixed.place(2)
                    if fixed.member not in worst or height > worst[fixed.member][1]:
                        worst[fixed.member] = fixed.member, height, force
            for member, height, force in worst.values():
                yield from self._upright(push, member, height, force)
        yield from self._lifted(Comes(LIFT * user / HEAVIEST_USER, "EN 747"))

    def _joints(self, key: str) -> Sequence[Fastener]:
        """The bolts and screws in a part."""
        return self._paths.frame.fasteners.get(key, ())

    # ---- boards

    def _supports(self, push: Push, board: Part) -> list[Fixed]:
        """What holds a board: what is firm where that is two at least, else all that it is fixed to."""
        own, axis = self._paths.of[board.key], AXES[push.axis]
        found: dict[Member, Fixed] = {}
        for joint in self._joints(board.key):
            for member in dict.fromkeys(self._paths.of[key] for key in joint.parts if joint.axis == axis):
                if member is not own:
                    found.setdefault(member, Fixed(member)).joints.append(joint)
        firm = [each for each in found.values() if self._firm(push, each.member)]
        return sorted(firm if len(firm) > 1 else found.values(), key=lambda each: each.place(1 - push.axis))

    def _firm(self, push: Push, member: Member) -> bool:
        """Whether something stands on the floor, or is fixed to what lies along the push, as posts on posts are."""
        if member in self._grounded:
            return True
        return member.upright and any(each.member.axis == AXES[push.axis] for each in self._held(push, member))

    def _bent(self, push: Push, board: Part, supports: Sequence[Fixed]) -> Iterator[Demand]:
        box, along = self._boxes[board.key], 1 - push.axis
        places = [each.place(along) for each in supports]
        wide, thick = box.size[2] / MM, box.size[push.axis] / MM
        low, high = max(pairwise(places), key=lambda span: span[1] - span[0])
        tied = self._tied(push, board, (low, high)) if len(supports) == 2 else None
        how = tied[:2] if tied else ()
        yield Bent("pushed-boards", push.when, board, push.force, high - low, 0.0, wide, thick, 1, 0.0, *how)
        if tied:
            yield from self._hinge(push, board, tied[0], tied[2])
        for fixed, reach in zip((supports[0], supports[-1]), _reaches(box.span(AXES[along]), places), strict=True):
            if reach:
                hole = _holes(fixed.joints, 2)
                yield Bent("pushed-boards", push.when, board, push.force, 0.0, reach, wide, thick, 1, hole)

    def _tied(
        self, push: Push, board: Part, span: tuple[float, float]
    ) -> tuple[tuple[float, ...], float, Fixed] | None:  # fmt: skip
        """How an upright about the middle of a span, and held below, ties boards together.

        As how high each is over what holds the upright, this one first, how far it stands from the middle, and what
        holds it; None: there is none.
        """
        along, near = 1 - push.axis, 2 * OFF * (span[1] - span[0])
        joints = [each for each in self._joints(board.key) if each.axis == AXES[push.axis]]
        fixed_to = dict.fromkeys(self._paths.of[key] for joint in joints for key in joint.parts)
        for upright in fixed_to if len(push.wall) > 1 else ():
            where = self._boxes[upright.parts[0].key]
            off = abs((where.low[along] + where.high[along]) / 2 / MM - sum(span) / 2)
            if not upright.upright or off > near:
                continue
            held = [each for each in self._held(push, upright) if each.place(2) < _middle(self._boxes[board.key])]
            if held:
                below = max(held, key=lambda each: each.place(2))
                fixed = {key for part in upright.parts for each in self._joints(part.key) for key in each.parts}
                others = [each.key for each in push.wall if each.key in fixed and each is not board]
                heights = [_middle(self._boxes[key]) - below.place(2) for key in (board.key, *others)]
                return tuple(heights), off, below
        return None

    def _hinge(self, push: Push, board: Part, heights: tuple[float, ...], below: Fixed) -> Iterator[Pulled]:
        """What holds such an upright below: it is pulled, or pressed, by what the boards do not take."""
        rest = abs(1 - heights[0] * sum(heights) / sum(height**2 for height in heights))
        pull = Shared(replace(push.force, push=push.force.push * rest), len(below.joints))
        yield from self._ends("pushed-fasteners", push.when, below.joints[:1], board.name, pull)

    def _torn(self, push: Push, board: Part, supports: Sequence[Fixed], forces: Sequence[Comes]) -> Iterator[Pulled]:
        """The fasteners of a board that is pushed off what it is fixed to."""
        own = self._boxes[board.key]
        for fixed, force in zip(supports, forces, strict=True):
            keys = {part.key for part in fixed.member.parts}
            other = next(self._boxes[key] for key in fixed.joints[0].parts if key in keys)
            if push.toward * (own.low[push.axis] - other.low[push.axis]) > 0:
                pull = Shared(force, len(fixed.joints))
                yield from self._ends("pushed-fasteners", push.when, fixed.joints[:1], board.name, pull)

    # ---- uprights

    def _upright(self, push: Push, member: Member, height: float, force: Comes) -> Iterator[Demand]:
        """An upright that stands out above what holds it: along the push, else across it."""
        if not member.upright:
            return
        held = self._held(push, member)
        along = [each for each in held if each.member.axis == AXES[push.axis]]
        if not held:
            self.loose += [] if member in self._grounded else [member]
            return
        top = max(along or held, key=lambda each: max(joint.head[2] for joint in each.joints))
        at = max(joint.head[2] for joint in top.joints)
        if height * MM <= at:
            return
        yield self._standing(push, member, top, at, height, force)
        if not along:
            yield from self._couple(push, member, top, height, force)

    def _held(self, push: Push, member: Member) -> list[Fixed]:
        """What lies and is fixed to an upright, the boards of the wall that is pushed left out."""
        if member not in self._lying:
            joints = {id(joint): joint for part in member.parts for joint in self._joints(part.key)}.values()
            others = ((dict.fromkeys(map(self._paths.of.__getitem__, joint.parts)), joint) for joint in joints)
            self._lying[member] = [(each, joint) for all_of, joint in others for each in all_of if each.axis != "z"]
        boards, found = {self._paths.of[board.key] for board in push.wall}, dict[Member, Fixed]()
        for other, joint in self._lying[member]:
            if other not in boards:
                found.setdefault(other, Fixed(other)).joints.append(joint)
        return list(found.values())

    def _standing(self, push: Push, member: Member, top: Fixed, at: int, height: float, force: Comes) -> Bent:
        across = 1 - push.axis
        there = [part for part in member.parts if self._boxes[part.key].low[2] <= at <= self._boxes[part.key].high[2]]
        size = max((self._boxes[part.key].size for part in there), key=lambda size: size[push.axis])
        alike = sum(self._boxes[part.key].size[:2] == size[:2] for part in there)
        through = [joint for joint in top.joints if joint.head[2] == at and joint.axis == AXES[push.axis]]
        return Bent(
            "pushed-uprights", push.when, there[0], force, 0.0, height - at / MM, size[across] / MM,
            size[push.axis] / MM, alike, _holes(through, across),
        )  # fmt: skip

    def _couple(self, push: Push, member: Member, fixed: Fixed, height: float, force: Comes) -> Iterator[Pulled]:
        """The fasteners that hold an upright at one part: it turns about the wood beyond the last of them."""
        joints = [joint for joint in fixed.joints if joint.axis == AXES[push.axis]]
        if not joints:
            return
        keys = {key for joint in joints for key in joint.parts}
        upright, other = (
            bounds(self._boxes[part.key] for part in each.parts if part.key in keys) for each in (member, fixed.member)
        )
        outside = push.toward * (upright.low[push.axis] - other.low[push.axis]) > 0
        zs = [joint.head[2] / MM for joint in joints]
        if outside:
            pivot = (max(upright.low[2], other.low[2]) / MM + min(zs)) / 2
        else:
            pivot = (min(upright.high[2], other.high[2]) / MM + max(zs)) / 2
        arms = tuple(abs(z - pivot) for z in zs)
        couple = Couple(force, height - pivot, arms)
        furthest = [joint for joint, arm in zip(joints, arms, strict=True) if arm == max(arms)]
        yield from self._ends("pushed-fasteners", push.when, furthest[:1], member.parts[0].name, couple)

    # ---- fasteners

    def _lifted(self, force: Comes) -> Iterator[Pulled]:
        """The screws that hold a slat down at one end."""
        known: set[object] = set()
        for place in self._paths.frame.sleeping_places:
            for key in place.slats:
                ends: defaultdict[Member, list[Fastener]] = defaultdict(list)
                for joint in self._joints(key):
                    if isinstance(joint, Screwed) and joint.axis == "z" and joint.parts[0] == key:
                        ends[self._paths.of[joint.parts[1]]].append(joint)
                name = self._paths.frame.by_key[key].name
                for carrier, joints in ends.items():
                    alike = name, carrier, joints[0].size, len(joints)
                    if alike in known:
                        continue
                    known.add(alike)
                    pull = Shared(force, len(joints))
                    yield from self._ends("slat-screws", "someone pushes up from below", joints[:1], name, pull)

    def _ends(
        self, rule: Rule, when: str, joints: Iterable[Fastener], held: str, pull: Couple | Shared
    ) -> Iterator[Pulled]:
        """The wood at both ends of a fastener."""
        frame = self._paths.frame
        for joint in joints:
            first, last = frame.by_key[joint.parts[0]], frame.by_key[joint.parts[-1]]
            if isinstance(joint, Screwed):
                size = fasteners.screw_sizes()[joint.size]
                through = frame.through(joint)[0] / MM
                length = frame.screw_length(joint) / MM
                thread = min(length - through, THREAD * length)
                yield Pulled(rule, when, first, held, joint.size, "head", (size.head / MM, through), pull)
                yield Pulled(rule, when, last, held, joint.size, "thread", (size.diameter / MM, thread), pull)
                continue
            bolt = fasteners.bolt_sizes()[joint.size]
            washer = bolt.washer(large=joint.large_washers)[1] / MM, hole_of(joint.size)
            head = (bolt.round_head_least / MM, washer[1]) if joint.round_head else washer
            flange = bolt.tee_nut.flange_diameter / MM, bolt.tee_nut.barrel_diameter / MM
            for part, (outer, hole) in ((first, head), (last, flange if joint.end == "tee nut" else washer)):
                i = AXES.index(part.placement.along)
                low, high = self._boxes[part.key].span(part.placement.along)
                end = min(joint.head[i] - low, high - joint.head[i]) / MM - outer / 2
                yield Pulled(rule, when, part, held, joint.size, "washer", (outer, hole, end), pull)


def _reaches(span: tuple[int, int], places: Sequence[float]) -> tuple[float, float]:
    """How far beyond the first and the last place someone may push, with the whole pad on the board."""
    low, high = (end / MM for end in span)
    return max(0.0, places[0] - low - PAD / 2), max(0.0, high - places[-1] - PAD / 2)


def _forces(push: Push, span: tuple[int, int], supports: Sequence[Fixed]) -> list[Comes]:
    """The most that comes to each support of a board: all of the push, more by the lever of an end that stands out."""
    places = [each.place(1 - push.axis) for each in supports]
    before, after = _reaches(span, places)
    forces = [push.force] * len(places)
    if before:
        forces[0] = replace(push.force, reach=before, span=places[1] - places[0])
    if after:
        forces[-1] = replace(push.force, reach=after, span=places[-1] - places[-2])
    return forces


def _middle(box: Box) -> float:
    """How high the middle of a board is."""
    return (box.low[2] + box.high[2]) / 2 / MM


def _holes(joints: Iterable[Fastener], axis: int) -> float:
    """What the holes of bolts take off a width along an axis; screws fill theirs (EN 1995-1-1, 5.2)."""
    return sum({joint.head[axis]: hole_of(joint.size) for joint in joints if isinstance(joint, Bolted)}.values())
