"""A low platform: a flat deck of slats as large as the mattress, on a base of legs or a plinth set back under it.

x runs from head to foot, y from left to right, z up from the floor. The base is a box of rails bolted to posts in
its corners: one course of rails for legs, as many as reach the floor for a plinth. The slats are screwed on its
upper edge, and low stops on the slats keep the mattress from sliding.
"""

from __future__ import annotations

from typing import Final

from sawbill.trade.boxes import Box
from sawbill.trade.design import Design, Options
from sawbill.trade.frame import SEEN_FROM_THE_FOOT, CarriedPiece, Frame, Note, Part, SleepingPlace
from sawbill_designs.common.bolt_places import Bolt
from sawbill_designs.common.parts import POST_THICKNESS, Assembly, centre_beam, frame_of, laminations, mirrored
from sawbill_designs.common.slats import slat_deck, slat_screws
from sawbill_designs.common.splices import Centre, carried, refuse_crowded
from sawbill_designs.low_platform.base import head_end, left_side, rail_joints
from sawbill_designs.low_platform.headboard import headboard
from sawbill_designs.low_platform.options import OPTIONS
from sawbill_designs.low_platform.plan import Layout, check_heights, check_width, side_bolts
from sawbill_designs.low_platform.stops import stops_around


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: no height for the rails, the beam or a course of a plinth."""
    at = Layout(o, Bolt.of(o), laminations(o.post, POST_THICKNESS))
    check_heights(at)
    check_width(at)
    left = left_side(at)
    right = {
        name.replace("left", "right"): mirrored(each, "y", at.width, "left", "right") for name, each in left.items()
    }
    head = head_end(at)
    ends = {"head": head, "foot": mirrored(head, "x", at.length, "head", "foot")}
    centre = _centre(at, (ends["head"].parts[0], ends["foot"].parts[0]))
    joints = (*rail_joints(at, left), *centre.joints)
    refuse_crowded(joints, [part for each in (*left.values(), *right.values()) for part in each.parts])
    rails = tuple(tuple(piece.parts[0] for piece in side.values()) for side in (left, right))
    beams = (part for piece in centre.pieces.values() for part in piece.parts if part.name == "centre beam")
    slats = slat_deck(o, at.slats, (0, at.width), at.deck, (*rails[0], *rails[1], *beams))
    edge = o.overhang + o.near(o.rail.thickness // 2)
    near = [x for _, x in side_bolts(at, at.courses[0])[0]]
    tied = (bolt.head[0] for joint in joints[:1] for bolt in joint.bolts) if o.in_halves else ()
    screws = slat_screws(
        o, slats.parts, tuple(zip(rails, (edge, at.width - edge), strict=True)),
        (*near, *(at.length - x for x in near), *tied), at.bolt.size.tee_nut.barrel_diameter,
    )  # fmt: skip
    stops = stops_around(at, slats.parts, screws)
    board = headboard(at, ends["head"].keys[0]) if o.headboard else Assembly()
    low = (at.head, at.stop, int(o.height))
    high = (at.length - at.stop, at.width - at.stop, int(o.height + o.mattress.thickness))
    return frame_of(
        *left.values(), *right.values(), *ends.values(), *centre.pieces.values(), *(each.whole for each in joints),
        slats, screws, stops, board,
        carried_pieces=(
            *(CarriedPiece(name, piece.keys) for name, piece in (left | right).items()),
            *(CarriedPiece(f"{end} end", piece.keys) for end, piece in ends.items() if len(piece.keys) == 1),
            *(CarriedPiece(key, (key,)) for piece in ends.values() if len(piece.keys) > 1 for key in piece.keys),
            *(CarriedPiece(name, piece.keys) for name, piece in centre.pieces.items()),
            *carried(joints),
            CarriedPiece("slat", slats.keys, len(slats.keys)),
            *(CarriedPiece(key, (key,)) for key in stops.keys),
            *([CarriedPiece("headboard", board.keys)] if board.parts else []),
        ),
        sleeping_places=(SleepingPlace("mattress", o.mattress, Box(low, high), slats.keys, o.slat_gap),),
        notes=_notes(at),
        finish=o.finish,
        sides=SEEN_FROM_THE_FOOT,
    )  # fmt: skip


def _centre(at: Layout, ends: tuple[Part, Part]) -> Centre:
    """The beam in its hangers on the end rails, and its leg, unless it stands on the floor itself."""
    o = at.o
    if at.support == "none":
        return Centre({})
    bottom = at.deck - o.ledger.width
    beam = centre_beam(o, ends, at.width, bottom)
    return Centre.of(o, beam, at.length, leg=at.support == "beam and leg" and bottom > 0)


def _notes(at: Layout) -> tuple[Note, ...]:
    notes = []
    if not at.stop:
        notes.append(
            Note("held-by-friction", "Nothing but friction keeps the mattress in place: lay a rug pad under it, or ask "
                 "for stops.")
        )  # fmt: skip
    if at.stop and not at.end_stops:
        notes.append(
            Note(
                "no-end-stops",
                "Slats this wide stand back from the deck's ends, where no stop can lie: choose a wider slat_gap or "
                "narrower slats for stops there too.",
            )
        )
    if any(len(side_bolts(at, course)[0]) == 1 for course in at.courses):
        notes.append(
            Note("one-rail-bolt", "Rail and post are too small for two bolts: one holds each post to its rail.")
        )
    return tuple(notes)


DESIGN: Final = Design(
    name="low-platform",
    title="Low platform bed",
    summary=(
        "A flat deck of slats as large as the mattress, on a bolted base of legs or a plinth that is set back under "
        "it, with low stops against sliding if wanted. Comes apart into rails, slats and stops."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Joinery, slat gaps, stops and centre support: common practice, no source",
    ),
)
