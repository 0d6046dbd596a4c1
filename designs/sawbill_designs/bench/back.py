"""The back of a bench."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.bench.plan import Layout
from sawbill_designs.common.leg_frames import told
from sawbill_designs.common.parts import Assembly, crossing_screw
from sawbill_designs.common.places import board_heights, diagonal_places

UNDER_BACK: Final[BySystem] = {"inch": 1 * INCH, "metric": 25 * MM}
"""How far the lowest board of a back stays above the seat, so that water and crumbs go (practice)."""


WIDEST_BACK_GAP: Final[BySystem] = {"inch": 3 * INCH, "metric": 75 * MM}
"""The widest gap between the boards of a back, where their width allows it (common practice, no source)."""


def through_uprights(rear: Assembly, thickness: int, *, pulled: bool) -> Assembly:
    """The rear rail's bolts let through the uprights of a back, which the same bolts hold.

    Who leans against the back pulls at them, so they have large washers at both ends where these lie flat.
    """

    def through(joint: Bolted) -> Bolted:
        x, y, z = joint.head
        upright = joint.parts[1].partition(" rear leg")[0] + " upright"
        parts, head = (upright, *joint.parts), (x, y + thickness, z)
        longer = replace(joint, parts=parts, head=head)
        return replace(longer, end="nut", large_washers=True) if pulled else longer

    return Assembly(rear.parts, tuple(through(joint) for joint in rear.joints if isinstance(joint, Bolted)))


def back_boards(at: Layout, legs: dict[str, int]) -> Assembly:
    """Uprights behind the rear rail, and boards across their front from above the seat to the top.

    They stand on the floor, so that who leans back does not tip it over.
    """
    o = at.o
    room = o.back_height - o.at_least(UNDER_BACK)
    if o.back_board.width > room:
        raise RefusalError(
            "back_board",
            f"back_board: {o.back_board.name} is wider than this back is high above the seat; choose a narrower one, "
            f"or a back_height of at least {told(o.back_board.width + o.at_least(UNDER_BACK), at.bolt)}",
        )
    top = o.height + o.back_height
    uprights = tuple(
        Part(f"{name} upright", "back upright", o.leg, top, Placement((x, o.depth, 0), "z", "x"))
        for name, x in legs.items()
    )
    heights = board_heights(top - room, top, o.back_board.width, o.at_most(WIDEST_BACK_GAP), o.step)
    boards = tuple(
        Part(f"back board {i}", "back board", o.back_board, o.length,
             Placement((0, o.depth - o.back_board.thickness, z), "x", "z"))
        for i, z in enumerate(heights, 1)
    )  # fmt: skip
    size, from_behind = crossing_screw(o.screw_size, o.back_board.thickness, o.leg.thickness)
    screws = tuple(
        Screwed((upright.key, board.key), size, (x, o.depth + o.leg.thickness, z), "y", -1)
        if from_behind
        else Screwed((board.key, upright.key), size, (x, o.depth - o.back_board.thickness, z), "y", 1)
        for board in boards
        for upright in uprights
        for x, z in diagonal_places(upright, board, "x", o.step)
    )
    return Assembly((*uprights, *boards), screws)
