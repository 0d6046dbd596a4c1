"""A table: two rails on two leg frames, and boards across them for a top that reaches beyond.

x runs along the table from the left, y from its front to its rear edge, z up from the floor. The bolts of the rails
come out: what is left is two rails, two leg frames with a cross board under the top and a stretcher near the floor, and
the boards of the top.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from sawbill.trade import fasteners, option
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import CarriedPiece, Frame, Note, Part, Placement, Screwed, Surface
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.bolt_places import BETWEEN_BORES, Bolt
from sawbill_designs.leg_frames import (
    BETWEEN_FRAMES,
    Across,
    Legs,
    across_places,
    far_apart,
    front_rail_bolts,
    leg_frame,
    leg_layers,
    told,
)
from sawbill_designs.options_in_common import BOLT_SIZE, SCREW_SIZE
from sawbill_designs.parts_in_common import UNDER_SLATS, Assembly, carried_by_name, frame_of, mirrored, screw_that_holds
from sawbill_designs.places import place_off, screw_places

KNEES: Final[BySystem] = {"inch": 24 * INCH, "metric": 610 * MM}
"""The least clear height under the rails of a table that is sat at (common practice, no source)."""
SAT_AT: Final[BySystem] = {"inch": 32 * INCH, "metric": 820 * MM}
"""Up to this height one sits at a table on a chair (common practice, no source)."""
FOOT: Final[BySystem] = {"inch": 4 * INCH, "metric": 100 * MM}
"""How far the stretchers stay above the floor (common practice, no source)."""
SCREWS_APART: Final = 5
"""How many diameters the screws of a board are from each other at least (common practice, no source)."""

OPTIONS: Final = (
    option.Length(
        "length", "Length of the top, at most: some 24 in (600 mm) for each who sits along it; it is of whole boards.",
        default=60 * INCH, metric_default=1500 * MM, least=24 * INCH, most=108 * INCH, rounding="down",
    ),
    option.Length(
        "depth", "Depth of the top, front to rear edge: 30 in (750 mm) to dine at, 24 in (600 mm) for a desk.",
        default=30 * INCH, metric_default=750 * MM, least=14 * INCH, most=48 * INCH, rounding="down",
    ),
    option.Length(
        "height", "Height of the top above the floor: 29 to 30 in (740 to 760 mm) to dine at or write at, 36 in "
        "(900 mm) to stand at.",
        default=30 * INCH, metric_default=750 * MM, least=16 * INCH, most=44 * INCH,
    ),
    option.Length(
        "end_overhang", "How far the top reaches beyond the legs at its two ends.",
        default=4 * INCH, metric_default=100 * MM, least=0, most=18 * INCH,
    ),
    option.Length(
        "side_overhang", "How far the top reaches beyond the rails at front and rear.",
        default=2 * INCH, metric_default=50 * MM, least=0, most=8 * INCH,
    ),
    option.Section("rail", "Section of the two rails under the top, standing on edge.", role="apron"),
    option.Section(
        "leg", "Section that the legs are laminated from; its width lies along the table, and a wide one keeps that "
        "from swaying.", role="rail",
    ),
    option.Section("cross_board", "Section of the boards that join front to rear legs, high and low.", role="apron"),
    option.Section("top_board", "Section of the boards of the top, laid flat across the rails.", role="top"),
    option.Length(
        "top_gap", "Widest gap between the boards of the top.",
        default=INCH // 8, metric_default=3 * MM, least=0, most=1 * INCH, rounding="down",
    ),
    BOLT_SIZE,
    SCREW_SIZE,
)  # fmt: skip


@dataclass(frozen=True)
class Layout:
    """What follows from the options; lengths [nm], heights above the floor. base: its legs, rails and cross boards."""

    o: Options
    base: Legs

    @property
    def length(self) -> int:
        """Of the top: as many whole boards as there is room for, so that none is ripped."""
        pitch = self.o.top_board.width + self.o.top_gap
        return int((self.o.length + self.o.top_gap) // pitch * pitch - self.o.top_gap)

    @property
    def legs(self) -> tuple[int, int]:
        """Where the left and the right leg frame's legs begin along the table."""
        return int(self.o.end_overhang), int(self.length - self.o.end_overhang - self.o.leg.width)

    @property
    def top_screw(self) -> str:
        """The size of the screws that hold the boards of the top to the rails."""
        return screw_that_holds(self.o.screw_size, self.o.top_board.thickness, self.o.rail.width)

    @property
    def boards(self) -> range:
        """Where each board of the top begins."""
        return range(0, self.length, int(self.o.top_board.width + self.o.top_gap))


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: sections or overhangs too large for this top."""
    at = _layout(o)
    legs = dict(zip(("left", "right"), at.legs, strict=True))
    frames = {name: leg_frame(at.base, name, x, last=name == "right") for name, x in legs.items()}
    place = Placement((0, at.base.rail_front, at.base.rail_bottom), "x", "z")
    rail = Part("front rail", "rail", o.rail, at.length, place)
    front = sum(
        (front_rail_bolts(at.base, rail.key, name, x, last=name == "right") for name, x in legs.items()),
        Assembly((rail,)),
    )
    top = _top(at)
    return frame_of(
        front, mirrored(front, "y", o.depth, "front", "rear"), *frames.values(), top,
        carried_pieces=(
            CarriedPiece("front rail", ("front rail",)),
            CarriedPiece("rear rail", ("rear rail",)),
            *(CarriedPiece(f"{name} leg frame", frame.keys) for name, frame in frames.items()),
            *carried_by_name(top.parts),
        ),
        notes=tuple(_notes(at)),
        surfaces=(Surface("top", "table", top.keys),),
    )  # fmt: skip


def _layout(o: Options) -> Layout:
    """Work out the dimensions that must be chosen, and refuse what cannot stand."""
    bolt = Bolt.of(o)
    deck = o.height - o.top_board.thickness
    foot = o.at_least(FOOT)
    need = foot + 2 * o.cross_board.width + o.at_least(UNDER_SLATS)
    if deck < max(need, o.rail.width):
        raise RefusalError(
            "height",
            f"height: legs with {o.rail.name} rails and two {o.cross_board.name} boards across want a top at least "
            f"{told(max(need, o.rail.width) + o.top_board.thickness, bolt)} high; make it higher, or choose "
            "narrower wood",
        )
    bottom = deck - o.rail.width
    places = far_apart(o, bolt, bottom, deck)
    high = deck - o.at_least(UNDER_SLATS) - o.cross_board.width
    boards = tuple(
        Across(name, o.cross_board, low, across_places(o, bolt, "cross_board", (low, low + o.cross_board.width), taken))
        for name, low, taken in (("cross board", high, [z for z, _ in places]), ("stretcher", foot, []))
    )
    at = Layout(
        o, Legs(o, bolt, deck, bottom, places, False, boards, o.depth, o.side_overhang, stands=leg_layers(o) > 1)
    )
    _refuse_small(at)
    return at


def _refuse_small(at: Layout) -> None:
    """Refuse a top too short or too shallow for what stands under it, and the ends of its bolts."""
    o, bolt = at.o, at.base.bolt
    wide = o.leg.width + o.cross_board.thickness
    at.base.beyond(wide)
    left, right = at.legs
    least = 2 * wide + BETWEEN_FRAMES
    if right + o.leg.width - left < least:
        raise RefusalError(
            "length",
            f"length: two leg frames of {o.leg.name} and {o.cross_board.name} have no room between these overhangs; "
            f"make it at least {told(least + 2 * o.end_overhang, bolt)} long, or choose a smaller end_overhang or a "
            "narrower leg",
        )
    grip = o.rail.thickness + at.base.deep
    least = 2 * (at.base.rail_front + grip + at.base.beyond(grip) + bolt.size.washer_thickness) + BETWEEN_BORES
    if o.depth < least:
        raise RefusalError(
            "depth",
            f"depth: rails of {o.rail.name} and legs of {o.leg.name} want a top at least {told(least, bolt)} deep; "
            "make it deeper, or choose a smaller side_overhang or thinner wood",
        )


def _top(at: Layout) -> Assembly:
    """The boards of the top across both rails, screwed down into each, clear of the bolts of the legs."""
    o = at.o
    middle = at.base.rail_front + o.near(o.rail.thickness // 2)
    parts, screws = [], []
    for i, x in enumerate(at.boards, 1):
        parts.append(
            Part(f"top board {i}", "top board", o.top_board, o.depth, Placement((x, 0, at.base.top), "y", "x"))
        )
        screws += [
            Screwed((parts[-1].key, rail), at.top_screw, (along, y, o.height), "z", -1)
            for rail, y in (("front rail", middle), ("rear rail", o.depth - middle))
            for along in _screws(at, x)
        ]
    return Assembly(tuple(parts), tuple(screws))


def _screws(at: Layout, start: int) -> list[int]:
    """Where the screws of a board go along a rail: at its quarters, or near them where a bolt of a leg is in the way.

    Raises RefusalError: there is no room for one.
    """
    o, width, wide = at.o, at.o.top_board.width, fasteners.screw_sizes()[at.top_screw].diameter
    bolts = [
        x + along for x, last in zip(at.legs, (False, True), strict=True) for _, along in at.base.at_rail(last=last)
    ]
    room, edge = at.base.bolt.off_bore(wide), o.at_most(width // 6)
    found: list[int] = []
    for wanted in screw_places(start, width, o.step):
        taken = [*((x, room) for x in bolts), *((x, SCREWS_APART * wide) for x in found)]
        place = place_off(wanted, (start + edge, start + width - edge), taken, o.step)
        found += [] if place is None else [place]
    if not found:
        raise RefusalError(
            "top_board",
            "top_board: the bolts of the legs leave no room for the screws of these boards; choose a wider top_board, "
            "or a smaller bolt_size",
        )
    return found


def _notes(at: Layout) -> Iterator[Note]:
    o, under = at.o, at.base.rail_bottom
    if o.height <= o.at_least(SAT_AT) and under < o.at_least(KNEES):
        yield Note(
            "little-knee-room",
            f"Under the rails are {told(under, at.base.bolt)}, less than the {told(o.at_least(KNEES), at.base.bolt)} "
            "that knees usually want: choose narrower rails or thinner top boards, or a higher top.",
            ("front rail", "rear rail"),
        )


DESIGN: Final = Design(
    name="table",
    title="Knock-down table",
    summary=(
        "Boards across two rails on two leg frames: a table to dine or write at, or to stand at. The wide legs keep it "
        "from swaying; bolts hold rails to legs and come out, and every board of the top is short."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Heights, room for knees and joinery: common practice, no source",
    ),
)
