"""The shelf of a workbench, on its stretchers."""

from __future__ import annotations

from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.four_legs import SCREWS_APART
from sawbill_designs.common.parts import Assembly, screw_that_holds
from sawbill_designs.common.places import places_off, screw_places, spread
from sawbill_designs.workbench.plan import Layout

SHELF_GAP: Final[BySystem] = {"inch": 1 * INCH, "metric": 25 * MM}
"""The widest gap between the boards of the shelf, for shavings to fall through (common practice, no source)."""


def shelf_boards(at: Layout) -> Assembly:
    """Boards from stretcher to stretcher, between the leg frames, screwed down into both."""
    o, legs = at.o, at.stand.legs
    left, right = at.stand.starts[0] + o.leg.width, at.stand.starts[1]
    stretcher = legs.boards[-1]
    z = stretcher.bottom + stretcher.section.width
    low, room = legs.leg_front, legs.depth - 2 * legs.leg_front
    widest = o.at_most(SHELF_GAP)
    count = min(-(-(room + widest) // (o.shelf_board.width + widest)), room // o.shelf_board.width)
    if count < 1:
        raise RefusalError(
            "shelf_board", f"shelf_board: {o.shelf_board.name} is wider than the shelf is deep; choose a narrower one"
        )
    starts = spread(low, room, o.shelf_board.width, count, o.step) if count > 1 else (low,)
    size = screw_that_holds(o.screw_size, o.shelf_board.thickness, stretcher.section.width)
    half = o.near(stretcher.section.thickness // 2)
    found = Assembly()
    for i, y in enumerate(starts, 1):
        part = Part(f"shelf board {i}", "shelf board", o.shelf_board, right - left, Placement((left, y, z), "x", "y"))
        screws = tuple(
            Screwed((part.key, f"{name} stretcher"), size, (x, across, z + o.shelf_board.thickness), "z", -1)
            for name, x in (("left", left + half), ("right", right - half))
            for across in _off_legs(at, y, size)
        )
        found += Assembly((part,), screws)
    return found


def _off_legs(at: Layout, start: int, size: str) -> list[int]:
    """Where the screws across a board of the shelf go, clear of those that hold the stretchers to the legs."""
    o, legs, wide = at.o, at.stand.legs, fasteners.screw_sizes()[size].diameter
    near = [legs.leg_front + y for y in (legs.inmost, legs.screws_in)]
    taken = [(y, legs.bolt.off_bore(wide)) for y in (*near, *(legs.depth - y for y in near))]
    edge = o.at_most(o.shelf_board.width // 6)
    span = start + edge, start + o.shelf_board.width - edge
    found = places_off(screw_places(start, o.shelf_board.width, o.step), span, taken, SCREWS_APART * wide, o.step)
    if not found:
        raise RefusalError(
            "shelf_board",
            f"shelf_board: the bolts and screws of the stretchers leave no room for those of {o.shelf_board.name}; "
            "choose a wider shelf_board",
        )
    return found
