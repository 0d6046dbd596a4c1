"""Whether furniture stays on its feet: when it is pulled or pushed at its top, leaned against, sat on at its edge.

It tips about an edge of its footprint, the outline of what stands on the floor. Against what tips it over stand its
own weight, in the lightest wood that may be cut for it and without mattresses, the weight of who sits on it, and the
straps to a wall. Forces [N], lengths [mm], moments [N mm].
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, Status, compare
from sawbill.checks.footprint import Edge, Place, footprint
from sawbill.checks.loads import BACK, SEAT, SEAT_LENGTH, SHELF, G
from sawbill.checks.site import HEAVIEST_USER, Site
from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.fasteners import STRAP_BELOW, STRAP_PULL
from sawbill.trade.frame import Frame, Strap
from sawbill.trade.lengths import METRE, MM
from sawbill.trade.lumber import Material, Materials, species

STORAGE: Final = "16 CFR 1261, 2022 (borrowed: shelves are not in its scope)"
CHILD: Final = 17.2 * 4.4482216
"""A child pulls at the top of storage furniture [N]: 17.2 lb (16 CFR 1261.4(d), 2022; there at a handhold of clothes
storage, here at the top, and of shelves, which are not in its scope)."""
PULL: Final = 500 / (HEAVIEST_USER * G)
"""One on the floor pulls at the top of a bed above it, in his weights: 500 N (common practice, no source)."""
LEAN: Final = 0.25
"""One who sits leans against a back with a quarter of his weight (common practice, no source)."""
ON_THE_EDGE: Final = 60.0
"""How far in one sits who sits on an edge [mm] (common practice, no source)."""
TO_THE_WALL: Final = 0.5
"""It does not tip over an edge that faces a wall it is tied to, within 60 degrees: the cosine (no source)."""
WORST: Final = 1_000_000
"""What is told where nothing at all holds [permille]."""

_GOOD: Final = "It stays on its feet when {}."
_STRAPPED: Final = (
    "It stays on its feet when {}, only because straps tie it to a wall: fix them, into studs or masonry, before it is "
    "used."
)
_BAD: Final = "It may tip over when {}. What is lower or wider takes more, and straps to a wall hold its top."

Load = tuple[float, float, float]
"""A weight: where it is along x and y, and how much."""


@dataclass(frozen=True, slots=True)
class Case:
    """What may tip furniture over; when: what is going on, as the end of a sentence.

    push: sideways, at a height, toward a direction of length 1 or, where that is None, any; weights: on it meanwhile;
    ladder: whether the way up stands with it.
    """

    when: str
    push: float = 0.0
    height: float = 0.0
    toward: Place | None = None
    weights: tuple[Load, ...] = ()
    ladder: bool = False
    source: str = PRACTICE
    clause: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """Furniture on its feet: its own weight, each edge that it may tip over, and what straps do against that."""

    own: Load
    edges: tuple[tuple[Edge, float], ...]


@dataclass(frozen=True, slots=True)
class Moments:
    """About an edge: what tips over, and what holds against it: weight, and straps."""

    over: float
    weight: float
    straps: float

    def used(self, *, strapped: bool = True) -> int:
        """How much is used of what holds [permille], rounded up."""
        holds = self.weight + (self.straps if strapped else 0)
        share = self.over / holds if holds > 0 else float(self.over > 0 or holds < 0) * WORST
        return min(WORST, ceil(round(share * 1000, 6)))


def check_tipping(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold a frame against each way to tip it over, about the edge where it takes least."""
    alike: dict[str, tuple[Case, list[Moments]]] = {}
    every = list(cases(frame, site.heaviest_user))
    stands = {ladder: standing(frame, materials, ladder=ladder) for ladder in {case.ladder for case in every}}
    for case in every:
        alike.setdefault(case.when, (case, []))[1].extend(moments(case, stands[case.ladder]))
    straps = tuple(strap.part for strap in frame.straps)
    return [_finding(case, found, straps) for case, found in alike.values() if found]


def _finding(case: Case, found: Sequence[Moments], straps: tuple[str, ...]) -> Finding:
    """What comes of a case, and those alike, about all edges; straps: the parts that are tied to a wall."""
    free = max(each.used(strapped=False) for each in found)
    good = _GOOD if free <= 1000 else _STRAPPED
    return compare(
        "tipping", case.source, max(each.used() for each in found), "<=", 1000,
        (good.format(case.when), _BAD.format(case.when)), straps if free > 1000 else (),
        otherwise=Status.FAIL, clause=case.clause, unit="share",
    )  # fmt: skip


def cases(frame: Frame, user: int) -> Iterator[Case]:
    """Every way to tip a frame over, for users of a mass [g]."""
    top = frame.bounds.high[2] / MM
    shelves, seats = (
        [_around(frame, each.parts) for each in frame.surfaces if (each.use == "shelf") == stored and each.parts]
        for stored in (True, False)
    )
    if shelves:
        for full in ([], [max(shelves, key=lambda shelf: shelf.high[2])], shelves):
            weights = tuple(map(_goods, full))
            yield Case("a child pulls at its top", CHILD, top, weights=weights, source=STORAGE, clause="1261.4(d)")
    if frame.high_beds:
        yield Case("someone pulls at its top", PULL * user * G, top)
        for ladder in (bed.ladder for bed in frame.high_beds if bed.ladder):
            for key in ladder.treads:
                yield Case("someone climbs up", weights=(_middle(frame.boxes[key], user * G),), ladder=True)
        return
    for area in [*(place.opening for place in frame.sleeping_places), *seats]:
        yield from _sat_on(frame, area, user)


def _sat_on(frame: Frame, area: Box, user: int) -> Iterator[Case]:
    """Who sits at the middle of each side of a bed, seat or table: against its back, or on the edge where none is."""
    x, y, _ = _middle(area, 0)
    for i in (0, 1):
        for side in (-1, 1):
            toward = (float(side), 0.0) if i == 0 else (0.0, float(side))
            edge = (area.high if side > 0 else area.low)[i] / MM

            def sitter(inside: float, people: int, i: int = i, edge: float = edge, side: int = side) -> Load:
                at = edge - side * inside
                return (at, y, people * user * G) if i == 0 else (x, at, people * user * G)

            height = _back(frame, area, i, side)
            if height is not None:
                yield Case("someone leans against its back", LEAN * user * G, height / MM, toward,
                           (sitter(SEAT / 2, 1),))  # fmt: skip
            else:
                people = min(2, max(1, area.size[1 - i] // SEAT_LENGTH))
                yield Case("its edge is sat on", weights=(sitter(ON_THE_EDGE, people),))


def _back(frame: Frame, area: Box, i: int, side: int) -> int | None:
    """How high what stands at one side of a bed or seat reaches [nm]; None: it is no back."""
    across = 1 - i
    beside = [
        box.high[2]
        for box in frame.boxes.values()
        if (box.low[i] >= area.high[i] if side > 0 else box.high[i] <= area.low[i])
        and box.low[across] < area.high[across] and area.low[across] < box.high[across]
        and box.high[2] >= area.high[2] + BACK
    ]  # fmt: skip
    return max(beside, default=None)


def standing(frame: Frame, materials: Materials, *, ladder: bool) -> Standing:
    """A frame as it stands, with or without its way up; it does not tip toward a wall that it is tied to."""
    ways_up = frozenset[str]().union(*(bed.ladder.parts for bed in frame.high_beds if bed.ladder))
    keys = [key for key in frame.by_key if ladder or key not in ways_up]
    edges = [
        edge
        for edge in footprint([frame.boxes[key] for key in keys])
        if not any(_along(strap, edge) > TO_THE_WALL for strap in frame.straps)
    ]
    straps = [sum(_strap(frame, strap, edge) for strap in frame.straps) for edge in edges]
    return Standing(_own(frame, keys, materials), tuple(zip(edges, straps, strict=True)))


def moments(case: Case, stands: Standing) -> Iterator[Moments]:
    """What tips it over and what holds it, about each edge that it may tip over."""
    x, y, weight = stands.own
    for edge, straps in stands.edges:
        toward = edge.outward if case.toward is None else case.toward
        over = case.push * case.height * max(0.0, toward[0] * edge.outward[0] + toward[1] * edge.outward[1])
        holds = -weight * edge.beyond(x, y)
        for there_x, there_y, load in case.weights:
            turning = load * edge.beyond(there_x, there_y)
            over, holds = over + max(turning, 0.0), holds - min(turning, 0.0)
        yield Moments(over, holds, straps)


def _along(strap: Strap, edge: Edge) -> float:
    """How much of a strap's direction to its wall is outward of an edge, 1 for all of it."""
    return strap.toward * edge.outward[AXES.index(strap.axis)]


def _strap(frame: Frame, strap: Strap, edge: Edge) -> float:
    """What a strap does against tipping about an edge: it holds its end back from the floor, or down, once it is taut.

    Not both at once, though it pulls slantwise. Source: common practice, no source.
    """
    box = frame.boxes[strap.part]
    x, y, _ = _middle(box, 0)
    back = -_along(strap, edge) * (box.high[2] - STRAP_BELOW) / MM
    return STRAP_PULL * max(0.0, back, -edge.beyond(x, y))


def _own(frame: Frame, keys: Collection[str], materials: Materials) -> Load:
    """The middle of the weight of parts, and the weight, in the lightest wood that may be cut for each."""
    loads, weighs = [], dict[int, float]()
    for key in keys:
        woods = materials.get(key, ())
        if id(woods) not in weighs:
            weighs[id(woods)] = _lightest(woods) * 1000 * G
        x, y, z = (side / METRE for side in frame.boxes[key].size)
        loads.append(_middle(frame.boxes[key], x * y * z * weighs[id(woods)]))
    weight = sum(load for _, _, load in loads)
    return sum(x * load for x, _, load in loads) / weight, sum(y * load for _, y, load in loads) / weight, weight


def _lightest(woods: Sequence[Material]) -> float:
    """What a part weighs at least [kg/m3]; of an unknown species, as the lightest one that is known."""
    known = [wood.species for wood in woods if wood.species is not None]
    listed = known if known and len(known) == len(woods) else species().values()
    return float(min(each.weight_kg_m3 for each in listed))


def _around(frame: Frame, keys: Iterable[str]) -> Box:
    return bounds(frame.boxes[key] for key in keys)


def _goods(shelf: Box) -> Load:
    """What stands on a full shelf."""
    return _middle(shelf, SHELF * G * shelf.size[0] * shelf.size[1] / MM**2)


def _middle(box: Box, weight: float) -> Load:
    """A weight over the middle of a box."""
    return (box.low[0] + box.high[0]) / 2 / MM, (box.low[1] + box.high[1]) / 2 / MM, weight
