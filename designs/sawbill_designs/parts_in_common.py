"""What several designs build alike: assemblies, their mirror images, laminated posts, bolts in a row, a slat deck."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final, Literal

from sawbill.trade.boxes import AXES, Axis, Point, point
from sawbill.trade.design import RefusalError
from sawbill.trade.fasteners import BoltSize, FastenerError, hanger_for, screw_length, screw_sizes
from sawbill.trade.frame import Bolted, CarriedPiece, Frame, Glued, Hung, Joint, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import Section
from sawbill_designs.bolt_places import Face, Point2, bolt_places, wrench_room

POST_THICKNESS: Final = 70 * MM
"""The least thickness of a post's laminations together: two of 2-by, three of 5/4, one of 4-by (practice)."""
BEAM_THICKNESS: Final = 36 * MM
"""The least thickness of a beam's laminations together (practice)."""

BEDDING: Final = 1 * INCH
"""Room for bedding at the two ends together, beyond the mattress allowance (common practice, no source)."""
UNDER_SLATS: Final = INCH // 2
"""How far a slat clears the top of a post or a leg (common practice, no source)."""
SHORTER_SLAT: Final = INCH // 4
"""How much shorter a slat may be cut and still lie on what carries it (common practice, no source)."""
WIDE: Final = 53 * INCH
"""From this mattress width a bed wants a centre beam with a leg: a full or double and up (practice)."""
BLOCK_HEIGHT: Final = INCH * 3 // 4
SHORTEST_BLOCK: Final = INCH // 2
SHORTEST_LEG: Final = 1 * INCH
"""A beam closer than this to the floor has no piece of its leg under it (practice)."""
SCREW_END: Final = 7
"""How many diameters a screw that carries is from the end of a board, where there is room (EN 1995-1-1, Table 8.2)."""
STOUT: Final = {"inch": "#10", "metric": "5 mm"}
"""The thinnest screws that keep furniture from swaying (practice)."""
TWO_SCREWS: Final = 60 * MM
"""From this width a board is held by two screws where it crosses another part (practice)."""


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

    def turned(place: Point, size: int = 0) -> Point:
        return point((*place[:i], extent - place[i] - size, *place[i + 1 :]))

    def turned_part(part: Part) -> Part:
        origin = turned(part.placement.origin, part.box.size[i])
        return replace(part, key=part.key.replace(word, other), placement=replace(part.placement, origin=origin))

    def turned_joint(joint: Joint) -> Joint:
        if isinstance(joint, Bolted | Screwed):
            toward: Literal[1, -1] = joint.toward if joint.axis != axis else -1 if joint.toward == 1 else 1
            return replace(joint, parts=renamed(joint.parts), head=turned(joint.head), toward=toward)  # type: ignore[arg-type]  # as many keys as before
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
        place = replace(placement, origin=(origin[0], origin[1], origin[2]))
        parts.append(Part(f"{key} {layer + 1}" if layers > 1 else key, name, section, length, place))
    glued = tuple(Glued((a.key, b.key)) for a, b in pairwise(parts))
    return Assembly(tuple(parts), glued)


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


def board_run(low: int, high: int, width: int, widest_gap: int) -> tuple[tuple[int, int], ...]:
    """Cover a surface with boards side by side: where each begins, and how wide it is [nm].

    The fewest whole boards whose gaps, all alike, are no wider than the widest. Where no number of whole boards
    does it, they keep that gap and the last is ripped to what is left, or the last two alike where that would be
    less than half a board.
    """
    room = high - low
    whole = room // width
    for count in range(1, whole + 1):
        if room - count * width <= (count - 1) * widest_gap:
            starts = _spread(low, room, width, count, pair=False) if count > 1 else (low,)
            return tuple((start, width) for start in starts)
    rest = room - whole * (width + widest_gap)
    alike = whole > 0 and 2 * rest < width
    widths = [width] * (whole - 1) + [(width + rest) // 2] * 2 if alike else [width] * whole + [rest]
    starts = tuple(low + i * (width + widest_gap) for i in range(len(widths) - 1))
    return tuple(zip((*starts, high - widths[-1]), widths, strict=True))


def board_heights(low: int, top: int, width: int, widest_gap: int) -> tuple[int, ...]:
    """Where boards one above the other begin, the top one first, flush with both ends [nm].

    The fewest whose gaps are no wider than the widest, or as many as there is room for. One alone is at the top.
    """
    rise = top - low
    count = min(-(-(rise + widest_gap) // (width + widest_gap)), rise // width)
    pitch = (rise - width) // (count - 1) if count > 1 else 0
    return tuple(top - width - i * pitch for i in range(count))


def screw_places(start: int, width: int) -> tuple[int, ...]:
    """Where the screws across a board's width go [nm]: two at its quarters, one in the middle of a narrow board."""
    return (start + width // 4, start + width - width // 4) if width >= TWO_SCREWS else (start + width // 2,)


def diagonal_places(upright: Part, board: Part, axis: Axis) -> tuple[Point2, ...]:
    """Two screws on the diagonal of a crossing, so that they do not split one line of grain [nm].

    Each as its place along the axis, which is the upright's width, and its height.
    """
    across, up = upright.placement.origin[AXES.index(axis)], board.placement.origin[2]
    return tuple((across + upright.width * i // 4, up + board.width * i // 4) for i in (1, 3))


def clear_place(wanted: int, span: tuple[int, int], taken: Iterable[int], room: int) -> int | None:
    """The place nearest to the wanted one, within a span, that keeps `room` from all that are taken [nm].

    None: there is no such place.
    """
    taken = tuple(taken)
    near = {wanted, *span, *(place + side for place in taken for side in (-room, room))}
    clear = [n for n in near if span[0] <= n <= span[1] and all(abs(n - place) >= room for place in taken)]
    return min(clear, key=lambda n: (abs(n - wanted), n), default=None)


def slat_deck(
    run: SlatRun, section: Section, across: tuple[int, int], height: int, carriers: Iterable[Part], name: str = "slat"
) -> Assembly:
    """Slats along a run, lying from one y to another at a height [nm], on those of the carriers that they reach."""
    low, high = across
    slats = tuple(
        Part(
            f"{name} {i}", name, section, high - low, Placement((x, low, height), "y", "x"),
            rounding="down", least=high - low - SHORTER_SLAT,
        )
        for i, x in enumerate(run.starts, 1)
    )  # fmt: skip
    under = tuple(carriers)
    resting = tuple(Resting((a.key, b.key)) for a in slats for b in under if a.box.contact(b.box))
    return Assembly(slats, resting)


def slat_screws(
    slats: Iterable[Part],
    carriers: Iterable[tuple[Part, int]],
    least: str,
    taken: Iterable[int] = (),
    bore: int = 0,
) -> Assembly:
    """Two screws from above where a slat lies on each carrier, in the middle of its thickness at a y [nm].

    taken: the x of bores of a diameter that cross a carrier below [nm]; a screw that finds no place beside them
    is left out.
    """
    carriers, taken = tuple(carriers), tuple(taken)
    screws = []
    for slat in slats:
        for carrier, y in carriers:
            size = screw_that_holds(least, slat.section.thickness, carrier.width)
            wide = screw_sizes()[size].diameter
            start, placed = slat.placement.origin[0], list[int]()
            for quarter in (1, 3):
                wanted, span = start + slat.width * quarter // 4, (start + wide, start + slat.width - wide)
                x = clear_place(wanted, span, taken, (bore + wide) // 2 + MM)
                if x is not None and all(abs(x - other) > wide for other in placed):
                    placed.append(x)
                    screws.append(Screwed((slat.key, carrier.key), size, (x, y, slat.box.high[2]), "z", -1))
    return Assembly((), tuple(screws))


def spacer_length(run: SlatRun, clearance: int) -> int:
    """The length of a spacer block between slats [nm]; 0 when the gaps are too narrow for one."""
    block = run.gap - min(clearance, run.gap // 4)
    return block if block >= SHORTEST_BLOCK else 0


def spacer_blocks(run: SlatRun, slat: Section, ledger: Part, length: int, key: str) -> Assembly:
    """Blocks of a length [nm] glued on a ledger, one in every gap of a run that is wide enough for it."""
    gaps = [
        (before + slat.width, after) for before, after in pairwise(run.starts) if after - before - slat.width >= length
    ]
    blocks = tuple(
        spacer_block(f"{key} {i}", ledger, slat, low + (high - low - length) // 2, length)
        for i, (low, high) in enumerate(gaps, 1)
    )
    return Assembly(blocks, tuple(Glued((block.key, ledger.key)) for block in blocks))


def spacer_block(key: str, ledger: Part, slat: Section, x: int, length: int) -> Part:
    """A block from x on, level with the ledger's upper edge, no higher than a slat [nm]."""
    place = Placement((x, ledger.placement.origin[1], ledger.box.high[2]), "x", "z")
    height = min(BLOCK_HEIGHT, slat.thickness)
    return Part(key, "spacer block", ledger.section, length, place, ripped=height, rounding="down")


def centre_beam(
    section: Section, ends: tuple[Part, Part], width: int, bottom: int, play: int, bolt: BoltSize
) -> Assembly:
    """A laminated beam that lifts out of a hanger on each of two end boards, in the middle of 0 to a width [nm].

    bottom: the height of its lower edge; play: how far it stays from either board [nm].
    """
    layers = laminations(section, BEAM_THICKNESS)
    thickness = layers * section.thickness
    start, stop = ends[0].box.high[0] + play, ends[1].box.low[0] - play
    place = Placement((start, (width - thickness) // 2, bottom), "x", "z")
    beam = laminated("beam", "centre beam", section, stop - start, place, layers)
    parts = tuple(replace(part, rounding="down") for part in beam.parts)
    hanger = hanger_for(thickness, bolt.system).name
    return Assembly(parts, (*beam.joints, *(Hung((*beam.keys, end.key), hanger, play) for end in ends)))


def beam_leg(beam: Assembly, section: Section, length: int, bolt: BoltSize) -> Assembly:
    """The leg in the middle of 0 to a length [nm]: a piece under the beam, if it has room, glued to one beside it.

    The one beside the beam is bolted to it.
    """
    x, first, last = (length - section.width) // 2, beam.parts[0], beam.parts[-1].box
    bottom, deck, side = last.low[2], last.high[2], last.high[1]
    top = deck - UNDER_SLATS
    beside = Part("leg beside beam", "leg beside beam", section, top, Placement((x, side, 0), "z", "x"))
    face = Face((bottom, deck), (x, x + section.width), top, apart=wrench_room(bolt))
    places = bolt_places(face, bolt, "bolt_size", f"a beam of {first.section.name} on a leg of {section.name}")
    head = first.placement.origin[1]
    bolts = tuple(Bolted((*beam.keys, beside.key), bolt.name, (bx, head, bz), "y", 1) for bz, bx in places)
    if bottom < SHORTEST_LEG:
        return Assembly((beside,), bolts)
    place = Placement((x, side - section.thickness, 0), "z", "x")
    under = Part("leg under beam", "leg under beam", section, bottom, place)
    joints: tuple[Joint, ...] = (Glued((under.key, beside.key)), Resting((beam.keys[-1], under.key)), *bolts)
    return Assembly((under, beside), joints)


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
