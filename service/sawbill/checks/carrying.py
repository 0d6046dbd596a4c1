"""Whether each carried piece can be lifted, and gets through the door and into the vehicle.

Pieces are taken as boxes, one by one, their faces parallel to those of the opening: tilting a piece through it may
do more. Only on the floor of the load space may a piece lie slantwise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, Unit, compare
from sawbill.checks.site import ONE_PERSON, Site, words
from sawbill.trade.boxes import Box, bounds
from sawbill.trade.frame import CarriedPiece, Frame
from sawbill.trade.lengths import METRE
from sawbill.trade.lumber import HEAVIEST, Material, Materials
from sawbill.trade.rolled import is_rolled, roll_box

RULES: Final = frozenset(
    {"one-person", "door-width", "door-height", "vehicle-width", "vehicle-height", "vehicle-length"}
)
"""The rules that are met by pieces that are shorter, smaller or lighter."""
NIOSH: Final = "Revised NIOSH Lifting Equation, 1991: the load constant"


@dataclass(frozen=True, slots=True)
class _Load:
    """A piece to carry: its name and parts, its sides from the shortest up [nm], the mass of one [g]."""

    name: str
    parts: tuple[str, ...]
    sides: tuple[int, int, int]
    mass: int


def carried_box(frame: Frame, piece: CarriedPiece) -> Box:
    """The box around one of the pieces alike, as it stands, or once it is rolled up."""
    if is_rolled(frame, piece.parts):
        return roll_box(frame, piece.parts)
    return bounds(frame.boxes[key] for key in piece.parts[: len(piece.parts) // piece.count])


def mass_of(frame: Frame, keys: Sequence[str], materials: Materials) -> Fraction:
    """What parts weigh together [g], each as the heaviest wood that may be cut for it."""
    volumes: dict[int, tuple[tuple[Material, ...], int]] = {}  # parts cut alike have one and the same tuple of woods
    for key in keys:
        (ax, ay, az), (bx, by, bz) = frame.boxes[key]
        woods: tuple[Material, ...] = materials.get(key, ())
        _, before = volumes.get(id(woods), (woods, 0))
        volumes[id(woods)] = woods, before + (bx - ax) * (by - ay) * (bz - az)
    grams = Fraction(0)
    for woods, volume in volumes.values():
        grams += max((each.weight_kg_m3 for each in woods), default=HEAVIEST) * volume
    return grams * 1000 / METRE**3


def carried_mass(frame: Frame, piece: CarriedPiece, materials: Materials) -> int:
    """What one of the pieces alike weighs [g]."""
    return round(mass_of(frame, piece.parts, materials) / piece.count)


def check_carrying(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the carried pieces against one person, the door and the vehicle, as far as the site tells of them."""
    loads = [_load(frame, piece, materials) for piece in frame.carried_pieces]
    return [*_lifting(loads, site), *_door(loads, site), *_vehicle(loads, site)] if loads else []


def _load(frame: Frame, piece: CarriedPiece, materials: Materials) -> _Load:
    short, middle, long = sorted(carried_box(frame, piece).size)
    return _Load(piece.name, piece.parts, (short, middle, long), carried_mass(frame, piece, materials))


def _lifting(loads: Sequence[_Load], site: Site) -> Iterator[Finding]:
    source = NIOSH if site.one_person == ONE_PERSON else "the limit given in site"
    yield _worst(
        "one-person", source, loads, lambda load: load.mass, site.one_person,
        ("One person can lift each piece.", "More than one person should lift: {}. Carry it with two."), "mass",
    )  # fmt: skip


def _door(loads: Sequence[_Load], site: Site) -> Iterator[Finding]:
    messages = (
        "Each piece passes straight through the door by this side.",
        "By this side, straight and not tilted, these do not pass through the door: {}. Try them, or take them apart.",
    )
    yield from _opening(loads, {"door-width": site.door_width, "door-height": site.door_height}, messages)


def _vehicle(loads: Sequence[_Load], site: Site) -> Iterator[Finding]:
    messages = (
        "Each piece, by itself, lies within the load space by this side.",
        "By this side these do not lie within the load space: {}. Take them home in parts, or have them delivered.",
    )
    yield from _opening(loads, {"vehicle-width": site.vehicle_width, "vehicle-height": site.vehicle_height}, messages)
    if site.vehicle_length is None:
        return
    longest = {load: _longest_in(load, site.vehicle_length, site) for load in loads}
    worst = max(loads, key=lambda load: load.sides[-1] - longest[load])
    over = [load for load in loads if load.sides[-1] > longest[load]]
    slanting = [load.name for load in loads if site.vehicle_length < load.sides[-1] <= longest[load]]
    slantwise = f" Only slantwise: {words(slanting)}." if slanting else ""
    yield compare(
        "vehicle-length", PRACTICE, worst.sides[-1], "<=", longest[worst],
        (f"Each piece, by itself, lies flat on the floor of an empty load space.{slantwise}",
         f"Too long for the load space, slantwise on its floor too: {words([load.name for load in over])}. "
         "Take another vehicle, or have them delivered."),
        _parts(over),
    )  # fmt: skip


def _opening(loads: Sequence[_Load], told: dict[str, int | None], messages: tuple[str, str]) -> Iterator[Finding]:
    """The shorter two sides against an opening: the shortest against the smaller of what is told of it."""
    known = sorted((size, rule) for rule, size in told.items() if size is not None)
    sides: tuple[Callable[[_Load], int], ...] = (lambda load: load.sides[0], lambda load: load.sides[1])
    for (size, rule), side in zip(known, sides, strict=False):
        yield _worst(rule, PRACTICE, loads, side, size, messages)


def _worst(
    rule: str,
    source: str,
    loads: Sequence[_Load],
    measure: Callable[[_Load], int],
    most: int,
    messages: tuple[str, str],
    unit: Unit = "length",
) -> Finding:
    """One finding for all pieces, of the greatest; its message names each that is over."""
    over = [load for load in loads if measure(load) > most]
    good, bad = messages
    told = (good, bad.format(words([load.name for load in over])))
    return compare(rule, source, max(map(measure, loads)), "<=", most, told, _parts(over), unit=unit)


def _parts(loads: Sequence[_Load]) -> tuple[str, ...]:
    return tuple(key for load in loads for key in load.parts)


def _longest_in(load: _Load, length: int, site: Site) -> int:
    """How long a piece of these two shorter sides may be to lie in the load space [nm]; its height must do too."""
    if site.vehicle_width is None:
        return length
    short, middle, _ = load.sides
    ways = [(short, middle), (middle, short)]  # across the floor, above it
    across = [wide for wide, high in ways if site.vehicle_height is None or high <= site.vehicle_height]
    return max((longest_flat(wide, length, site.vehicle_width) for wide in across), default=length) or length


def longest_flat(across: int, length: int, width: int) -> int:
    """The longest rectangle, so wide, that lies on a floor at any angle [nm]; 0 where none does."""
    short, long = sorted((length, width))
    if across > short:
        return short if across <= long else 0
    low, high = long, isqrt(long**2 + short**2)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if _lies_slantwise(middle, across, long, short) else (low, middle - 1)
    return low


def _lies_slantwise(p: int, q: int, a: int, b: int) -> bool:
    """Whether a rectangle p x q fits in a x b at an angle, for p > a >= b >= q, in whole numbers.

    b (p2 + q2) >= 2 p q a + (p2 - q2) sqrt(p2 + q2 - a2). Source: Carver, American Mathematical Monthly 64, 1957,
    from memory.
    """
    spare = b * (p * p + q * q) - 2 * p * q * a
    return spare >= 0 and spare**2 >= (p * p - q * q) ** 2 * (p * p + q * q - a * a)
