"""Rails and beams in two lengths, so that no piece is long: each stands on a leg of its own where they meet.

The lengths bear on their legs, each bolted to its own, and a scab across both legs, on the same bolts, ties the joint.
So no moment passes over it, and nothing hangs on a bolt near an end, where wood splits. With these bolts out, lengths,
legs and scab are apart. Scabs over a joint, and a leg at either side: common practice, no source; distances of the
bolts as in `bolt_places`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from sawbill.trade import option
from sawbill.trade.boxes import Axis, Box, bounds, point
from sawbill.trade.declaring.headings import CONSTRUCTION
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Bolted, CarriedPiece, Glued, Hung, Part, Placement
from sawbill.trade.lengths import INCH, STEP, format_length, round_up
from sawbill_designs.common.bolt_places import BOTH, Bolt, half
from sawbill_designs.common.parts import UNDER_SLATS, Assembly, Behind, Upright, beam_legs, leg_of, mirrored

HEAD_AND_FOOT: Final = "head", "foot"
"""What the lengths of a bed are called that has a head and a foot."""
HEIGHTS: Final = "clear_height", "seat_height", "height"
"""The options that raise a bed, whichever of them it has."""
TIPS: Final = 1 * INCH
"""Room for the tip of a bolt, half an inch past its tee nut at most, and for what comes from the other side
(practice)."""
IN_HALVES: Final = option.Flag(
    "in_halves", "Whether the rails, and the beam, come in two lengths that meet over legs in the middle, so that "
    "nothing is much longer than half of the bed, or than it is wide: for a small car, or narrow stairs.",
    default=False, heading=CONSTRUCTION, label="In two lengths", eases="carrying",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Splice:
    """Where two lengths meet: the leg of either, and the scab across both with the bolts through all."""

    name: str
    legs: tuple[Assembly, Assembly]
    scab: Assembly

    @property
    def whole(self) -> Assembly:
        """All of it."""
        return self.legs[0] + self.legs[1] + self.scab

    @property
    def bolts(self) -> tuple[Bolted, ...]:
        """Those through all of it."""
        return tuple(joint for joint in self.scab.joints if isinstance(joint, Bolted))

    def mirrored(self, axis: Axis, extent: int, word: str, other: str) -> Splice:
        """Its mirror image, as that of an assembly."""
        one, two, scab = (mirrored(each, axis, extent, word, other) for each in (*self.legs, self.scab))
        return Splice(self.name.replace(word, other), (one, two), scab)


def splice(
    o: Options,
    what: str,
    side: str,
    layers: Sequence[Part],
    middle: int,
    ends: tuple[str, str] = HEAD_AND_FOOT,
    upright: Upright | None = None,
) -> Splice:
    """Join two lengths that meet at an x [nm]: the layers of that at the head, from where the heads of bolts are.

    what: what is joined; side: a word for where, before all keys; ends: what the lengths are called;
    upright: as what the legs go on above it. Raises RefusalError: no room for the bolts.
    """
    bolt, layer = Bolt.of(o), layers[-1]
    end, wide = bolt.half_diameters(14), int(o.post.width)
    top = layer.box.high[2] - o.at_least(UNDER_SLATS)
    section = next((each for each in (layer.section, o.ledger) if each.width <= top), None)
    if section is None:
        name = next(each for each in HEIGHTS if each in o)
        least = round_up(int(o[name]) + min(layer.section.width, o.ledger.width) - top, STEP[o.system])
        raise RefusalError(
            "in_halves",
            f"in_halves: a scab of {o.ledger.name} has no height beside the {what}; raise {name} to "
            f"{format_length(least, o.system)} or more, or choose narrower ledgers",
        )
    key, behind = f"{side}{what} scab", top - section.width
    beyond = wide - bolt.half_diameters(BOTH.edge) if upright else half(wide)  # that two bolts are side by side
    x = o.at_most(middle - max(end + beyond, wide))
    leg, bolts = leg_of(o, layers, x, what, f"{side}{ends[0]} ", middle, Behind(key, behind), upright)
    start = min(joint.head[0] for joint in bolts) - end
    place = Placement((start, leg.parts[-1].box.high[1], behind), "x", "z")
    scab = Part(key, f"{what} scab", section, 2 * (middle - start), place)
    held = Assembly((), bolts)
    held += mirrored(held, "x", 2 * middle, *ends)
    return Splice(f"{side}{what}", (leg, mirrored(leg, "x", 2 * middle, *ends)), Assembly((scab,)) + held)


def refuse_crowded(splices: Sequence[Splice], others: Sequence[Part]) -> None:
    """Refuse joints that have no room beside each other and other parts, the tips of their bolts included."""
    parts = [each.whole.parts for each in splices]
    rooms = [bounds(part.box for part in each) for each in parts]
    wide = [Box(point((x, y - TIPS, z)), point((a, b + TIPS, c)))
            for (x, y, z), (a, b, c) in ((room.low, room.high) for room in rooms)]  # fmt: skip
    crowded = any(wide[i].overlaps(rooms[j]) for i, j in combinations(range(len(rooms)), 2))
    if crowded or any(part.box.overlaps(other.box) for each in parts for part in each for other in others):
        raise RefusalError(
            "in_halves",
            "in_halves: the legs in the middle have no room between the sides and the posts; choose narrower posts and "
            "ledgers, or leave the bed whole",
        )


def carried(splices: Iterable[Splice]) -> Iterator[CarriedPiece]:
    """The legs and the scab of each joint, as they are carried."""
    for each in splices:
        yield CarriedPiece(f"{each.name} leg", tuple(key for leg in each.legs for key in leg.keys), len(each.legs))
        yield CarriedPiece(f"{each.name} scab", each.scab.keys)


def halved(beam: Assembly, middle: int, ends: tuple[str, str] = HEAD_AND_FOOT) -> tuple[Assembly, Assembly]:
    """A beam from `centre_beam` in two lengths that meet at an x [nm]; ends: what they are called."""

    def cut(part: Part, end: str) -> Part:
        low, high = part.box.span("x")
        low, high = (low, middle) if end == ends[0] else (middle, high)
        place = replace(part.placement, origin=(low, *part.placement.origin[1:]))
        return replace(part, key=f"{end} {part.key}", length=high - low, placement=place)

    def length(end: str) -> Assembly:
        own = {key: f"{end} {key}" for key in beam.keys}
        hung = [joint for joint in beam.joints if isinstance(joint, Hung)][0 if end == ends[0] else -1]
        glued = (Glued((own[a], own[b])) for a, b in (j.parts for j in beam.joints if isinstance(j, Glued)))
        hangs = replace(hung, parts=tuple(own.get(key, key) for key in hung.parts))
        return Assembly(tuple(cut(part, end) for part in beam.parts), (*glued, hangs))

    return length(ends[0]), length(ends[1])


@dataclass(frozen=True, slots=True)
class Centre:
    """What carries slats at mid width, as it is carried: by name, and a joint where there is one."""

    pieces: Mapping[str, Assembly]
    joints: tuple[Splice, ...] = ()

    @classmethod
    def of(
        cls, o: Options, beam: Assembly, length: int, *, leg: bool, ends: tuple[str, str] = HEAD_AND_FOOT
    ) -> Centre:  # fmt: skip
        """A beam from `centre_beam` with its leg, if it has one, in the middle of 0 to a length [nm].

        In two lengths where that is asked, and then always on legs; ends: what these are called.
        """
        if not o.in_halves:
            return cls({"centre beam": beam + beam_legs(o, beam, length) if leg else beam})
        first, last = halved(beam, length // 2, ends)
        joint = splice(o, "beam", "", first.parts, length // 2, ends)
        return cls({f"{ends[0]} beam": first, f"{ends[1]} beam": last}, (joint,))


def evenly(o: Options, length: int) -> int:
    """A length that two halves share, as whole steps [nm]: one step more where that takes it."""
    return round_up(length, 2 * o.step) if o.in_halves else length
