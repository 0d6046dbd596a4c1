"""The plan of a bed above the floor, or of two on the same posts: where every bolt goes.

x runs along the bed from the end where the ladder stands (0) to the other, y across it from the ladder's side (0)
to the other, z up from the floor; `ends`, `sides` and `decks` have the assemblies, and `turned` turns the whole as it
was asked for.

Guard boards stand above rails and end boards in the same two planes at one set of levels, so that nothing is left open
but the gap that was asked for, and beside the ladder the way in.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

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
from sawbill_designs.common.parts import BEDDING, POST_THICKNESS, Assembly, laminations, mirrored
from sawbill_designs.common.places import clear_place
from sawbill_designs.common.splices import evenly
from sawbill_designs.high_beds.levels import Level
from sawbill_designs.high_beds.rail_bolts import ways

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
        """What stands beside a post keeps this far off, for the heads of the end boards' bolts and for washers."""
        size = self.bolt.size
        return self.o.at_least(max(size.round_head_height, half(size.washer_diameter) + size.washer_thickness))

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

    @cached_property
    def rail_length(self) -> int:
        """Of a rail, or of that half of it which is at the ladder's end."""
        return self.inside_length // 2 if self.o.in_halves else self.inside_length

    def lying(self, level: Level, side: str, what: str) -> str:
        """The key of what runs along a side, or of that half of it which is at the ladder's end."""
        return level.name(f"{side} {self.ends[0]} {what}" if self.o.in_halves else f"{side} {what}")

    def lengths(self, level: Level, side: str, what: str) -> tuple[str, ...]:
        """The keys of all its lengths, from the ladder's end on."""
        near = self.lying(level, side, what)
        return (near, near.replace(*self.ends)) if self.o.in_halves else (near,)

    def next_post(self, post: str) -> str:
        """The name of the post at the other end of what runs from a corner post at the ladder's end."""
        return post.replace(self.ends[0], f"{self.ends[0]} middle") if self.o.in_halves else post.replace(*self.ends)

    def at_middle(self, assembly: Assembly) -> Assembly:
        """The mirror image of what stands at the ladder's end, where its half of the bed ends, named for that."""
        return mirrored(assembly, "x", self.rail_length, self.ends[0], f"{self.ends[0]} middle")

    def in_middle(self, assembly: Assembly) -> Assembly:
        """What is outside of the posts at the ladder's end, inside of those where its half of the bed ends."""
        return self.at_middle(mirrored(assembly, "x", int(self.o.post.width), "x", "x"))

    def far(self, assembly: Assembly) -> Assembly:
        """The same at the other end of the bed, named for it."""
        return mirrored(assembly, "x", self.inside_length, *self.ends)


def inside_length(o: Options, *sleepers: Mattress) -> int:
    """The room between the end boards [nm]."""
    longest = max(mattress.length for mattress in sleepers)
    return evenly(o, o.at_least(longest) + int(o.mattress_allowance) + o.at_least(BEDDING))


def back_of(o: Options, mattress: Mattress, guarded: bool) -> int:
    """The outer face of the far rail of a bed for a mattress [nm]."""
    thickness = max(o.rail.thickness, o.guard.thickness) if guarded else o.rail.thickness
    post = laminations(o.post, POST_THICKNESS) * o.post.thickness
    return int(post + 2 * thickness + o.at_least(mattress.width) + o.mattress_allowance)
