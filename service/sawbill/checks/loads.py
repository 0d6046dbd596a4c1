"""What furniture is reckoned to carry: who lies, sits and climbs, and what stands on shelves.

Each case is a set of loads on members, to be followed down to the floor on top of what is always there: the wood's own
weight and the heaviest usual mattress. Forces [N], lengths [mm], masses [g].
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.checks.carrying import mass_of
from sawbill.checks.load_paths import LoadPaths, Member
from sawbill.checks.site import HEAVIEST_USER
from sawbill.checks.spans import Patch
from sawbill.checks.wood import Lasting
from sawbill.trade.boxes import AXES, Axis
from sawbill.trade.frame import Frame, SleepingPlace, Surface
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Materials

G: Final = 9.80665 / 1000
"""Standard gravity, for grams [N/g]."""
SPOT: Final = 1400 / (HEAVIEST_USER * G)
"""One who drops onto one place, in his weights: 1400 N (EN 1725:1998, the base, static; from a secondary source)."""
EDGE: Final = 1200 / (HEAVIEST_USER * G)
"""One of two who sit on an edge beside each other: 1200 N each (EN 1725:1998, the edge; likewise)."""
SEAT: Final = 350.0
"""How wide and deep one sits (common practice, no source)."""
FOR_TWO: Final = 1200 * MM
"""From which width on two lie on a mattress [nm] (common practice, no source)."""
SEAT_LENGTH: Final = 610.0
"""How much of a bench each one takes who sits on it: 24 in (common practice, no source)."""
SHELF: Final = 125_000 / 1000**2
"""What stands on a shelf [g/mm2]: 125 kg/m2, 25 lb/ft2, books in one row (common practice, no source)."""


YEARS: Final = Lasting(1.0, 0.7)
"""Who sleeps in a bed lies there for a third of its life: ten years (NDS), long-term (EN 1995-1-1, Table 2.2)."""
MINUTES: Final = Lasting(1.6, 1.1)
"""The loads of a test, which takes ten minutes in all (NDS), instantaneous."""
DAYS: Final = Lasting(1.25, 0.9)
"""A seat full of people: seven days in all (NDS), short-term."""
ALWAYS: Final = Lasting(0.9, 0.6)
"""What stands on a shelf for good: permanent."""


@dataclass(frozen=True, slots=True)
class Case:
    """Loads that are there at once; when: what is going on, as the end of a sentence; sags: whether to tell of it."""

    when: str
    lasting: Lasting
    loads: Mapping[Member, Sequence[Patch]]
    sags: bool = False


def always(paths: LoadPaths, materials: Materials) -> Mapping[Member, list[Patch]]:
    """What is always there: the wood's own weight, mattresses."""
    frame = paths.frame
    loads: dict[Member, list[Patch]] = {}
    weighed: dict[object, float] = {}
    for member in paths.members:
        alike = tuple(
            (part.section.name, part.width, part.length, id(materials.get(part.key))) for part in member.parts
        )
        if alike not in weighed:
            weighed[alike] = float(mass_of(frame, [part.key for part in member.parts], materials)) * G
        loads[member] = [(member.low, member.high, weighed[alike])]
    for place in frame.sleeping_places:
        mattress = float(place.mattress.most_mass_kg) * 1000 * G
        for member, patch in _lying(paths, place, mattress):
            loads[member].append(patch)
    return loads


def cases(paths: LoadPaths, user: int) -> Iterator[Case]:
    """Every case of a frame, for users of a mass [g]."""
    frame = paths.frame
    high = {bed.place for bed in frame.high_beds}
    for place in frame.sleeping_places:
        if place.slats:
            sleepers = user * G * (2 if place.mattress.width >= FOR_TWO else 1)
            when = f"the {_bed(place)} is slept in"
            yield Case(when, YEARS, _together(_lying(paths, place, sleepers)), sags=True)
            yield from _spots(paths, place.slats, user, f"someone drops onto one spot of the {_bed(place)}")
            if place.name not in high:
                yield from _edges(paths, place, user)
    for surface in frame.surfaces:
        if surface.use == "seat":
            yield from _sat_on(paths, surface, user)
    shelves = [surface for surface in frame.surfaces if surface.use == "shelf"]
    if shelves:
        goods = (load for shelf in shelves for load in _spread(paths, shelf, SHELF * G * _area(paths, shelf)))
        yield Case("all shelves are full", ALWAYS, _together(goods), sags=True)
    for bed in frame.high_beds:
        if bed.ladder is not None:
            yield _climbed(paths, bed.ladder.treads, user)


def _bed(place: SleepingPlace) -> str:
    return place.name.removesuffix("mattress").strip() + " bed" if place.name != "mattress" else "bed"


def _lying(paths: LoadPaths, place: SleepingPlace, weight: float) -> Iterator[tuple[Member, Patch]]:
    """A weight spread over the slats of a place."""
    low, high = (end / MM for end in place.opening.span("y"))
    for key in place.slats:
        member = paths.of[key]
        patch = (low, high, weight / len(place.slats)) if member.axis == "y" else (member.low, member.high, weight)
        yield member, patch


def _spots(paths: LoadPaths, boards: Sequence[str], user: int, when: str) -> Iterator[Case]:
    """One who drops onto one place: in the middle of a board's span, then on each member under the boards.

    On boards the load is shared by as many as one sits on; what carries them may get all of it, anywhere.
    """
    weight = user * G * SPOT
    share = min(1.0, _pitch(paths.frame, boards) / SEAT)
    for board in dict.fromkeys(paths.of[key] for key in boards):
        if (patch := _in_middle(board, weight * share, SEAT)) is not None:
            yield Case(when, MINUTES, {board: [patch]})
            break  # boards of one surface are alike
    carriers = {_looks(support.carrier): support.carrier for key in boards for support in paths.of[key].supports}
    for carrier in carriers.values():
        if (patch := _in_middle(carrier, weight, SEAT)) is not None:
            yield Case(when, MINUTES, {carrier: [patch]})
            for place in carrier.places:
                yield Case(when, MINUTES, {carrier: [_at(carrier, place, weight)]})


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
    weight = 2 * user * G * EDGE / max(1, len(under))
    patches = [(start, start + SEAT, weight), (end - SEAT, end, weight)]
    first, last = (boards[0].supports[i].carrier for i in (0, -1))
    for patch in patches[: 1 if _looks(first) == _looks(last) else 2]:
        yield Case(f"two sit on the edge of the {_bed(place)}", MINUTES, {board: [patch] for board in under})


def _sat_on(paths: LoadPaths, seat: Surface, user: int) -> Iterator[Case]:
    """As many as find room on it; then one who drops onto one place."""
    long = max(_extent(paths, seat.parts, axis) for axis in (0, 1))
    people = max(1, int(long // SEAT_LENGTH)) * user * G
    yield Case(f"the {seat.name} is full of people", DAYS, _together(_spread(paths, seat, people)), sags=True)
    yield from _spots(paths, seat.parts, user, f"someone drops onto one spot of the {seat.name}")


def _climbed(paths: LoadPaths, treads: Sequence[str], user: int) -> Case:
    """One who steps hard on the highest tread, on all of its boards."""
    boxes = paths.frame.boxes
    top = max(boxes[key].high[2] for key in treads)
    boards = [paths.of[key] for key in treads if boxes[key].high[2] == top]
    weight = user * G * SPOT / len(boards)
    loads = {board: [_in_middle(board, weight, 100) or (board.low, board.high, weight)] for board in boards}
    return Case("someone climbs up", MINUTES, loads)


def _looks(member: Member) -> object:
    """What is the same for members that mirror each other: it is enough to load one of them."""
    names = (
        tuple(part.name for part in member.parts),
        tuple(support.carrier.parts[0].name for support in member.supports),
    )
    return member.axis, member.places, names


def _in_middle(member: Member, weight: float, wide: float) -> Patch | None:
    """A load in the middle of a member's longest span; None: it is no beam."""
    if member.upright or len(member.places) < 2:
        return None
    low, high = max(zip(member.places, member.places[1:], strict=False), key=lambda span: span[1] - span[0])
    half, middle = min(wide, high - low) / 2, (low + high) / 2
    return middle - half, middle + half, weight


def _at(member: Member, place: float, weight: float) -> Patch:
    """One who sits over a support, or beside it where that is the last."""
    low = min(max(place - SEAT / 2, member.places[0]), member.places[-1] - SEAT)
    return max(low, member.places[0]), min(low + SEAT, member.places[-1]), weight


def _pitch(frame: Frame, boards: Sequence[str]) -> float:
    """How far boards are apart, from middle to middle [mm]."""
    if len(boards) < 2:
        return SEAT
    across = frame.by_key[boards[0]].placement.across
    i = AXES.index(across)
    starts = sorted(frame.boxes[key].low[i] for key in boards)
    return max(1.0, (starts[-1] - starts[0]) / MM / (len(boards) - 1))


def _extent(paths: LoadPaths, keys: Iterable[str], axis: int) -> float:
    boxes = [paths.frame.boxes[key] for key in keys]
    return (max(box.high[axis] for box in boxes) - min(box.low[axis] for box in boxes)) / MM


def _area(paths: LoadPaths, surface: Surface) -> float:
    """Of a surface, the gaps between its boards included [mm2]."""
    return _extent(paths, surface.parts, 0) * _extent(paths, surface.parts, 1)


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
