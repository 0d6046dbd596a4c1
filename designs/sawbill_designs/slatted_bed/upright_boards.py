"""The headboard and the footboard of a slatted bed."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Bolted, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.bolt_places import Face, bolt_places, half, pulled_places
from sawbill_designs.common.parts import (
    POST_THICKNESS,
    UNDER_SLATS,
    Assembly,
    crossing_screw,
    laminated,
    laminations,
    mirrored,
)
from sawbill_designs.common.places import board_heights, diagonal_places
from sawbill_designs.slatted_bed.plan import Layout

BESIDE_POST: Final[BySystem] = {"inch": INCH // 4, "metric": 6 * MM}
"""The least an upright stands inside of the post, off the washer of the end board's bolt (practice)."""


BACK: Final = 150 * MM
"""So far above the mattress one leans against a board (common practice, no source)."""


WIDEST_HEADBOARD_GAP: Final[BySystem] = {"inch": 3 * INCH, "metric": 75 * MM}


def upright_board(at: Layout, end: str) -> Assembly:
    """A headboard or footboard: boards across two uprights, each bolted to the end board.

    Where it is high enough to lean against, the uprights are laminated, and their bolts have large washers if there is
    room.
    """
    o = at.o
    beside = o.at_least(max(o.at_least(BESIDE_POST), half(at.bolt.size.washer_diameter - o.post.thickness)))
    inner = o.rail.thickness + at.post_depth + beside
    if 2 * (inner - o.rail.thickness + o.post.width) > at.inside_width:
        raise RefusalError(
            f"{end}board",
            f"{end}board: two uprights of {o.post.name} have no room between the posts of this mattress; "
            f"choose a narrower post, or leave the {end}board out",
        )
    end_top = at.end_board_bottom + o.end_board.width
    low = max(o.clear_height + o.rail.width, end_top, at.mattress_base) + o.at_least(UNDER_SLATS)
    over = at.mattress_base + o.at_least(o.mattress.thickness) + o[f"{end}board_rise"]
    top = max(over, low + o.end_board.width)
    leaned = top >= at.mattress_base + o.mattress.thickness + BACK
    layers = laminations(o.post, POST_THICKNESS) if leaned and not _from_behind(o) else 1
    place = Placement((-layers * o.post.thickness, inner, 0), "z", "y")
    upright = laminated(f"left {end}board upright", f"{end}board upright", o.post, top, place, layers)
    face = Face((at.end_board_bottom, end_top), (inner, inner + o.post.width))
    words = f"an end board of {o.end_board.name} on a {end}board's upright"
    pulled = pulled_places(replace(face, large=True), at.bolt) if leaned else ()
    places = pulled or bolt_places(face, at.bolt, "end_board", words)
    through, x = (*upright.keys, f"{end} end board"), place.origin[0]
    ends: tuple[fasteners.BoltEnd, bool] = ("nut", True) if pulled else ("tee nut", False)
    bolts = tuple(Bolted(through, o.bolt_size, (x, y, z), "x", 1, *ends) for z, y in places)
    left = upright + Assembly((), bolts)
    both = left + mirrored(left, "y", at.width, "left", "right")
    inmost = tuple(part for part in both.parts if part.box.high[0] == 0)
    whole = both + _cross_boards(at, end, inmost, low, top)
    return whole if end == "head" else mirrored(whole, "x", at.length, "head", "head")


def _from_behind(o: Options) -> bool:
    """Whether the screws of a headboard's boards go in from behind its uprights."""
    return crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)[1]


def _cross_boards(at: Layout, end: str, uprights: tuple[Part, ...], low: int, top: int) -> Assembly:
    """Boards from the top of the uprights down to `low`, no more than 3 in apart, each on four screws."""
    o, gap = at.o, at.o.at_most(WIDEST_HEADBOARD_GAP)
    boards = tuple(
        Part(f"{end}board board {i}", f"{end}board board", o.end_board, at.width, Placement((0, 0, z), "y", "z"))
        for i, z in enumerate(board_heights(low, top, o.end_board.width, gap, o.step), 1)
    )
    size, from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)
    screws = tuple(
        Screwed((upright.key, board.key), size, (-o.post.thickness, y, z), "x", 1)
        if from_behind
        else Screwed((board.key, upright.key), size, (o.end_board.thickness, y, z), "x", -1)
        for board in boards
        for upright in uprights
        for y, z in diagonal_places(upright, board, "y", o.step)
    )
    return Assembly(boards, screws)
