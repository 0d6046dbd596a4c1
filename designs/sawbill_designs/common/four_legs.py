"""Two rails on two leg frames, each with a board across high and a stretcher low: what tables and workbenches stand on.

The rails stand on the outmost laminations of the legs, and bolts keep them there. They run the whole length of the top;
the leg frames stand in by its overhang.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from sawbill.trade import fasteners, option
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import CarriedPiece, Note, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.bolt_places import BETWEEN_BORES, Bolt, Face, square_places
from sawbill_designs.common.leg_frames import (
    BETWEEN_FRAMES,
    SCREWS_APART,
    Across,
    Legs,
    across_places,
    front_rail_bolts,
    leg_frame,
    leg_layers,
    told,
)
from sawbill_designs.common.parts import UNDER_SLATS, Assembly, mirrored
from sawbill_designs.common.places import places_off, screw_places

FOOT: Final[BySystem] = {"inch": 4 * INCH, "metric": 100 * MM}
"""How far the stretchers stay above the floor (common practice, no source)."""
DRIVER_ROOM: Final[BySystem] = {"inch": 10 * INCH, "metric": 250 * MM}
"""How much room a drill driver, its bit and a screw want over the boards of a shelf (common practice, no source)."""


def overhangs(ends: int, metric_ends: int, sides: int, metric_sides: int) -> tuple[option.Length, option.Length]:
    """The options of how far a top reaches beyond what it stands on, with their defaults [nm]."""
    return (
        option.Length(
            "end_overhang", "How far the top reaches beyond the legs at its two ends.",
            default=ends, metric_default=metric_ends, least=0, most=18 * INCH,
        ),
        option.Length(
            "side_overhang", "How far the top reaches beyond the rails at front and rear.",
            default=sides, metric_default=metric_sides, least=0, most=8 * INCH,
        ),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stand:
    """What a top stands on: its legs; how long the rails are; where the legs of the left and of the right frame begin,
    along them [nm].
    """

    legs: Legs
    length: int
    starts: tuple[int, int]

    @property
    def frames(self) -> dict[str, Assembly]:
        """The leg frames by name."""
        return {
            f"{name} leg frame": leg_frame(self.legs, name, x, last=last)
            for name, x, last in zip(("left", "right"), self.starts, (False, True), strict=True)
        }

    @property
    def rails(self) -> Assembly:
        """Both rails, and the bolts that hold them to the legs."""
        legs, o = self.legs, self.legs.o
        place = Placement((0, legs.rail_front, legs.rail_bottom), "x", "z")
        front = Assembly((Part("front rail", "rail", o.rail, self.length, place),))
        for name, x, last in zip(("left", "right"), self.starts, (False, True), strict=True):
            front += front_rail_bolts(legs, "front rail", name, x, last=last)
        return front + mirrored(front, "y", legs.depth, "front", "rear")

    @property
    def carried(self) -> tuple[CarriedPiece, ...]:
        """What is carried of it as one."""
        rails = (CarriedPiece(name, (name,)) for name in ("front rail", "rear rail"))
        return (*rails, *(CarriedPiece(name, frame.keys) for name, frame in self.frames.items()))

    @property
    def notes(self) -> tuple[Note, ...]:
        """Which joints one bolt holds, and why that is enough."""
        legs, found = self.legs, list[Note]()
        if len(legs.rail_bolts) == 1:
            found.append(
                Note(
                    "one-rail-bolt",
                    "Rail and leg are too small for two bolts: one holds each leg to its rail, which stands on wood of "
                    "the leg." if legs.stands else
                    "Rail and leg are too small for two bolts: one holds each leg to its rail.",
                    ("front rail", "rear rail"),
                )
            )  # fmt: skip
        for board in legs.boards:
            if len(board.bolts) == 1:
                found.append(
                    Note(
                        f"one-bolt-{board.name.replace(' ', '-')}",
                        f"One bolt holds the {board.name} to each leg: there is no room for two beside the bolts of "
                        "the rail. The screws beside it keep it from turning: drive them all.",
                        tuple(f"{name} {board.name}" for name in ("left", "right")),
                    )
                )
        return tuple(found)

    def screwed_down(self, part: Part, size: str, option: str) -> tuple[Screwed, ...]:
        """The screws down through a board that lies across both rails: at its quarters, clear of the legs' bolts.

        option: which names the board's section. Raises RefusalError: there is no room for one.
        """
        legs, o = self.legs, self.legs.o
        middle = legs.rail_front + o.near(o.rail.thickness // 2)
        top = part.box.high[2]
        along = self._clear(part.box.low[0], part.width, size, option)
        return tuple(
            Screwed((part.key, rail), size, (x, y, top), "z", -1)
            for rail, y in (("front rail", middle), ("rear rail", legs.depth - middle))
            for x in along
        )

    def _clear(self, start: int, width: int, size: str, option: str) -> list[int]:
        legs, o = self.legs, self.legs.o
        wide = fasteners.screw_sizes()[size].diameter
        starts = zip(self.starts, (False, True), strict=True)
        bolts = [x + along for x, last in starts for _, along in legs.at_rail(last=last)]
        room, edge = legs.bolt.off_bore(wide), o.at_most(width // 6)
        span = start + edge, start + width - edge
        taken = [(x, room) for x in bolts]
        found = places_off(screw_places(start, width, o.step), span, taken, SCREWS_APART * wide, o.step)
        if not found:
            raise RefusalError(
                option,
                f"{option}: the bolts of the legs leave no room for the screws of {o[option].name}; choose a wider "
                "one, or a smaller bolt_size",
            )
        return found


class Boards(NamedTuple):
    """The boards that a top is of, one way: how far they are from each other, and the gap between them [nm]."""

    pitch: int = 1
    gap: int = 0

    def within(self, most: int) -> int:
        """How far as many as there is room for reach."""
        return (most + self.gap) // self.pitch * self.pitch - self.gap

    def over(self, least: int) -> int:
        """How far as many reach as cover a length."""
        return -(-(least + self.gap) // self.pitch) * self.pitch - self.gap


def stand_under(o: Options, top: int, size: tuple[int, int], boards: tuple[Boards, Boards], shelf: int = 0) -> Stand:
    """Lay out what stands under a top [nm]; top: how high rails and legs reach; size: of the top, along and across;
    boards: those that it is of, along and across; shelf: how thick what lies on the stretchers is.

    Raises RefusalError: of `height`, `length`, `depth` or a section; what would do.
    """
    (length, depth), bolt, foot = size, Bolt.of(o), o.at_least(FOOT)
    over = shelf + o.at_least(DRIVER_ROOM) if shelf else 0
    need = max(foot + 2 * o.cross_board.width + over + o.at_least(UNDER_SLATS), o.rail.width)
    if top < need:
        reach, other = (", for a driver to reach the screws of the shelf", " or no shelf") if shelf else ("", "")
        raise RefusalError(
            "height",
            f"height: legs with {o.rail.name} rails and two {o.cross_board.name} boards across want "
            f"{told(need + o.height - top, bolt)} at least{reach}; make it higher, or choose narrower wood{other}",
        )
    bottom = top - o.rail.width
    face = Face((bottom, top), (0, o.leg.width), top)
    places = square_places(face, bolt, "rail", f"a rail of {o.rail.name} on legs of {o.leg.name}")
    high = top - o.at_least(UNDER_SLATS) - o.cross_board.width
    taken = [z for z, _ in places]  # low legs have those of a wide rail as low as a stretcher
    lying = tuple(
        Across(name, o.cross_board, low, across_places(o, bolt, "cross_board", (low, low + o.cross_board.width), taken))
        for name, low in (("cross board", high), ("stretcher", foot))
    )
    legs = Legs(o, bolt, top, bottom, places, False, lying, depth, o.side_overhang, stands=leg_layers(o) > 1)
    found = Stand(legs, length, (int(o.end_overhang), int(length - o.end_overhang - o.leg.width)))
    _refuse_small(found, *boards)
    return found


def _refuse_small(stand: Stand, along: Boards, across: Boards) -> None:
    """Refuse a top too short or too shallow for what stands under it, and the ends of its bolts."""
    legs, o = stand.legs, stand.legs.o
    wide = o.leg.width + o.cross_board.thickness
    legs.beyond(wide)
    least = 2 * wide + BETWEEN_FRAMES
    if stand.length - 2 * o.end_overhang < least:
        raise RefusalError(
            "length",
            f"length: two leg frames of {o.leg.name} and {o.cross_board.name} have no room between these overhangs; "
            f"make it at least {told(along.over(least + 2 * o.end_overhang), legs.bolt)} long, or choose "
            "a smaller end_overhang or a narrower leg",
        )
    grip = o.rail.thickness + legs.deep
    ends = legs.beyond(grip) + legs.bolt.size.washer_thickness
    least = 2 * (legs.rail_front + grip + ends) + BETWEEN_BORES
    if legs.depth < least:
        raise RefusalError(
            "depth",
            f"depth: rails of {o.rail.name} and legs of {o.leg.name} want a top at least "
            f"{told(across.over(least), legs.bolt)} deep; make it deeper, or choose a smaller side_overhang "
            "or thinner wood",
        )
