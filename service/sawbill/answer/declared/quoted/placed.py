"""A frame as data: every part in its place, with its letter and mark, and all that joins them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.making.assembly import placed_with
from sawbill.making.drilling import Drilled
from sawbill.trade import boxes
from sawbill.trade.boxes import AXES, Box
from sawbill.trade.frame import Bolted, Frame, Glued, Housed, Hung, Joint, Part, Resting, Screwed
from sawbill.trade.lengths import millimetres

KINDS: Final[Mapping[type[Joint], str]] = {
    Glued: "glued", Resting: "resting", Hung: "hung", Housed: "housed", Bolted: "bolted", Screwed: "screwed",
}  # fmt: skip
"""What each kind of joint is called."""


@dataclass(frozen=True)
class PlacedFrame:
    """A frame, and the marks of its parts."""

    frame: Frame
    drilled: tuple[Drilled, ...]

    @cached_property
    def marks(self) -> Mapping[str, Drilled]:
        """Of each part, by key."""
        return {key: each for each in self.drilled for key in each.parts}

    @cached_property
    def pieces(self) -> Mapping[str, str]:
        """What each part is carried with."""
        return {key: each.name for each in placed_with(self.frame) for key in each.parts}

    @property
    def parts(self) -> Iterator[InPlace]:
        """Every part."""
        for part in self.frame.parts:
            yield InPlace(part, self.frame.boxes[part.key], self.marks[part.key], self.pieces[part.key])

    @property
    def joints(self) -> Iterator[JointOf]:
        """Every joint."""
        return (JointOf.of(self.frame, joint) for joint in self.frame.joints)

    @property
    def mattresses(self) -> Iterator[Lying]:
        """Every mattress."""
        for place in self.frame.sleeping_places:
            yield Lying(place.name, _lying(place.opening, place.mattress.length, place.mattress.width))


class InPlace(NamedTuple):
    """A part in its place: its box, its mark, what it is carried with."""

    part: Part
    box: Box
    drilled: Drilled
    piece: str


class Unfastened(NamedTuple):
    """Stands where no bolt and no screw makes a joint."""

    size: None = None
    head: None = None
    axis: None = None
    toward: None = None


class JointOf(NamedTuple):
    """A joint; fastener: the bolt or screw that makes it; size: of that, or of a hanger; length: of that [mm]."""

    joint: Joint
    fastener: Bolted | Screwed | Unfastened = Unfastened()
    size: str | None = None
    length: float | None = None
    end: str | None = None
    round_head: bool | None = None

    @classmethod
    def of(cls, frame: Frame, joint: Joint) -> JointOf:
        """A joint of a frame."""
        match joint:
            case Bolted():
                length = millimetres(frame.bolt_length(joint))
                return cls(joint, joint, joint.size, length, joint.end, joint.round_head)
            case Screwed():
                return cls(joint, joint, joint.size, millimetres(frame.screw_length(joint)))
            case Hung():
                return cls(joint, size=joint.hanger)
        return cls(joint)


class Millimetres(NamedTuple):
    """A point, or the sides of a box [mm]."""

    x: float
    y: float
    z: float

    @classmethod
    def of(cls, point: boxes.Point) -> Millimetres:
        """A point [nm], in millimetres."""
        return cls(*map(millimetres, point))


class Lying(NamedTuple):
    """A mattress in its place."""

    name: str
    box: Box


def _lying(opening: Box, length: int, width: int) -> Box:
    """A mattress in the middle of its opening; where that is smaller, it fills it."""
    (ax, ay, az), (bx, by, bz) = opening.low, opening.high
    x, y = max(0, bx - ax - length) // 2, max(0, by - ay - width) // 2
    return Box((ax + x, ay + y, az), (bx - x, by - y, bz))


class Point(Answered):
    """A point, or the sides of a box [mm]: x along the furniture, y from its front to its back, z from the floor up."""

    x = f.number("Along the furniture [mm].", 0)
    y = f.number("From its front to its back [mm].", 38.1)
    z = f.number("From the floor up [mm].", 203.2)


_CORNER = f.group(Point, "Its corner of least x, y and z [mm].", lambda there, _: Millimetres.of(there.box.low))
_SIZE = f.group(Point, "How far it reaches from there [mm].", lambda there, _: Millimetres.of(there.box.size))


class PlacedPart(Answered):
    """A part in its place."""

    part = f.text("What it is called in the frame, like no other.", "left head post 2", "part.key")
    letter = f.text("Its letter in the cut list.", "C", "drilled.letter")
    mark = f.text(
        "Its mark: the letter, numbered where the parts of one letter are drilled differently.", "C2",
        "drilled.mark.name",
    )  # fmt: skip
    piece = f.text("What it is carried with when the furniture is taken apart.", "left rail")
    corner = _CORNER
    size = _SIZE
    along = f.text("The axis its length runs along.", "z", "part.placement.along", choices=AXES)
    across = f.text("The axis its width runs along.", "x", "part.placement.across", choices=AXES)


class PlacedJoint(Answered):
    """What holds parts together, or where one lies on another."""

    kind = f.text(
        "How: resting parts lie unfastened, the first on the second; hung ones in a hanger on the last; housed is the "
        "end of the first, in a housing of the second.", "bolted",
        lambda of, _: KINDS[type(of.joint)], choices=list(KINDS.values()),
    )  # fmt: skip
    parts = f.rows(
        f.text("A part.", "left rail"), "The parts; of a bolt or a screw, from its head on.", "joint.parts"
    )  # fmt: skip
    size = f.text("The size of bolt, screw or hanger; null where there is none.", "3/8 in", none=True)
    length = f.number("The length of bolt or screw [mm]; null where there is none.", 127, none=True)
    end = f.text("What the thread of a bolt goes into; null of all else.", "tee nut", none=True)
    round_head = f.flag(
        "Whether a bolt's head is round, on a square neck, and no hexagon; null of all else.",
        "round_head", example=False, none=True,
    )  # fmt: skip
    head = f.group(
        Point, "Where its axis enters the first part [mm]; null where there is none.",
        lambda of, _: None if of.fastener.head is None else Millimetres.of(of.fastener.head), none=True,
    )  # fmt: skip
    axis = f.text(
        "The axis it goes along; null where there is none.", "y", "fastener.axis", none=True, choices=AXES
    )  # fmt: skip
    toward = f.whole(
        "1 the way of the axis, -1 against it; null where there is none.", 1, "fastener.toward", none=True
    )  # fmt: skip


class PlacedMattress(Answered):
    """A mattress in its place, in the middle of the room there is for it."""

    name = f.text("The mattress, by the name of its option.", "mattress")
    corner = _CORNER
    size = _SIZE


class Sides(Answered):
    """What the sides of the furniture are called."""

    x = f.rows(f.text("A side.", "head"), "The side of the least x, and that of the greatest.")
    y = f.rows(f.text("A side.", "left"), "The side of the least y, which is shown first, and of the greatest.")
    seen_from = f.text("Where one stands to say left and right.", "the foot")


class Placed(Answered):
    """A frame as data: parts in their places, and all that joins them."""

    sides = f.group(Sides, "What its sides are called.", "frame.sides")
    parts = f.rows(PlacedPart, "Every part of one frame.")
    joints = f.rows(PlacedJoint, "Every joint of one frame.")
    mattresses = f.rows(PlacedMattress, "Its mattresses.")


def placed_json(frame: Frame, drilled: tuple[Drilled, ...]) -> f.Json:
    """Give a frame as data; drilled: the marks of its parts."""
    return Placed.written(PlacedFrame(frame, drilled), f.PLAIN)
