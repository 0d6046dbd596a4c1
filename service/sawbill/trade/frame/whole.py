"""The frame itself, what is carried of it, how its sides are called, and what is measured from its boxes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis, Box, bounds
from sawbill.trade.finishes import BARE
from sawbill.trade.frame.joints import Bolted, Fastener, Housed, Joint, Screwed, SlatStrap, Strap
from sawbill.trade.frame.parts import Part
from sawbill.trade.frame.serves import HighBed, SleepingPlace, Surface


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
class CarriedPiece:
    """What is carried as one when the frame is taken apart; count: so many pieces that are alike."""

    name: str
    parts: tuple[str, ...]
    count: int = 1


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
    def housings(self) -> Mapping[tuple[str, str], Box]:
        """What is cut out of parts for the ends of others, by the keys of either, that of the end first."""
        found = (joint.parts for joint in self.joints if isinstance(joint, Housed))
        return {(end, key): self.boxes[end].common(self.boxes[key]) for end, key in found}

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
        cut = self.housings.get((joint.parts[1], joint.parts[0])) if self.housings else None
        deep = cut.high[i] - cut.low[i] if cut else 0
        return first.high[i] - first.low[i] - deep, second.high[i] - second.low[i]

    def strap_screw_length(self, strap: SlatStrap) -> int:
        """The standard length of the screws of a slat strap [nm]. Raises FastenerError: none is short enough."""
        thinnest = min(self.by_key[key].section.thickness for key in strap.parts)
        return fasteners.short_screw(fasteners.screw_sizes()[strap.screw], thinnest)

    def screw_length(self, joint: Screwed) -> int:
        """The standard length a screw may have [nm]. Raises FastenerError: no screw holds."""
        return fasteners.screw_length(fasteners.screw_sizes()[joint.size], *self.through(joint))
