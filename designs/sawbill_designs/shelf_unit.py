"""A shelf unit: frames of uprights and cleats, boards laid on the cleats from frame to frame, rails behind.

x runs along the shelves from the left, y from front to back, z up from the floor. Frames stay whole; shelf boards
and back rails are screwed on, and come off.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Final, Literal

from sawbill.trade import fasteners, option
from sawbill.trade.declaring.headings import SIZE
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import CarriedPiece, Frame, Note, Part, Placement, Screwed, Strap, Surface
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.bolt_places import BETWEEN_BORES
from sawbill_designs.common.options import FINISH, SCREW_SIZE
from sawbill_designs.common.parts import (
    SCREW_END,
    Assembly,
    carried_by_name,
    crossing_screw,
    frame_of,
    screw_that_holds,
    stout,
)
from sawbill_designs.common.places import board_run, clear_place, screw_places, shared

FOOT: Final[BySystem] = {"inch": 2 * INCH, "metric": 50 * MM}
"""How far the lowest cleats stay above the floor, for a broom and a skirting board (practice)."""
LEAST_OPENING: Final = 2 * INCH
"""The least clear height between a shelf and the cleats above it (common practice, no source)."""
SPAN_IN_THICKNESSES: Final = 32
"""A shelf board spans this many of its thicknesses, 24 in for 3/4 in; beyond, books bend it (practice)."""
TIPS_FROM: Final = 2
"""A unit more than this many times as high as deep is told to be fixed to the wall (practice)."""

OPTIONS: Final = (
    option.Length(
        "width", "Width over the outer frames.",
        default=36 * INCH, metric_default=900 * MM, least=12 * INCH, most=144 * INCH, rounding="down",
    ),
    option.Length(
        "height", "Height, to the top of the highest shelf and of the uprights.",
        default=72 * INCH, metric_default=1800 * MM, least=18 * INCH, most=96 * INCH, rounding="down",
    ),
    option.Length(
        "depth", "Depth of the shelves.",
        default=12 * INCH, metric_default=300 * MM, least=6 * INCH, most=36 * INCH, rounding="down",
    ),
    option.Count("shelves", "How many shelves, the lowest and the top one among them.", default=4, least=2, most=12,
                 heading=SIZE),
    option.Count("bays", "How many bays side by side, each between two frames.", default=1, least=1, most=6,
                 heading=SIZE),
    option.Section("upright", "Section of the uprights, their width along the depth.", role="post"),
    option.Section("shelf_board", "Section of the shelf boards, laid flat side by side.", role="shelf"),
    option.Section("cleat", "Section of the cleats that carry the shelves, on edge.", role="ledger"),
    option.Length(
        "shelf_gap", "Widest gap between the boards of a shelf.",
        default=INCH * 3 // 4, metric_default=20 * MM, least=0, most=2 * INCH, rounding="down",
    ),
    option.Choice(
        "back_bracing", "Rails across the back, which keep it from leaning sideways: at top and bottom, behind every "
        "opening between shelves, or none, for a unit fixed to a wall at both its sides.",
        choices=("top and bottom", "every opening", "none"), default="every opening",
    ),
    option.Section("back_rail", "Section of the rails across the back.", role="rail"),
    SCREW_SIZE,
    FINISH,
)  # fmt: skip


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


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: shelves or bays with no room between, or wood no screw holds."""
    at = _layout(o)
    names = [_name(at, i) for i in range(len(at.frames))]
    frames = {name: _frame(at, i) for i, name in enumerate(names)}
    each = [_shelf(at, bay, n - 1) for bay in range(o.bays) for n in at.numbers]
    shelves = sum(each, Assembly())
    rails = _rails(at) if o.back_bracing != "none" else Assembly()
    return frame_of(
        *frames.values(), shelves, rails,
        carried_pieces=(
            *(CarriedPiece(name, frame.keys) for name, frame in frames.items()),
            *carried_by_name((*shelves.parts, *rails.parts)),
        ),
        notes=_notes(at),
        finish=o.finish,
        surfaces=tuple(Surface("shelf", "shelf", shelf.keys) for shelf in each),
        straps=tuple(Strap(f"{names[i]} {at.uprights[-1][0]}upright", "y", 1) for i in (0, -1)),
    )  # fmt: skip


def _layout(o: Options) -> Layout:
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
    levels = tuple(accumulate(shared(high - low, o.shelves - 1, o.step), initial=low))
    cleat_screw = crossing_screw(o.screw_size, o.cleat.thickness, o.upright.thickness)
    if cleat_screw[1] and o.bays > 1:
        raise RefusalError(
            "cleat",
            f"cleat: cleats of {o.cleat.name} on both sides of {o.upright.name} take no screw that holds; choose a "
            "thinner cleat, a thicker upright, or another screw_size",
        )
    shelf_screw = screw_that_holds(o.screw_size, o.shelf_board.thickness, o.cleat.width)
    return Layout(o, bay, levels, cleat_screw, shelf_screw)


def _name(at: Layout, i: int) -> str:
    last = len(at.frames) - 1
    return (
        "left frame" if i == 0 else "right frame" if i == last else f"middle frame {i}" if last > 2 else "middle frame"
    )


def _frame(at: Layout, i: int) -> Assembly:
    """Uprights, and at every level a cleat on each side that faces a bay."""
    o, name, x = at.o, _name(at, i), at.frames[i]
    uprights = tuple(
        Part(f"{name} {which}upright", "upright", o.upright, o.height, Placement((x, y, 0), "z", "y"),
             ripped=None if width == o.upright.width else width)
        for which, y, width in at.uprights
    )  # fmt: skip
    sides = [side for side, faces_a_bay in (("right", i < o.bays), ("left", i > 0)) if faces_a_bay]
    cleats = (_cleat(at, f"{name} {side} cleat {n}", uprights, side, n - 1) for n in at.numbers for side in sides)
    return sum(cleats, Assembly(uprights))


def _cleat(at: Layout, key: str, uprights: tuple[Part, ...], side: str, level: int) -> Assembly:
    """A cleat on one side of a frame, its screws at other heights than those of the cleat on the other side."""
    o, size, from_upright = at.o, *at.cleat_screw
    inner = uprights[0].box.span("x")[1 if side == "right" else 0]
    start = inner if side == "right" else inner - o.cleat.thickness
    low = at.levels[level] - o.cleat.width
    cleat = Part(key, "cleat", o.cleat, o.depth, Placement((start, 0, low), "y", "z"))
    outward = 1 if side == "right" else -1
    head = inner - outward * o.upright.thickness if from_upright else inner + outward * o.cleat.thickness
    toward: Literal[1, -1] = 1 if (side == "right") == from_upright else -1
    heights = _twentieths(o, low, (3, 11) if side == "right" else (7, 15))
    screws = tuple(
        Screwed((upright.key, key) if from_upright else (key, upright.key), size, (head, y, z), "x", toward)
        for upright, places in zip(uprights, at.across, strict=True)
        for y, z in zip(places, heights, strict=True)
    )
    return Assembly((cleat,), screws)


def _shelf(at: Layout, bay: int, level: int) -> Assembly:
    """The boards of one shelf in one bay, lying on two cleats and screwed down into them."""
    o, z = at.o, at.levels[level]
    x = at.frames[bay] + o.upright.thickness
    half = o.near(o.cleat.thickness // 2)
    carriers = (
        (f"{_name(at, bay)} right cleat {level + 1}", x + half),
        (f"{_name(at, bay + 1)} left cleat {level + 1}", x + at.bay - half),
    )
    parts, screws = [], []
    for i, (y, width) in enumerate(at.boards, 1):
        name, ripped = ("shelf board", None) if width == o.shelf_board.width else ("narrow shelf board", width)
        key = f"bay {bay + 1} shelf {level + 1} board {i}"
        place = Placement((x, y, z), "x", "y")
        parts.append(Part(key, name, o.shelf_board, at.bay, place, ripped=ripped, rounding="down"))
        screws += [
            Screwed((key, cleat), at.shelf_screw, (along, across, z + o.shelf_board.thickness), "z", -1)
            for cleat, along in carriers
            for across in screw_places(y, width, o.step)
        ]
    return Assembly(tuple(parts), tuple(screws))


def _rail_heights(at: Layout) -> tuple[int, ...]:
    """How high each back rail begins: behind the middle of its opening, the top one first, none over another."""
    o = at.o
    openings = list(pairwise(at.levels))[::-1]
    chosen = openings if o.back_bracing == "every opening" else [openings[0], *openings[1:][-1:]]
    found: list[int] = []
    for below, above in chosen:
        middle = below + o.shelf_board.thickness + above - o.cleat.width
        z = min(max(o.near((middle - o.back_rail.width) // 2), 0), o.height - o.back_rail.width)
        if not found or z + o.back_rail.width <= found[-1]:
            found.append(z)
    return tuple(found)


def _rails(at: Layout) -> Assembly:
    """The back rails over the whole width, each on two screws in every frame, clear of those of the cleats."""
    o = at.o
    name, _, width = at.uprights[-1]
    size = screw_that_holds(stout(o.screw_size), o.back_rail.thickness, width)
    diameters = fasteners.screw_sizes()[size].diameter + fasteners.screw_sizes()[at.cleat_screw[0]].diameter
    taken = [z for level in at.levels for z in _twentieths(o, level - o.cleat.width, (3, 7, 11, 15))]
    third = o.near(o.upright.thickness // 3)
    parts, screws = [], []
    for n, low in enumerate(_rail_heights(at), 1):
        rail = Part(f"back rail {n}", "back rail", o.back_rail, at.width, Placement((0, o.depth, low), "x", "z"))
        parts.append(rail)
        for i, x in enumerate(at.frames):
            heights = _clear_heights(o, rail, taken, diameters // 2 + BETWEEN_BORES)
            upright = f"{_name(at, i)} {name}upright"
            screws += [
                Screwed((rail.key, upright), size, (x + across, rail.box.high[1], z), "y", -1)
                for across, z in zip((third, o.upright.thickness - third), heights, strict=False)
            ]
    return Assembly(tuple(parts), tuple(screws))


def _twentieths(o: Options, low: int, numbers: tuple[int, ...]) -> list[int]:
    """The marks next to so many twentieths of a cleat's width above a height [nm]."""
    return [low + o.near(o.cleat.width * n // 20) for n in numbers]


def _clear_heights(o: Options, rail: Part, taken: list[int], room: int) -> list[int]:
    """The heights nearest to a rail's edges where a screw keeps off all that are taken, and off the other."""
    low, width = rail.placement.origin[2], rail.width
    span, found = (low + width // 8, low + width - width // 8), list[int]()
    for wanted in span:
        place = clear_place(wanted, span, [*taken, *found], room, o.step)
        found += [] if place is None else [place]
    if not found:
        raise RefusalError(
            "back_rail",
            f"back_rail: the screws of {rail.section.name} run into those of the cleats; choose a wider back rail, or "
            "fewer shelves",
        )
    return found


def _notes(at: Layout) -> tuple[Note, ...]:
    o, notes = at.o, []
    if o.height > TIPS_FROM * o.depth:
        notes.append(
            Note(
                "tips-over",
                "A unit this high for its depth can tip over and hurt someone: fix its top to the studs or the masonry "
                "of a wall by its straps, with fasteners made for that wall; put what is heavy low, and let nobody "
                "climb on it. "
                "Local codes and licensed practice come before this advice.",
            )
        )
    if at.bay > SPAN_IN_THICKNESSES * o.shelf_board.thickness:
        notes.append(
            Note(
                "long-shelves",
                f"The shelf boards span more than {SPAN_IN_THICKNESSES} of their thicknesses and will bend under "
                "books: choose more bays, or a thicker shelf board.",
            )
        )
    if o.back_bracing == "none":
        notes.append(
            Note("no-bracing", "Nothing keeps the unit from leaning sideways: fix it to a wall at both its sides.")
        )
    elif len(_rail_heights(at)) < (o.shelves - 1 if o.back_bracing == "every opening" else min(2, o.shelves - 1)):
        notes.append(Note("fewer-back-rails", "The back rails are wider than the openings: some are left out."))
    return tuple(notes)


DESIGN: Final = Design(
    name="shelf-unit",
    title="Shelf unit",
    summary=(
        "Frames of uprights and cleats, boards laid from frame to frame, and rails across the back. Comes apart into "
        "its frames, shelf boards and rails."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "Spans, screws and bracing: common practice, no source",
    ),
)
