"""A bench: two rails on pairs of legs, seat boards laid across them, and a back if one is asked for.

x runs along the seat from the left, y from its front to its rear edge, z up from the floor. The bolts of the
rails come out: what is left is two rails, leg frames of two legs and a cross board, seat boards, and the back.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Final

from sawbill.trade import fasteners, option
from sawbill.trade.declaring.headings import CONSTRUCTION
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import Bolted, CarriedPiece, Frame, Note, Part, Placement, Screwed, Surface
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.bolt_places import BETWEEN_BORES, Bolt
from sawbill_designs.common.leg_frames import (
    BETWEEN_FRAMES,
    Across,
    Legs,
    across_places,
    front_rail_bolts,
    leg_frame,
    rail_places,
    told,
)
from sawbill_designs.common.options import BOLT_SIZE, FINISH, SCREW_SIZE
from sawbill_designs.common.parts import (
    Assembly,
    carried_by_name,
    crossing_screw,
    frame_of,
    mirrored,
    screw_that_holds,
)
from sawbill_designs.common.places import board_heights, board_run, clear_place, diagonal_places, screw_places

SPAN_IN_WIDTHS: Final = 16
"""A rail on edge reaches this many of its widths between legs; beyond, it wants another pair (practice)."""
UNDER_BACK: Final[BySystem] = {"inch": 1 * INCH, "metric": 25 * MM}
"""How far the lowest board of a back stays above the seat, so that water and crumbs go (practice)."""
WIDEST_BACK_GAP: Final[BySystem] = {"inch": 3 * INCH, "metric": 75 * MM}
"""The widest gap between the boards of a back, where their width allows it (common practice, no source)."""

OPTIONS: Final = (
    option.Length(
        "length", "Length of the seat.",
        default=48 * INCH, metric_default=1200 * MM, least=16 * INCH, most=96 * INCH,
    ),
    option.Length(
        "height", "Height of the seat above the floor: 17 to 18 in (430 to 460 mm) suits most grown people.",
        default=18 * INCH, metric_default=450 * MM, least=10 * INCH, most=30 * INCH,
    ),
    option.Length(
        "depth", "Depth of the seat, front to rear edge; the boards of a back stand on its rear edge.",
        default=16 * INCH, metric_default=400 * MM, least=10 * INCH, most=30 * INCH,
    ),
    option.Section("rail", "Section of the two rails under the seat, standing on edge.", role="rail"),
    option.Section("leg", "Section that the legs are laminated from, and of a back's uprights.", role="post"),
    option.Section("cross_board", "Section of the boards that join front to rear legs.", role="rail"),
    option.Section("seat_board", "Section of the boards of the seat, laid flat across the rails.", role="slat"),
    option.Length(
        "seat_gap", "Widest gap between seat boards; outdoors leave at least 1/8 in (3 mm).",
        default=INCH // 2, metric_default=12 * MM, least=0, most=2 * INCH, rounding="down",
    ),
    option.Choice(
        "middle_legs", "Whether legs stand between the end ones; auto: from a span of sixteen rail widths up.",
        choices=("auto", "none"), default="auto",
    ),
    option.Flag("back", "A back: boards on uprights behind the rear rail, one at every pair of legs.", default=False),
    option.Length(
        "back_height", "How far the back rises above the seat.",
        default=16 * INCH, metric_default=400 * MM, least=4 * INCH, most=30 * INCH, heading=CONSTRUCTION,
    ),
    option.Section("back_board", "Section of the boards of a back.", role="slat"),
    BOLT_SIZE,
    SCREW_SIZE,
    FINISH,
)  # fmt: skip


@dataclass(frozen=True)
class Layout:
    """What follows from the options; lengths [nm], heights above the floor. base: its legs, rails and cross boards."""

    o: Options
    base: Legs

    @property
    def bolt(self) -> Bolt:
        """The bolts of the base."""
        return self.base.bolt

    @property
    def frame_width(self) -> int:
        """Of a leg and the cross board beside it."""
        return int(self.o.leg.width + self.o.cross_board.thickness)

    @property
    def seat_screw(self) -> str:
        """The size of the screws that hold the seat boards to the rails."""
        return screw_that_holds(self.o.screw_size, self.o.seat_board.thickness, self.o.rail.width)

    @cached_property
    def seat(self) -> tuple[tuple[int, int], ...]:
        """Where each seat board begins, and how wide it is."""
        return board_run(0, self.o.length, self.o.seat_board.width, self.o.seat_gap, self.o.step)

    @cached_property
    def legs(self) -> tuple[int, ...]:
        """Where each leg frame's legs begin along the seat: the left ones, those between, the right ones."""
        o, far = self.o, self.o.length - self.o.leg.width
        first, last = self._clear(0), self._clear(far, last=True)
        wanted = -(-far // (SPAN_IN_WIDTHS * o.rail.width)) - 1 if o.middle_legs == "auto" else 0
        for count in range(max(wanted, 0), -1, -1):
            between = (self._clear(first + (last - first) * i // (count + 1)) for i in range(1, count + 1))
            starts = (first, *between, last)
            if self._apart(starts):
                return starts
        least = 2 * self.frame_width + BETWEEN_FRAMES
        raise RefusalError(
            "length",
            f"length: two leg frames of {o.leg.name} and {o.cross_board.name} have no room under this seat; make it "
            f"at least {told(least, self.bolt)} long, or choose a narrower leg",
        )

    def _apart(self, starts: tuple[int, ...]) -> bool:
        """Whether leg frames that begin here leave room between each other; the last has its cross board before."""
        ends = [start + self.frame_width for start in starts]
        begins = [*starts[:-1], starts[-1] - self.o.cross_board.thickness]
        return all(begin - end >= BETWEEN_FRAMES for end, begin in zip(ends, begins[1:], strict=False))

    def _clear(self, wanted: int, *, last: bool = False) -> int:
        """Where a leg begins, near the wanted place, so that its rail's bolts keep off the seat's screws."""
        screw = fasteners.screw_sizes()[self.seat_screw]
        room = self.bolt.off_bore(screw.diameter)
        screws = [x for start, width in self.seat for x in screw_places(start, width, self.o.step)]
        taken = [x - offset for x in screws for _, offset in self.base.at_rail(last=last)]
        place = clear_place(wanted, (0, self.o.length - self.o.leg.width), taken, room, self.o.step)
        if place is None:
            raise RefusalError(
                "seat_board",
                "seat_board: the screws of these seat boards leave no room for the bolts of the legs; choose a wider "
                "seat board, or a smaller bolt_size",
            )
        return place


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: sections too large for this seat, or for this back."""
    at = _layout(o)
    names = ("left", *(f"middle {i}" for i in range(1, len(at.legs) - 1)), "right")
    legs = dict(zip(names, at.legs, strict=True))
    frames = {name: leg_frame(at.base, name, x, last=name == "right") for name, x in legs.items()}
    rail = Part("front rail", "rail", o.rail, o.length, Placement((0, 0, at.base.rail_bottom), "x", "z"))
    front = sum(
        (front_rail_bolts(at.base, rail.key, name, x, last=name == "right") for name, x in legs.items()),
        Assembly((rail,)),
    )
    rear = mirrored(front, "y", o.depth, "front", "rear")
    back = _back(at, legs) if o.back else Assembly()
    if o.back:
        rear = _through_uprights(rear, o.leg.thickness, pulled=at.base.pulled)
    seat = _seat(at)
    return frame_of(
        front, rear, *frames.values(), seat, back,
        carried_pieces=(
            CarriedPiece("front rail", ("front rail",)),
            CarriedPiece("rear rail", ("rear rail",)),
            *(CarriedPiece(f"{name} leg frame", frame.keys) for name, frame in frames.items()),
            *([CarriedPiece("back", back.keys)] if o.back else []),
            *carried_by_name(seat.parts),
        ),
        notes=_notes(at),
        finish=o.finish,
        surfaces=(Surface("seat", "seat", seat.keys),),
    )  # fmt: skip


def _layout(o: Options) -> Layout:
    """Work out the dimensions that must be chosen, and refuse what cannot stand."""
    bolt = Bolt.of(o)
    deck = o.height - o.seat_board.thickness
    for name in ("rail", "cross_board"):
        if o[name].width > deck:
            raise RefusalError(
                name, f"{name}: {o[name].name} is wider than the legs are high; choose a narrower one, or a higher seat"
            )
    bottom = deck - o.rail.width
    rail_bolts, pulled = rail_places(o, bolt, bottom, deck, pulled=o.back)
    across = max(0, bottom - o.cross_board.width)
    face = across, min(across + o.cross_board.width, deck)
    bolts = across_places(o, bolt, "cross_board", face, [z for z, _ in rail_bolts])
    boards = (Across("cross board", o.cross_board, across, bolts),)
    at = Layout(o, Legs(o, bolt, deck, bottom, rail_bolts, pulled, boards, o.depth))
    _refuse_shallow(at)
    return at


def _refuse_shallow(at: Layout) -> None:
    """Refuse a seat too shallow for its legs and the ends of their bolts."""
    o, base = at.o, at.base
    ends = BETWEEN_BORES + 2 * at.bolt.size.washer_thickness
    grip = o.rail.thickness + base.deep
    ends += base.beyond(grip)
    ends += base.beyond(grip + o.leg.thickness, pulled=base.pulled) if o.back else base.beyond(grip)
    base.beyond(at.frame_width)
    least = 2 * grip + ends
    if o.depth < least:
        raise RefusalError(
            "depth",
            f"depth: rails of {o.rail.name} and legs of {o.leg.name} want a seat at least {told(least, at.bolt)} deep; "
            "make it deeper, or choose thinner wood",
        )


def _through_uprights(rear: Assembly, thickness: int, *, pulled: bool) -> Assembly:
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


def _back(at: Layout, legs: dict[str, int]) -> Assembly:
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
