"""Where bolts go in the face that a lying board and an upright share: far enough from ends, edges and each other.

Both standards ask so many diameters; where there is room both have theirs, else what the one of the bolt's system asks.
Sources: NDS 2018, Tables 12.5.1A to D; EN 1995-1-1, Table 8.4.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from sawbill.trade.design import RefusalError
from sawbill.trade.fasteners import LOADED_EDGE, BoltSize, bolt_sizes
from sawbill.trade.lengths import INCH, MM, format_length

Point2 = tuple[int, int]

BETWEEN_BORES: Final = INCH // 8
"""The least wood left between two bores that cross, or beside one (practice)."""
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
class Face:
    """The face a lying board and an upright share [nm].

    lying: from which height to which the board is; top: of the upright; across: from where to where that is along the
    board; ends: where the board ends; down: whether the bolts press the board's lower edge, as of a board that is
    stood on, and not its upper one; apart: the least between two bolts one above the other, for what passes between
    them; abreast: whether two may be side by side; large: whether large washers lie on it.
    """

    lying: Point2
    across: Point2
    top: int = FAR
    ends: Point2 = (-FAR, FAR)
    down: bool = False
    apart: int = 0
    abreast: bool = True
    large: bool = False

    def room(self, bolt: BoltSize, rules: Rules) -> tuple[Point2, Point2]:
        """From which height to which, and from where to where, the middles of bolts may be; empty turned round."""
        d, loaded = bolt.diameter, LOADED_EDGE * bolt.diameter
        washer = -(-bolt.washer(large=self.large)[1] // 2)
        edge = max(rules.edge * d // 2, washer, bolt.tee_nut.flange_diameter // 2)
        below, above = (loaded, edge) if self.down else (edge, loaded)
        heights = self.lying[0] + below, min(self.lying[1] - above, self.top - rules.head * d // 2)
        first = max(self.across[0] + edge, self.ends[0] + rules.end * d // 2)
        last = min(self.across[1] - edge, self.ends[1] - rules.end * d // 2)
        return heights, (first, last)


def loaded_edge(bolt: BoltSize) -> int:
    """How far a bolt stays from the edge it presses on, across the grain [nm]."""
    return LOADED_EDGE * bolt.diameter


def lane(bolt: BoltSize) -> int:
    """The least distance between the middles of two bores that pass each other [nm]."""
    return bolt.tee_nut.barrel_diameter + BETWEEN_BORES


def wrench_room(bolt: BoltSize, *, large: bool = False) -> int:
    """The least between two bolts side by side [nm]: washers and flanges lie flat, a socket goes over each head."""
    washer = bolt.washer(large=large)[1]
    return max(washer, bolt.tee_nut.flange_diameter, (bolt.socket_diameter + bolt.head_diameter) // 2) + MM


def clamped(wanted: int, span: Point2) -> int:
    """The place nearest to the wanted one in a span [nm]."""
    return min(max(wanted, span[0]), span[1])


def in_layer(depth: int, layer: Point2, bolt: BoltSize, clear: int = 0) -> int:
    """How deep a bolt goes into one layer of an upright so deep, through a board that ends at its face [nm].

    Off the glue lines and no less deep than `clear`; as far from the upright's other edge, which it is pressed toward
    when the furniture is pushed, as a loaded edge wants, or as the layer lets it.
    """
    off = bolt.tee_nut.barrel_diameter // 2 + MM
    low, high = layer[0] + (off if layer[0] else 0), layer[1] - (off if layer[1] < depth else 0)
    high = max(low, min(high, depth - LEAST.edge * bolt.diameter // 2))
    return clamped(max(clear, min((layer[0] + layer[1]) // 2, depth - loaded_edge(bolt))), (low, high))


def beside_end(width: int, bolt: BoltSize) -> int:
    """How far from the end of a board a bolt goes through it and an upright so wide, flush with that end [nm]."""
    spans = [Face((0, FAR), (0, width), ends=(0, FAR)).room(bolt, rules)[1] for rules in (BOTH, NDS, LEAST)]
    return clamped(width // 2, next((span for span in spans if span[0] <= span[1]), (width // 2, width // 2)))


def bolt_places(face: Face, bolt: BoltSize, option: str, section: str, most: int = 2) -> tuple[Point2, ...]:
    """Where the bolts go, each as its height and its place along the board [nm]: two if there is room, else one.

    One above the other rather than side by side; most: how many are wanted. Raises RefusalError, of an option and the
    section it named: not even one bolt has the least room.
    """
    ways = [way for rules in (BOTH, NDS, LEAST) for way in ways_of(face, bolt, rules) if len(way) <= most]
    if not ways:
        raise RefusalError(option, _refused(face, bolt, option, section))
    if bolt.system == "metric":
        return ways[0]
    return next((way for way in ways if len(way) == 2), ways[0])


def ends_apart(span: Point2, taken: Iterable[int], bolt: BoltSize) -> tuple[int, ...]:
    """Two heights as far apart in a span as leave those taken a lane, for bolts that cross them; none: no room [nm]."""
    taken = tuple(taken)
    free = [z for z in (*span, *(t + side * lane(bolt) for t in taken for side in (-1, 1)))
            if span[0] <= z <= span[1] and all(abs(z - t) >= lane(bolt) for t in taken)]  # fmt: skip
    apart = max(LEAST.stacked * bolt.diameter // 2, wrench_room(bolt))
    return (min(free), max(free)) if free and max(free) - min(free) >= apart else ()


def fits(face: Face, bolt: BoltSize) -> bool:
    """Whether a face has room for one bolt at least."""
    return any(True for _ in ways_of(face, bolt, LEAST))


def ways_of(face: Face, bolt: BoltSize, rules: Rules) -> Iterator[tuple[Point2, ...]]:
    """The ways to place two bolts, or one, by one set of rules: first those that are best."""
    (low, high), (first, last) = face.room(bolt, rules)
    if low > high or first > last:
        return
    d, level = bolt.diameter, (low + high) // 2
    middle = clamped((face.across[0] + face.across[1]) // 2, (first, last))
    above = max(rules.stacked * d // 2, face.apart, wrench_room(bolt, large=face.large))
    beside = max(rules.abreast * d // 2, wrench_room(bolt, large=face.large))
    if high - low >= above:
        yield (low, middle), (high, middle)
    if last - first >= beside and face.abreast:
        yield (level, first), (level, last)
    yield ((level, middle),)


def pulled_places(face: Face, bolt: BoltSize) -> tuple[Point2, ...]:
    """Where the bolts go that hold an upright which is pushed outward at its top, each as its height and its place.

    They are pulled, the more the higher they are: two side by side as high as may be, and one below them; else one
    above the other, or one alone. None: there is no room.
    """
    found = [way for rules in (BOTH, NDS, LEAST) for way in _pulled(face, bolt, rules)]
    return max(found, key=len, default=())


def _pulled(face: Face, bolt: BoltSize, rules: Rules) -> Iterator[tuple[Point2, ...]]:
    (low, high), (first, last) = face.room(bolt, rules)
    if low > high or first > last:
        return
    apart, d = wrench_room(bolt, large=face.large), bolt.diameter
    middle = clamped((face.across[0] + face.across[1]) // 2, (first, last))
    below = ((low, middle),) if high - low >= max(rules.stacked * d // 2, apart) else ()
    yield ((high, middle), *below)
    if last - first >= max(rules.abreast * d // 2, apart):
        yield ((high, first), (high, last), *below)


def _refused(face: Face, bolt: BoltSize, option: str, section: str) -> str:
    smaller = [
        size.name for size in bolt_sizes().values()
        if size.system == bolt.system and size.diameter < bolt.diameter and fits(face, size)
    ]  # fmt: skip
    wide = format_length(-(-11 * bolt.diameter // 2), bolt.system)
    would = f"a bolt_size of {smaller[-1]}, or " if smaller else ""
    return (
        f"{option}: {section} has no room for {bolt.name} bolts, which stay 4 diameters from the edge they press on "
        f"and 1-1/2 from others; choose {would}a section at least {wide} wide"
    )
