"""What has to be done to the wood of a frame: cuts, glue-ups, holes, faces to sand. Measured from its boxes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations
from typing import Final, Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis
from sawbill.trade.fasteners import BoltSize
from sawbill.trade.frame import Bolted, Frame, Glued, Part, Screwed
from sawbill.trade.lengths import INCH, MM, System
from sawbill.trade.lumber import Section

Purpose = Literal["bolt", "tee nut", "screw", "pilot"]
Face = Literal["face", "edge", "end"]

BIT_STEP: Final[dict[System, int]] = {"inch": INCH // 64, "metric": MM // 2}
"""The step of drill bits [nm] (common practice, no source)."""
_FACES: Final[tuple[Face, Face, Face]] = ("end", "edge", "face")
_SIDES: Final = {
    axes[:2]: tuple((AXES.index(axis), axis, face) for axis, face in zip(axes, _FACES, strict=True))
    for axes in permutations(AXES)
}
"""By the axes of a part's length and width: what it has at either end of each axis, and the axis by its number."""
PILOT_SHARE: Final = (3, 5)
"""A pilot hole's part of the screw's diameter, in softwood (common practice, no source)."""
CLAMPS_APART: Final = (8 * INCH, 12 * INCH)
"""How far apart clamps stand on a face that is glued, least and most [nm] (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Cut:
    """Parts that are cut alike; ripped: the width they are ripped to, None for their section's [nm]."""

    name: str
    section: Section
    length: int
    ripped: int | None
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offset:
    """How far the middle of a hole is from a side of the part [nm]: always the side of the least x, y or z.

    side: by the names of the furniture's sides, such as `left end` or `lower edge`.
    """

    side: str
    distance: int


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole of one part, drilled square to a face of it.

    diameter [nm]; depth: None where it goes through [nm]; into: the face it is drilled into, and `side` which of the
    two, such as `left face`; toward: the way it is drilled along its axis; system: whose bits it takes; offsets: where
    its middle is, from two sides.
    """

    part: str
    purpose: Purpose
    diameter: int
    depth: int | None
    into: Face
    side: str
    toward: Literal[1, -1]
    system: System
    offsets: tuple[Offset, Offset]


@dataclass(frozen=True, slots=True)
class GluedFace:
    """Two parts that lie face to face: the area between them [nm2], and the longer side of it [nm]."""

    parts: tuple[str, str]
    area: int
    length: int

    @property
    def short(self) -> bool:
        """Whether one clamp, or a hand, holds it."""
        return self.length < CLAMPS_APART[0]

    @property
    def clamps(self) -> tuple[int, int]:
        """How many clamps it takes, least and most: by its length, one at either end."""
        if self.short:
            return 1, 1
        close, wide = CLAMPS_APART
        return -(-self.length // wide) + 1, -(-self.length // close) + 1


@dataclass(frozen=True, slots=True)
class GlueUp:
    """Parts that become one by glue, and the faces between them."""

    parts: tuple[str, ...]
    faces: tuple[GluedFace, ...]


@dataclass(frozen=True, slots=True)
class Operations:
    """All that is done to the parts of one frame; sanded: faces left bare [nm2]."""

    cuts: tuple[Cut, ...]
    glue_ups: tuple[GlueUp, ...]
    holes: tuple[Hole, ...]
    sanded: int


def operations(frame: Frame) -> Operations:
    """Derive the operations of a frame. Raises FastenerError: a joint for which there is no fastener."""
    return Operations(_cuts(frame), glue_ups(frame), tuple(_holes(frame)), bare_area(frame))


def glued_area(frame: Frame) -> int:
    """The area of all glued faces of one frame, each joint counted once [nm2]."""
    return sum(
        frame.boxes[joint.parts[0]].contact(frame.boxes[joint.parts[1]])
        for joint in frame.joints
        if isinstance(joint, Glued)
    )


def bare_area(frame: Frame) -> int:
    """The area of all faces of one frame less those that are glued [nm2]."""
    faces = 0
    for x, y, z in (box.size for box in frame.boxes.values()):
        faces += 2 * (x * y + y * z + z * x)
    return faces - 2 * glued_area(frame)


def glue_ups(frame: Frame) -> tuple[GlueUp, ...]:
    """Group the glued parts into what becomes one piece, in the order of the parts."""
    joined = {key: key for key in frame.by_key}

    def root(key: str) -> str:
        while joined[key] != key:
            joined[key] = joined[joined[key]]
            key = joined[key]
        return key

    joints = [joint for joint in frame.joints if isinstance(joint, Glued)]
    for joint in joints:
        joined[root(joint.parts[1])] = root(joint.parts[0])
    parts: dict[str, list[str]] = {}
    for key in frame.by_key:
        parts.setdefault(root(key), []).append(key)
    faces: dict[str, list[GluedFace]] = {}
    for joint in joints:
        a, b = (frame.boxes[key] for key in joint.parts)
        faces.setdefault(root(joint.parts[0]), []).append(
            GluedFace(joint.parts, a.contact(b), max(a.common(b).size))
        )  # fmt: skip
    return tuple(GlueUp(tuple(parts[each]), tuple(faces[each])) for each in parts if each in faces)


def bolt_hole(size: BoltSize) -> int:
    """The diameter of a bolt's hole [nm]. Source: `fasteners.BOLT_PLAY`."""
    return size.diameter + fasteners.bolt_play(size)


def tee_nut_hole(size: BoltSize) -> int:
    """The diameter of the hole a tee nut's barrel is driven into [nm]: the next bit from the barrel's up."""
    return _bit(size.tee_nut.barrel_diameter, size.system, up=True)


def screw_hole(size: fasteners.ScrewSize) -> int:
    """The diameter of the hole a screw passes freely [nm]: the next bit above its own (common practice, no source)."""
    return _bit(size.diameter + 1, size.system, up=True)


def pilot_hole(size: fasteners.ScrewSize) -> int:
    """The diameter of the hole a screw bites in [nm], to the nearest bit. Source: PILOT_SHARE."""
    top, bottom = PILOT_SHARE
    return _bit(size.diameter * top // bottom, size.system, up=False)


def _bit(nm: int, system: System, *, up: bool) -> int:
    step = BIT_STEP[system]
    return -(-nm // step) * step if up else (2 * nm + step) // (2 * step) * step


def _cuts(frame: Frame) -> tuple[Cut, ...]:
    alike: dict[tuple[str, str, int, int | None], list[Part]] = {}
    for part in frame.parts:
        alike.setdefault((part.name, part.section.name, part.length, part.ripped), []).append(part)
    return tuple(
        Cut(name, parts[0].section, length, ripped, tuple(part.key for part in parts))
        for (name, _, length, ripped), parts in alike.items()
    )


def _holes(frame: Frame) -> Iterator[Hole]:
    for joint in frame.joints:
        if isinstance(joint, Bolted):
            yield from _bolt_holes(frame, joint)
        elif isinstance(joint, Screwed):
            yield from _screw_holes(frame, joint)


def _bolt_holes(frame: Frame, joint: Bolted) -> Iterator[Hole]:
    """One through every part; at the far end the tee nut's, where it is wider, as deep as its barrel."""
    size = fasteners.bolt_sizes()[joint.size]
    for key in joint.parts:
        yield _hole(frame, joint, key, "bolt", bolt_hole(size), size.system, None)
    deep = size.tee_nut.barrel_length
    if joint.end == "tee nut" and tee_nut_hole(size) > bolt_hole(size):
        for key in reversed(joint.parts):
            thickness = _thickness(frame, key, joint.axis)
            depth = None if deep >= thickness else deep
            yield _hole(frame, joint, key, "tee nut", tee_nut_hole(size), size.system, depth, from_tip=True)
            deep -= thickness
            if deep <= 0:
                return


def _screw_holes(frame: Frame, joint: Screwed) -> Iterator[Hole]:
    """A free one through the first part, a pilot hole in the second as deep as the screw goes."""
    size = fasteners.screw_sizes()[joint.size]
    first, second = joint.parts
    yield _hole(frame, joint, first, "screw", screw_hole(size), size.system, None)
    deep = frame.screw_length(joint) - _thickness(frame, first, joint.axis)
    yield _hole(frame, joint, second, "pilot", pilot_hole(size), size.system, deep)


def _thickness(frame: Frame, key: str, axis: Axis) -> int:
    low, high = frame.boxes[key].span(axis)
    return high - low


def _hole(
    frame: Frame,
    joint: Bolted | Screwed,
    key: str,
    purpose: Purpose,
    diameter: int,
    system: System,
    depth: int | None,
    *,
    from_tip: bool = False,
) -> Hole:
    """One hole in a part, drilled the way the fastener goes, or from where its tip comes out."""
    low, place = frame.boxes[key].low, frame.by_key[key].placement
    sides = _SIDES[place.along, place.across]
    first, second = (
        Offset(f"{frame.sides.name(axis, -1)} {face}", joint.head[i] - low[i])
        for i, axis, face in sides
        if axis != joint.axis
    )
    (into,) = (face for _, axis, face in sides if axis == joint.axis)
    toward: Literal[1, -1] = joint.toward if not from_tip else -1 if joint.toward == 1 else 1
    side = f"{frame.sides.name(joint.axis, -1 if toward == 1 else 1)} {into}"
    return Hole(key, purpose, diameter, depth, into, side, toward, system, (first, second))
