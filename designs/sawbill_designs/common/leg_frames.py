"""Rails bolted to leg frames: two laminated legs each, and boards across them; what a bench, a table and a workbench
stand on.

x runs along the rails, y from the front to the rear, z up from the floor. The rails stand outside the legs, on edge;
the boards across stand on the side of the legs that faces the middle. The rails' bolts come out, and leg frames stay
whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Bolted, Glued, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH, MM, STEP, format_length, round_up
from sawbill.trade.lumber import Section
from sawbill_designs.common.bolt_places import FAR, LEAST, Bolt, Face, Point2, bolt_places, fits, half, in_layer
from sawbill_designs.common.parts import Assembly, laminated, laminations, mirrored, screw_that_holds, stout
from sawbill_designs.common.places import clear_place

LEG_THICKNESS: Final = 60 * MM
"""The least thickness of a leg's laminations together: two of 2-by, one of 3-by (common practice, no source)."""
SCREW_EDGE: Final = 4
"""How many diameters a screw stays from the edge of a board (common practice, no source)."""
SCREWS_APART: Final = 5
"""How many diameters the screws of a board are from each other at least (common practice, no source)."""
BETWEEN_FRAMES: Final = 2 * INCH
"""The least room between two leg frames, for a wrench and the ends of bolts (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Across:
    """A board across a leg frame: its name, its section, how high it begins, how high its bolts are [nm]."""

    name: str
    section: Section
    bottom: int
    bolts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Legs:
    """What leg frames and rails are laid out by [nm]; o holds the sections of `rail` and `leg`, bolt and screw size.

    top: how high the legs reach; rail_bottom: how high the rails begin; rail_bolts: the places of a rail's bolts in a
    leg, each as its height and its place from the leg's left edge; pulled: whether they have large washers; boards:
    those across; before: how far the rails stand behind y = 0; depth: from there over both rails and as far again;
    stands: whether the rails stand on one more lamination of each leg, which ends under them.
    """

    o: Options
    bolt: Bolt
    top: int
    rail_bottom: int
    rail_bolts: tuple[Point2, ...]
    pulled: bool
    boards: tuple[Across, ...]
    depth: int
    before: int = 0
    stands: bool = False

    @property
    def layers(self) -> int:
        """How many laminations of a leg are behind its rail."""
        return leg_layers(self.o)

    @property
    def deep(self) -> int:
        """Of those laminations together."""
        return self.layers * int(self.o.leg.thickness)

    @property
    def leg_front(self) -> int:
        """Where the front legs begin, behind their rail."""
        before = max(self.o.rail.thickness, self.o.leg.thickness) if self.stands else self.o.rail.thickness
        return int(self.before + before)

    @property
    def rail_front(self) -> int:
        """Where the front rail begins."""
        return int(self.leg_front - self.o.rail.thickness)

    @property
    def inmost(self) -> int:
        """How deep into a leg the bolts of what lies across it go, in the inmost lamination; their washers clear the
        rail."""
        beside = any(each.bottom + each.section.width > self.rail_bottom for each in self.boards)
        clear = max(half(self.bolt.size.washer(large=False)[1]), self.bolt.flange) if beside else 0
        return in_layer(self.deep, (self.deep - int(self.o.leg.thickness), self.deep), self.bolt, clear)

    @property
    def screws_in(self) -> int:
        """How deep into a leg the screws of what lies across it go."""
        layer, thick = self.layers // 4, int(self.o.leg.thickness)
        return self.o.near((2 * layer + 1) * thick // 2 if self.layers > 1 else self.deep // 4)

    def at_rail(self, *, last: bool) -> tuple[Point2, ...]:
        """Where the rail's bolts go in a leg, as height and place along the rail: mirrored in the last."""
        return tuple((z, self.o.leg.width - x if last else x) for z, x in self.rail_bolts)

    def beyond(self, grip: int, *, pulled: bool = False) -> int:
        """How far the bolt of a grip comes out of its tee nut, or of the wood where it is pulled and has a nut [nm].

        Raises RefusalError: none is long enough.
        """
        size = self.bolt.size
        try:
            length = fasteners.bolt_length(size, grip, "nut" if pulled else "tee nut", large=pulled)
            return length - size.washer(large=pulled)[0] - grip
        except fasteners.FastenerError as error:
            raise RefusalError("bolt_size", f"bolt_size: {error}; choose another size, or thinner wood") from None


def leg_layers(o: Options) -> int:
    """How many laminations of `leg` make a leg."""
    return laminations(o.leg, LEG_THICKNESS)


def rail_places(
    o: Options, bolt: Bolt, bottom: int, top: int, *, pulled: bool = False
) -> tuple[tuple[Point2, ...], bool]:
    """Where a rail's bolts go in a leg, and whether their washers are large, which they are if pulled and they fit.

    bottom: how high the rail begins; top: of the leg [nm]. Raises RefusalError: there is no room for one.
    """
    face = Face((bottom, bottom + o.rail.width), (0, o.leg.width), top, (0, FAR))
    large = replace(face, large=True)
    face = large if pulled and fits(large, bolt) else face
    return bolt_places(face, bolt, "rail", f"a rail of {o.rail.name} on legs of {o.leg.name}"), face.large


def across_places(o: Options, bolt: Bolt, option: str, face: Point2, taken: Iterable[int]) -> tuple[int, ...]:
    """How high the one or two bolts through a board across go, clear of those that cross them in the leg.

    option: which names its section; face: the heights that it and the leg share [nm]. Raises RefusalError.
    """
    section, taken = o[option], tuple(taken)
    across = Face(face, (0, o.leg.width), abreast=False)
    said = option.replace("_", " ")
    wanted = bolt_places(across, bolt, option, f"a {said} of {section.name}")
    span, _ = across.room(bolt, LEAST)
    found: list[int] = []
    for z in sorted({z for z, _ in wanted}):
        room = max(bolt.lane, bolt.wrench_room() if found else 0)
        place = clear_place(z, span, [*taken, *found], room, o.step)
        found += [] if place is None else [place]
    if not found:
        raise RefusalError(
            option,
            f"{option}: the bolts of {section.name} and of {o.rail.name} rails run into each other at this "
            f"height; choose a narrower rail or {said}, or a smaller bolt_size",
        )
    return tuple(found)


def leg_frame(legs: Legs, name: str, x: int, *, last: bool = False) -> Assembly:
    """The front and the rear leg at x, and the boards across: bolted to the inmost lamination, screwed to another."""
    front = _leg(legs, name, x)
    boards = [_board(legs, name, x, board, last=last) for board in legs.boards]
    half = front + _under(legs, front, name, x) if legs.stands else front
    for board, of in zip(boards, legs.boards, strict=True):
        half += Assembly((), (*_bolts(legs, board, front, of, last=last), *_screws(legs, board, front, of, last=last)))
    return half + Assembly(tuple(boards)) + mirrored(half, "y", legs.depth, "front", "rear")


def front_rail_bolts(legs: Legs, rail: str, name: str, x: int, *, last: bool = False) -> Assembly:
    """The bolts through the front rail and all of a leg."""
    leg = _leg(legs, name, x)
    bolts = tuple(
        Bolted((rail, *leg.keys), legs.o.bolt_size, (x + along, legs.rail_front, z), "y", 1)
        for z, along in legs.at_rail(last=last)
    )
    rests = tuple(Resting((rail, key)) for key in (_under(legs, leg, name, x).keys if legs.stands else ()))
    return Assembly((), (*rests, *bolts))


def told(nm: int, bolt: Bolt) -> str:
    """A least length [nm] in the words of the bolts' system, up to the next 1/16 in or millimetre."""
    system = bolt.size.system
    return format_length(round_up(nm, STEP[system]), system)


def _leg(legs: Legs, name: str, x: int) -> Assembly:
    place = Placement((x, legs.leg_front, 0), "z", "x")
    return laminated(f"{name} front leg", "leg lamination", legs.o.leg, legs.top, place, legs.layers)


def _under(legs: Legs, leg: Assembly, name: str, x: int) -> Assembly:
    """The lamination that the rail stands on, glued to the leg."""
    o = legs.o
    place = Placement((x, legs.leg_front - o.leg.thickness, 0), "z", "x")
    part = Part(f"{name} front leg under rail", "leg under rail", o.leg, legs.rail_bottom, place)
    return Assembly((part,), (Glued((part.key, leg.keys[0])),))


def _board(legs: Legs, name: str, x: int, of: Across, *, last: bool) -> Part:
    start = x - of.section.thickness if last else x + legs.o.leg.width
    length = legs.depth - 2 * legs.leg_front
    place = Placement((start, legs.leg_front, of.bottom), "y", "z")
    return Part(f"{name} {of.name}", of.name, of.section, length, place, rounding="down")


def _bolts(legs: Legs, board: Part, leg: Assembly, of: Across, *, last: bool) -> Iterator[Bolted]:
    low, high = board.box.span("x")
    y = legs.leg_front + legs.inmost
    for z in of.bolts:
        head = (low if last else high, y, z)
        yield Bolted((board.key, leg.keys[-1]), legs.o.bolt_size, head, "x", 1 if last else -1)


def _screws(legs: Legs, board: Part, leg: Assembly, of: Across, *, last: bool) -> Iterator[Screwed]:
    """Two screws beside a board's bolts, one high and one low: they have no play, so that it does not sway."""
    o = legs.o
    size = screw_that_holds(stout(o.screw_size), of.section.thickness, o.leg.width)
    wide, layer = fasteners.screw_sizes()[size].diameter, legs.layers // 4
    y = legs.screws_in
    room = legs.bolt.off_bore(wide)
    beside = of.bolts if abs(legs.inmost - y) < room else ()
    taken = [*beside, *(z for z, _ in legs.rail_bolts)]
    edge = o.near(SCREW_EDGE * wide)
    low, high = board.box.span("z")
    span = low + edge, min(high, legs.top) - edge
    found: list[int] = []
    for wanted in span:
        z = clear_place(wanted, span, [*taken, *found], room, o.step)
        if z is not None:
            found.append(z)
            head = (board.box.span("x")[0 if last else 1], legs.leg_front + y, z)
            yield Screwed((board.key, leg.keys[layer]), size, head, "x", 1 if last else -1)
