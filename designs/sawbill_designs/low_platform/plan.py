"""Where everything of a low platform is, as follows from what is asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH, MM, STEP, BySystem, format_length, round_down, round_up
from sawbill_designs.common.bolt_places import FAR, LEAST, NDS, Bolt, Face, Point2, bolt_places, clamped, ends_apart
from sawbill_designs.common.parts import BEAM_THICKNESS, UNDER_SLATS, WIDE, laminations, screw_that_holds
from sawbill_designs.common.places import shared
from sawbill_designs.common.slats import SlatRun, slat_run
from sawbill_designs.common.splices import evenly

STOP_WIDTH: Final[BySystem] = {"inch": INCH * 3 // 2, "metric": 40 * MM}
"""How wide a stop is, no higher than a slat is thick (practice)."""


BOLT_TIPS: Final = 1 * INCH
"""Room between the posts for the tips of two bolts, each half an inch past its tee nut at most (practice)."""


@dataclass(frozen=True)
class Layout:
    """Every dimension that follows from the options [nm]; heights are above the floor."""

    o: Options
    bolt: Bolt
    post_layers: int

    @property
    def stop(self) -> int:
        """How wide the stops are; 0 without them."""
        return min(self.o.at_least(STOP_WIDTH), int(self.o.slat.width)) if self.o.stops else 0

    @property
    def head(self) -> int:
        """Where the mattress begins, behind the stop and the boards of a headboard."""
        return max(self.stop, self.o.at_least(self.o.headboard_board.thickness) if self.o.headboard else 0)

    @property
    def length(self) -> int:
        """Of the deck, and so of the base."""
        return evenly(
            self.o, self.o.at_least(self.o.mattress.length) + int(self.o.mattress_allowance) + self.head + self.stop
        )

    @property
    def width(self) -> int:
        """Of the deck, and so of its slats."""
        return self.o.at_least(self.o.mattress.width) + int(self.o.mattress_allowance) + 2 * self.stop

    @property
    def deck(self) -> int:
        """The height of the rails' upper edge, on which the slats lie."""
        return int(self.o.height - self.o.slat.thickness)

    @cached_property
    def courses(self) -> tuple[Point2, ...]:
        """The lower and the upper edge of each course of rails, from the top down."""
        if self.o.base == "legs":
            return ((self.deck - int(self.o.rail.width), self.deck),)
        count = -(-self.deck // int(self.o.rail.width))
        step = self.o.step if self.o.rail.width % self.o.step == 0 else 1  # never wider than the rail is
        edges = list(accumulate((-high for high in shared(self.deck, count, step)), initial=self.deck))
        return tuple((low, high) for high, low in pairwise(edges))

    @cached_property
    def slats(self) -> SlatRun:
        """Where the slats lie along the deck."""
        return slat_run(0, self.length, self.o.slat.width, self.o.slat_gap, doubled=False, step=self.o.step)

    @property
    def support(self) -> str:
        """What carries the slats at mid width."""
        if self.o.centre_support != "auto":
            return str(self.o.centre_support)
        return "beam and leg" if self.o.mattress.width >= WIDE else "none"

    @property
    def stop_ripped(self) -> int | None:
        """The width the stops are ripped to, None for the section's own."""
        return self.stop if self.stop < self.o.slat.width else None

    @property
    def end_stops(self) -> bool:
        """Whether the end slats lie flush with the deck's ends, so that stops can be screwed on them."""
        return bool(self.stop) and self.slats.starts[0] == 0

    @property
    def screw_room(self) -> int:
        """How far the screws of the stops keep from those of the slats, middle to middle."""
        size = screw_that_holds(self.o.screw_size, self.o.slat.thickness, self.o.rail.width)
        return 2 * fasteners.screw_sizes()[size].diameter

    @property
    def post_top(self) -> int:
        """The top of the posts, off the slats."""
        return self.deck - self.o.at_least(UNDER_SLATS)


def check_heights(at: Layout) -> None:
    """Refuse a deck too low for the rails or the beam under it, and a plinth whose courses would be too low."""
    o, system = at.o, at.bolt.size.system

    def text(length: int) -> str:
        return format_length(round_up(length, STEP[system]), system)

    under = {f"slats of {o.slat.name} on a beam of {o.ledger.name}": o.ledger.width} if at.support != "none" else {}
    if o.base == "legs":
        under[f"slats of {o.slat.name} on rails of {o.rail.name}"] = o.rail.width
    for what, width in under.items():
        if at.deck < width:
            least = text(width + o.slat.thickness)
            raise RefusalError("height", f"height: {what} stand higher; {least} or more would do")


def check_width(at: Layout) -> None:
    """Refuse an overhang or posts that leave no room between the posts for the beam and the tips of bolts."""
    o = at.o
    beam = 0 if at.support == "none" else laminations(o.ledger, BEAM_THICKNESS) * o.ledger.thickness + o.post.thickness
    spare = at.width - 2 * (o.rail.thickness + at.post_layers * o.post.thickness + BOLT_TIPS + beam)
    if spare < 0:
        raise RefusalError("post", "post: the posts leave no room between them; thinner posts or rails would do")
    if spare < 2 * o.overhang:
        system = at.bolt.size.system
        most = format_length(round_down(spare // 2, STEP[system]), system)
        raise RefusalError("overhang", f"overhang: the posts would leave no room between them; {most} or less would do")


def side_bolts(at: Layout, course: Point2) -> tuple[tuple[Point2, ...], int]:
    """Where a course's bolts cross a post: those of the side rail, as z and x, and the end rail's one, as z.

    Stacked with the end rail's between them where the course is high enough, else below it. Raises RefusalError: the
    course has no room for them.
    """
    o, x = at.o, (int(at.o.rail.thickness), int(at.o.rail.thickness + at.o.post.width))
    face = Face(course, x, at.post_top, (0, FAR), apart=2 * at.bolt.lane)
    (low, high), _ = face.room(at.bolt, LEAST)
    places = bolt_places(face, at.bolt, "rail", f"a rail of {o.rail.name} on posts of {o.post.name}")
    levels = sorted({z for z, _ in places})
    if len(levels) == 2:
        return places, clamped(at.bolt.between(*course), (levels[0] + at.bolt.lane, levels[1] - at.bolt.lane))
    below = replace(face, lying=(course[0], course[1] - at.bolt.lane))
    if high - at.bolt.lane < low:
        raise RefusalError("rail", _too_low(at))
    places = bolt_places(below, at.bolt, "rail", f"a rail of {o.rail.name} on posts of {o.post.name}")
    level = clamped(places[0][0], (low, high - at.bolt.lane))
    return tuple((level, x) for _, x in places), high


def end_bolts(at: Layout, course: Point2) -> tuple[int, ...]:
    """How high the end rail's one bolt or two are. Raises RefusalError: two have no room."""
    places, alone = side_bolts(at, course)
    if at.o.corner_bolts == 1:
        return (alone,)
    span = Face(course, (0, FAR), at.post_top).room(at.bolt, NDS)[0]
    found = ends_apart(span, (z for z, _ in places), at.bolt)
    if not found:
        raise RefusalError(
            "corner_bolts",
            f"corner_bolts: two {at.bolt.name} bolts of an end rail have no room beside those of the side rail; choose "
            "one, or a smaller bolt_size",
        )
    return found


def _too_low(at: Layout) -> str:
    size, o = at.bolt.size, at.o
    least = format_length(round_up(6 * size.diameter + at.bolt.lane, STEP[size.system]), size.system)
    return (
        f"rail: {o.bolt_size} bolts in both faces of a corner take courses of {o.rail.name} rails {least} high; a "
        "wider rail, or thinner bolts, would do"
    )
