"""Headboards and footboards: boards across two uprights, each bolted to what lies at that end of a bed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from sawbill.trade.design import Options
from sawbill.trade.fasteners import BoltEnd
from sawbill.trade.frame import Bolted, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill.trade.lumber import Section
from sawbill_designs.common.bolt_places import Bolt, Face, Point2, bolt_places, half, pulled_places
from sawbill_designs.common.parts import (
    POST_THICKNESS,
    Assembly,
    crossing_screw,
    laminated,
    laminations,
    mirrored,
)
from sawbill_designs.common.places import board_heights, diagonal_places

BESIDE_POST: Final[BySystem] = {"inch": INCH // 4, "metric": 6 * MM}
"""The least an upright stands inside of the post, off the washer of the end board's bolt (practice)."""
BACK: Final = 150 * MM
"""So far above the mattress one leans against a board (common practice, no source)."""
WIDEST_HEADBOARD_GAP: Final[BySystem] = {"inch": 3 * INCH, "metric": 75 * MM}


def beside_post(o: Options, bolt: Bolt) -> int:
    """How far an upright stands inside of a post [nm]."""
    return o.at_least(max(o.at_least(BESIDE_POST), half(bolt.size.washer_diameter - o.post.thickness)))


@dataclass(frozen=True, slots=True)
class UprightBoard:
    """A headboard at the head, or the footboard as if it stood there; lengths [nm], heights above the floor.

    end: head or foot; held: the key of what its uprights are bolted to, the name of the option that says of which
    section that is, and from which height to which it lies; board: the section of its boards; inner: where the left
    upright begins across the bed; width: of the bed; low, top: from where to where boards may be; mattress_top: where
    one lies.
    """

    o: Options
    bolt: Bolt
    end: str
    held: tuple[str, str, Point2]
    board: Section
    inner: int
    width: int
    low: int
    top: int
    mattress_top: int

    @property
    def from_behind(self) -> bool:
        """Whether the screws of its boards go in from behind its uprights."""
        return crossing_screw(self.o.screw_size, self.board.thickness, self.o.post.thickness)[1]

    @property
    def leaned(self) -> bool:
        """Whether it is high enough to lean against."""
        return self.top >= self.mattress_top + BACK

    @property
    def whole(self) -> Assembly:
        """Its uprights and boards, and the bolts that hold it.

        Where it is high enough to lean against, the uprights are laminated, and their bolts have large washers if
        there is room.
        """
        o, (key, option, lying) = self.o, self.held
        layers = laminations(o.post, POST_THICKNESS) if self.leaned and not self.from_behind else 1
        place = Placement((-layers * o.post.thickness, self.inner, 0), "z", "y")
        name = f"{self.end}board upright"
        upright = laminated(f"left {name}", name, o.post, self.top, place, layers)
        face = Face(lying, (self.inner, self.inner + o.post.width))
        words = f"{option.replace('_', ' ')} of {o[option].name} on a {self.end}board's upright"
        pulled = pulled_places(replace(face, large=True), self.bolt) if self.leaned else ()
        places = pulled or bolt_places(face, self.bolt, option, f"{'an' if option[0] == 'e' else 'a'} {words}")
        base = self.mattress_top - o.at_least(o.mattress.thickness)
        seen = any(z + half(self.bolt.size.large_washer_diameter) > base for z, _ in places)  # from where one lies
        held: BoltEnd = "nut" if pulled else "tee nut"
        ends: tuple[BoltEnd, bool] = ("capped nut" if seen else held, bool(pulled))
        through, x = (*upright.keys, key), place.origin[0]
        left = upright + Assembly((), tuple(Bolted(through, o.bolt_size, (x, y, z), "x", 1, *ends) for z, y in places))
        both = left + mirrored(left, "y", self.width, "left", "right")
        return both + self._boards(tuple(part for part in both.parts if part.box.high[0] == 0))

    def _boards(self, uprights: tuple[Part, ...]) -> Assembly:
        """Boards from the top of the uprights down to `low`, no more than 3 in apart, each on four screws."""
        o, thick, gap = self.o, self.board.thickness, self.o.at_most(WIDEST_HEADBOARD_GAP)
        name = f"{self.end}board board"
        boards = tuple(
            Part(f"{name} {i}", name, self.board, self.width, Placement((0, 0, z), "y", "z"))
            for i, z in enumerate(board_heights(self.low, self.top, self.board.width, gap, o.step), 1)
        )
        size, from_behind = crossing_screw(o.screw_size, thick, o.post.thickness)
        screws = tuple(
            Screwed((upright.key, board.key), size, (-o.post.thickness, y, z), "x", 1)
            if from_behind
            else Screwed((board.key, upright.key), size, (thick, y, z), "x", -1)
            for board in boards
            for upright in uprights
            for y, z in diagonal_places(upright, board, "y", o.step)
        )
        return Assembly(boards, screws)
