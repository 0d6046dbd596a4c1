"""A bench: two rails on pairs of legs, seat boards laid across them, and a back if one is asked for.

x runs along the seat from the left, y from its front to its rear edge, z up from the floor. The bolts of the
rails come out: what is left is two rails, leg frames of two legs and a cross board, seat boards, and the back.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from sawbill.trade.design import Design, Options
from sawbill.trade.frame import CarriedPiece, Frame, Note, Part, Placement, Screwed, Surface
from sawbill_designs.bench.back import back_boards, through_uprights
from sawbill_designs.bench.options import OPTIONS
from sawbill_designs.bench.plan import SPAN_IN_WIDTHS, Layout, behind, layout
from sawbill_designs.common.leg_frames import front_rail_bolts, leg_frame, told
from sawbill_designs.common.low_shelf import low_shelf
from sawbill_designs.common.parts import Assembly, carried_by_name, frame_of, mirrored
from sawbill_designs.common.places import screw_places


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: sections too large for this seat, or for this back."""
    o = o.having(depth=o.depth + behind(o))
    at = layout(o)
    names = ("left", *(f"middle {i}" for i in range(1, len(at.legs) - 1)), "right")
    legs = dict(zip(names, at.legs, strict=True))
    frames = {name: leg_frame(at.base, name, x, last=name == "right") for name, x in legs.items()}
    rail = Part("front rail", "rail", o.rail, o.length, Placement((0, 0, at.base.rail_bottom), "x", "z"))
    front = sum(
        (front_rail_bolts(at.base, rail.key, name, x, last=name == "right") for name, x in legs.items()),
        Assembly((rail,)),
    )
    rear = mirrored(front, "y", o.depth, "front", "rear")
    back = back_boards(at, legs) if o.back else Assembly()
    if o.back:
        rear = through_uprights(rear, o.leg.thickness, pulled=at.base.pulled)
    seat = _seat(at)
    shelf = low_shelf(o, at.base, (at.legs[0], at.legs[-1])) if o.shelf else Assembly()
    return frame_of(
        front, rear, *frames.values(), shelf, seat, back,
        carried_pieces=(
            CarriedPiece("front rail", ("front rail",)),
            CarriedPiece("rear rail", ("rear rail",)),
            *(CarriedPiece(f"{name} leg frame", frame.keys) for name, frame in frames.items()),
            *([CarriedPiece("back", back.keys)] if o.back else []),
            *carried_by_name((*shelf.parts, *seat.parts)),
        ),
        notes=_notes(at),
        finish=o.finish,
        surfaces=(Surface("seat", "seat", seat.keys), *([Surface("shelf", "shelf", shelf.keys)] if o.shelf else [])),
    )  # fmt: skip


def _seat(at: Layout) -> Assembly:
    """The seat boards across both rails, screwed down into each."""
    o = at.o
    whole, middle = o.seat_board.width, o.near(o.rail.thickness // 2)
    parts, screws = [], []
    for i, (x, width) in enumerate(at.seat, 1):
        name, ripped = ("seat board", None) if width == whole else ("narrow seat board", width)
        place = Placement((x, 0, at.base.top), "y", "x")
        parts.append(Part(f"{name} {i}", name, o.seat_board, o.depth, place, ripped=ripped))
        screws += [
            Screwed((parts[-1].key, rail), at.seat_screw, (along, y, o.height), "z", -1)
            for rail, y in (("front rail", middle), ("rear rail", o.depth - middle))
            for along in screw_places(x, width, o.step)
        ]
    return Assembly(tuple(parts), tuple(screws))


def _notes(at: Layout) -> tuple[Note, ...]:
    notes = []
    clear = max(after - before for before, after in pairwise(at.legs)) - at.o.leg.width
    if clear > SPAN_IN_WIDTHS * at.o.rail.width:
        notes.append(
            Note(
                "long-rails",
                f"The rails reach {told(clear, at.bolt)} between legs, more than {SPAN_IN_WIDTHS} of their widths: "
                "choose a wider rail, or let middle_legs be auto.",
                ("front rail", "rear rail"),
            )
        )
    if len(at.base.rail_bolts) == 1:
        notes.append(Note("one-rail-bolt", "Rail and leg are too small for two bolts: one holds each leg to its rail."))
    return tuple(notes)


DESIGN: Final = Design(
    name="bench",
    title="Knock-down bench",
    summary=(
        "Two rails on pairs of laminated legs, with boards across them for a seat and, if asked for, a back. Bolts "
        "hold rails to legs and come out; legs stand between where the rails would reach too far."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Seat height, spans and joinery: common practice, no source",
    ),
)
