"""Where everything of a slatted bed is, as follows from what is asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.lengths import INCH
from sawbill_designs.common.bolt_places import (
    FAR,
    LEAST,
    NDS,
    Bolt,
    Face,
    Point2,
    bolt_places,
    clamped,
    ends_apart,
    fits,
    half,
    in_lamination,
)
from sawbill_designs.common.parts import BEDDING, POST_THICKNESS, UNDER_SLATS, WIDE, laminations
from sawbill_designs.common.slats import SlatRun, slat_run, spacer_length
from sawbill_designs.common.splices import evenly

SHORTEST_STOP: Final = INCH
"""The shortest stop worth cutting and gluing (practice)."""


END_GRAIN: Final = 4
"""How many diameters of a post's end are left above its bolts (NDS 2018, Table 12.5.1A; EN 1995-1-1, Table 8.4)."""


@dataclass(frozen=True)
class Layout:
    """Every dimension that follows from the options [nm]; heights are above the floor."""

    o: Options
    bolt: Bolt
    inside_width: int
    inside_length: int
    post_layers: int
    post_top: int
    rail_bolts: tuple[tuple[int, int], ...]
    end_bolts: tuple[int, ...]
    end_bolt_y: int
    end_bolt_layer: int
    end_board_bottom: int
    set_back: int

    @cached_property
    def length(self) -> int:
        """Of the bed, and so of its rails."""
        return self.inside_length + 2 * int(self.o.end_board.thickness)

    @cached_property
    def width(self) -> int:
        """Over both rails."""
        return self.inside_width + 2 * int(self.o.rail.thickness)

    @cached_property
    def post_depth(self) -> int:
        """Of a post's laminations together."""
        return self.post_layers * int(self.o.post.thickness)

    @cached_property
    def ledger_start(self) -> int:
        """Where the ledgers begin, behind the end board and the post."""
        return int(self.o.end_board.thickness + self.o.post.width) + self.set_back

    @cached_property
    def deck(self) -> int:
        """The height of the ledgers' upper edge, on which the slats lie."""
        return int(self.o.clear_height + self.o.ledger.width)

    @cached_property
    def mattress_base(self) -> int:
        """The height of the slats' upper face."""
        return self.deck + int(self.o.slat.thickness)

    @cached_property
    def slats(self) -> SlatRun:
        """Where the slats lie along the ledgers."""
        low, high = self.ledger_start, self.length - self.ledger_start
        return slat_run(low, high, self.o.slat.width, self.o.slat_gap, self.o.doubled_middle, self.o.step)

    @cached_property
    def block(self) -> int:
        """The length of a spacer block; 0 when the gaps are too narrow for one."""
        return spacer_length(self.slats, self.o)

    @cached_property
    def screwed(self) -> bool:
        """Whether the slats are screwed down, as asked or because no block fits between them."""
        return bool(self.o.slat_retention == "screws" or (self.o.slat_retention == "blocks" and not self.block))

    @property
    def strapped(self) -> bool:
        """Whether straps keep them apart, and the end slats alone are screwed down."""
        return bool(self.o.slat_retention == "strap")

    @cached_property
    def stop(self) -> int:
        """The length of the stop behind an end slat, glued on the rail; 0 where the post does, or the rail is too low.

        A post that rises beside the slats leaves no more room than for its bolt's tip: where that is less than
        SHORTEST_STOP, the slat is left to slide against the post.
        """
        if self.mattress_base > self.o.clear_height + self.o.rail.width:
            return 0
        room = self.set_back if self.post_top > self.deck else int(self.o.post.width) + self.set_back
        return self.o.at_most(min(self.block, room)) if room >= SHORTEST_STOP else 0

    @cached_property
    def support(self) -> str:
        """What carries the slats at mid width."""
        if self.o.centre_support != "auto":
            return str(self.o.centre_support)
        return "beam and leg" if self.o.mattress.width >= WIDE else "none"


def layout(o: Options) -> Layout:
    """Work out the dimensions that must be chosen: how high the posts go, and where three bolts pass in each.

    Two bolts run across the bed through rail and post, one along it through end board and post: between those of the
    rail where they stand one above the other, else above them. The post rises beside the slats as far as its bolts
    want wood above them, never over the slats.
    """
    bolt = Bolt.of(o)
    rise, layers = o.ledger.width + o.slat.thickness, laminations(o.post, POST_THICKNESS)
    post = o.end_board.thickness, o.end_board.thickness + o.post.width
    rail_bolts, end_bolt = _bolts(o, bolt, post, rise)
    lowest = max(0, end_bolt + bolt.loaded_edge - o.end_board.width)
    meets_beam = min(end_bolt - o.end_board.width // 2, o.ledger.width // 2)
    bottom = o.at_least(max(lowest, meets_beam))
    end_bolts = _two_end_bolts(o, bolt, bottom, rise, rail_bolts) if o.corner_bolts == 2 else (end_bolt,)
    highest = max(*end_bolts, *(z for z, _ in rail_bolts))
    board = Face((0, o.end_board.width), (0, FAR))
    bolt_places(board, bolt, "end_board", f"an end board of {o.end_board.name}", 1)  # refused where it is too narrow
    flange = half(bolt.size.tee_nut.flange_diameter)
    layer, end_bolt_y = in_lamination(layers, int(o.post.thickness), bolt)
    grip = o.end_board.thickness + o.post.width
    above_deck = max(end_bolts) + flange > o.ledger.width
    blocked = o.ledger.thickness > end_bolt_y - flange or above_deck
    return Layout(
        o,
        bolt,
        inside_width=o.at_least(o.mattress.width) + o.mattress_allowance,
        inside_length=evenly(o, o.at_least(o.mattress.length) + o.mattress_allowance + o.at_least(BEDDING)),
        post_layers=layers,
        post_top=o.clear_height
        + max(o.ledger.width - o.at_least(UNDER_SLATS), min(rise, highest + bolt.half_diameters(2 * END_GRAIN))),
        rail_bolts=tuple((o.clear_height + z, x) for z, x in rail_bolts),
        end_bolts=tuple(o.clear_height + z for z in end_bolts),
        end_bolt_y=o.rail.thickness + end_bolt_y,
        end_bolt_layer=layer,
        end_board_bottom=o.clear_height + bottom,
        set_back=o.at_least(fasteners.bolt_length(bolt.size, grip, "tee nut") - grip) if blocked else 0,
    )


def _bolts(o: Options, bolt: Bolt, post: Point2, rise: int) -> tuple[tuple[Point2, ...], int]:
    """Where the bolts of a rail go in a post that may rise so far, and at which height the end board's one.

    All heights from the rail's lower edge. Raises RefusalError: rail and post have no room for them.
    """
    room = bolt.lane
    whole = Face((0, o.rail.width), post, rise, (0, FAR), apart=2 * room)
    places = bolt_places(whole, bolt, "rail", f"a rail of {o.rail.name} on posts of {o.post.name}")
    levels = sorted({z for z, _ in places})
    if len(levels) == 2:
        meets = min(o.end_board.width, o.rail.width)  # from the middle of what butts its edges press alike
        return places, clamped(bolt.between(0, meets), (levels[0] + room, levels[1] - room))
    end = Face((0, FAR), post, rise).room(bolt, LEAST)[0]
    low = replace(whole, top=end[1] - room + bolt.half_diameters(END_GRAIN))
    if not fits(low, bolt):
        raise RefusalError(
            "rail",
            f"rail: the {bolt.name} bolts of a rail of {o.rail.name} and of the end board have no room above each "
            f"other in posts that end at the top of {o.slat.name} slats on {o.ledger.name}; choose a wider ledger, "
            "thicker slats, or a smaller bolt_size",
        )
    places = bolt_places(low, bolt, "rail", f"a rail of {o.rail.name} on posts of {o.post.name}")
    return places, min(places[0][0] + room, end[1])


def _two_end_bolts(
    o: Options, bolt: Bolt, bottom: int, rise: int, rail_bolts: tuple[Point2, ...]
) -> tuple[int, ...]:  # fmt: skip
    """Where two bolts of an end board go, clear of the rail's. Raises RefusalError: there is no room."""
    board = Face((bottom, bottom + o.end_board.width), (0, FAR), rise)
    found = ends_apart(board.room(bolt, NDS)[0], (z for z, _ in rail_bolts), bolt)
    if not found:
        raise RefusalError(
            "corner_bolts",
            f"corner_bolts: two {bolt.name} bolts of an end board of {o.end_board.name} have no room beside those of "
            "the rail; choose one, or a smaller bolt_size",
        )
    return found
