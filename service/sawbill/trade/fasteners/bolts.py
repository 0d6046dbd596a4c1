"""Bolts and what goes on them: washers, nuts, tee nuts; how long each must be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from sawbill.trade import tables
from sawbill.trade.fasteners.listed import SYSTEMS, FastenerError, lengths
from sawbill.trade.lengths import INCH, MM, System, format_length, parse_length

BoltEnd = Literal["tee nut", "nut", "capped nut"]
"""What a bolt's thread goes into; a cap on a nut hides its corners and the bolt's tip."""

LOADED_EDGE: Final = 4
"""How many diameters a bolt stays from the edge it presses on, across the grain (NDS 2018, Table 12.5.1C; EN 1995-1-1,
Table 8.4)."""
BOLT_PLAY: Final[Mapping[System, int]] = {"inch": INCH // 32, "metric": MM // 2}
"""How much wider than a bolt its hole is [nm]: the least that NDS 2018, 12.1.3.2, asks for, of 1/32 to 1/16 in; of
metric bolts common practice, EN 1995-1-1, 10.4.3, allows up to 1 mm. Frames sway by it until their bolts bear."""
SOCKET: Final = (3, 2)
"""A socket is so many times as wide as the flats it turns (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class TeeNut:
    """A tee nut: a barrel drawn into a bore, and the flange that stays on the face [nm]."""

    barrel_length: int
    barrel_diameter: int
    flange_diameter: int


@dataclass(frozen=True, slots=True)
class ThreadStep:
    """The thread of bolts up to a length [nm, None for any]: so many diameters and a little more [nm]."""

    up_to: int | None
    diameters: int
    extra: int


@dataclass(frozen=True, slots=True)
class BoltSize:
    """A bolt of one diameter, with all that goes on it; lengths shortest first [nm throughout].

    Its head is a hexagon, or round on a square neck; round_head_diameter, round_head_least: the greatest and the least
    of a round one, which no washer lies under.
    """

    name: str
    system: System
    diameter: int
    pitch: int
    thread_rule: str
    thread_steps: tuple[ThreadStep, ...]
    lengths: tuple[int, ...]
    washer_thickness: int
    washer_diameter: int
    nut_height: int
    tee_nut: TeeNut
    large_washer_thickness: int
    large_washer_diameter: int
    across_flats: int
    round_head_diameter: int
    round_head_least: int
    round_head_height: int
    source: str

    def washer(self, *, large: bool) -> tuple[int, int]:
        """How thick and how wide its washer is [nm]; large: one that spreads a pull over more wood."""
        if large:
            return self.large_washer_thickness, self.large_washer_diameter
        return self.washer_thickness, self.washer_diameter

    @property
    def head_diameter(self) -> int:
        """Over the corners of its head, a regular hexagon [nm]."""
        return self.across_flats * 2000 // 1732 + 1

    @property
    def socket_diameter(self) -> int:
        """Over the socket that turns its head [nm]."""
        return self.across_flats * SOCKET[0] // SOCKET[1]

    def under_head(self, *, large: bool, round_head: bool) -> tuple[int, int]:
        """How thick and how wide that is at its head which lies on the wood [nm]: a washer, or its round head."""
        return (self.round_head_height, self.round_head_diameter) if round_head else self.washer(large=large)


@cache
def bolt_sizes() -> Mapping[str, BoltSize]:
    """List the bolts by size."""
    columns = ("name", "system", "diameter", "pitch", "thread_rule", "lengths")
    parts = ("washer_thickness", "washer_diameter", "large_washer_thickness", "large_washer_diameter", "nut_height")
    tee_nut = ("barrel_length", "barrel_diameter", "flange_diameter")
    heads = ("across_flats", "round_head_diameter", "round_head_least", "round_head_height")
    return tables.by_name(_bolt(row) for row in tables.rows("bolts", *columns, *parts, *tee_nut, *heads))


def find_bolt(name: str) -> BoltSize:
    """Find a bolt size: `3/8 in`, `3/8"` and `m10` are understood. Raises UnknownNameError."""
    return tables.find("bolt size", name, bolt_sizes())


def bolt_play(size: BoltSize) -> int:
    """How much wider than a bolt its hole is [nm]. Source: BOLT_PLAY."""
    return BOLT_PLAY[size.system]


def thread_length(size: BoltSize, length: int) -> int:
    """How much of a bolt of a length [nm] is threaded [nm]; a short bolt is threaded to its head.

    Source: ASME B18.2.1-2012 for inch bolts, ISO 4014:2011 for metric ones; see thread_rules.csv. Round-head bolts have
    as much (DIN 603:2017; ASME B18.5-2012, from memory).
    """
    step = next(step for step in size.thread_steps if step.up_to is None or length <= step.up_to)
    return min(length, step.diameters * size.diameter + step.extra)


def bolt_length(size: BoltSize, grip: int, end: BoltEnd, *, large: bool = False, round_head: bool = False) -> int:
    """Choose the shortest standard bolt that clamps a grip of wood [nm] with a washer under its head, or a round head.

    Into a tee nut its tip comes through the barrel, which lies in the far end of the grip, and its thread
    begins before the barrel. Into a nut, on a second washer, its thread reaches and two threads show beyond.
    large: whether the washers are large.

    Raises FastenerError: the grip is too thin for the barrel, or fits no standard length; a round head before a tee
    nut, for no wrench turns either.
    Source: common practice, no source.
    """
    if round_head and end == "tee nut":
        raise FastenerError(f"no wrench turns a {size.name} round-head bolt in a tee nut; it wants a nut")
    washer = size.washer(large=large)[0]
    least, thread_from = _reach(size, grip, end, washer, 0 if round_head else washer)
    long_enough = [length for length in size.lengths if length >= least]
    for length in long_enough:
        if length - thread_length(size, length) <= thread_from:
            return length
    thick = f"a grip of {format_length(grip, size.system)}"
    if not long_enough:
        longest = format_length(size.lengths[-1], size.system)
        raise FastenerError(f"no {size.name} bolt is long enough for {thick} to a {end}: the longest is {longest}")
    raise FastenerError(f"no {size.name} bolt has a thread that reaches the {end} in {thick}; choose another bolt size")


def _reach(size: BoltSize, grip: int, end: BoltEnd, washer: int, under_head: int) -> tuple[int, int]:
    """From under the bolt's head: how far it must reach, and by where its thread must have begun [nm].

    washer, under_head: how thick the washers are under its nut and under its head.
    """
    if end == "tee nut":
        if grip < size.tee_nut.barrel_length:
            barrel, thin = (format_length(nm, size.system) for nm in (size.tee_nut.barrel_length, grip))
            raise FastenerError(f"a {size.name} tee nut needs {barrel} of wood for its barrel; the grip is {thin}")
        tip = under_head + grip
        return tip, tip - size.tee_nut.barrel_length
    nut_from = under_head + grip + washer
    return nut_from + size.nut_height + 2 * size.pitch, nut_from


def _bolt(row: tables.Row) -> BoltSize:
    return BoltSize(
        name=row["name"],
        system=SYSTEMS[row["system"]],
        diameter=parse_length(row["diameter"]),
        pitch=parse_length(row["pitch"]),
        thread_rule=row["thread_rule"],
        thread_steps=_thread_steps(row["thread_rule"]),
        lengths=lengths(row["lengths"]),
        washer_thickness=parse_length(row["washer_thickness"]),
        washer_diameter=parse_length(row["washer_diameter"]),
        nut_height=parse_length(row["nut_height"]),
        tee_nut=TeeNut(*(parse_length(row[key]) for key in ("barrel_length", "barrel_diameter", "flange_diameter"))),
        large_washer_thickness=parse_length(row["large_washer_thickness"]),
        large_washer_diameter=parse_length(row["large_washer_diameter"]),
        across_flats=parse_length(row["across_flats"]),
        round_head_diameter=parse_length(row["round_head_diameter"]),
        round_head_least=parse_length(row["round_head_least"]),
        round_head_height=parse_length(row["round_head_height"]),
        source=row["source"],
    )


def _thread_steps(rule: str) -> tuple[ThreadStep, ...]:
    listed = tables.rows("thread_rules", "name", "up_to", "diameters", "extra", may_be_empty=("up_to",))
    return tuple(
        ThreadStep(
            up_to=parse_length(row["up_to"]) if row["up_to"] else None,
            diameters=int(row["diameters"]),
            extra=parse_length(row["extra"]),
        )
        for row in listed
        if row["name"] == rule
    )
