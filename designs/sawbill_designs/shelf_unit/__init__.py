"""A shelf unit: frames of uprights and cleats, boards laid on the cleats from frame to frame, rails behind.

x runs along the shelves from the left, y from front to back, z up from the floor. Frames stay whole; shelf boards
and back rails are screwed on, and come off.
"""

from __future__ import annotations

from typing import Final

from sawbill.trade.design import Design, Options
from sawbill.trade.frame import CarriedPiece, Frame, Note, Strap, Surface
from sawbill_designs.common.parts import Assembly, carried_by_name, frame_of
from sawbill_designs.shelf_unit.options import OPTIONS
from sawbill_designs.shelf_unit.parts import back_rails, frame_at, rail_heights, shelf_in
from sawbill_designs.shelf_unit.plan import Layout, frame_name, layout

SPAN_IN_THICKNESSES: Final = 32
"""A shelf board spans this many of its thicknesses, 24 in for 3/4 in; beyond, books bend it (practice)."""


TIPS_FROM: Final = 2
"""A unit more than this many times as high as deep is told to be fixed to the wall (practice)."""


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: shelves or bays with no room between, or wood no screw holds."""
    at = layout(o)
    names = [frame_name(at, i) for i in range(len(at.frames))]
    frames = {name: frame_at(at, i) for i, name in enumerate(names)}
    each = [shelf_in(at, bay, n - 1) for bay in range(o.bays) for n in at.numbers]
    shelves = sum(each, Assembly())
    rails = back_rails(at) if o.back_bracing != "none" else Assembly()
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
    elif len(rail_heights(at)) < (o.shelves - 1 if o.back_bracing == "every opening" else min(2, o.shelves - 1)):
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
