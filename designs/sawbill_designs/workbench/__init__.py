"""A workbench: two rails on stout leg frames, bearers across, a top along them of boards or of glued slabs, a shelf.

x runs along the bench from the left, y from its front to its rear edge, z up from the floor. The bolts of the rails
come out: what is left is rails, leg frames, bearers, and the boards or slabs of the top and the shelf.
"""

from __future__ import annotations

from typing import Final

from sawbill.trade.design import Design, Options
from sawbill.trade.frame import CarriedPiece, Frame, Note, Surface, Use
from sawbill_designs.common.leg_frames import told
from sawbill_designs.common.low_shelf import low_shelf
from sawbill_designs.common.parts import Assembly, carried_by_name, frame_of
from sawbill_designs.workbench.options import OPTIONS
from sawbill_designs.workbench.plan import SLOT, Layout, layout
from sawbill_designs.workbench.top import bearers_under, top_piece


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: sections or overhangs too large for this top."""
    at = layout(o)
    bearers, pieces = bearers_under(at), [top_piece(at, i) for i in range(len(at.top))]
    top, shelf = sum(pieces, Assembly()), low_shelf(o, at.stand.legs, at.stand.starts) if o.shelf else Assembly()
    use: Use = "heavy workbench" if o.work == "heavy" else "workbench"
    loose = (
        carried_by_name(top.parts)
        if o.top == "boards"
        else tuple(CarriedPiece(f"slab {i}", piece.keys) for i, piece in enumerate(pieces, 1))
    )
    return frame_of(
        at.stand.rails, *at.stand.frames.values(), bearers, top, shelf,
        carried_pieces=(*at.stand.carried, *carried_by_name(bearers.parts), *loose, *carried_by_name(shelf.parts)),
        notes=(*at.stand.notes, *_notes(at)),
        surfaces=(Surface("top", use, top.keys), *([Surface("shelf", "shelf", shelf.keys)] if o.shelf else [])),
        finish=o.finish,
    )  # fmt: skip


def _notes(at: Layout) -> tuple[Note, ...]:
    if at.o.top == "boards":
        return ()
    longer = told(at.o.at_least(SLOT), at.stand.legs.bolt)
    return (
        Note(
            "slabs-move",
            "Slabs swell and shrink across their boards: make the holes for their screws slots along the bearers, "
            f"{longer} longer than they are wide, so that the slabs can move.",
            tuple(f"bearer {i}" for i in range(1, len(at.bearers) + 1)),
        ),
    )


DESIGN: Final = Design(
    name="workbench",
    title="Knock-down workbench",
    summary=(
        "A top of boards, or of slabs glued up from boards on edge, on bearers across two rails on stout legs; a shelf "
        "below, if asked for. Bolts hold rails to legs and come out."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Height, bearers and joinery: common practice, no source",
    ),
)
