"""Fasteners: bolts and what goes on them, wood screws, joist hangers, wall straps; how long or wide each must be."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final, Literal

from sawbill.trade import tables
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
SCREW_COVER: Final = INCH // 8
"""The least wood left beyond a screw's point [nm]. Source: common practice, no source."""
SCREW_BITE: Final = 3 * INCH // 4
"""The least a screw goes into the second part [nm], half of it where that is less.

Source: common practice, no source.
"""

NUT_CAP: Final = "nut cap"
SLAT_STRAP: Final = "slat strap"
"""Webbing across the undersides of slats, a screw in each, that keeps them apart; cut from a length of SLAT_STRAPS."""
SLAT_STRAPS: Final[Mapping[System, int]] = {"inch": 120 * INCH, "metric": 3000 * MM}
"""How long it is as it is sold [nm] (common practice, no source)."""
STRAP: Final = "wall strap"
"""A strap with a bracket and screws for the furniture, and a bracket for the wall; what goes into the wall depends on
the wall, and is not in it."""
STRAP_PULL: Final = 222
"""What a wall strap holds [N]: a pull of 50 lb (ASTM F2057, an edition before 2023, at second hand)."""
STRAP_BELOW: Final = 2 * INCH
"""How far under the top of what it ties a wall strap is fixed, at most [nm] (common practice, no source)."""

_SYSTEMS: Final[Mapping[str, System]] = {"inch": "inch", "metric": "metric"}


class FastenerError(ValueError):
    """No standard fastener does what is asked; the message gives the sizes in question."""


@dataclass(frozen=True, slots=True)
class Item:
    """A kind of hardware, and whether a price book lists it by size and by length.

    everywhere: whether a book must sell it where it is needed; what need not be is told of, and bought elsewhere.
    """

    name: str
    has_size: bool
    has_length: bool
    everywhere: bool = True


ITEMS: Final[Mapping[str, Item]] = MappingProxyType(
    {
        item.name: item
        for item in (
            Item("hex bolt", has_size=True, has_length=True),
            Item("round-head bolt", has_size=True, has_length=True, everywhere=False),
            Item("hex nut", has_size=True, has_length=False),
            Item(NUT_CAP, has_size=True, has_length=False, everywhere=False),
            Item("washer", has_size=True, has_length=False),
            Item("large washer", has_size=True, has_length=False, everywhere=False),
            Item("tee nut", has_size=True, has_length=False),
            Item("wood screw", has_size=True, has_length=True),
            Item("joist hanger", has_size=True, has_length=False),
            Item("hanger nail", has_size=False, has_length=True),
            Item(SLAT_STRAP, has_size=False, has_length=False, everywhere=False),
            Item(STRAP, has_size=False, has_length=False, everywhere=False),
        )
    }
)
"""The hardware that a price book sells, by its name."""


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


@dataclass(frozen=True, slots=True)
class ScrewSize:
    """A wood screw of one diameter, that at the root of its thread and of its head; lengths shortest first [nm]."""

    name: str
    system: System
    diameter: int
    root: int
    head: int
    lengths: tuple[int, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Hanger:
    """A face-mount joist hanger named by its printed seat; least_height is that of the beam it takes [nm].

    face_nails: how many hold it to what carries it; nail_length [nm].
    """

    name: str
    system: System
    seat: int
    least_height: int
    face_nails: int
    nail_length: int
    source: str


@cache
def bolt_sizes() -> Mapping[str, BoltSize]:
    """List the bolts by size."""
    columns = ("name", "system", "diameter", "pitch", "thread_rule", "lengths")
    parts = ("washer_thickness", "washer_diameter", "large_washer_thickness", "large_washer_diameter", "nut_height")
    tee_nut = ("barrel_length", "barrel_diameter", "flange_diameter")
    heads = ("across_flats", "round_head_diameter", "round_head_least", "round_head_height")
    return tables.by_name(_bolt(row) for row in tables.rows("bolts", *columns, *parts, *tee_nut, *heads))


@cache
def screw_sizes() -> Mapping[str, ScrewSize]:
    """List the wood screws by size."""
    return tables.by_name(
        ScrewSize(
            row["name"],
            _SYSTEMS[row["system"]],
            parse_length(row["diameter"]),
            parse_length(row["root_diameter"]),
            parse_length(row["head_diameter"]),
            _lengths(row["lengths"]),
            row["source"],
        )
        for row in tables.rows("screws", "name", "system", "diameter", "root_diameter", "head_diameter", "lengths")
    )


@cache
def hangers() -> Mapping[str, Hanger]:
    """List the joist hangers by their printed seat, narrowest first in each system."""
    return tables.by_name(
        Hanger(
            name=row["name"],
            system=_SYSTEMS[row["system"]],
            seat=parse_length(row["seat"]),
            least_height=parse_length(row["least_height"]),
            face_nails=int(row["face_nails"]),
            nail_length=parse_length(row["nail_length"]),
            source=row["source"],
        )
        for row in tables.rows("hangers", "name", "system", "seat", "least_height", "face_nails", "nail_length")
    )


def find_bolt(name: str) -> BoltSize:
    """Find a bolt size: `3/8 in`, `3/8"` and `m10` are understood. Raises UnknownNameError."""
    return tables.find("bolt size", name, bolt_sizes())


def find_screw(name: str) -> ScrewSize:
    """Find a screw size: `#8`, `No. 8` and `4.5mm` are understood. Raises UnknownNameError."""
    return tables.find("screw size", name, screw_sizes())


def find_hanger(name: str) -> Hanger:
    """Find a joist hanger by its printed seat. Raises UnknownNameError."""
    return tables.find("joist hanger", name, hangers())


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


def screw_length(size: ScrewSize, through: int, into: int) -> int:
    """Choose the longest standard screw that goes through one part into another [nm] and does not come out.

    Raises FastenerError: none is long enough to hold and short enough to stay in.
    Source: SCREW_COVER and SCREW_BITE.
    """
    most = through + into - SCREW_COVER
    least = through + min(SCREW_BITE, into // 2)
    longest = bisect_right(size.lengths, most) - 1
    if longest < 0 or size.lengths[longest] < least:
        first, second = (format_length(nm, size.system) for nm in (through, into))
        raise FastenerError(f"no {size.name} screw holds through {first} into {second} without coming out")
    return size.lengths[longest]


def short_screw(size: ScrewSize, into: int) -> int:
    """Choose the shortest screw that holds webbing to a part so thick [nm]. Raises FastenerError: it would come out."""
    found = next((length for length in size.lengths if length >= SCREW_BITE), size.lengths[-1])
    if found > into - SCREW_COVER:
        thick = format_length(into, size.system)
        raise FastenerError(f"the shortest {size.name} screw that holds a strap comes out of {thick} of wood")
    return found


def hanger_for(thickness: int, system: System) -> Hanger:
    """Choose the hanger with the least seat that takes a beam of a thickness [nm].

    Raises FastenerError: the beam is thicker than any seat.
    """
    seats = sorted((h for h in hangers().values() if h.system == system), key=lambda hanger: hanger.seat)
    for hanger in seats:
        if hanger.seat >= thickness:
            return hanger
    beam = format_length(thickness, system)
    raise FastenerError(f"no joist hanger takes a beam {beam} thick: the widest seat is {seats[-1].name}")


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
        system=_SYSTEMS[row["system"]],
        diameter=parse_length(row["diameter"]),
        pitch=parse_length(row["pitch"]),
        thread_rule=row["thread_rule"],
        thread_steps=_thread_steps(row["thread_rule"]),
        lengths=_lengths(row["lengths"]),
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


def _lengths(text: str) -> tuple[int, ...]:
    """Read `1 in to 4 in by 1/4 in; 5 in` into every length it means [nm]."""
    lengths: list[int] = []
    for run in text.split(";"):
        first, _, rest = run.partition(" to ")
        last, _, step = rest.partition(" by ")
        start = parse_length(first)
        lengths += range(start, parse_length(last) + 1, parse_length(step)) if rest else [start]
    return tuple(lengths)
