"""A knock-down daybed: two ends with arms, a front rail, a back, loose slats, and a trundle underneath if wanted.

x runs from the left end to the right, y from the front to the back, z up from the floor. The posts stand outside
the sleeping length: the end boards lie on their inner faces, the rails and the boards of the back on their outer
ones. The bolts through the posts come out, and the bed is two ends, a front rail, a back and slats.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from sawbill.trade.boxes import Box
from sawbill.trade.design import Design, Options
from sawbill.trade.frame import CarriedPiece, Frame, Note, Part, SleepingPlace
from sawbill.trade.lengths import format_length
from sawbill_designs.common.bolt_places import Bolt
from sawbill_designs.common.parts import POST_THICKNESS, Assembly, frame_of, laminations, mirrored, play_at
from sawbill_designs.common.slats import slat_deck, slat_screws
from sawbill_designs.common.splices import Splice, carried, refuse_crowded
from sawbill_designs.daybed.centre import centre, end_leg
from sawbill_designs.daybed.options import OPTIONS
from sawbill_designs.daybed.plan import Layout, check_heights
from sawbill_designs.daybed.sides import (
    SIDES,
    back_boards,
    end,
    front_rails,
    middle_upright,
    post_bolts,
    rail_joints,
    upright_screws,
)
from sawbill_designs.daybed.trundle import over_trundle, trundle

BACK: Final = "back rail"
"""The joint of the back rail, whose legs are the uprights of the back."""


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: no room for the rails, a board of an end or the back, or the trundle."""
    at = Layout(o, Bolt.of(o), laminations(o.post, POST_THICKNESS))
    at = replace(at, o=over_trundle(at))
    raised = at.o is not o
    check_heights(at)
    front = front_rails(at)
    back = {
        name.replace("front", "back"): mirrored(each, "y", at.width, "front", "back") for name, each in front.items()
    }
    joints = rail_joints(at, next(iter(front.values())).parts[:2], next(iter(back.values())).parts[:2])
    backs = _backs(at, back, joints)
    left = end(at)
    left = end_leg(at, left.parts[-1]) + left
    ends = {"left end": left, "right end": mirrored(left, "x", at.length, *SIDES)}
    beam = centre(at, (ends["left end"].parts[-1], ends["right end"].parts[-1]))
    joints += beam.joints
    refuse_crowded(joints, [part for each in (*ends.values(), *front.values(), *back.values()) for part in each.parts])
    slats = _slats(at, joints, front, back, beam.pieces)
    under, places = trundle(at) if o.trundle else (Assembly(), ())
    return frame_of(
        *front.values(), *back.values(), *backs.values(), *ends.values(), post_bolts(at), *beam.pieces.values(),
        *(each.whole for each in joints), slats, under,
        carried_pieces=(
            *(CarriedPiece(name, piece.keys) for name, piece in (ends | front).items()),
            *_back_pieces(at, back, backs, joints),
            *(CarriedPiece(name, piece.keys) for name, piece in beam.pieces.items()),
            *carried(each for each in joints if each.name != BACK),
            CarriedPiece("slat", slats.keys, len(slats.keys)),
            *([CarriedPiece("trundle", under.keys)] if under.parts else []),
        ),
        sleeping_places=(_main_place(at, slats), *places),
        notes=_notes(at, raised=raised),
        finish=o.finish,
    )  # fmt: skip


def _backs(at: Layout, rails: Mapping[str, Assembly], joints: Sequence[Splice]) -> dict[str, Assembly]:
    """The boards of the back, whole on an upright in the middle, or either length on a leg of the back rail's joint."""
    boards = back_boards(at)
    if not at.o.in_halves:
        return {"": boards[""] + middle_upright(at, boards[""], next(iter(rails.values())).parts[0])}
    legs = zip(boards.items(), joints[1].legs, strict=True)
    return {side: each + Assembly((), upright_screws(at, _inmost(at, leg), each)) for (side, each), leg in legs}


def _inmost(at: Layout, leg: Assembly) -> Part:
    """The lamination of a leg of the back rail on which the boards of the back lie."""
    return next(part for part in leg.parts if part.placement.origin[1] == at.width)


def _back_pieces(
    at: Layout, rails: Mapping[str, Assembly], backs: Mapping[str, Assembly], joints: Sequence[Splice]
) -> tuple[CarriedPiece, ...]:
    """What is carried of the back: with its rail where one upright holds both, or each length with its leg."""
    if at.o.in_halves:
        legs = zip(backs.items(), joints[1].legs, strict=True)
        return (
            *(CarriedPiece(name, piece.keys) for name, piece in rails.items()),
            *(CarriedPiece(f"{side}back", (*piece.keys, *leg.keys)) for (side, piece), leg in legs),
            CarriedPiece(f"{BACK} scab", joints[1].scab.keys),
        )
    if at.back_flush:
        return (CarriedPiece("back", (rails["back rail"] + backs[""]).keys),)
    return (CarriedPiece("back rail", rails["back rail"].keys), CarriedPiece("back", backs[""].keys))


def _slats(at: Layout, joints: Sequence[Splice], *pieces: Mapping[str, Assembly]) -> Assembly:
    """The slats, loose or screwed on the ledgers, and lying on the beam where there is one.

    pieces: of the front rail, of the back rail, and of the beam.
    """
    o = at.o
    across = o.rail.thickness + play_at(o, 0), o.rail.thickness + at.inside_width - play_at(o, 1)
    front, back, beams = (
        [part for piece in each.values() for part in piece.parts if part.name in ("ledger", "centre beam")]
        for each in pieces
    )
    slats = slat_deck(o, at.slats, across, at.deck, (*front, *back, *beams))
    if not at.screwed:
        return slats
    edge = o.rail.thickness + o.near(o.ledger.thickness // 2)
    bores = [bolt.head[0] for joint in joints[:2] for bolt in joint.bolts] if o.in_halves else []
    sides = ((front, edge), (back, at.width - edge))
    return slats + slat_screws(o, slats.parts, sides, bores, at.bolt.size.tee_nut.barrel_diameter)


def _main_place(at: Layout, slats: Assembly) -> SleepingPlace:
    low = (at.inside_start, int(at.o.rail.thickness), int(at.o.seat_height))
    high = (at.length - low[0], at.width - low[1], low[2] + at.o.mattress.thickness)
    return SleepingPlace("mattress", at.o.mattress, Box(low, high), slats.keys, at.o.slat_gap)


def _notes(at: Layout, *, raised: bool) -> tuple[Note, ...]:
    notes = []
    if at.screwed and at.o.slat_retention == "blocks":
        notes.append(
            Note(
                "slats-screwed",
                "The gaps between the slats are too narrow for spacer blocks: the slats are screwed down.",
            )
        )
    if len(at.rail_bolts) == 1:
        notes.append(
            Note("one-rail-bolt", "Rail and post are too small for two bolts: one holds each post to its rail.")
        )
    if not at.back_flush:
        notes.append(
            Note(
                "back-upright-free",
                "The upright of the back ends above the rail, which is not as thick as the boards: choose rail and "
                "end_board of one thickness and it is screwed to both.",
                ("back upright",),
            )
        )
    if at.o.trundle:
        if raised:
            seat = format_length(at.o.seat_height, at.o.system)
            notes.append(Note("seat-over-trundle", f"The seat is {seat} high, so that the trundle goes under it."))
        notes.append(
            Note("trundle-locks", "Take the two bolts out of the trundle's front to pull it out.", ("trundle front",))
        )
    return tuple(notes)


DESIGN: Final = Design(
    name="daybed",
    title="Knock-down daybed",
    summary=(
        "Two ends with arms, a front rail and a back around three sides of a mattress, loose slats, and a trundle to "
        "pull out from underneath if wanted. Comes apart with the bolts through its posts; no piece is longer than "
        "a rail."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Joinery, slat gaps, clearances and centre support: common practice, no source",
    ),
)
