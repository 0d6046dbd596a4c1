"""A shelf between two leg frames, on what joins their legs low: under a workbench's top, or a bench's seat."""

from __future__ import annotations

from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.leg_frames import SCREWS_APART, Legs
from sawbill_designs.common.parts import Assembly, screw_that_holds
from sawbill_designs.common.places import places_off, screw_places, spread

SHELF_GAP: Final[BySystem] = {"inch": 1 * INCH, "metric": 25 * MM}
"""The widest gap between the boards of the shelf, for shavings to fall through (common practice, no source)."""


def low_shelf(o: Options, legs: Legs, starts: tuple[int, int]) -> Assembly:
    """Boards between two leg frames, from the lowest board across one to that of the other, screwed down into both.

    starts: where the legs of the left and of the right frame begin [nm]. Raises RefusalError: of `shelf_board`.
    """
    left, right = starts[0] + o.leg.width, starts[1]
    stretcher = min(legs.boards, key=lambda board: board.bottom)
    z = stretcher.bottom + stretcher.section.width
    low, room = legs.leg_front, legs.depth - 2 * legs.leg_front
    widest = o.at_most(SHELF_GAP)
    count = min(-(-(room + widest) // (o.shelf_board.width + widest)), room // o.shelf_board.width)
    if count < 1:
        raise RefusalError(
            "shelf_board", f"shelf_board: {o.shelf_board.name} is wider than the shelf is deep; choose a narrower one"
        )
    places = spread(low, room, o.shelf_board.width, count, o.step) if count > 1 else (low,)
    size = screw_that_holds(o.screw_size, o.shelf_board.thickness, stretcher.section.width)
    half = o.near(stretcher.section.thickness // 2)
    found = Assembly()
    for i, y in enumerate(places, 1):
        part = Part(f"shelf board {i}", "shelf board", o.shelf_board, right - left, Placement((left, y, z), "x", "y"))
        screws = tuple(
            Screwed((part.key, f"{name} {stretcher.name}"), size, (x, across, z + o.shelf_board.thickness), "z", -1)
            for name, x in (("left", left + half), ("right", right - half))
            for across in _off_legs(o, legs, y, size)
        )
        found += Assembly((part,), screws)
    return found


def _off_legs(o: Options, legs: Legs, start: int, size: str) -> list[int]:
    """Where the screws across a board of the shelf go, clear of those that hold what it lies on to the legs."""
    wide = fasteners.screw_sizes()[size].diameter
    near = [legs.leg_front + y for y in (legs.inmost, legs.screws_in)]
    taken = [(y, legs.bolt.off_bore(wide)) for y in (*near, *(legs.depth - y for y in near))]
    edge = o.at_most(o.shelf_board.width // 6)
    span = start + edge, start + o.shelf_board.width - edge
    found = places_off(screw_places(start, o.shelf_board.width, o.step), span, taken, SCREWS_APART * wide, o.step)
    if not found:
        raise RefusalError(
            "shelf_board",
            f"shelf_board: the bolts and screws below leave no room for those of {o.shelf_board.name}; "
            "choose a wider shelf_board",
        )
    return found
