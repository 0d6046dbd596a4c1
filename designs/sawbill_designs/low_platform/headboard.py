"""The headboard of a low platform."""

from __future__ import annotations

from sawbill.trade.design import RefusalError
from sawbill_designs.common.parts import BEAM_THICKNESS, UNDER_SLATS, Assembly, laminations
from sawbill_designs.common.upright_boards import UprightBoard, beside_post
from sawbill_designs.low_platform.plan import Layout


def headboard(at: Layout, rail: str) -> Assembly:
    """Boards over the end of the deck, across two uprights that are bolted to the upper rail at the head, by its key.

    Raises RefusalError: the uprights have no room between the posts, beside the beam.
    """
    o = at.o
    inner = o.overhang + o.rail.thickness + at.post_layers * o.post.thickness + beside_post(o, at.bolt)
    beam = 0 if at.support == "none" else laminations(o.ledger, BEAM_THICKNESS) * o.ledger.thickness
    if 2 * (inner + o.post.width + beside_post(o, at.bolt)) + beam > at.width:
        raise RefusalError(
            "headboard",
            f"headboard: two uprights of {o.post.name} have no room between the posts under this mattress; choose "
            "a narrower post, or leave the headboard out",
        )
    board, mattress_top = o.headboard_board, o.height + o.at_least(o.mattress.thickness)
    low = o.height + (o.slat.thickness if at.stop else 0) + o.at_least(UNDER_SLATS)
    top = max(mattress_top + o.headboard_rise, low + board.width)
    held, lies = (rail, "rail", at.courses[0]), o.height + o.mattress.thickness
    return UprightBoard(o, at.bolt, "head", held, board, inner, at.width, low, top, lies).whole
