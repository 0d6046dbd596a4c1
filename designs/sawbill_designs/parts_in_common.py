"""What several designs build alike: assemblies, their mirror images, laminated posts, bolts in a row, a slat deck."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal

from sawbill.trade.boxes import AXES, Axis, Point
from sawbill.trade.design import RefusalError
from sawbill.trade.fasteners import BoltSize, FastenerError, screw_length, screw_sizes
from sawbill.trade.frame import Bolted, Frame, Glued, Joint, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import Section

POST_THICKNESS: Final = 70 * MM
"""The least thickness of a post's laminations together: two of 2-by, three of 5/4, one of 4-by (practice)."""
BEAM_THICKNESS: Final = 36 * MM
"""The least thickness of a beam's laminations together (practice)."""
Point2 = tuple[int, int]

BETWEEN_BORES: Final = INCH // 8
"""The least wood left between two bores that cross, or beside one (practice)."""


@dataclass(frozen=True, slots=True)
class Assembly:
    """Parts with the joints among them."""

    parts: tuple[Part, ...] = ()
    joints: tuple[Joint, ...] = ()

    def __add__(self, other: Assembly) -> Assembly:
        return Assembly(self.parts + other.parts, self.joints + other.joints)

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of its parts."""
        return tuple(part.key for part in self.parts)


def mirrored(assembly: Assembly, axis: Axis, extent: int, word: str, other: str) -> Assembly:
    """The mirror image within 0 to `extent` [nm] of an axis, with `word` in every key turned into `other`."""
    i = AXES.index(axis)

    def renamed(keys: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(key.replace(word, other) for key in keys)

    def turned(point: Point, size: int = 0) -> Point:
        return (*point[:i], extent - point[i] - size, *point[i + 1 :])  # type: ignore[return-value]

    def turned_part(part: Part) -> Part:
        origin = turned(part.placement.origin, part.box.size[i])
        return replace(part, key=part.key.replace(word, other), placement=replace(part.placement, origin=origin))

    def turned_joint(joint: Joint) -> Joint:
        if isinstance(joint, Bolted | Screwed):
            toward: Literal[1, -1] = joint.toward if joint.axis != axis else -1 if joint.toward == 1 else 1
            return replace(joint, parts=renamed(joint.parts), head=turned(joint.head), toward=toward)  # type: ignore[arg-type]
        return replace(joint, parts=renamed(joint.parts))  # type: ignore[arg-type]

    return Assembly(tuple(map(turned_part, assembly.parts)), tuple(map(turned_joint, assembly.joints)))


def laminations(section: Section, least: int) -> int:
    """How many layers of a section reach a thickness [nm]."""
    return -(-least // section.thickness)


def laminated(key: str, name: str, section: Section, length: int, placement: Placement, layers: int) -> Assembly:
    """Layers of one section glued face to face, stacked along the axis that neither length nor width takes."""
    i = next(i for i, axis in enumerate(AXES) if axis not in (placement.along, placement.across))
    parts = []
    for layer in range(layers):
        origin = list(placement.origin)
        origin[i] += layer * section.thickness
        place = replace(placement, origin=(origin[0], origin[1], origin[2]))
        parts.append(Part(f"{key} {layer + 1}" if layers > 1 else key, name, section, length, place))
    glued = tuple(Glued((a.key, b.key)) for a, b in pairwise(parts))
    return Assembly(tuple(parts), glued)


def lane(bolt: BoltSize) -> int:
    """The least distance between the middles of two bores that pass each other [nm]."""
    return bolt.tee_nut.barrel_diameter + BETWEEN_BORES


def bolt_places(along: tuple[int, int], across: tuple[int, int], bolt: BoltSize, edge: int = 0) -> tuple[Point2, ...]:
    """Where the two bolts of a face go [nm]: at its quarters, one above the other, or side by side if it is low.

    A face too small for two gets one, in its middle. along: the face's extent in the direction the bolts are
    best stacked; across: in the other direction; edge: the least distance a washer needs from the low end.
    """
    (low, high), (left, right) = along, across
    lower, upper = low + max((high - low) // 4, edge), high - (high - low) // 4
    quarter, middle = (right - left) // 4, (left + right) // 2
    if upper - lower >= lane(bolt):
        return (lower, middle), (upper, middle)
    level = low + max((high - low) // 2, edge)
    if quarter >= bolt.tee_nut.flange_diameter // 2 and 2 * quarter >= lane(bolt):
        return (level, left + quarter), (level, right - quarter)
    return ((level, middle),)


@dataclass(frozen=True, slots=True)
class SlatRun:
    """Slats along a deck: where each begins, and the whole nanometres of gap between neighbours [nm]."""

    starts: tuple[int, ...]
    gap: int
    doubled: bool


def slat_run(low: int, high: int, width: int, widest_gap: int, doubled: bool) -> SlatRun:
    """Spread the fewest slats that keep every gap within the widest, all gaps alike, the end slats flush.

    doubled: two slats touch at the middle, where a centre leg stands; when no even number of slats does it, the
    middle is left single. When equal gaps between flush ends cannot do it either, as many slats as fit keep the
    widest gap and stand back from the ends alike.
    """
    room = high - low
    for pair in (True, False) if doubled else (False,):
        for count in range(4 if pair else 2, room // width + 1, 2 if pair else 1):
            gaps = count - 2 if pair else count - 1
            if room - count * width <= gaps * widest_gap:
                return SlatRun(_spread(low, room, width, count, pair), (room - count * width) // gaps, pair)
    count = max(1, room // width)
    margin = (room - count * width - (count - 1) * widest_gap) // 2
    starts = tuple(low + margin + i * (width + widest_gap) for i in range(count))
    return SlatRun(starts, widest_gap, False)


def _spread(low: int, room: int, width: int, count: int, pair: bool) -> tuple[int, ...]:
    gaps = count - 2 if pair else count - 1
    gap = Fraction(room - count * width, gaps)
    before = [i - 1 if pair and i >= count // 2 else i for i in range(count)]
    return tuple(low + i * width + round(before[i] * gap) for i in range(count))


def frame_of(*assemblies: Assembly, **rest: object) -> Frame:
    """Put assemblies together into a frame."""
    whole = sum(assemblies, Assembly())
    return Frame(whole.parts, whole.joints, **rest)  # type: ignore[arg-type]


def crossing_screw(least: str, near: int, far: int) -> tuple[str, bool]:
    """The first screw size that holds two parts that cross [nm], and whether it goes in from the far one.

    Raises RefusalError: none of the system's screws does, from either side.
    """
    with suppress(RefusalError):
        return screw_that_holds(least, near, far), False
    return screw_that_holds(least, far, near), True


def screw_that_holds(least: str, through: int, into: int) -> str:
    """The first screw size, from the least asked for up, with a length that holds these thicknesses [nm].

    Raises RefusalError: none of the system's screws is long enough.
    """
    sizes = screw_sizes()
    asked = sizes[least]
    for size in sorted(sizes.values(), key=lambda size: size.diameter):
        if size.system == asked.system and size.diameter >= asked.diameter:
            with suppress(FastenerError):
                screw_length(size, through, into)
                return size.name
    raise RefusalError("screw_size", f"screw_size: no screw from {least} up is long enough for wood this thick")
