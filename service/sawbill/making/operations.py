"""What has to be done to the wood of a frame: cuts, glue-ups, holes, faces to sand. Measured from its boxes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations
from typing import Final, Literal

from sawbill.making.holes import Drilling, Purpose, Toward, fasteners_of
from sawbill.trade.boxes import AXES
from sawbill.trade.frame import Frame, Glued, Part
from sawbill.trade.lengths import INCH, System
from sawbill.trade.lumber import Section

Face = Literal["face", "edge", "end"]

_FACES: Final[tuple[Face, Face, Face]] = ("end", "edge", "face")
_SIDES: Final = {
    axes[:2]: tuple((AXES.index(axis), axis, face) for axis, face in zip(axes, _FACES, strict=True))
    for axes in permutations(AXES)
}
"""By the axes of a part's length and width: what it has at either end of each axis, and the axis by its number."""
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
    toward: Toward
    system: System
    offsets: tuple[Offset, Offset]


@dataclass(frozen=True, slots=True)
class Housing:
    """A channel across a part, cut square into a face of it to take the end of another part.

    deep: how deep it is cut, wide: how far it reaches along the part, long: across it; starts: where it begins, from
    two sides, along first; the rest as of a `Hole` [nm].
    """

    part: str
    end: str
    deep: int
    wide: int
    long: int
    into: Face
    side: str
    toward: Toward
    starts: tuple[Offset, Offset]


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
    housings: tuple[Housing, ...] = ()

    @property
    def laid_out(self) -> tuple[Hole | Housing, ...]:
        """All that is laid out on a part from its sides."""
        return (*self.holes, *self.housings)


def operations(frame: Frame) -> Operations:
    """Derive the operations of a frame. Raises FastenerError: a joint for which there is no fastener."""
    return Operations(_cuts(frame), glue_ups(frame), _holes(frame), areas_of(frame)[1], housings_of(frame))


def areas_of(frame: Frame) -> tuple[int, int]:
    """The area of all glued faces of one frame, each joint counted once, and of all faces that are left bare [nm2]."""
    boxes, glued, faces = frame.boxes, 0, 0
    for joint in frame.joints:
        if isinstance(joint, Glued):
            one, other = joint.parts
            glued += boxes[one].contact(boxes[other])
    for (ax, ay, az), (bx, by, bz) in boxes.values():
        x, y, z = bx - ax, by - ay, bz - az
        faces += 2 * (x * y + y * z + z * x)
    for (end, key), cut in frame.housings.items():
        around, i, (x, y, z) = boxes[key], AXES.index(frame.by_key[end].placement.along), cut.size
        inside = opening = x * y * z // cut.size[i]
        for k in (each for each in range(3) if each != i):
            side, walls = x * y * z // cut.size[k], (around.low[k] < cut.low[k]) + (cut.high[k] < around.high[k])
            inside += side * walls
            faces -= side * (2 - walls)  # where it reaches the edge of the part, the end itself is seen
        glued += inside
        faces += inside - opening
    return glued, faces - 2 * glued


def housings_of(frame: Frame) -> tuple[Housing, ...]:
    """Every housing as it is laid out on its part, from its sides of the least x, y and z."""
    found = []
    for (end, key), cut in frame.housings.items():
        box, place = frame.boxes[key], frame.by_key[key].placement
        axis = frame.by_key[end].placement.along
        sides = _SIDES[place.along, place.across]
        toward: Toward = 1 if cut.low[AXES.index(axis)] == box.low[AXES.index(axis)] else -1
        into = next(face for _, each, face in sides if each == axis)
        first, second = (
            Offset(f"{frame.sides.name(each, -1)} {face}", cut.low[i] - box.low[i])
            for i, each, face in sides if each != axis
        )  # fmt: skip
        wide, long = (cut.size[i] for i, each, _ in sides if each != axis)
        side = f"{frame.sides.name(axis, -1 if toward == 1 else 1)} {into}"
        found.append(Housing(key, end, cut.size[AXES.index(axis)], wide, long, into, side, toward, (first, second)))
    return tuple(found)


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


def _cuts(frame: Frame) -> tuple[Cut, ...]:
    alike: dict[tuple[str, str, int, int | None], list[Part]] = {}
    for part in frame.parts:
        alike.setdefault((part.name, part.section.name, part.length, part.ripped), []).append(part)
    return tuple(
        Cut(name, parts[0].section, length, ripped, tuple(part.key for part in parts))
        for (name, _, length, ripped), parts in alike.items()
    )


def _holes(frame: Frame) -> tuple[Hole, ...]:
    return tuple(_hole(frame, each, fastener.system) for fastener in fasteners_of(frame) for each in fastener.drillings)


def _hole(frame: Frame, drilling: Drilling, system: System) -> Hole:
    """A hole as it is laid out on its part: from which sides, into which."""
    low, place = frame.boxes[drilling.part].low, frame.by_key[drilling.part].placement
    sides = _SIDES[place.along, place.across]
    first, second = (
        Offset(f"{frame.sides.name(axis, -1)} {face}", drilling.at[i] - low[i])
        for i, axis, face in sides
        if i != drilling.axis
    )
    ((axis, into),) = ((axis, face) for i, axis, face in sides if i == drilling.axis)
    side = f"{frame.sides.name(axis, -1 if drilling.toward == 1 else 1)} {into}"
    return Hole(
        drilling.part, drilling.purpose, drilling.diameter, drilling.depth, into, side, drilling.toward, system,
        (first, second),
    )  # fmt: skip
