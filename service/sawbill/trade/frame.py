"""A frame: parts of lumber that each know where they stand, how they are joined, and what is carried as one.

Everything a quote says about a design is measured from these boxes: the cut list, the hardware, the openings,
the weight. So they cannot disagree.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis, Box, Point, bounds
from sawbill.trade.finishes import BARE
from sawbill.trade.lumber import Section
from sawbill.trade.mattresses import Mattress

Rounding = Literal["up", "down"]
Market = Literal["US", "UK", "EU", "AU"]
"""Whose published rules for beds above the floor a frame is built for."""


@dataclass(frozen=True, slots=True)
class Sides:
    """What the sides of a piece of furniture are called, all through its quote.

    x, y: the side of the least and of the greatest x, and y; seen_from: where one stands to say left and right.
    """

    x: tuple[str, str]
    y: tuple[str, str]
    seen_from: str

    def name(self, axis: Axis, toward: Literal[1, -1]) -> str:
        """What lies that way along an axis: 1 for the greatest, -1 for the least."""
        names = self.x if axis == "x" else self.y if axis == "y" else ("lower", "upper")
        return names[toward == 1]


SEEN_FROM_THE_FRONT: Final = Sides(("left", "right"), ("front", "back"), "the front")
SEEN_FROM_THE_FOOT: Final = Sides(("head", "foot"), ("left", "right"), "the foot")
"""Of beds that have a head and a foot."""


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a part stands: its least corner [nm], the axis its length runs along, and the axis its width does."""

    origin: Point
    along: Axis
    across: Axis


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of wood in its place.

    key: unique in the frame; name: what the cut list calls it, the same for like parts; length [nm];
    ripped: the width it is ripped to, None for the section's own width [nm]; rounding: the safe way to bring
    its length to the saw's step (down for what must drop in between others); least: the shortest it may be cut
    and still do [nm], None for no shorter than its length.
    """

    key: str
    name: str
    section: Section
    length: int
    placement: Placement
    ripped: int | None = None
    rounding: Rounding = "up"
    least: int | None = None

    @property
    def width(self) -> int:
        """The width it has in the frame [nm]."""
        return self.section.width if self.ripped is None else self.ripped

    @property
    def box(self) -> Box:
        """The space it fills."""
        place, long, wide, thick = self.placement, self.length, self.width, self.section.thickness
        along, across, (x, y, z) = place.along, place.across, place.origin
        dx = long if along == "x" else wide if across == "x" else thick
        dy = long if along == "y" else wide if across == "y" else thick
        dz = long if along == "z" else wide if across == "z" else thick
        return Box(place.origin, (x + dx, y + dy, z + dz))

    def moved(self, key: str, placement: Placement) -> Part:
        """The same piece of wood in another place, by another name."""
        return Part(key, self.name, self.section, self.length, placement, self.ripped, self.rounding, self.least)


@dataclass(frozen=True, slots=True)
class Glued:
    """Two parts glued face to face, for good."""

    parts: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Resting:
    """The first part lies on the second, unfastened."""

    parts: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Hung:
    """Parts that lie as one, unfastened, in a joist hanger fixed to the last part named.

    hanger: a hanger of `fasteners`, by name; gap: how far their end may be from what carries them [nm].
    """

    parts: tuple[str, ...]
    hanger: str
    gap: int = 0


@dataclass(frozen=True, slots=True)
class Bolted:
    """A bolt through parts, named from its head to its far end.

    head: where the bolt's axis enters the first part; toward: +1 or -1 along `axis`; size: a bolt size of
    `fasteners`; end: what its thread goes into; large_washers: whether its washers are large, for it is pulled;
    round_head: whether its head is smooth, on a square neck that keeps it from turning, and no hexagon.
    """

    parts: tuple[str, ...]
    size: str
    head: Point
    axis: Axis
    toward: Literal[1, -1]
    end: fasteners.BoltEnd = "tee nut"
    large_washers: bool = False
    round_head: bool = False

    def moved(self, parts: tuple[str, ...], head: Point, toward: Literal[1, -1]) -> Bolted:
        """The same bolt through other parts."""
        return Bolted(parts, self.size, head, self.axis, toward, self.end, self.large_washers, self.round_head)

    @property
    def item(self) -> str:
        """What kind of hardware it is, as a price book lists it."""
        return "round-head bolt" if self.round_head else "hex bolt"


@dataclass(frozen=True, slots=True)
class Screwed:
    """A wood screw through the first part into the second."""

    parts: tuple[str, str]
    size: str
    head: Point
    axis: Axis
    toward: Literal[1, -1]

    def moved(self, parts: tuple[str, ...], head: Point, toward: Literal[1, -1]) -> Screwed:
        """The same screw through another part into another."""
        first, second = parts
        return Screwed((first, second), self.size, head, self.axis, toward)


Fastener = Bolted | Screwed
Lying = Resting | Hung
Joint = Glued | Lying | Fastener


@dataclass(frozen=True, slots=True)
class Strap:
    """A strap from the top of a part to a wall, so that the furniture cannot tip over; toward: where the wall is."""

    part: str
    axis: Literal["x", "y"]
    toward: Literal[1, -1]


@dataclass(frozen=True, slots=True)
class SlatStrap:
    """Webbing across the undersides of parts that lie side by side, one screw into each, so that they keep their gaps.

    parts: in their order; at: where its middle is along them [nm]; screw: a size.
    """

    parts: tuple[str, ...]
    at: int
    screw: str


@dataclass(frozen=True, slots=True)
class CarriedPiece:
    """What is carried as one when the frame is taken apart; count: so many pieces that are alike."""

    name: str
    parts: tuple[str, ...]
    count: int = 1


@dataclass(frozen=True, slots=True)
class SleepingPlace:
    """The room a mattress lies in.

    opening: what the parts leave for it, on the surface that carries it; slats: the parts of that surface, in
    their order along x; widest_gap: the widest opening between them that was asked for [nm].
    """

    name: str
    mattress: Mattress
    opening: Box
    slats: tuple[str, ...] = ()
    widest_gap: int = 0


@dataclass(frozen=True, slots=True)
class Ladder:
    """The way up to a bed: its treads, from the lowest up, and all of its parts, treads included."""

    treads: tuple[str, ...]
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HighBed:
    """A sleeping place that someone could fall from, and the market whose rules it is built for.

    place: the name of the sleeping place. Its guard rails and ends are not listed: they are whatever parts
    stand around its opening, and are measured as they stand.
    """

    place: str
    market: Market
    ladder: Ladder | None = None


Use = Literal["seat", "shelf", "table", "workbench", "heavy workbench", "sawhorse"]


@dataclass(frozen=True, slots=True)
class Surface:
    """What else carries people or goods: boards beside each other; use: what for."""

    name: str
    use: Use
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Note:
    """Something the maker should know of how the options came out."""

    code: str
    message: str
    parts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Frame:
    """Placed parts and all that joins them; its front, from which it is first shown, is the side of the least y.

    finish: what its bare faces are finished with: one of `finishes` by name, or BARE.
    """

    parts: tuple[Part, ...]
    joints: tuple[Joint, ...] = ()
    carried_pieces: tuple[CarriedPiece, ...] = ()
    sleeping_places: tuple[SleepingPlace, ...] = ()
    high_beds: tuple[HighBed, ...] = ()
    notes: tuple[Note, ...] = field(default=())
    surfaces: tuple[Surface, ...] = ()
    straps: tuple[Strap, ...] = ()
    slat_straps: tuple[SlatStrap, ...] = ()
    sides: Sides = SEEN_FROM_THE_FRONT
    finish: str = BARE

    @cached_property
    def by_key(self) -> Mapping[str, Part]:
        """The parts by key."""
        return {part.key: part for part in self.parts}

    @cached_property
    def boxes(self) -> Mapping[str, Box]:
        """The space of every part, by key."""
        return {part.key: part.box for part in self.parts}

    @cached_property
    def fasteners(self) -> Mapping[str, Sequence[Fastener]]:
        """The bolts and screws in every part that has some, by its key."""
        found = defaultdict[str, list[Fastener]](list)
        for joint in self.joints:
            if isinstance(joint, Fastener):
                for key in joint.parts:
                    found[key].append(joint)
        return dict(found)

    @cached_property
    def bolts(self) -> Mapping[str, Sequence[Bolted]]:
        """The bolts through every part that has some, by its key."""
        every = self.fasteners.items()
        bolts = ((key, [each for each in joints if isinstance(each, Bolted)]) for key, joints in every)
        return {key: joints for key, joints in bolts if joints}

    @cached_property
    def bounds(self) -> Box:
        """The smallest box around the whole frame."""
        return bounds(self.boxes.values())

    def grip(self, joint: Bolted) -> int:
        """How much wood a bolt clamps [nm]."""
        i, boxes = AXES.index(joint.axis), self.boxes
        low, high = boxes[joint.parts[0]].low[i], boxes[joint.parts[0]].high[i]
        for key in joint.parts[1:]:
            start, end = boxes[key].low[i], boxes[key].high[i]
            low, high = (start if start < low else low), (end if end > high else high)
        return high - low

    def bolt_length(self, joint: Bolted) -> int:
        """The standard length a bolted joint takes [nm]. Raises FastenerError: the grip is too thick."""
        return fasteners.bolt_length(
            fasteners.bolt_sizes()[joint.size], self.grip(joint), joint.end,
            large=joint.large_washers, round_head=joint.round_head,
        )  # fmt: skip

    def through(self, joint: Screwed) -> tuple[int, int]:
        """How much wood a screw may go through, and into [nm]."""
        i, (first, second) = AXES.index(joint.axis), (self.boxes[key] for key in joint.parts)
        return first.high[i] - first.low[i], second.high[i] - second.low[i]

    def strap_screw_length(self, strap: SlatStrap) -> int:
        """The standard length of the screws of a slat strap [nm]. Raises FastenerError: none is short enough."""
        thinnest = min(self.by_key[key].section.thickness for key in strap.parts)
        return fasteners.short_screw(fasteners.screw_sizes()[strap.screw], thinnest)

    def screw_length(self, joint: Screwed) -> int:
        """The standard length a screw may have [nm]. Raises FastenerError: no screw holds."""
        return fasteners.screw_length(fasteners.screw_sizes()[joint.size], *self.through(joint))
