"""What a frame is for: who sleeps on it, climbs it, sits and works on it, and the rules that go with that."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sawbill.trade.boxes import Box
from sawbill.trade.mattresses import Mattress

Market = Literal["US", "UK", "EU", "AU"]
"""Whose published rules for beds above the floor a frame is built for."""


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
