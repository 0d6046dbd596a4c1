"""The headboard and the footboard of a slatted bed."""

from __future__ import annotations

from sawbill.trade.design import RefusalError
from sawbill_designs.common.parts import UNDER_SLATS, Assembly, mirrored
from sawbill_designs.common.upright_boards import UprightBoard, beside_post
from sawbill_designs.slatted_bed.plan import Layout


def upright_board(at: Layout, end: str) -> Assembly:
    """A headboard or footboard: boards across two uprights, each bolted to the end board."""
    o = at.o
    inner = o.rail.thickness + at.post_depth + beside_post(o, at.bolt)
    if 2 * (inner - o.rail.thickness + o.post.width) > at.inside_width:
        raise RefusalError(
            f"{end}board",
            f"{end}board: two uprights of {o.post.name} have no room between the posts of this mattress; "
            f"choose a narrower post, or leave the {end}board out",
        )
    lying = at.end_board_bottom, at.end_board_bottom + o.end_board.width
    low = max(o.clear_height + o.rail.width, lying[1], at.mattress_base) + o.at_least(UNDER_SLATS)
    over = at.mattress_base + o.at_least(o.mattress.thickness) + o[f"{end}board_rise"]
    found = UprightBoard(
        o, at.bolt, end, (f"{end} end board", "end_board", lying), o.end_board, inner, at.width, low,
        max(over, low + o.end_board.width), at.mattress_base + o.mattress.thickness,
    ).whole  # fmt: skip
    return found if end == "head" else mirrored(found, "x", at.length, "head", "head")
