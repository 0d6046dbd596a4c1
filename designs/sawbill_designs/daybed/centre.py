"""What carries the slats of a daybed at mid width: a beam, its leg, and what the boards stand on that it hangs from."""

from __future__ import annotations

from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Glued, Part, Placement, Resting, Screwed
from sawbill_designs.common.parts import Assembly, centre_beam, crossing_screw
from sawbill_designs.common.places import diagonal_places
from sawbill_designs.common.splices import Centre
from sawbill_designs.daybed.plan import Layout
from sawbill_designs.daybed.sides import SIDES


def centre(at: Layout, ends: tuple[Part, Part]) -> Centre:
    """The beam in its hangers on the lowest end boards, and its leg. Raises RefusalError: a trundle is in its way."""
    o = at.o
    if at.support == "none":
        return Centre({})
    if at.support == "beam and leg" and o.trundle:
        raise RefusalError("centre_support", "centre_support: a leg would stand in the trundle's way; beam would do")
    beam = centre_beam(o, ends, at.width, at.rail_bottom)
    return Centre.of(o, beam, at.length, leg=at.support == "beam and leg", ends=SIDES)


def end_leg(at: Layout, board: Part) -> Assembly:
    """The leg on which the board of the left end rests that a wide bed's beam hangs from; none where it needs none.

    A piece under the board, glued to one beside it, outside between the posts, where it is in no trundle's way.
    """
    o, (x, _, bottom), (_, _, top) = at.o, *board.box
    if not at.end_legs:
        return Assembly()
    y, face, outer = o.near((at.width - o.post.width) // 2), board.box.high[0], x - o.post.thickness
    under = Part("left leg under end board", "leg under end board", o.post, bottom, Placement((x, y, 0), "z", "y"))
    beside = Part("left leg beside end board", "leg beside end board", o.post, top, Placement((outer, y, 0), "z", "y"))
    size, from_board = crossing_screw(o.screw_size, o.post.thickness, o.end_board.thickness)
    screws = (
        Screwed((board.key, beside.key), size, (face, along, z), "x", -1)
        if from_board
        else Screwed((beside.key, board.key), size, (outer, along, z), "x", 1)
        for along, z in diagonal_places(beside, board, "y", o.step)
    )
    return Assembly((under, beside), (Glued((under.key, beside.key)), Resting((board.key, under.key)), *screws))
