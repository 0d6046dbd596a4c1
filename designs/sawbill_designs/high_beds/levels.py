"""The beds of a frame above the floor, each by its heights, and the posts they hang on.

Heights of the guards are the strictest published: 160 mm over the mattress (EN 747-1, from memory, and the notice
on AS/NZS 4220) and 260 mm over its base (the same notice); 16 CFR 1213 asks for 5 in over the mattress.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.mattresses import Mattress
from sawbill_designs.common.bolt_places import (
    BOTH,
    FAR,
    LEAST,
    NDS,
    Bolt,
    Face,
    half,
)
from sawbill_designs.common.parts import WIDE

OVER_MATTRESS: Final = 160 * MM
OVER_BASE: Final = 260 * MM
UPSTAND: Final = INCH // 4
"""The least the rails stand above the slats, so that the mattress stays in place (practice)."""


END_GRAIN: Final = 4
"""How many diameters of an upright's end are left below its bolts (NDS 2018, Table 12.5.1A; EN 1995-1-1, Table 8.4)."""


@dataclass(frozen=True, eq=False)
class Level:
    """One bed: its mattress, the height of its rails' underside, and the outer face of its far rail [nm].

    word: put before the names of its parts, empty where the frame has one bed; guarded: whether one may fall from it;
    alone: whether it keeps its own corners square though none can, as of a bed that another lifts off from; over:
    whether another is beneath.
    """

    o: Options
    word: str
    mattress: Mattress
    underside: int
    back: int
    guarded: bool
    alone: bool = False
    over: bool = False

    @cached_property
    def thickness(self) -> int:
        """From the outer face of a side to the mattress's room."""
        return int(max(self.o.rail.thickness, self.o.guard.thickness) if self.guarded else self.o.rail.thickness)

    @cached_property
    def deck(self) -> int:
        """The height of the ledgers' upper edge."""
        return self.underside + int(self.o.ledger.width)

    @cached_property
    def base(self) -> int:
        """The height of the slats' upper face."""
        return self.deck + int(self.o.slat.thickness)

    @cached_property
    def _braced(self) -> bool:
        """Whether its rails are braced against the posts."""
        return bool(self.o.braced and (self.guarded or self.alone))

    @cached_property
    def rail_boards(self) -> int:
        """How many boards, glued edge to edge, make a rail that stands above the slats; and that takes a bolt there, if
        it then leaves the mattress above it, over which one climbs in."""
        width = int(self.o.rail.width)
        count = -(-(self.base + UPSTAND - self.underside) // width)
        deep = -(-(self.base + self._over_slats - self.underside) // width)
        low = self.underside + deep * width <= self.base + self.mattress.thickness
        return deep if self._braced and low else count

    @property
    def _over_slats(self) -> int:
        """How far a rail stands above the slats that takes a bolt there."""
        bolt = Bolt.of(self.o)
        return bolt.up(half(bolt.size.washer_diameter) + MM) + bolt.loaded_edge

    @cached_property
    def rail_top(self) -> int:
        """The height of the rails' upper edge."""
        return self.underside + self.rail_boards * int(self.o.rail.width)

    @cached_property
    def high_bolt(self) -> int | None:
        """The height of the bolt of a deep rail above the slats, far from the others; None: there is none."""
        braced = self._braced and self.rail_top >= self.base + self._over_slats
        return self.rail_top - Bolt.of(self.o).loaded_edge if braced else None

    @cached_property
    def high_bolts(self) -> tuple[int, ...]:
        """The heights of the bolts in a deep rail's upper board: that one, and below it one more if there is room.

        Posts in the middle of a bed in halves have both, for no end board holds them when a guard is pushed outward.
        """
        if self.high_bolt is None:
            return ()
        bolt = Bolt.of(self.o)
        below = self.high_bolt - max(bolt.half_diameters(LEAST.stacked), bolt.wrench_room())
        edge = self.rail_top - int(self.o.rail.width) + max(bolt.half_diameters(NDS.edge), bolt.flange)
        over = self.base + bolt.up(half(bolt.size.washer_diameter) + MM)
        return (self.high_bolt, below) if below >= max(edge, over) else (self.high_bolt,)

    @cached_property
    def wide(self) -> bool:
        """Whether a beam carries the slats at mid width."""
        return self.mattress.width >= WIDE

    @cached_property
    def guards(self) -> tuple[int, ...]:
        """Where the guard boards' lower edges are."""
        if not self.guarded:
            return ()
        top = max(self.base + self.mattress.thickness + OVER_MATTRESS, self.base + OVER_BASE)
        pitch = int(self.o.opening + self.o.guard.width)
        count = max(1, -(-(top - self.rail_top) // pitch))
        return tuple(self.rail_top + int(self.o.opening) + i * pitch for i in range(count))

    @cached_property
    def guard_bolts(self) -> tuple[tuple[int, int], ...]:
        """For every level of guards the height of its bolts across the bed and of those along it.

        Those along it as low as the others let them: what hangs on an upright at an end may not split a board there.
        """
        bolt, width = Bolt.of(self.o), int(self.o.guard.width)
        for rules in (BOTH, LEAST):
            (low, high), _ = Face((0, width), (0, FAR)).room(bolt, rules)
            if high - low >= bolt.lane:
                return tuple((z + low, z + low + bolt.lane) for z in self.guards)
        raise RefusalError(
            "guard",
            f"guard: boards of {self.o.guard.name} have no room for {self.o.bolt_size} bolts from two sides, each 4 "
            "diameters from the board's upper edge and 1-1/2 from the lower; choose a wider guard, or a smaller "
            "bolt_size",
        )

    @cached_property
    def end_boards(self) -> tuple[int, ...]:
        """Where the end boards' lower edges are: down from the rails' upper edge, with none left open above the base.

        Boards that would reach the floor stand from the rails' underside up instead. Below the guards there is
        nothing more; an end without guards gets one more board, to keep the pillow.
        """
        low, width = self.underside if self.wide else self.deck, int(self.o.end_board.width)
        count = max(1, -(-(self.rail_top - low) // width))
        bottom = self.rail_top - count * width
        bottom = bottom if bottom >= 0 else self.underside
        rows = [bottom + i * width for i in range(count)]
        return tuple(rows) if self.guarded else (*rows, bottom + count * width + int(self.o.opening))

    @cached_property
    def top(self) -> int:
        """The height of its posts."""
        rows = (*(z + self.o.end_board.width for z in self.end_boards), *(z + self.o.guard.width for z in self.guards))
        return int(max(rows))

    @cached_property
    def cross_board(self) -> int | None:
        """The height of the lower edge of what joins the posts in the middle, and carries a beam; None: there is none.

        A narrow bed over another has none: who lies below would lose the height.
        """
        crossed = self.o.in_halves and (self.wide or not self.over)
        return self.underside - int(self.o.end_board.width) if crossed else None

    @cached_property
    def lowest(self) -> int:
        """The height of the lowest of its rails, end boards and cross boards."""
        under = self.underside if self.cross_board is None else self.cross_board
        return min(under, *self.end_boards)

    def name(self, rest: str) -> str:
        """The name of one of its parts."""
        return f"{self.word} {rest}" if self.word else rest


@dataclass(frozen=True)
class Post:
    """A post at the ladder's end: its name, and from which height to which it stands [nm].

    back: where its inner face is on the far side; None for a post on the ladder's side.
    """

    key: str
    bottom: int
    top: int
    back: int | None = None
