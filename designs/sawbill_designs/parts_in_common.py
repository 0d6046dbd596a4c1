"""What several designs build alike: assemblies, their mirror images, laminated posts, bolts in a row, a slat deck."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import Final, Literal

from sawbill.trade.boxes import AXES, Axis, Point, point
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.fasteners import FastenerError, hanger_for, screw_length, screw_sizes
from sawbill.trade.frame import Bolted, CarriedPiece, Frame, Glued, Hung, Joint, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem, round_down, round_near, round_up
from sawbill.trade.lumber import Section
from sawbill_designs.bolt_places import Bolt, Face, Point2, bolt_places

POST_THICKNESS: Final = 70 * MM
"""The least thickness of a post's laminations together: two of 2-by, three of 5/4, one of 4-by (practice)."""
BEAM_THICKNESS: Final = 36 * MM
"""The least thickness of a beam's laminations together (practice)."""

BEDDING: Final[BySystem] = {"inch": 1 * INCH, "metric": 25 * MM}
"""Room for bedding at the two ends together, beyond the mattress allowance (common practice, no source)."""
UNDER_SLATS: Final[BySystem] = {"inch": INCH // 2, "metric": 12 * MM}
"""How far a slat clears the top of a post or a leg (common practice, no source)."""
SHORTER_SLAT: Final[BySystem] = {"inch": INCH // 4, "metric": 6 * MM}
"""How much shorter a slat may be cut and still lie on what carries it (common practice, no source)."""
WIDE: Final = 53 * INCH
"""From this mattress width a bed wants a centre beam with a leg: a full or double and up (practice)."""
BLOCK_HEIGHT: Final[BySystem] = {"inch": INCH * 3 // 4, "metric": 20 * MM}
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
    """Slats along a deck: where each begins, and the least gap between neighbours [nm]."""

    starts: tuple[int, ...]
    gap: int
    doubled: bool


def slat_run(low: int, high: int, width: int, widest_gap: int, doubled: bool, step: int) -> SlatRun:
    """Spread the fewest slats that keep every gap within the widest, all alike to a step, the end slats flush.

    doubled: two slats touch at the middle, where a centre leg stands; when no even number of slats does it, the
    middle is left single. When equal gaps between flush ends cannot do it either, as many slats as fit keep the
    widest gap and stand back from the ends alike.
    """
    room = high - low
    for pair in (True, False) if doubled else (False,):
        for count in range(4 if pair else 2, room // width + 1, 2 if pair else 1):
            gaps = count - 2 if pair else count - 1
            if room - count * width <= gaps * widest_gap:
                return SlatRun(
                    _spread(low, room, width, count, pair, step),
                    round_down((room - count * width) // gaps, step),
                    pair,
                )
    count = max(1, room // width)
    margin = round_down((room - count * width - (count - 1) * widest_gap) // 2, step)
    starts = tuple(low + margin + i * (width + widest_gap) for i in range(count))
    return SlatRun(starts, widest_gap, False)


def _spread(low: int, room: int, width: int, count: int, pair: bool, step: int) -> tuple[int, ...]:
    gaps = shared(room - count * width, count - 2 if pair else count - 1, step)
    if pair:
        gaps = (*gaps[: len(gaps) // 2], 0, *gaps[len(gaps) // 2 :])
    return tuple(accumulate((width + gap for gap in gaps), initial=low))


def shared(room: int, gaps: int, step: int) -> tuple[int, ...]:
    """Share out a room among gaps in whole steps, none a step wider than another, the same from both ends if it can be.

    What is no whole step goes to one of the narrowest, in the middle, so that no gap becomes the widest by it [nm].
    """
    each, over = divmod(room // step, gaps)
    near = {(2 * i + 1) * gaps // (2 * over) for i in range(over // 2)}
    wide = near | {gaps - 1 - i for i in near} | ({gaps // 2} if over % 2 else set())
    found = [(each + (i in wide)) * step for i in range(gaps)]
    narrow = [i for i in range(gaps) if i not in wide]
    found[min(narrow, key=lambda i: abs(2 * i + 1 - gaps))] += room % step
    return tuple(found)


def board_run(low: int, high: int, width: int, widest_gap: int, step: int) -> tuple[tuple[int, int], ...]:
    """Cover a surface with boards side by side: where each begins, and how wide it is [nm].

    The fewest whole boards whose gaps, all alike to a step, are no wider than the widest. Where no number of whole
    boards does it, they keep that gap and the last is ripped to what is left, or the last two alike where that would
    be less than half a board.
    """
    room = high - low
    whole = room // width
    for count in range(1, whole + 1):
        if room - count * width <= (count - 1) * widest_gap:
            starts = _spread(low, room, width, count, False, step) if count > 1 else (low,)
            return tuple((start, width) for start in starts)
    rest = room - whole * (width + widest_gap)
    alike = whole > 0 and 2 * rest < width
    half = round_up((width + rest) // 2, step)
    widths = [width] * (whole - 1) + [half, width + rest - half] if alike else [width] * whole + [rest]
    starts = tuple(accumulate((wide + widest_gap for wide in widths[:-1]), initial=low))
    return tuple(zip(starts, widths, strict=True))


def board_heights(low: int, top: int, width: int, widest_gap: int, step: int) -> tuple[int, ...]:
    """Where boards one above the other begin, the top one first, flush with both ends [nm].

    The fewest whose gaps are no wider than the widest, or as many as there is room for. One alone is at the top.
    """
    rise = top - low
    count = min(-(-(rise + widest_gap) // (width + widest_gap)), rise // width)
    if count < 2:
        return (top - width,) * count
    gaps = shared(rise - count * width, count - 1, step)
    return tuple(accumulate((-width - gap for gap in gaps), initial=top - width))


def screw_places(start: int, width: int, step: int) -> tuple[int, ...]:
    """Where the screws across a board's width go [nm]: two at its quarters, one in the middle of a narrow board."""
    if width < TWO_SCREWS:
        return (start + round_near(width // 2, step),)
    return quarters(start, width, step)


def quarters(start: int, width: int, step: int) -> tuple[int, int]:
    """The marks next to a quarter and three quarters of a width, as far from either edge [nm]."""
    inset = round_near(width // 4, step)
    return start + inset, start + width - inset


def diagonal_places(upright: Part, board: Part, axis: Axis, step: int) -> tuple[Point2, ...]:
    """Two screws on the diagonal of a crossing, so that they do not split one line of grain [nm].

    Each as its place along the axis, which is the upright's width, and its height.
    """
    across, up = upright.placement.origin[AXES.index(axis)], board.placement.origin[2]
    return tuple(zip(quarters(across, upright.width, step), quarters(up, board.width, step), strict=True))


def clear_place(wanted: int, span: Point2, taken: Iterable[int], room: int, step: int) -> int | None:
    """The mark nearest to the wanted place, within a span, that keeps `room` from all that are taken [nm].

    None: there is no such place.
    """
    return place_off(wanted, span, ((place, room) for place in taken), step)


def place_off(wanted: int, span: Point2, taken: Iterable[Point2], step: int) -> int | None:
    """The mark nearest to the wanted place, within a span, that keeps from each taken place as much as that wants [nm].

    None: there is no such place.
    """
    taken, (first, last) = tuple(taken), (round_up(span[0], step), round_down(span[1], step))
    near = {round_near(wanted, step), first, last}
    for place, room in taken:
        near |= {round_down(place - room, step), round_up(place + room, step)}
    clear = [n for n in near if first <= n <= last and all(abs(n - place) >= room for place, room in taken)]
    return min(clear, key=lambda n: (abs(n - wanted), n), default=None)


def slat_deck(
    o: Options, run: SlatRun, across: Point2, height: int, carriers: Iterable[Part], name: str = "slat"
) -> Assembly:
    """Slats along a run, lying from one y to another at a height [nm], on those of the carriers that they reach."""
    low, high = across
    least = high - low - o.at_most(SHORTER_SLAT)
    slats = tuple(
        Part(
            f"{name} {i}", name, o.slat, high - low, Placement((x, low, height), "y", "x"), rounding="down", least=least
        )
        for i, x in enumerate(run.starts, 1)
    )  # fmt: skip
    under = tuple(carriers)
    resting = tuple(Resting((a.key, b.key)) for a in slats for b in under if a.box.contact(b.box))
    return Assembly(slats, resting)


def slat_screws(
    o: Options,
    slats: Iterable[Part],
    carriers: Iterable[tuple[Part, int]],
    taken: Iterable[int] = (),
    bore: int = 0,
) -> Assembly:
    """Two screws from above where a slat lies on each carrier, at a y in the middle of its thickness [nm].

    taken: the x of bores of a diameter that cross a carrier below [nm]; a screw that finds no place beside them
    is left out.
    """
    carriers, taken = tuple(carriers), tuple(taken)
    screws = []
    for slat in slats:
        for carrier, y in carriers:
            size = screw_that_holds(o.screw_size, slat.section.thickness, carrier.width)
            wide = screw_sizes()[size].diameter
            start, placed = slat.placement.origin[0], list[int]()
            span = start + wide, start + slat.width - wide
            for wanted in quarters(start, slat.width, o.step):
                x = clear_place(wanted, span, taken, (bore + wide) // 2 + MM, o.step)
                if x is not None and all(abs(x - other) > wide for other in placed):
                    placed.append(x)
                    screws.append(Screwed((slat.key, carrier.key), size, (x, y, slat.box.high[2]), "z", -1))
    return Assembly((), tuple(screws))


def spacer_length(run: SlatRun, o: Options) -> int:
    """The length of a spacer block between slats [nm]; 0 when the gaps are too narrow for one."""
    block = run.gap - min(o.slat_clearance, o.at_most(run.gap // 4))
    return block if block >= SHORTEST_BLOCK else 0


def spacer_blocks(o: Options, run: SlatRun, ledger: Part, length: int, key: str) -> Assembly:
    """Blocks of a length [nm] glued on a ledger, one in every gap of a run that is wide enough for it."""
    gaps = [
        (before + o.slat.width, after)
        for before, after in pairwise(run.starts)
        if after - before - o.slat.width >= length
    ]
    blocks = tuple(
        spacer_block(o, f"{key} {i}", ledger, low + o.at_most((high - low - length) // 2), length)
        for i, (low, high) in enumerate(gaps, 1)
    )
    return Assembly(blocks, tuple(Glued((block.key, ledger.key)) for block in blocks))


def block_height(o: Options) -> int:
    """How high a spacer block is: no higher than a slat [nm]."""
    return min(o.at_most(BLOCK_HEIGHT), int(o.slat.thickness))


def spacer_block(o: Options, key: str, ledger: Part, x: int, length: int) -> Part:
    """A block from x on, level with the ledger's upper edge [nm]."""
    place = Placement((x, ledger.placement.origin[1], ledger.box.high[2]), "x", "z")
    return Part(key, "spacer block", ledger.section, length, place, ripped=block_height(o), rounding="down")


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


def beam_leg(o: Options, beam: Assembly, length: int) -> Assembly:
    """The leg in the middle of 0 to a length [nm]: a piece under the beam, if it has room, glued to one beside it.

    The one beside the beam is bolted to it.
    """
    section, bolt = o.post, Bolt.of(o)
    x, first, last = o.near((length - section.width) // 2), beam.parts[0], beam.parts[-1].box
    bottom, deck, side = last.low[2], last.high[2], last.high[1]
    top = deck - o.at_least(UNDER_SLATS)
    beside = Part("leg beside beam", "leg beside beam", section, top, Placement((x, side, 0), "z", "x"))
    face = Face((bottom, deck), (x, x + section.width), top, apart=bolt.wrench_room())
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
