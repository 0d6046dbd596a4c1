"""Where everything of a shelf unit is, as follows from what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH, MM, BySystem, format_length
from sawbill_designs.common.bolt_places import BETWEEN_BORES
from sawbill_designs.common.parts import SCREW_END, crossing_screw, screw_that_holds
from sawbill_designs.common.places import board_run, clear_place, screw_places, shared
from sawbill_designs.shelf_unit.options import HIGHEST

FOOT: Final[BySystem] = {"inch": 2 * INCH, "metric": 50 * MM}
"""How far the lowest cleats stay above the floor, for a broom and a skirting board (practice)."""


LEAST_OPENING: Final = 2 * INCH
"""The least clear height between a shelf and the cleats above it (common practice, no source)."""


@dataclass(frozen=True)
class Layout:
    """Every dimension that follows from the options [nm]; levels are the undersides of shelves above the floor.

    cleat_screw: the size that holds a cleat to an upright, and whether it goes in from the upright's side.
    """

    o: Options
    bay: int
    levels: tuple[int, ...]
    cleat_screw: tuple[str, bool]
    shelf_screw: str

    @property
    def width(self) -> int:
        """Over the outer frames: what was asked for, less what does not divide into bays."""
        return int(self.o.bays * (self.bay + self.o.upright.thickness) + self.o.upright.thickness)

    @property
    def frames(self) -> range:
        """Where each frame's uprights begin along the shelves."""
        thickness = self.o.upright.thickness
        return range(0, self.width - thickness + 1, self.bay + thickness)

    @property
    def numbers(self) -> range:
        """What the shelves are called, from the lowest up."""
        return range(1, int(self.o.shelves) + 1)

    @cached_property
    def spare(self) -> tuple[int, ...]:
        """Where a shelf's underside would be on each spare cleat, from the lowest up."""
        o, found = self.o, list[int]()
        for below, above in pairwise(self.levels):
            shares = shared(above - below, o.spare_cleats + 1, o.step)
            found += accumulate(shares[:-2], initial=below + shares[0]) if o.spare_cleats else ()
        return tuple(found)

    @property
    def cleats(self) -> tuple[int, ...]:
        """Every height that cleats carry a shelf at."""
        return tuple(sorted((*self.levels, *self.spare)))

    @cached_property
    def uprights(self) -> tuple[tuple[str, int, int], ...]:
        """The uprights of a frame: which, where each begins along the depth, how wide it is.

        Two, ripped to half the depth where they are wider; one where its own width is all the depth.
        """
        depth, width = self.o.depth, self.o.upright.width
        if width >= depth:
            return (("", 0, depth),)
        width = min(width, self.o.at_most(depth // 2))
        return ("front ", 0, width), ("rear ", depth - width, width)

    @cached_property
    def boards(self) -> tuple[tuple[int, int], ...]:
        """Where each board of a shelf begins along the depth, and how wide it is."""
        return board_run(0, self.o.depth, self.o.shelf_board.width, self.o.shelf_gap, self.o.step)

    @cached_property
    def across(self) -> tuple[tuple[int, int], ...]:
        """Where the two screws of a cleat go along the depth in each upright, clear of those of the shelf boards."""
        sizes = fasteners.screw_sizes()
        diameter = sizes[self.cleat_screw[0]].diameter
        room = (diameter + sizes[self.shelf_screw].diameter) // 2 + BETWEEN_BORES
        taken = [y for start, width in self.boards for y in screw_places(start, width, self.o.step)]
        found = []
        for _, start, width in self.uprights:
            end, inside = SCREW_END * diameter, (start + diameter, start + width - diameter)
            better = max(inside[0], end), min(inside[1], self.o.depth - end)
            ways = [
                [clear_place(start + width * i // 7, span, taken, room, self.o.step) for i in (1, 6)]
                for span in (better, inside)
            ]
            places = next((way for way in ways if None not in way and way[0] != way[1]), ways[-1])
            if places[0] is None or places[1] is None:
                raise RefusalError(
                    "shelf_board",
                    "shelf_board: the screws of these shelf boards leave no room for those of the cleats; choose a "
                    "wider shelf board or upright",
                )
            found.append((places[0], places[1]))
        return tuple(found)


def layout(o: Options) -> Layout:
    """Divide the width into bays and the height into shelves, and choose the screws."""
    bay = o.at_most((o.width - (o.bays + 1) * o.upright.thickness) // o.bays)
    if bay < 2 * o.cleat.thickness + LEAST_OPENING:
        raise RefusalError(
            "bays",
            f"bays: {o.bays} with uprights of {o.upright.name} and cleats of {o.cleat.name} leave no room inside this "
            "width; choose fewer bays, a greater width, or thinner wood",
        )
    low, high = o.at_least(FOOT) + o.cleat.width, o.height - o.shelf_board.thickness
    each = o.cleat.width + o.shelf_board.thickness + LEAST_OPENING
    if high - low < (o.shelves - 1) * each:
        raise RefusalError(
            "shelves",
            f"shelves: {o.shelves} on cleats of {o.cleat.name} leave no room between each other at this height; "
            f"choose at most {max(0, (high - low) // each + 1)}, a greater height, or a narrower cleat"
            if high - low >= each
            else f"shelves: cleats of {o.cleat.name} leave no room for two shelves at this height; choose a narrower "
            "cleat, or a greater height",
        )
    levels = tuple(accumulate(_rises(o, high - low, each), initial=low))
    _check_spare(o, [above - below for below, above in pairwise(levels)], each)
    cleat_screw = crossing_screw(o.screw_size, o.cleat.thickness, o.upright.thickness)
    if cleat_screw[1] and o.bays > 1:
        raise RefusalError(
            "cleat",
            f"cleat: cleats of {o.cleat.name} on both sides of {o.upright.name} take no screw that holds; choose a "
            "thinner cleat, a thicker upright, or another screw_size",
        )
    shelf_screw = screw_that_holds(o.screw_size, o.shelf_board.thickness, o.cleat.width)
    return Layout(o, bay, levels, cleat_screw, shelf_screw)


def _check_spare(o: Options, rises: Sequence[int], each: int) -> None:
    """Refuse more cleats than the lowest opening has room for; each: from one level of cleats to the next [nm]."""
    wanted = o.at_least((o.spare_cleats + 1) * each)
    tight = min(rises)
    if not o.spare_cleats or tight // (o.spare_cleats + 1) >= each:
        return
    low, least = (format_length(rise - o.shelf_board.thickness, o.system) for rise in (tight, wanted))
    named, rest = rises[: len(o.openings)], len(rises) - len(o.openings)
    lack = sum(max(rise, wanted) for rise in named) + rest * wanted - sum(rises)
    height = o.at_least(o.height + max(0, lack))
    larger = [
        *([f"a height of {format_length(height, o.system)} or more"] if lack > 0 else []),
        *([f"{least} for every opening that is named lower"] if min(named, default=wanted) < wanted else []),
    ]
    ways = ["none" if o.spare_cleats == 1 else "fewer", "a narrower cleat"]
    ways += [" with ".join(larger)] if height <= HIGHEST else []
    cleats = "1 more cleat of {} has" if o.spare_cleats == 1 else f"{o.spare_cleats} more cleats of {{}} have"
    raise RefusalError(
        "spare_cleats",
        f"spare_cleats: {cleats.format(o.cleat.name)} no room in an opening of {low}, which must be {least} high at "
        f"least; choose {', '.join(ways[:-1])} or {ways[-1]}",
    )


def _rises(o: Options, room: int, least: int) -> tuple[int, ...]:
    """From each shelf to the next: those of the openings that are named, the others alike; least: of one [nm].

    Raises RefusalError: more than there are, one too low for the cleats above it, or no room for the rest.
    """
    named = [opening + o.shelf_board.thickness for opening in o.openings]
    rest = o.shelves - 1 - len(named)
    if rest < 1:
        raise RefusalError(
            "openings",
            f"openings: {o.shelves} shelves have {o.shelves - 1} openings, of which the highest takes what is left; "
            f"name {o.shelves - 2} at most"
            if o.shelves > 2
            else "openings: 2 shelves have 1 opening, which takes what there is; leave openings out",
        )
    if named and min(named) < least:
        lowest = format_length(least - o.shelf_board.thickness, o.system)
        raise RefusalError(
            "openings",
            f"openings: cleats of {o.cleat.name} stand in an opening, which is {lowest} high at least; raise it, or "
            "choose a narrower cleat",
        )
    left = room - sum(named)
    if left < rest * least:
        most = format_length(max(0, room - rest * least - len(named) * o.shelf_board.thickness), o.system)
        raise RefusalError(
            "openings",
            f"openings: those named leave no room for the {rest} above them; together they may be {most} at most",
        )
    return (*named, *shared(left, rest, o.step))


def frame_name(at: Layout, i: int) -> str:
    """What the frame of a number is called, from the left."""
    last = len(at.frames) - 1
    return (
        "left frame" if i == 0 else "right frame" if i == last else f"middle frame {i}" if last > 2 else "middle frame"
    )


def twentieths(o: Options, low: int, numbers: tuple[int, ...]) -> list[int]:
    """The marks next to so many twentieths of a cleat's width above a height [nm]."""
    return [low + o.near(o.cleat.width * n // 20) for n in numbers]
