"""Where pieces are bolted to each other: which bolts are shown together, and what of the parts around them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from sawbill.drawings.lines.view import BACK, FRONT, LEFT, RIGHT, TOP, View
from sawbill.drawings.paper.scale import printed
from sawbill.drawings.subject import Subject
from sawbill.making.holes import Fastener, fasteners_of
from sawbill.trade.boxes import AXES, Box, Point, bounds, point
from sawbill.trade.frame import Bolted
from sawbill.trade.lengths import INCH

AROUND: Final = 4 * INCH
"""How far around its bolts a joint is shown [nm]."""
TOGETHER: Final = 8 * INCH
"""Bolts no farther apart are shown together [nm]."""


@dataclass(frozen=True)
class Joint:
    """A joint: the bolts between pieces, and the space that is shown."""

    subject: Subject
    fasteners: tuple[Fastener, ...]
    zone: Box

    @cached_property
    def parts(self) -> Mapping[str, Box]:
        """What of each part lies in the zone."""
        found = {key: _common(box, self.zone) for key, box in self.subject.frame.boxes.items()}
        return {key: box for key, box in found.items() if box is not None}

    @cached_property
    def views(self) -> tuple[View, View, View]:
        """From the two outer sides that are nearest, and from above."""
        whole, middle = self.subject.frame.bounds, _middle(self.zone)
        at_left = 2 * middle[0] < whole.low[0] + whole.high[0]
        at_front = 2 * middle[1] < whole.low[1] + whole.high[1]
        return FRONT if at_front else BACK, LEFT if at_left else RIGHT, TOP

    @cached_property
    def kind(self) -> tuple[object, ...]:
        """What is alike in joints of which one is drawn."""
        letters = sorted(self.subject.labels[key].rstrip("0123456789") for key in self.parts)
        bolts = sorted((each.words, self.zone.low[2]) for each in self.fasteners)
        return (*letters, *bolts, tuple(sorted(self.zone.size)))

    def along(self, axis: int, at: int) -> int:
        """How far a place is from the nearer end or side of the furniture, or from the floor [nm]."""
        low, high = self.subject.frame.bounds.low[axis], self.subject.frame.bounds.high[axis]
        near = axis == 2 or 2 * _middle(self.zone)[axis] < low + high
        return at - low if near else high - at

    def side(self, axis: int) -> str:
        """From where that is counted."""
        if axis == 2:
            return "above the floor"
        low, high = self.subject.frame.bounds.low[axis], self.subject.frame.bounds.high[axis]
        near = 2 * _middle(self.zone)[axis] < low + high
        return f"from the {self.subject.frame.sides.name(AXES[axis], -1 if near else 1)}"

    @cached_property
    def ordered(self) -> Sequence[Fastener]:
        """Its bolts in the order in which they are numbered."""
        return sorted(self.fasteners, key=lambda each: (each.axis, each.head[2], each.head))

    def printed(self, axis: int, at: int) -> str:
        """That distance as it is written."""
        return printed(self.along(axis, at), self.subject.system)

    def told(self, axis: int) -> dict[str, int]:
        """By what is written, one of the places along an axis that are told so [nm]."""
        return {self.printed(axis, at): at for at in sorted(self._places(axis))}

    def caption(self, view: View) -> str:
        """What stands over a view."""
        return f"seen {self.subject.seen_from(view)}"

    def _places(self, axis: int) -> set[int]:
        """Where parts end within the zone along an axis, and where bolts are."""
        found = {each.head[axis] for each in self.fasteners if each.axis != axis}
        low, high = self.zone.low[axis], self.zone.high[axis]
        for key in self.parts:
            box = self.subject.frame.boxes[key]
            found |= {at for at in (box.low[axis], box.high[axis]) if low <= at <= high}
        return found


def joints_of(subject: Subject) -> Iterator[Joint]:
    """The joints, one after another: bolts between pieces, those near each other together."""
    between = {
        (joint.parts, joint.head)
        for joint in subject.frame.joints
        if isinstance(joint, Bolted) and len({subject.piece_of[key] for key in joint.parts}) > 1
    }
    groups: list[list[Fastener]] = []
    for each in fasteners_of(subject.frame):
        if (each.parts, each.head) in between:
            near = [group for group in groups if any(_near(each, other) for other in group)]
            groups = [group for group in groups if group not in near]
            groups.append([fastener for group in near for fastener in group] + [each])
    whole = subject.frame.bounds
    for group in sorted(groups, key=lambda group: group[0].head):
        ends = bounds([line_of(subject, each) for each in group])
        low = point(max(a - AROUND, b) for a, b in zip(ends.low, whole.low, strict=True))
        high = point(min(a + AROUND, b) for a, b in zip(ends.high, whole.high, strict=True))
        yield Joint(subject, tuple(group), Box(low, high))


def _near(one: Fastener, other: Fastener) -> bool:
    return max(abs(a - b) for a, b in zip(one.head, other.head, strict=True)) <= TOGETHER


def line_of(subject: Subject, fastener: Fastener) -> Box:
    """From the head of a bolt to where it comes out, without thickness."""
    through = bounds(subject.boxes(fastener.parts))
    low, high = list(fastener.head), list(fastener.head)
    low[fastener.axis], high[fastener.axis] = through.low[fastener.axis], through.high[fastener.axis]
    return Box(point(low), point(high))


def _common(box: Box, zone: Box) -> Box | None:
    low = point(max(a, b) for a, b in zip(box.low, zone.low, strict=True))
    high = point(min(a, b) for a, b in zip(box.high, zone.high, strict=True))
    return Box(low, high) if all(a < b for a, b in zip(low, high, strict=True)) else None


def _middle(box: Box) -> Point:
    return point((a + b) // 2 for a, b in zip(box.low, box.high, strict=True))
