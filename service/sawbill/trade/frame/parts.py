"""Pieces of wood, and where each stands in a frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sawbill.trade.boxes import Axis, Box, Point
from sawbill.trade.lumber import Section

Rounding = Literal["up", "down"]


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
