"""Where bolts go in the face that a lying board and an upright share: far enough from ends, edges and each other.

Both standards ask so many diameters; where there is room both have theirs, else what the one of the bolt's system asks.
Least distances are rounded up to the shop's step, and the room for bolts is what is left of it.
Sources: NDS 2018, Tables 12.5.1A to D; EN 1995-1-1, Table 8.4.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from sawbill.trade.design import Options, RefusalError
from sawbill.trade.fasteners import LOADED_EDGE, BoltSize, bolt_sizes
from sawbill.trade.lengths import INCH, MM, format_length, round_down, round_up

Point2 = tuple[int, int]

BETWEEN_BORES: Final = INCH // 8
"""The least wood left between two bores that cross, or beside one (practice)."""
LOADED_END: Final = 80 * MM
"""The least from a bolt to the end of an upright that it is pressed toward (EN 1995-1-1, Table 8.4)."""
FAR: Final = 100_000 * MM
"""Where there is no end nearby."""


@dataclass(frozen=True, slots=True)
class Rules:
    """Distances in half diameters: from an edge, the end of what lies, that of what stands, along the grain of what
    stands, along that of what lies.
    """

    edge: int
    end: int
    head: int
    stacked: int
    abreast: int


BOTH: Final = Rules(edge=6, end=14, head=8, stacked=10, abreast=10)
"""What both standards ask, whatever the thickness."""
NDS: Final = Rules(edge=3, end=8, head=8, stacked=8, abreast=8)
"""What the NDS asks for the full strength, of wood up to five diameters thick."""
LEAST: Final = Rules(edge=3, end=4, head=4, stacked=6, abreast=8)
"""The least at which the NDS counts a bolt at all, with half of its strength."""


@dataclass(frozen=True, slots=True)
class Bolt:
    """A bolt size, laid out with a tape in steps [nm]: no distance is less than it must be, and all are whole steps."""

    size: BoltSize
    step: int

    @classmethod
    def of(cls, o: Options) -> Bolt:
        """The bolts of a design that asks for their size."""
        return cls(bolt_sizes()[o.bolt_size], o.step)

    @property
    def name(self) -> str:
        """Of its size."""
        return self.size.name

    @property
    def flange(self) -> int:
        """From the middle of a tee nut to the edge of its flange, or more."""
        return self.up(half(self.size.tee_nut.flange_diameter))

    @property
    def loaded_edge(self) -> int:
        """How far a bolt stays from the edge it presses on, across the grain."""
        return self.up(LOADED_EDGE * self.size.diameter)

    @property
    def lane(self) -> int:
        """The least distance between the middles of two bores that pass each other."""
        return self.up(self.size.tee_nut.barrel_diameter + BETWEEN_BORES)

    @property
    def loaded_end(self) -> int:
        """How far a bolt stays from the end of an upright that it is pressed toward, by both standards."""
        return self.up(max(7 * self.size.diameter, LOADED_END))

    def up(self, least: int) -> int:
        """A least distance as whole steps."""
        return round_up(least, self.step)

    def half_diameters(self, number: int) -> int:
        """So many half diameters."""
        return self.up(half(number * self.size.diameter))

    def within(self, low: int, high: int) -> Point2:
        """The first and the last mark of the tape from one place to another."""
        return round_up(low, self.step), round_down(high, self.step)

    def between(self, low: int, high: int) -> int:
        """The mark in the middle of two places, or next before it."""
        return round_down((low + high) // 2, self.step)

    def off_bore(self, diameter: int, wood: int = BETWEEN_BORES) -> int:
        """The least from the middle of its bore to that of a screw that passes it, with so much wood between."""
        return self.up(half(self.size.tee_nut.barrel_diameter + diameter) + wood)

    def wrench_room(self, *, large: bool = False) -> int:
        """The least between two bolts side by side: washers and flanges lie flat, a socket goes over each head."""
        size = self.size
        washer, socket = size.washer(large=large)[1], half(size.socket_diameter + size.head_diameter)
        return self.up(max(washer, size.tee_nut.flange_diameter, socket) + MM)


@dataclass(frozen=True, slots=True)
class Face:
    """The face a lying board and an upright share [nm].

    lying: from which height to which the board is; top: of the upright; across: from where to where that is along the
    board; ends: where the board ends; down: whether the bolts press the board's lower edge, as of a board that is
    stood on, and not its upper one; apart: the least between two bolts one above the other, for what passes between
    them; abreast: whether two may be side by side; large: whether large washers lie on it; square: whether the bolts
    keep the upright square, and so press either edge of the board.
    """

    lying: Point2
    across: Point2
    top: int = FAR
    ends: Point2 = (-FAR, FAR)
    down: bool = False
    apart: int = 0
    abreast: bool = True
    large: bool = False
    square: bool = False

    def room(self, bolt: Bolt, rules: Rules) -> tuple[Point2, Point2]:
        """From which height to which, and from where to where, the middles of bolts may be; empty turned round."""
        washer = bolt.up(half(bolt.size.washer(large=self.large)[1]))
        edge = max(bolt.half_diameters(rules.edge), washer, bolt.flange)
        head, end = bolt.half_diameters(rules.head), bolt.half_diameters(rules.end)
        below = bolt.loaded_edge if self.down or self.square else edge
        above = edge if self.down and not self.square else bolt.loaded_edge
        heights = self.lying[0] + below, min(self.lying[1] - above, self.top - head)
        first = max(self.across[0] + edge, self.ends[0] + end)
        last = min(self.across[1] - edge, self.ends[1] - end)
        return bolt.within(*heights), bolt.within(first, last)


def half(nm: int) -> int:
    """Half of a length, no less [nm]."""
    return -(-nm // 2)


def clamped(wanted: int, span: Point2) -> int:
    """The place nearest to the wanted one in a span [nm]."""
    return min(max(wanted, span[0]), span[1])


def in_layer(depth: int, layer: Point2, bolt: Bolt, clear: int = 0) -> int:
    """How deep a bolt goes into one layer of an upright so deep, through a board that ends at its face [nm].

    Off the glue lines and no less deep than `clear`; as far from the upright's other edge, which it is pressed toward
    when the furniture is pushed, as a loaded edge wants, or as the layer lets it.
    """
    off = half(bolt.size.tee_nut.barrel_diameter) + MM
    ends = layer[0] + (off if layer[0] else 0), layer[1] - (off if layer[1] < depth else 0)
    low, high = bolt.within(ends[0], min(ends[1], depth - bolt.half_diameters(LEAST.edge)))
    wanted = min(bolt.between(*layer), round_down(depth - bolt.loaded_edge, bolt.step))
    return clamped(max(bolt.up(clear), wanted), (low, max(low, high)))


def in_lamination(layers: int, thickness: int, bolt: Bolt) -> tuple[int, int]:
    """Which lamination of an upright takes a bolt that presses it inward, from 1 outside, and how deep that goes [nm].

    As deep as leaves a loaded edge beyond it, off the glue lines, for the board that ends outside; where none is that
    thick, in the inmost.
    """
    depth, off = layers * thickness, half(bolt.size.tee_nut.barrel_diameter) + MM
    for layer in range(layers, 0, -1):
        first = (layer - 1) * thickness + (off if layer > 1 else bolt.half_diameters(NDS.edge))
        last = layer * thickness - (off if layer < layers else 0)
        low, high = bolt.within(first, min(last, depth - bolt.loaded_edge))
        if low <= high:
            return layer, high
    return layers, in_layer(depth, (depth - thickness, depth), bolt)


def beside_end(width: int, bolt: Bolt) -> int:
    """How far from the end of a board a bolt goes through it and an upright so wide, flush with that end [nm]."""
    middle = bolt.between(0, width)
    spans = [Face((0, FAR), (0, width), ends=(0, FAR)).room(bolt, rules)[1] for rules in (BOTH, NDS, LEAST)]
    return clamped(middle, next((span for span in spans if span[0] <= span[1]), (middle, middle)))


def bolt_places(face: Face, bolt: Bolt, option: str, section: str, most: int = 2) -> tuple[Point2, ...]:
    """Where the bolts go, each as its height and its place along the board [nm]: two if there is room, else one.

    One above the other rather than side by side; most: how many are wanted. Raises RefusalError, of an option and the
    section it named: not even one bolt has the least room.
    """
    return _places(face, bolt.name, bolt.step, option, section, most)


@lru_cache(maxsize=1_024)  # what is tried of a bed has few faces
def _places(face: Face, size: str, step: int, option: str, section: str, most: int) -> tuple[Point2, ...]:
    bolt = Bolt(bolt_sizes()[size], step)
    ways = (way for rules in (BOTH, NDS, LEAST) for way in ways_of(face, bolt, rules) if len(way) <= most)
    first = next(ways, None)
    if first is None:
        raise RefusalError(option, _refused(face, bolt, option, section))
    if bolt.size.system == "metric" or len(first) == 2:
        return first
    return next((way for way in ways if len(way) == 2), first)


def square_places(face: Face, bolt: Bolt, option: str, section: str) -> tuple[Point2, ...]:
    """Where the bolts go that keep an upright and a board square: two that bear most as a couple.

    Where there is no room for two, as `bolt_places` has it. Raises RefusalError as that.
    """
    either = replace(face, square=True)
    for rules in (BOTH, NDS):
        pairs = [way for way in ways_of(either, bolt, rules) if len(way) == 2]
        if pairs:
            return max(pairs, key=lambda way: _couple(way, face, bolt))
    return bolt_places(face, bolt, option, section)


def _couple(way: Sequence[Point2], face: Face, bolt: Bolt) -> float:
    """What two bolts bear as a couple, as how far they are apart, by as much of either as the ends near them let count.

    One above the other they press across the upright and along the board, side by side the other way round: 7D to an
    end along the grain, 4D across it (NDS 2018, Table 12.5.1A); by Eurocode 5 7d either way, and 80 mm along it (EN
    1995-1-1, Table 8.4), in the same proportion, as the check borrows it.
    """
    (low, first), (high, last) = way
    along = 7 * bolt.size.diameter if bolt.size.system == "inch" else bolt.loaded_end
    across = (4 if bolt.size.system == "inch" else 7) * bolt.size.diameter
    upright, lying = (across, along) if high > low else (along, across)
    end = min(first - face.ends[0], face.ends[1] - last)
    return (high - low + last - first) * min(1.0, (face.top - high) / upright, end / lying)


def ends_apart(span: Point2, taken: Iterable[int], bolt: Bolt) -> tuple[int, ...]:
    """Two heights as far apart in a span as leave those taken a lane, for bolts that cross them; none: no room [nm]."""
    taken = tuple(taken)
    free = [z for z in (*span, *(t + side * bolt.lane for t in taken for side in (-1, 1)))
            if span[0] <= z <= span[1] and all(abs(z - t) >= bolt.lane for t in taken)]  # fmt: skip
    apart = max(bolt.half_diameters(LEAST.stacked), bolt.wrench_room())
    return (min(free), max(free)) if free and max(free) - min(free) >= apart else ()


def fits(face: Face, bolt: Bolt) -> bool:
    """Whether a face has room for one bolt at least."""
    return any(True for _ in ways_of(face, bolt, LEAST))


def ways_of(face: Face, bolt: Bolt, rules: Rules) -> Iterator[tuple[Point2, ...]]:
    """The ways to place two bolts, or one, by one set of rules: first those that are best."""
    (low, high), (first, last) = face.room(bolt, rules)
    if low > high or first > last:
        return
    level, middle = bolt.between(low, high), clamped(bolt.between(*face.across), (first, last))
    above = max(bolt.half_diameters(rules.stacked), face.apart, bolt.wrench_room(large=face.large))
    beside = max(bolt.half_diameters(rules.abreast), bolt.wrench_room(large=face.large))
    if high - low >= above:
        yield (low, middle), (high, middle)
    if last - first >= beside and face.abreast:
        yield (level, first), (level, last)
    yield ((level, middle),)


def pulled_places(face: Face, bolt: Bolt, by: Sequence[Rules] = (BOTH, NDS, LEAST)) -> tuple[Point2, ...]:
    """Where the bolts go that hold an upright which is pushed outward at its top, each as its height and its place.

    They are pulled, the more the higher they are: two side by side as high as may be, and one below them; else one
    above the other, or one alone. by: the sets of rules that will do. None: there is no room.
    """
    found = [way for rules in by for way in _pulled(face, bolt, rules)]
    return max(found, key=len, default=())


def _pulled(face: Face, bolt: Bolt, rules: Rules) -> Iterator[tuple[Point2, ...]]:
    (low, high), (first, last) = face.room(bolt, rules)
    if low > high or first > last:
        return
    apart, middle = bolt.wrench_room(large=face.large), clamped(bolt.between(*face.across), (first, last))
    below = ((low, middle),) if high - low >= max(bolt.half_diameters(rules.stacked), apart) else ()
    yield ((high, middle), *below)
    if last - first >= max(bolt.half_diameters(rules.abreast), apart):
        yield ((high, first), (high, last), *below)


def _refused(face: Face, bolt: Bolt, option: str, section: str) -> str:
    asked = bolt.size
    smaller = [
        size.name for size in bolt_sizes().values()
        if size.system == asked.system and size.diameter < asked.diameter and fits(face, Bolt(size, bolt.step))
    ]  # fmt: skip
    wide = format_length(half(11 * asked.diameter), asked.system)
    would = f"a bolt_size of {smaller[-1]}, or " if smaller else ""
    return (
        f"{option}: {section} has no room for {bolt.name} bolts, which stay 4 diameters from the edge they press on "
        f"and 1-1/2 from others; choose {would}a section at least {wide} wide"
    )
