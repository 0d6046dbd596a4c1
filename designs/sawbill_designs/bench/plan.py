"""Where everything of a bench is, as follows from what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill.trade.lumber import Section
from sawbill_designs.common.bolt_places import BETWEEN_BORES, Bolt, Point2
from sawbill_designs.common.leg_frames import BETWEEN_FRAMES, Across, Legs, across_places, rail_places, told
from sawbill_designs.common.parts import UNDER_SLATS, screw_that_holds
from sawbill_designs.common.places import board_run, clear_place, screw_places

SPAN_IN_WIDTHS: Final = 16
"""A rail on edge reaches this many of its widths between legs; beyond, it wants another pair (practice)."""


FOOT: Final[BySystem] = {"inch": 2 * INCH, "metric": 50 * MM}
"""How far what a shelf lies on stays above the floor, for a broom (common practice, no source)."""
SHELF_OPENING: Final[BySystem] = {"inch": INCH * 5 // 2, "metric": 60 * MM}
"""The least room between a shelf and the rails, for a hand and flat things (common practice, no source)."""


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
        return int(self.o.leg.width + self.across)

    @property
    def across(self) -> int:
        """How thick the boards beside a leg are."""
        return max(int(board.section.thickness) for board in self.base.boards)

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
        begins = [*starts[:-1], starts[-1] - self.across]
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


def behind(o: Options) -> int:
    """How much of the seat is behind what one sits on: the boards of a back stand there."""
    return o.at_least(o.back_board.thickness) if o.back else 0


def layout(o: Options) -> Layout:
    """Work out the dimensions that must be chosen, and refuse what cannot stand; o.depth is that of all of the seat."""
    bolt = Bolt.of(o)
    deck = o.height - o.seat_board.thickness
    for name in ("rail", "cross_board"):
        if o[name].width > deck:
            raise RefusalError(
                name, f"{name}: {o[name].name} is wider than the legs are high; choose a narrower one, or a higher seat"
            )
    bottom = deck - o.rail.width
    rail_bolts, pulled = rail_places(o, bolt, bottom, deck, pulled=o.back)
    taken = [z for z, _ in rail_bolts]
    low = deck - o.at_least(UNDER_SLATS) - o.cross_board.width if o.shelf else max(0, bottom - o.cross_board.width)
    boards: tuple[Across, ...] = (
        _across(o, bolt, "cross board", "cross_board", (low, min(low + o.cross_board.width, deck)), taken),
    )
    if o.shelf:
        name = "leg" if o.leg.width < o.cross_board.width else "cross_board"
        foot = _shelf_on(o, bolt, o[name], min(bottom, low))
        boards += (_across(o, bolt, "stretcher", name, (foot, foot + o[name].width), taken),)
    at = Layout(o, Legs(o, bolt, deck, bottom, rail_bolts, pulled, boards, o.depth))
    _refuse_shallow(at)
    if o.shelf and len(at.legs) > 2:
        raise RefusalError(
            "shelf",
            "shelf: it lies from the left legs to the right ones, and this bench has legs between; choose a shorter "
            "seat, a wider rail, middle_legs none, or no shelf",
        )
    return at


def _across(o: Options, bolt: Bolt, name: str, option: str, face: Point2, taken: Sequence[int]) -> Across:
    """A board from front to rear legs, of the section that an option names; face: the heights it shares with them."""
    return Across(name, o[option], face[0], across_places(o, bolt, option, face, taken))


def _shelf_on(o: Options, bolt: Bolt, section: Section, below: int) -> int:
    """How high the stretchers begin that a shelf lies on [nm]; below: what it has room under.

    Raises RefusalError: it has none.
    """
    foot = o.at_least(FOOT)
    over = below - foot - section.width - o.shelf_board.thickness
    if over < o.at_least(SHELF_OPENING):
        least = told(o.height + o.at_least(SHELF_OPENING) - over, bolt)
        raise RefusalError(
            "height",
            f"height: a shelf on {section.name} under rails of {o.rail.name} wants a seat {least} high at least; "
            "make it higher, or choose narrower wood",
        )
    return foot


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
        least -= behind(o)
        raise RefusalError(
            "depth",
            f"depth: rails of {o.rail.name} and legs of {o.leg.name} want a seat at least {told(least, at.bolt)} deep; "
            "make it deeper, or choose thinner wood",
        )
