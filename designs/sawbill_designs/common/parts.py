"""What several designs build alike: assemblies, their mirror images, laminated posts, bolts in a row, a slat deck."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal, NamedTuple

from sawbill.trade.boxes import AXES, Axis, Point
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.fasteners import BoltEnd, FastenerError, hanger_for, screw_length, screw_sizes
from sawbill.trade.frame import Bolted, CarriedPiece, Fastener, Frame, Glued, Hung, Joint, Part, Placement, Resting
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill.trade.lumber import Section
from sawbill_designs.common.bolt_places import BOTH, FAR, NDS, Bolt, Face, Point2, bolt_places, half, pulled_places

POST_THICKNESS: Final = 70 * MM
"""The least thickness of a post's laminations together: two of 2-by, three of 5/4, one of 4-by (practice)."""
BEAM_THICKNESS: Final = 36 * MM
"""The least thickness of a beam's laminations together (practice)."""

BEDDING: Final[BySystem] = {"inch": 1 * INCH, "metric": 25 * MM}
"""Room for bedding at the two ends together, beyond the mattress allowance (common practice, no source)."""
UNDER_SLATS: Final[BySystem] = {"inch": INCH // 2, "metric": 12 * MM}
"""How far a slat clears the top of a post or a leg (common practice, no source)."""
WIDE: Final = 53 * INCH
"""From this mattress width a bed wants a centre beam with a leg: a full or double and up (practice)."""
VERY_WIDE: Final = 70 * INCH
"""From this mattress width its beam wants two legs: a king and up (common practice, no source)."""
SHORTEST_LEG: Final = 1 * INCH
"""A beam closer than this to the floor has no piece of its leg under it (practice)."""
SCREW_END: Final = 7
"""How many diameters a screw that carries is from the end of a board, where there is room (EN 1995-1-1, Table 8.2)."""
STOUT: Final = {"inch": "#10", "metric": "5 mm"}
"""The thinnest screws that keep furniture from swaying (practice)."""


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
        return tuple([key.replace(word, other) for key in keys]) if word != other else keys

    def turned(place: Point, size: int = 0) -> Point:
        x, y, z = place
        if i == 0:
            return extent - x - size, y, z
        return (x, extent - y - size, z) if i == 1 else (x, y, extent - z - size)

    def turned_part(part: Part) -> Part:
        place = part.placement
        origin = turned(place.origin, part.box.size[i])
        return part.moved(part.key.replace(word, other), Placement(origin, place.along, place.across))

    def turned_joint(joint: Joint) -> Joint:
        if isinstance(joint, Fastener):
            toward: Literal[1, -1] = joint.toward if joint.axis != axis else -1 if joint.toward == 1 else 1
            return joint.moved(renamed(joint.parts), turned(joint.head), toward)
        return replace(joint, parts=renamed(joint.parts))  # type: ignore[arg-type]  # as many keys as before

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
        place = Placement((origin[0], origin[1], origin[2]), placement.along, placement.across)
        parts.append(Part(f"{key} {layer + 1}" if layers > 1 else key, name, section, length, place))
    glued = tuple(Glued((a.key, b.key)) for a, b in pairwise(parts))
    return Assembly(tuple(parts), glued)


def centre_beam(o: Options, ends: tuple[Part, Part], width: int, bottom: int) -> Assembly:
    """A laminated beam that lifts out of a hanger on each of two end boards, in the middle of 0 to a width [nm].

    bottom: the height of its lower edge; its play is shared out between both ends.
    """
    layers = laminations(o.ledger, BEAM_THICKNESS)
    thickness = layers * o.ledger.thickness
    plays = play_at(o, 0), play_at(o, 1)
    start, stop = ends[0].box.high[0] + plays[0], ends[1].box.low[0] - plays[1]
    place = Placement((start, o.near((width - thickness) // 2), bottom), "x", "z")
    beam = laminated("beam", "centre beam", o.ledger, stop - start, place, layers)
    parts = tuple(replace(part, rounding="down") for part in beam.parts)
    hanger = hanger_for(thickness, Bolt.of(o).size.system).name
    hung = (Hung((*beam.keys, end.key), hanger, play) for end, play in zip(ends, plays, strict=True))
    return Assembly(parts, (*beam.joints, *hung))


def play_at(o: Options, end: Literal[0, 1]) -> int:
    """How far what lies loose stays from its place at its low end, 0, and at its high one [nm]."""
    low = o.at_most(o.slat_clearance // 2)
    return int(o.slat_clearance) - low if end else low


def beam_legs(o: Options, beam: Assembly, length: int) -> Assembly:
    """The leg in the middle of 0 to a length [nm], or two at its thirds under a very wide bed, bolted to the beam.

    Each is a piece under the beam, if that has room, glued to one beside it.
    """
    words, found = ("head ", "foot ") if o.mattress.width >= VERY_WIDE else ("",), Assembly()
    for i, word in enumerate(words, 1):
        leg, bolts = leg_of(o, beam.parts, o.near(length * i // (len(words) + 1) - o.post.width // 2), "beam", word)
        found += leg + Assembly((), bolts)
    return found


class Behind(NamedTuple):
    """A part behind a leg, by its key, and the height of its lower edge [nm]; its upper one is level with the leg."""

    key: str
    bottom: int


class Upright(NamedTuple):
    """A leg that goes on above what lies on it, for who leans against it: to a height [nm], in so many layers."""

    top: int
    layers: int


def leg_of(
    o: Options,
    layers: Sequence[Part],
    x: int,
    what: str,
    side: str = "",
    end: int = FAR,
    behind: Behind | None = None,
    upright: Upright | None = None,
) -> tuple[Assembly, tuple[Bolted, ...]]:
    """A leg from an x on [nm], and its bolts through all layers of what lies, from the first to beside the last.

    Its parts are called by what lies there, with a word for the side before their keys; end: the x at which the layers
    end; behind: what the bolts go through last, behind the leg; upright: as what it goes on. Who leans against that
    pulls at the bolts, so they have nuts, and large washers if there is room.
    """
    section, bolt, first, last = o.post, Bolt.of(o), layers[0], layers[-1].box
    bottom, deck, y = last.low[2], last.high[2], last.high[1]
    top, deep = upright or Upright(deck - o.at_least(UNDER_SLATS), 1)
    name = f"leg beside {what}"
    beside = laminated(f"{side}{name}", name, section, top, Placement((x, y, 0), "z", "x"), deep)
    low, beyond = (behind.bottom, (behind.key,)) if behind else (bottom, ())
    high = [layer.box.high[2] for layer in layers]
    lying = max(bottom, low), min(*high, deck - o.at_least(UNDER_SLATS)) if upright else min(high)
    face = Face(lying, (x, x + section.width), top, (-FAR, end), apart=bolt.wrench_room())
    pulled = _pulled(face, bolt) if upright else ()
    words = f"a {what} of {first.section.name} on a leg of {section.name}"
    places = pulled or bolt_places(face, bolt, "bolt_size", words)
    through = (*(layer.key for layer in layers), *beside.keys, *beyond)
    head = first.placement.origin[1]
    held: tuple[BoltEnd, bool] = ("nut" if upright else "tee nut", bool(pulled))
    bolts = tuple(Bolted(through, bolt.name, (bx, head, bz), "y", 1, *held) for bz, bx in places)
    if bottom < SHORTEST_LEG:
        return beside, bolts
    name = f"leg under {what}"
    under = Part(f"{side}{name}", name, section, bottom, Placement((x, y - section.thickness, 0), "z", "x"))
    joints = (Glued((under.key, beside.keys[0])), Resting((layers[-1].key, under.key)))
    return Assembly((under,), joints) + beside, bolts


def _pulled(face: Face, bolt: Bolt) -> tuple[Point2, ...]:
    """Where the bolts of an upright go in what stands on it: so they press no edge, and may be as near to the upper one
    as their large washers lie flat.
    """
    (low, high), edge = face.lying, max(bolt.half_diameters(NDS.edge), half(bolt.size.washer(large=True)[1]))
    higher = replace(face, lying=(low, high + bolt.loaded_edge - bolt.up(edge)), large=True)
    return pulled_places(higher, bolt, (BOTH,) if bolt.size.system == "metric" else (BOTH, NDS))


def carried_by_name(parts: Iterable[Part]) -> tuple[CarriedPiece, ...]:
    """Loose parts as carried pieces, those of one name together."""
    by_name: dict[str, list[str]] = {}
    for part in parts:
        by_name.setdefault(part.name, []).append(part.key)
    return tuple(CarriedPiece(name, tuple(keys), len(keys)) for name, keys in by_name.items())


def frame_of(*assemblies: Assembly, **rest: object) -> Frame:
    """Put assemblies together into a frame."""
    whole = sum(assemblies, Assembly())
    return Frame(whole.parts, whole.joints, **rest)  # type: ignore[arg-type]  # the fields of a frame


def crossing_screw(least: str, near: int, far: int) -> tuple[str, bool]:
    """The first screw size that holds two parts that cross [nm], and whether it goes in from the far one.

    Raises RefusalError: none of the system's screws does, from either side.
    """
    with suppress(RefusalError):
        return screw_that_holds(least, near, far), False
    return screw_that_holds(least, far, near), True


def stout(least: str) -> str:
    """The screw size for what keeps furniture from swaying: no thinner than #10 or 5 mm."""
    sizes = screw_sizes()
    return max((least, STOUT[sizes[least].system]), key=lambda name: sizes[name].diameter)


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
    raise RefusalError(
        "screw_size",
        f"screw_size: no screw from {least} up holds wood this thick; choose a smaller one, or other sections",
    )
