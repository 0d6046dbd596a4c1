"""Where everything of a workbench is, as follows from what is asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.four_legs import Boards, Stand, stand_under

SPAN_IN_THICKNESSES: Final = 16
"""A top reaches so many of its thicknesses from bearer to bearer, 24 in for 1-1/2 in (common practice, no source)."""
BEARERS_APART: Final[BySystem] = {"inch": 16 * INCH, "metric": 400 * MM}
"""How far bearers are apart at most where work is heavy, as joists under a floor (common practice, no source)."""


SLOT: Final[BySystem] = {"inch": INCH // 8, "metric": 3 * MM}
"""How much longer than wide the holes for a slab's screws are (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Layout:
    """What follows from the options; lengths [nm]. deck: how high the bearers reach; bearers: where they begin; top:
    where each board or slab of the top begins, and of how many boards it is.
    """

    o: Options
    stand: Stand
    deck: int
    bearers: tuple[int, ...]
    top: tuple[tuple[int, int], ...]

    @property
    def wide(self) -> int:
        """Of a board of the top, as it lies."""
        return piece_width(self.o)


def top_thickness(o: Options) -> int:
    """Of the top: of boards as they lie, of slabs as wide as their boards [nm]."""
    return int(o.top_board.thickness if o.top == "boards" else o.top_board.width)


def piece_width(o: Options) -> int:
    """How wide a board of the top lies, or a board of a slab stands [nm]."""
    return int(o.top_board.width if o.top == "boards" else o.top_board.thickness)


def layout(o: Options) -> Layout:
    """Share the depth out to whole boards, and the length to bearers."""
    top, depth = _shared_out(o)
    deck = o.height - top_thickness(o)
    gap = int(o.top_gap)
    boards = Boards(piece_width(o) + gap, gap) if o.top == "boards" else Boards(piece_width(o), -(o.slabs - 1) * gap)
    shelf = int(o.shelf_board.thickness) if o.shelf else 0
    stand = stand_under(o, deck - o.bearer.thickness, (o.length, depth), (Boards(), boards), shelf)
    over_legs = o.near((o.leg.width - o.bearer.width) // 2)
    first, last = stand.starts[0] + over_legs, stand.starts[1] + o.leg.width - o.bearer.width - over_legs
    apart = o.at_most(BEARERS_APART) if o.work == "heavy" else SPAN_IN_THICKNESSES * top_thickness(o) + o.bearer.width
    gaps = max(1, -(-(last - first) // apart))
    if first < 0 or (last - first) // gaps < o.bearer.width:
        raise RefusalError(
            "bearer", f"bearer: {o.bearer.name} is too wide to lie over the legs of {o.leg.name}; choose a narrower one"
        )
    starts = (first, *(o.near(first + (last - first) * i // gaps) for i in range(1, gaps)), last)
    return Layout(o, stand, deck, starts, top)


def _shared_out(o: Options) -> tuple[tuple[tuple[int, int], ...], int]:
    """Where each board or slab begins and of how many boards it is, and how deep they are together [nm]."""
    wide, gap = piece_width(o), int(o.top_gap)
    if o.top == "boards":
        each = [1] * ((o.depth + gap) // (wide + gap))
    else:
        count = (o.depth - (o.slabs - 1) * gap) // wide
        if count < 2 * o.slabs:
            raise RefusalError(
                "slabs", f"slabs: {o.slabs} of {o.top_board.name} have not two boards each in this depth; choose fewer"
            )
        each = [count // o.slabs + (i < count % o.slabs) for i in range(o.slabs)]
    if not each:
        raise RefusalError(
            "top_board", f"top_board: {o.top_board.name} is wider than this top is deep; choose a narrower one"
        )
    starts, at = [], 0
    for number in each:
        starts.append((at, number))
        at += number * wide + gap
    return tuple(starts), at - gap
