"""A knock-down slatted bed: two side rails with ledgers, four laminated posts, two end boards, loose slats.

x runs from head to foot, y from the left rail to the right, z up from the floor. The bolts of the end boards, four in
all or eight, come out, the beam lifts out of its hangers, and the bed is two rails, two end boards, a beam and slats.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.boxes import Box
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import (
    SEEN_FROM_THE_FOOT,
    Bolted,
    CarriedPiece,
    Frame,
    Note,
    Part,
    Placement,
    SlatStrap,
    SleepingPlace,
)
from sawbill_designs.common.parts import Assembly, centre_beam, frame_of, mirrored, play_at
from sawbill_designs.common.places import quarters
from sawbill_designs.common.slats import slat_deck, slat_screws
from sawbill_designs.common.splices import Centre, carried, refuse_crowded
from sawbill_designs.slatted_bed.options import OPTIONS
from sawbill_designs.slatted_bed.plan import Layout, layout
from sawbill_designs.slatted_bed.sides import left_side, named, rail_joints
from sawbill_designs.slatted_bed.upright_boards import upright_board

STRAP_SCREW: Final = {"inch": "#8", "metric": "4 mm"}
"""What holds a strap to slats: short and thin (common practice, no source)."""


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: a headboard whose uprights have no room beside the posts."""
    at = layout(o)
    left = left_side(at)
    head = _end_board(at)
    ends = {"head": head, "foot": mirrored(head, "x", at.length, "head", "foot")}
    right = {
        name.replace("left", "right"): mirrored(each, "y", at.width, "left", "right") for name, each in left.items()
    }
    centre = _centre(at, (ends["head"].parts[0], ends["foot"].parts[0]))
    joints = (*rail_joints(at, left), *centre.joints)
    bores = [bolt.head[0] for bolt in joints[0].bolts] if o.in_halves else []
    slats = _slats(at, bores, named("ledger", left), named("ledger", right), named("centre beam", centre.pieces))
    refuse_crowded(joints, [part for each in (*left.values(), *right.values()) for part in each.parts])
    boards = {end: upright_board(at, end) for end in ends if o[f"{end}board"]}
    low = (o.end_board.thickness, o.rail.thickness, at.mattress_base)
    high = (at.length - low[0], at.width - low[1], at.mattress_base + o.mattress.thickness)
    return frame_of(
        *left.values(), *right.values(), *ends.values(), *centre.pieces.values(), *(each.whole for each in joints),
        slats, *boards.values(),
        carried_pieces=(
            *(CarriedPiece(name, piece.keys) for name, piece in (left | right).items()),
            *(CarriedPiece(f"{end} end board", piece.keys) for end, piece in ends.items()),
            *(CarriedPiece(f"{end}board", piece.keys) for end, piece in boards.items()),
            *(CarriedPiece(name, piece.keys) for name, piece in centre.pieces.items()),
            *carried(joints),
            CarriedPiece("roll of slats", slats.keys)
            if at.strapped
            else CarriedPiece("slat", slats.keys, len(slats.keys)),
        ),
        sleeping_places=(SleepingPlace("mattress", o.mattress, Box(low, high), slats.keys, o.slat_gap),),
        notes=_notes(at),
        finish=o.finish,
        sides=SEEN_FROM_THE_FOOT,
        slat_straps=_straps(at, slats),
    )  # fmt: skip


def _end_board(at: Layout) -> Assembly:
    """The head end board between the rails, bolted to one lamination of each post."""
    o = at.o
    board = Part(
        "head end board", "end board", o.end_board, at.inside_width,
        Placement((0, o.rail.thickness, at.end_board_bottom), "y", "z"), rounding="down",
    )  # fmt: skip
    layer = f" {at.end_bolt_layer}" if at.post_layers > 1 else ""
    held = (board.key, f"left head post{layer}")
    left = Assembly((), tuple(Bolted(held, o.bolt_size, (0, at.end_bolt_y, z), "x", 1) for z in at.end_bolts))
    return Assembly((board,)) + left + mirrored(left, "y", at.width, "left", "right")


def _centre(at: Layout, ends: tuple[Part, Part]) -> Centre:
    """The beam in its hangers on the end boards, and its leg."""
    if at.support == "none":
        return Centre({})
    beam = centre_beam(at.o, ends, at.width, at.o.clear_height)
    return Centre.of(at.o, beam, at.length, leg=at.support == "beam and leg")


def _slats(at: Layout, bores: Sequence[int], *carriers: Sequence[Part]) -> Assembly:
    """The slats, loose or screwed on the ledgers, left and right, and lying on the beam where there is one.

    bores: the x of bolts that cross the ledgers [nm].
    """
    o = at.o
    across = o.rail.thickness + play_at(o, 0), o.rail.thickness + at.inside_width - play_at(o, 1)
    slats = slat_deck(o, at.slats, across, at.deck, (part for each in carriers for part in each))
    if not (at.screwed or at.strapped):
        return slats
    held = (slats.parts[0], slats.parts[-1]) if at.strapped else slats.parts
    edge = o.rail.thickness + o.near(o.ledger.thickness // 2)
    sides = tuple(zip(carriers[:2], (edge, at.width - edge), strict=True))
    return slats + slat_screws(o, held, sides, bores, at.bolt.size.tee_nut.barrel_diameter)


def _straps(at: Layout, slats: Assembly) -> tuple[SlatStrap, ...]:
    """Two straps under the slats, at a quarter of their length from either end: clear of ledgers and beam.

    Raises RefusalError: the slats are thinner than any screw is short.
    """
    if not at.strapped:
        return ()
    o = at.o
    try:
        fasteners.short_screw(fasteners.screw_sizes()[STRAP_SCREW[o.system]], o.slat.thickness)
    except fasteners.FastenerError as error:
        raise RefusalError("slat_retention", f"slat_retention: {error}; choose blocks or screws") from None
    low, high = slats.parts[0].box.span("y")
    places = quarters(low, high - low, o.step)
    return tuple(SlatStrap(slats.keys, y, STRAP_SCREW[o.system]) for y in places)


def _notes(at: Layout) -> tuple[Note, ...]:
    notes = []
    if at.screwed and at.o.slat_retention == "blocks":
        notes.append(
            Note(
                "slats-screwed",
                "The gaps between the slats are too narrow for spacer blocks: the slats are screwed down.",
            )
        )
    if at.o.doubled_middle and not at.slats.doubled:
        notes.append(Note("middle-not-doubled", "No even number of these slats fits: the middle slat stays single."))
    if len(at.rail_bolts) == 1:
        notes.append(
            Note("one-rail-bolt", "Rail and post are too small for two bolts: one holds each post to its rail.")
        )
    return tuple(notes)


DESIGN: Final = Design(
    name="slatted-bed",
    title="Knock-down slatted bed",
    summary=(
        "Two side rails with glued ledgers, four laminated posts, two end boards, a centre beam that lifts out, "
        "and loose slats. Comes apart with four bolts, or eight if asked for; no piece is longer than a rail."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Joinery, slat gaps and centre support: common practice, no source",
    ),
)
