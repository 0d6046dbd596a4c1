"""What furniture is reckoned to carry: who lies, sits and climbs, and what stands on shelves.

Each case is a set of loads on members, to be followed down to the floor on top of what is always there: the wood's own
weight and the heaviest usual mattress. Forces [N], lengths [mm], masses [g].
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import Final

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.resistance.wood import Lasting
from sawbill.checks.site import HEAVIEST_USER
from sawbill.checks.statics.model import Patch
from sawbill.trade.boxes import Axis
from sawbill.trade.frame import Part, SleepingPlace, Surface, Use
from sawbill.trade.lengths import INCH, METRE, MM
from sawbill.trade.lumber import HEAVIEST, Materials

G: Final = 9.80665 / 1000
"""Standard gravity, for grams [N/g]."""
SPOT: Final = 1400 / (HEAVIEST_USER * G)
"""One who drops onto one place, in his weights: 1400 N (EN 1725:1998, the base, static; from a secondary source)."""
FOOT: Final = 100.0
"""How wide a foot is (common practice, no source)."""
SEAT: Final = 350.0
"""How wide and deep one sits (common practice, no source)."""
BACK: Final = 150 * MM
"""What stands so far above where one sits is a back [nm] (common practice, no source)."""
STEP: Final = 120.0
"""One who drops onto a beam does so anywhere: it is reckoned in steps of no more than this (no source)."""
FOR_TWO: Final = 1200 * MM
"""From which width on two lie on a mattress [nm] (common practice, no source)."""
SEAT_LENGTH: Final = 24 * INCH
"""How much of a bench each one takes who sits on it [nm] (common practice, no source)."""
SHELF: Final = 125_000 / 1000**2
"""What stands on a shelf [g/mm2]: 125 kg/m2, 25 lb/ft2, books in one row (common practice, no source)."""
LAID: Final[Mapping[Use, float]] = {
    "table": 50_000 / 1000**2, "workbench": 150_000 / 1000**2, "heavy workbench": 500_000 / 1000**2,
}  # fmt: skip
"""What stands on a table, 50 kg/m2, on a workbench, 150 kg/m2, and on one for machines and heavy stock, 500 kg/m2
[g/mm2] (common practice, no source)."""
STACK: Final = 250_000.0
"""What lies on one sawhorse of a pair, a stack of boards or a slab [g] (common practice, no source)."""
PRESS: Final = 1000 / (HEAVIEST_USER * G)
"""One who sits down on a table, or leans on it with both hands, in his weights: 1000 N (EN 12521, from memory)."""


YEARS: Final = Lasting(1.0, 0.7)
"""Who sleeps in a bed lies there for a third of its life: ten years (NDS), long-term (EN 1995-1-1, Table 2.2)."""
MONTHS: Final = Lasting(1.0, 0.8)
"""A seat full of people, a laden table: occupancy (NDS), medium-term, as an imposed load on a floor."""
DAYS: Final = Lasting(1.25, 0.9)
"""Those who sit on the edge of a bed: seven days in all (NDS), short-term."""
MINUTES: Final = Lasting(1.6, 1.1)
"""The loads of a test, which takes ten minutes in all (NDS), instantaneous."""
ALWAYS: Final = Lasting(0.9, 0.6)
"""What stands on a shelf for good, and machines on a workbench: permanent."""


@dataclass(frozen=True, slots=True)
class Case:
    """Loads that are there at once; when: what is going on, as the end of a sentence; sags: whether to tell of it."""

    when: str
    lasting: Lasting
    loads: Mapping[Member, Sequence[Patch]]
    sags: bool = False


Weights = dict[tuple[Member | float, ...], float]
"""What members weigh, whose parts are so dense [N, g/nm3]."""


def always(paths: LoadPaths, materials: Materials, known: Weights | None = None) -> Mapping[Member, list[Patch]]:
    """What is always there: the wood's own weight, mattresses; known: what members weigh, as far as it was reckoned."""
    frame, loads, dense = paths.frame, dict[Member, list[Patch]](), dict[int, float]()
    known = {} if known is None else known

    def density(part: Part) -> float:
        woods = materials.get(part.key, ())
        if id(woods) not in dense:
            dense[id(woods)] = float(max((each.weight_kg_m3 for each in woods), default=HEAVIEST)) * 1000 / METRE**3
        return dense[id(woods)]

    def weight(member: Member) -> float:
        parts = member.parts + member.fillers
        densities = [density(part) for part in parts]
        key: tuple[Member | float, ...] = (member, *densities)
        if key not in known:
            pairs = zip(parts, densities, strict=True)
            known[key] = sum(part.section.thickness * part.width * part.length * each for part, each in pairs) * G
        return known[key]

    for member in paths.members:
        loads[member] = [(member.low, member.high, weight(member))]
    for member, lies in paths.idle.items():
        for link in lies:
            loads[link.carrier].append((*link.on, weight(member) / len(lies)))
    for place in frame.sleeping_places:
        mattress = float(place.mattress.most_mass_kg) * 1000 * G
        for member, patch in _lying(paths, place, mattress):
            loads[member].append(patch)
    return loads


def cases(paths: LoadPaths, user: int) -> Iterator[Case]:
    """Every case of a frame, for users of a mass [g]."""
    frame = paths.frame
    high = {bed.place for bed in frame.high_beds}
    beds = [place for place in frame.sleeping_places if place.slats]
    if beds:
        sleeping = (
            load for bed in beds
            for load in _lying(paths, bed, user * G * (2 if bed.mattress.width >= FOR_TWO else 1))
        )  # fmt: skip
        when = "all beds are slept in" if len(beds) > 1 else f"the {_bed(beds[0])} is slept in"
        yield Case(when, YEARS, _together(sleeping), sags=True)
    for bed in beds:
        yield from _spots(paths, bed.slats, user, f"someone drops onto one spot of the {_bed(bed)}")
        if bed.name not in high:
            yield from _edges(paths, bed, user)
    surfaces = [surface for surface in frame.surfaces if surface.parts]
    for surface in surfaces:
        if surface.use == "seat":
            yield from _sat_on(paths, surface, user)
        elif surface.use != "shelf":
            yield from _worked_at(paths, surface, user)
    shelves = [surface for surface in surfaces if surface.use == "shelf"]
    if shelves:
        goods = (load for shelf in shelves for load in _spread(paths, shelf, SHELF * G * _area(paths, shelf)))
        yield Case("all shelves are full", ALWAYS, _together(goods), sags=True)
    for ladder in (bed.ladder for bed in frame.high_beds):
        if ladder is not None and ladder.treads:
            yield from _climbed(paths, ladder.treads, user)


def _bed(place: SleepingPlace) -> str:
    return place.name.removesuffix("mattress").strip() + " bed" if place.name != "mattress" else "bed"


def _lying(paths: LoadPaths, place: SleepingPlace, weight: float) -> Iterator[tuple[Member, Patch]]:
    """A weight spread over the slats of a place."""
    for key in place.slats:
        member = paths.of[key]
        low, high = (end / MM for end in place.opening.span(member.axis))
        yield member, (max(low, member.low), min(high, member.high), weight / len(place.slats))


def _spots(
    paths: LoadPaths, boards: Sequence[str], user: int, when: str, weights: float = SPOT
) -> Iterator[Case]:  # fmt: skip
    """One who drops onto one place with so many of his weights, on a board or over what carries it, all along either.

    On boards the load is shared by as many as one sits on; what carries them may get all of it, anywhere.
    """
    weight = user * G * weights
    share = min(1.0, _pitch(paths, boards) / SEAT)
    for board in {looks(paths, paths.of[key]): paths.of[key] for key in boards}.values():
        yield from (Case(when, MINUTES, {board: [patch]}) for patch in _along(board, weight * share))
    carriers = {looks(paths, support.carrier): support.carrier for key in boards for support in paths.of[key].supports}
    for carrier in carriers.values():
        yield from (Case(when, MINUTES, {carrier: [patch]}) for patch in _along(carrier, weight))


def _edges(paths: LoadPaths, place: SleepingPlace, user: int) -> Iterator[Case]:
    """Two who sit beside each other on an edge, half way along it, on the ends of the slats there."""
    boards = [paths.of[key] for key in place.slats]
    if not boards[0].supports:
        return
    across: Axis = "x" if boards[0].axis == "y" else "y"
    low, high = (end / MM for end in place.opening.span(across))
    middle, (start, end) = (low + high) / 2, (end / MM for end in place.opening.span(boards[0].axis))
    spans = [[end / MM for end in board.parts[0].box.span(across)] for board in boards]
    under = [board for board, (a, b) in zip(boards, spans, strict=True) if b > middle - SEAT and a < middle + SEAT]
    weight = 2 * user * G / max(1, len(under))
    patches = [(start, start + SEAT, weight), (end - SEAT, end, weight)]
    first, last = (boards[0].supports[i].carrier for i in (0, -1))
    for patch in patches[: 1 if looks(paths, first) == looks(paths, last) else 2]:
        yield Case(
            f"two sit on the edge of the {_bed(place)}", DAYS, _together((board, _on(board, patch)) for board in under)
        )


def _on(board: Member, patch: Patch) -> Patch:
    """A load that may reach past the end of a board, on what there is of it."""
    low, high, load = patch
    return max(low, board.low), min(high, board.high), load


def _sat_on(paths: LoadPaths, seat: Surface, user: int) -> Iterator[Case]:
    """As many as find room on it; then one who drops onto one place."""
    long = max(_extent(paths, seat.parts, axis) for axis in (0, 1))
    people = max(1, long // SEAT_LENGTH) * user * G
    yield Case(f"the {seat.name} is full of people", MONTHS, _together(_spread(paths, seat, people)), sags=True)
    yield from _spots(paths, seat.parts, user, f"someone drops onto one spot of the {seat.name}")


def _worked_at(paths: LoadPaths, top: Surface, user: int) -> Iterator[Case]:
    """What stands on a table or a workbench; then one who presses on one spot, or drops onto it where work is heavy."""
    goods = _spread(paths, top, G * (STACK if top.use == "sawhorse" else LAID[top.use] * _area(paths, top)))
    lasting = ALWAYS if top.use == "heavy workbench" else MONTHS
    yield Case(f"the {top.name} is laden", lasting, _together(goods), sags=True)
    if top.use == "table":
        yield from _spots(paths, top.parts, user, f"someone sits down on one spot of the {top.name}", PRESS)
    else:
        yield from _spots(paths, top.parts, user, f"someone drops onto one spot of the {top.name}")


def _climbed(paths: LoadPaths, treads: Sequence[str], user: int) -> Iterator[Case]:
    """One who steps hard on a tread, in its middle or at either end: on the highest, and on each held otherwise."""
    boxes = paths.frame.boxes
    heights = sorted({boxes[key].high[2] for key in treads}, reverse=True)
    known: set[object] = set()
    for top in heights:
        boards = [paths.of[key] for key in treads if boxes[key].high[2] == top]
        alike = tuple(
            (looks(paths, each), *(looks(paths, support.carrier) for support in each.supports)) for each in boards
        )
        if alike in known:
            continue
        known.add(alike)
        weight = user * G * SPOT / len(boards)
        for place in range(3):
            steps = [(board, _feet(board, weight)[place]) for board in boards]
            yield Case("someone climbs up", MINUTES, _together(steps))


def _feet(board: Member, weight: float) -> tuple[Patch, Patch, Patch]:
    """A foot in the middle of a tread, and at either end; where it is no beam, all over it."""
    middle = _in_middle(board, weight, FOOT)
    if middle is None:
        return ((board.low, board.high, weight),) * 3
    wide = min(FOOT, board.high - board.low)
    return middle, (board.low, board.low + wide, weight), (board.high - wide, board.high, weight)


def looks(paths: LoadPaths, member: Member) -> object:
    """What is the same for members that mirror each other: it is enough to load one of them."""
    met = (other.parts[0].name for other in paths.met[member])
    return member.axis, member.places, tuple(part.name for part in member.parts), tuple(sorted(met))


def _along(member: Member, weight: float) -> Iterator[Patch]:
    """One who sits anywhere between the first and the last that carries a member: in the middle of each span, over each
    support and just beside it, and in steps between; none where it is no beam."""
    if member.upright or len(member.places) < 2:
        return
    first, last = member.places[0], member.places[-1]
    half = min(SEAT, last - first) / 2
    middles = {(low + high) / 2 for low, high in pairwise(member.places)} | set(member.places)
    middles |= {place + side * half for place in member.places for side in (-1, 1)}
    steps = ceil((last - first - 2 * half) / STEP)
    middles |= {first + half + (last - first - 2 * half) * i / steps for i in range(steps + 1)} if steps else set()
    for middle in sorted({min(max(each, first + half), last - half) for each in middles}):
        yield middle - half, middle + half, weight


def _in_middle(member: Member, weight: float, wide: float) -> Patch | None:
    """A load in the middle of a member's longest span; None: it is no beam."""
    if member.upright or len(member.places) < 2:
        return None
    low, high = max(pairwise(member.places), key=lambda span: span[1] - span[0])
    half, middle = min(wide, high - low) / 2, (low + high) / 2
    return middle - half, middle + half, weight


def _pitch(paths: LoadPaths, boards: Sequence[str]) -> float:
    """How far boards beside each other are apart at most, from middle to middle, glued ones taken as one [mm]."""
    i = 0 if paths.of[boards[0]].axis == "y" else 1
    starts = sorted({min(paths.frame.boxes[part.key].low[i] for part in paths.of[key].parts) for key in boards})
    return max((b - a for a, b in pairwise(starts)), default=0) / MM or SEAT


def _extent(paths: LoadPaths, keys: Iterable[str], axis: int) -> int:
    """How far boards reach along an axis, together [nm]."""
    boxes = [paths.frame.boxes[key] for key in keys]
    return max(box.high[axis] for box in boxes) - min(box.low[axis] for box in boxes)


def _area(paths: LoadPaths, surface: Surface) -> float:
    """Of a surface, the gaps between its boards included [mm2]."""
    return _extent(paths, surface.parts, 0) * _extent(paths, surface.parts, 1) / MM**2


def _spread(paths: LoadPaths, surface: Surface, weight: float) -> Iterator[tuple[Member, Patch]]:
    """A weight spread over the boards of a surface by their areas."""
    boards = [paths.frame.by_key[key] for key in surface.parts]
    whole = sum(board.length * board.width for board in boards)
    for board in boards:
        member = paths.of[board.key]
        yield member, (member.low, member.high, weight * (board.length * board.width / whole))


def _together(loads: Iterable[tuple[Member, Patch]]) -> Mapping[Member, list[Patch]]:
    found: defaultdict[Member, list[Patch]] = defaultdict(list)
    for member, patch in loads:
        found[member].append(patch)
    return found
