"""The plan of a bed above the floor, or of two on the same posts: its levels, where every bolt goes.

x runs along the bed from the end where the ladder stands (0) to the other, y across it from the ladder's side (0)
to the other, z up from the floor; `parts` has the assemblies, and turns the whole as it was asked for.

Heights of the guards are the strictest published: 160 mm over the mattress (EN 747-1, from memory, and the notice
on AS/NZS 4220) and 260 mm over its base (the same notice); 16 CFR 1213 asks for 5 in over the mattress.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill.trade.mattresses import Mattress
from sawbill_designs.common.bolt_places import (
    BOTH,
    FAR,
    LEAST,
    Bolt,
    Face,
    Point2,
    beside_end,
    half,
    in_layer,
    pulled_places,
)
from sawbill_designs.common.parts import BEDDING, POST_THICKNESS, WIDE, Assembly, laminations, mirrored
from sawbill_designs.common.places import clear_place
from sawbill_designs.high_beds.rail_bolts import ways

OVER_MATTRESS: Final = 160 * MM
OVER_BASE: Final = 260 * MM
UPSTAND: Final = INCH // 4
"""The least the rails stand above the slats, so that the mattress stays in place (practice)."""
WIDEST_SURFACE_GAP: Final = 75 * MM
"""In the surface a mattress lies on (SI 1987/1337; EN 747-1, from memory)."""
NO_TRAP: Final = 60 * MM
"""The least between a guard's upright and a post (SI 1987/1337: no gap at the sleeping surface under 60 mm)."""
BESIDE_UPRIGHT: Final[BySystem] = {"inch": INCH // 4, "metric": 6 * MM}
"""The least an upright stands from what is beside it (practice)."""


def clear_places(
    span: Point2, wanted: Iterable[int], taken: Iterable[int], room: int, step: int
) -> tuple[int, ...]:  # fmt: skip
    """The wanted places, each moved as little as keeps `room` from all others; one with no place is left out [nm]."""
    found: list[int] = []
    taken = tuple(taken)
    for want in wanted:
        place = clear_place(want, span, (*taken, *found), room, step) if span[0] <= span[1] else None
        found += [] if place is None else [place]
    return tuple(sorted(found))


@dataclass(frozen=True, eq=False)
class Level:
    """One bed: its mattress, the height of its rails' underside, and the outer face of its far rail [nm].

    word: put before the names of its parts, empty where the frame has one bed; guarded: whether one may fall from it;
    alone: whether it keeps its own corners square though none can, as of a bed that another lifts off from.
    """

    o: Options
    word: str
    mattress: Mattress
    underside: int
    back: int
    guarded: bool
    alone: bool = False

    @cached_property
    def thickness(self) -> int:
        """From the outer face of a side to the mattress's room."""
        return int(max(self.o.rail.thickness, self.o.guard.thickness) if self.guarded else self.o.rail.thickness)

    @cached_property
    def deck(self) -> int:
        """The height of the ledgers' upper edge."""
        return self.underside + int(self.o.ledger.width)

    @cached_property
    def base(self) -> int:
        """The height of the slats' upper face."""
        return self.deck + int(self.o.slat.thickness)

    @cached_property
    def _braced(self) -> bool:
        """Whether its rails are braced against the posts."""
        return bool(self.o.braced and (self.guarded or self.alone))

    @cached_property
    def rail_boards(self) -> int:
        """How many boards, glued edge to edge, make a rail that stands above the slats; and that takes a bolt there, if
        it then leaves the mattress above it, over which one climbs in."""
        width = int(self.o.rail.width)
        count = -(-(self.base + UPSTAND - self.underside) // width)
        deep = -(-(self.base + self._over_slats - self.underside) // width)
        low = self.underside + deep * width <= self.base + self.mattress.thickness
        return deep if self._braced and low else count

    @property
    def _over_slats(self) -> int:
        """How far a rail stands above the slats that takes a bolt there."""
        bolt = Bolt.of(self.o)
        return bolt.up(half(bolt.size.washer_diameter) + MM) + bolt.loaded_edge

    @cached_property
    def rail_top(self) -> int:
        """The height of the rails' upper edge."""
        return self.underside + self.rail_boards * int(self.o.rail.width)

    @cached_property
    def high_bolt(self) -> int | None:
        """The height of the bolt of a deep rail above the slats, far from the others; None: there is none."""
        braced = self._braced and self.rail_top >= self.base + self._over_slats
        return self.rail_top - Bolt.of(self.o).loaded_edge if braced else None

    @cached_property
    def wide(self) -> bool:
        """Whether a beam carries the slats at mid width."""
        return self.mattress.width >= WIDE

    @cached_property
    def guards(self) -> tuple[int, ...]:
        """Where the guard boards' lower edges are."""
        if not self.guarded:
            return ()
        top = max(self.base + self.mattress.thickness + OVER_MATTRESS, self.base + OVER_BASE)
        pitch = int(self.o.opening + self.o.guard.width)
        count = max(1, -(-(top - self.rail_top) // pitch))
        return tuple(self.rail_top + int(self.o.opening) + i * pitch for i in range(count))

    @cached_property
    def guard_bolts(self) -> tuple[tuple[int, int], ...]:
        """For every level of guards the height of its bolts across the bed and of those along it.

        Those along it as low as the others let them: what hangs on an upright at an end may not split a board there.
        """
        bolt, width = Bolt.of(self.o), int(self.o.guard.width)
        for rules in (BOTH, LEAST):
            (low, high), _ = Face((0, width), (0, FAR)).room(bolt, rules)
            if high - low >= bolt.lane:
                return tuple((z + low, z + low + bolt.lane) for z in self.guards)
        raise RefusalError(
            "guard",
            f"guard: boards of {self.o.guard.name} have no room for {self.o.bolt_size} bolts from two sides, each 4 "
            "diameters from the board's upper edge and 1-1/2 from the lower; choose a wider guard, or a smaller "
            "bolt_size",
        )

    @cached_property
    def end_boards(self) -> tuple[int, ...]:
        """Where the end boards' lower edges are: down from the rails' upper edge, with none left open above the base.

        Boards that would reach the floor stand from the rails' underside up instead. Below the guards there is
        nothing more; an end without guards gets one more board, to keep the pillow.
        """
        low, width = self.underside if self.wide else self.deck, int(self.o.end_board.width)
        count = max(1, -(-(self.rail_top - low) // width))
        bottom = self.rail_top - count * width
        bottom = bottom if bottom >= 0 else self.underside
        rows = [bottom + i * width for i in range(count)]
        return tuple(rows) if self.guarded else (*rows, bottom + count * width + int(self.o.opening))

    @cached_property
    def top(self) -> int:
        """The height of its posts."""
        rows = (*(z + self.o.end_board.width for z in self.end_boards), *(z + self.o.guard.width for z in self.guards))
        return int(max(rows))

    @cached_property
    def lowest(self) -> int:
        """The height of the lowest of its rails and end boards."""
        return min(self.underside, *self.end_boards)

    def name(self, rest: str) -> str:
        """The name of one of its parts."""
        return f"{self.word} {rest}" if self.word else rest


@dataclass(frozen=True)
class Post:
    """A post at the ladder's end: its name, and from which height to which it stands [nm].

    back: where its inner face is on the far side; None for a post on the ladder's side.
    """

    key: str
    bottom: int
    top: int
    back: int | None = None


@dataclass(frozen=True)
class Plan:
    """Where everything is that more than one assembly has to know of [nm]."""

    o: Options
    inside_length: int
    levels: tuple[Level, ...]

    @cached_property
    def bolt(self) -> Bolt:
        """The size of all bolts."""
        return Bolt.of(self.o)

    @cached_property
    def ends(self) -> tuple[str, str]:
        """The ladder's end, and the other."""
        return ("head", "foot") if self.o.ladder_end == "head" else ("foot", "head")

    @cached_property
    def sides(self) -> tuple[str, str]:
        """The ladder's side, and the other."""
        return ("left", "right") if self.o.ladder_side == "left" else ("right", "left")

    @cached_property
    def layers(self) -> int:
        """The laminations of a post."""
        return laminations(self.o.post, POST_THICKNESS)

    @cached_property
    def post_depth(self) -> int:
        """Of a post, across the bed: how far the rails are from the outer faces of the posts."""
        return self.layers * int(self.o.post.thickness)

    @cached_property
    def width(self) -> int:
        """Over the posts of the wider bed."""
        return max(level.back for level in self.levels) + self.post_depth

    @cached_property
    def beside_post(self) -> int:
        """What stands beside a post keeps this far off, for the tips of the end boards' bolts and for washers."""
        grips = [self.o[board].thickness + self.o.post.width for board in ("end_board", "guard")]
        size = self.bolt.size
        tips = [fasteners.bolt_length(size, grip, "tee nut") - grip for grip in grips]
        return self.o.at_least(max(*tips, half(size.washer_diameter) + size.washer_thickness))

    @cached_property
    def rail_bolts(self) -> tuple[tuple[int, int], ...]:
        """Where the bolts of rail, ledger and post go: their x from the post's end face, their z from the underside.

        One above the other where rail and ledger leave room for the end boards' bolts between; else side by side.
        The first that leaves every end board a bolt.
        """
        o = self.o
        for way in ways(o, self.bolt):
            if all(self.end_bolts(level, z, way) for level in self.levels for z in level.end_boards):
                return way
        raise RefusalError(
            "end_board",
            f"end_board: the bolts of {o.end_board.name} and those of the rails have no room in one post; "
            "choose a wider end_board or a smaller bolt_size",
        )

    def end_bolts(self, level: Level, z: int, rail_bolts: Sequence[tuple[int, int]]) -> tuple[int, ...]:
        """The heights of the bolts of an end board at a height, clear of those across the bed."""
        taken = self.across(level, rail_bolts)
        board = Face((z, z + self.o.end_board.width), (0, FAR))
        wanted, span = board.room(self.bolt, BOTH)[0], board.room(self.bolt, LEAST)[0]
        wanted = wanted if wanted[0] < wanted[1] else span
        places = clear_places(span, wanted, taken, self.bolt.lane, self.o.step)
        apart = max(self.bolt.half_diameters(LEAST.stacked), self.bolt.wrench_room())
        near = len(places) == 2 and places[1] - places[0] < apart
        return places[:1] if near else places

    def across(self, level: Level, rail_bolts: Sequence[tuple[int, int]]) -> list[int]:
        """The heights of all bolts that cross the posts of a bed from side to side."""
        high = [] if level.high_bolt is None else [level.high_bolt]
        return [*(level.underside + up for _, up in rail_bolts), *high, *(z for z, _ in level.guard_bolts)]

    @cached_property
    def layer_at(self) -> int:
        """How deep the bolts along the bed go into a post: in one layer, off the glue lines."""
        thickness = int(self.o.post.thickness)
        return in_layer(self.post_depth, (self.layer * thickness, (self.layer + 1) * thickness), self.bolt)

    @cached_property
    def layer(self) -> int:
        """The lamination of a post that takes the bolts along the bed, counted from 0 outside."""
        return self.layers // 2

    @cached_property
    def beside_end(self) -> int:
        """How far from a rail's end its bolt goes, where it needs but one."""
        return beside_end(int(self.o.post.width), self.bolt)

    @cached_property
    def rail_levels(self) -> tuple[int, ...]:
        """The heights above a rail's underside at which bolts go through it."""
        return tuple(sorted({z for _, z in self.rail_bolts}))

    @cached_property
    def upright_bolts(self) -> tuple[tuple[int, int], ...]:
        """Where the bolts of a guard's upright go: their z from the rail's underside, their x from the upright's edge.

        Large washers and nuts lie flat on the ledger; none where there is no room for them.
        """
        o, washer = self.o, half(self.bolt.size.large_washer_diameter)
        top = min(o.rail.width, o.ledger.width - washer + self.bolt.loaded_edge)
        return pulled_places(Face((0, top), (0, o.post.width), large=True), self.bolt)

    def post_key(self, post: str, layer: int) -> str:
        """The key of a lamination of a post, counted from 0."""
        return f"{post} {layer + 1}" if self.layers > 1 else post

    def post_keys(self, post: str) -> tuple[str, ...]:
        """The keys of all of its laminations."""
        return tuple(self.post_key(post, layer) for layer in range(self.layers))

    def far(self, assembly: Assembly) -> Assembly:
        """The same at the other end of the bed, named for it."""
        return mirrored(assembly, "x", self.inside_length, *self.ends)


def inside_length(o: Options, *sleepers: Mattress) -> int:
    """The room between the end boards [nm]."""
    return o.at_least(max(mattress.length for mattress in sleepers)) + int(o.mattress_allowance) + o.at_least(BEDDING)


def back_of(o: Options, mattress: Mattress, guarded: bool) -> int:
    """The outer face of the far rail of a bed for a mattress [nm]."""
    thickness = max(o.rail.thickness, o.guard.thickness) if guarded else o.rail.thickness
    post = laminations(o.post, POST_THICKNESS) * o.post.thickness
    return int(post + 2 * thickness + o.at_least(mattress.width) + o.mattress_allowance)
