"""Where everything of a daybed is, as follows from what is asked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import Final

from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH, MM, STEP, BySystem, format_length, round_down, round_up
from sawbill_designs.common.bolt_places import FAR, LEAST, Bolt, Face, Point2, bolt_places, in_layer
from sawbill_designs.common.parts import BEDDING, SHORTEST_LEG, WIDE
from sawbill_designs.common.places import place_off, shared
from sawbill_designs.common.slats import SlatRun, slat_run, spacer_length
from sawbill_designs.common.splices import evenly

WIDEST_BOARD_GAP: Final[BySystem] = {"inch": 3 * INCH, "metric": 75 * MM}
"""Between the boards of an end or of the back (common practice, no source)."""
END_LEGS: Final = 57 * INCH
"""From this mattress width, wider than a double, the boards that a beam alone hangs from stand on legs (practice)."""
TWO_BOLTS: Final = 7 * INCH
"""From this width a board of the back has two bolts at either end (practice)."""


@dataclass(frozen=True)
class Layout:
    """Every dimension that follows from the options [nm]; heights are above the floor."""

    o: Options
    bolt: Bolt
    post_layers: int

    @property
    def inside_width(self) -> int:
        """Between the rails, front to back."""
        return self.o.at_least(self.o.mattress.width) + int(self.o.mattress_allowance)

    @property
    def inside_length(self) -> int:
        """Between the boards of the two ends."""
        o = self.o
        return evenly(o, o.at_least(o.mattress.length) + int(o.mattress_allowance) + o.at_least(BEDDING))

    @property
    def inside_start(self) -> int:
        """Where the room for the mattress begins along the bed, behind a post and an end board."""
        return int(self.o.post.width + self.o.end_board.thickness)

    @property
    def length(self) -> int:
        """Of the bed, and so of its rails."""
        return self.inside_length + 2 * self.inside_start

    @property
    def width(self) -> int:
        """Over both rails."""
        return self.inside_width + 2 * int(self.o.rail.thickness)

    @property
    def back_face(self) -> int:
        """The y of the plane on which the back rail and the boards of the back meet the posts."""
        return self.width - int(self.o.rail.thickness)

    @property
    def deck(self) -> int:
        """The height of the ledgers' upper edge, on which the slats lie."""
        return int(self.o.seat_height - self.o.slat.thickness)

    @property
    def rail_bottom(self) -> int:
        """The height of the lower edge of rails, ledgers, beam and lowest end boards."""
        return self.deck - int(self.o.ledger.width)

    @property
    def mattress_top(self) -> int:
        """Where one lies, to the next step."""
        return int(self.o.seat_height) + self.o.at_least(self.o.mattress.thickness)

    @property
    def arm_top(self) -> int:
        """The upper edge of the ends, and of the front posts."""
        return self.mattress_top + int(self.o.arm_height)

    @cached_property
    def slats(self) -> SlatRun:
        """Where the slats lie along the ledgers."""
        low, high = self.inside_start, self.length - self.inside_start
        return slat_run(low, high, self.o.slat.width, self.o.slat_gap, doubled=False, step=self.o.step)

    @property
    def block(self) -> int:
        """The length of a spacer block; 0 when the gaps are too narrow for one."""
        return spacer_length(self.slats, self.o)

    @property
    def screwed(self) -> bool:
        """Whether the slats are screwed down, as asked or because no block fits between them."""
        return bool(self.o.slat_retention == "screws" or not self.block)

    @property
    def support(self) -> str:
        """What carries the slats at mid width."""
        if self.o.centre_support != "auto":
            return str(self.o.centre_support)
        if self.o.mattress.width < WIDE:
            return "none"
        return "beam" if self.o.trundle else "beam and leg"

    @property
    def end_legs(self) -> bool:
        """Whether the boards that the beam hangs from stand on legs of their own: of a wide bed without one between."""
        o, wide = self.o, self.o.mattress.width >= END_LEGS
        return bool(self.support == "beam" and wide and not o.in_halves and self.rail_bottom >= SHORTEST_LEG)

    @cached_property
    def end_boards(self) -> tuple[Point2, ...]:
        """Where each board of an end begins, and its width, from the lowest up: they reach from edge to edge."""
        low, high = self.rail_bottom, self.arm_top
        width, count = _boards(self.o, high - low + self.o.at_most(WIDEST_BOARD_GAP), high - low)
        if count == 1:
            return ((high - width, width),)
        gaps = shared(high - low - count * width, count - 1, self.o.step)
        return tuple((z, width) for z in accumulate((width + gap for gap in gaps), initial=low))

    @cached_property
    def back_boards(self) -> tuple[Point2, ...]:
        """Where each board of the back begins, and its width, from the lowest up: a gap is below each."""
        low = self.rail_bottom + int(self.o.rail.width)
        high = self.mattress_top + int(self.o.back_height)
        width, count = _boards(self.o, high - low, high - low)
        gaps = shared(high - low - count * width, count, self.o.step)
        return tuple((z - width, width) for z in list(accumulate((width + gap for gap in gaps), initial=low))[1:])

    @property
    def back_top(self) -> int:
        """The upper edge of the back."""
        return sum(self.back_boards[-1])

    @cached_property
    def rail_bolts(self) -> tuple[Point2, ...]:
        """Where the bolts of a rail go through a post, as z and x: stacked if they leave screws room between."""
        o, low = self.o, self.rail_bottom
        face = Face((low, low + int(o.rail.width)), (0, int(o.post.width)), ends=(0, FAR), apart=2 * self.bolt.lane)
        return bolt_places(face, self.bolt, "rail", f"a rail of {o.rail.name} on posts of {o.post.name}")

    @cached_property
    def back_bolts(self) -> tuple[tuple[Point2, ...], ...]:
        """The same of every board of the back: one, or two in a wide one."""
        o = self.o
        faces = (Face((z, z + width), (0, int(o.post.width)), ends=(0, FAR)) for z, width in self.back_boards)
        words = f"a back board of {o.end_board.name} on posts of {o.post.name}"
        return tuple(
            bolt_places(face, self.bolt, "end_board", words, 2 if width >= TWO_BOLTS else 1)
            for face, (_, width) in zip(faces, self.back_boards, strict=True)
        )

    @cached_property
    def beam_bolt(self) -> Point2 | None:
        """How high, and how deep in a post, a bolt holds either end of a board that a beam hangs from.

        As low as may be, off the bolts of the rail and beside the ledger, below the slats, under which its tee nut
        ends. None: there is no beam, or no room for the bolt.
        """
        o, bolt, (lowest, wide) = self.o, self.bolt, self.end_boards[0]
        low, high = Face((lowest, lowest + wide), (0, FAR)).room(bolt, LEAST)[0]
        span = low, min(high, self.deck - bolt.flange)
        crossing = ((z, bolt.lane) for z, _ in self.rail_bolts)
        z = place_off(low, span, crossing, o.step)  # the wood above it bears the load
        deep, beside = self.post_layers * int(o.post.thickness), o.at_least(o.ledger.thickness) + bolt.flange
        y = in_layer(deep, (deep - int(o.post.thickness), deep), bolt, beside)
        return None if self.support == "none" or z is None or y < beside else (z, y)

    @property
    def back_flush(self) -> bool:
        """Whether the boards of the back are flush with its rail, so that one upright lies on both."""
        return bool(self.o.rail.thickness == self.o.end_board.thickness)


def _boards(o: Options, pitches: int, room: int) -> tuple[int, int]:
    """How wide and how many boards are, with no gap too wide: whole ones, or ripped alike to fill the room."""
    count = max(1, -(-pitches // (o.end_board.width + o.at_most(WIDEST_BOARD_GAP))))
    return min(int(o.end_board.width), o.at_most(room // count)), count


def check_heights(at: Layout) -> None:
    """Refuse a seat with no room for the rails below it, and a back or arms too low for one board."""
    o = at.o
    _refuse_under(
        at, "seat_height", o.seat_height, o.ledger.width + o.slat.thickness,
        f"ledgers of {o.ledger.name} and slats of {o.slat.name}",
    )  # fmt: skip
    board = f"one board of {o.end_board.name}"
    arms = at.rail_bottom + o.end_board.width - at.mattress_top
    _refuse_under(at, "arm_height", o.arm_height, arms, board)
    back = at.rail_bottom + o.rail.width + o.end_board.width - at.mattress_top
    _refuse_under(at, "back_height", o.back_height, back, f"{board} above a rail of {o.rail.name}")


def _refuse_under(at: Layout, name: str, asked: int, least: int, what: str) -> None:
    if asked < least:
        raise RefusalError(name, f"{name}: {what} will not fit in this height; {up(at, least)} or more would do")


def up(at: Layout, length: int) -> str:
    """A length in words [nm], never less than it is."""
    system = at.bolt.size.system
    return format_length(round_up(length, STEP[system]), system)


def down(at: Layout, length: int) -> str:
    """A length in words [nm], never more than it is."""
    system = at.bolt.size.system
    return format_length(round_down(length, STEP[system]), system)
