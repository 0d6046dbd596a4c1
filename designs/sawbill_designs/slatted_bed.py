"""A knock-down slatted bed: two side rails with ledgers, four laminated posts, two end boards, loose slats.

x runs from head to foot, y from the left rail to the right, z up from the floor. The four bolts of the end
boards come out, the beam lifts out of its hangers, and the bed is two rails, two end boards, a beam and slats.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Final

from sawbill.trade import fasteners, option
from sawbill.trade.boxes import Box
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import (
    Bolted,
    CarriedPiece,
    Frame,
    Glued,
    Hung,
    Joint,
    Note,
    Part,
    Placement,
    Resting,
    Screwed,
    SleepingPlace,
)
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.parts_in_common import (
    BEAM_THICKNESS,
    POST_THICKNESS,
    Assembly,
    SlatRun,
    bolt_places,
    crossing_screw,
    frame_of,
    laminated,
    laminations,
    lane,
    mirrored,
    screw_that_holds,
    slat_run,
)

BEDDING: Final = 1 * INCH
"""Room for bedding at the two ends together, beyond the mattress allowance (common practice, no source)."""
UNDER_SLATS: Final = INCH // 2
"""How far a slat clears the top of a post or a leg (common practice, no source)."""
BLOCK_HEIGHT: Final = INCH * 3 // 4
SHORTEST_BLOCK: Final = INCH // 2
WIDE: Final = 53 * INCH
"""From this mattress width a bed wants a centre beam with a leg: a full or double and up (practice)."""
SHORTER_SLAT: Final = INCH // 4
"""How much shorter a slat may be cut and still lie on both ledgers (common practice, no source)."""
BESIDE_POST: Final = INCH // 4
"""The least an upright stands inside of the post, off the washer of the end board's bolt (practice)."""
WIDEST_HEADBOARD_GAP: Final = 3 * INCH

OPTIONS: Final = (
    option.Mattress(
        "mattress", "The mattress: a listed size, or its measured width and length, and its thickness if known.",
        default="queen", metric_default="eu-140",
    ),
    option.Length(
        "clear_height", "Clear height underneath the rails and the beam.",
        default=8 * INCH, metric_default=200 * MM, least=4 * INCH, most=24 * INCH,
    ),
    option.Section("rail", "Section of the two side rails, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the ledgers that carry the slats, and of the centre beam.", role="ledger"),
    option.Section(
        "end_board", "Section of the end boards, and of the boards of a headboard or footboard.", role="end_board",
    ),
    option.Section("post", "Section that the posts and the centre leg are laminated from.", role="post"),
    option.Section("slat", "Section of the slats, laid flat.", role="slat"),
    option.Length(
        "slat_gap", "Widest gap between slats: at most 3 in (75 mm) under a foam mattress; 2 to 2-1/2 in is better.",
        default=3 * INCH, metric_default=75 * MM, least=INCH // 2, most=4 * INCH,
    ),
    option.Choice(
        "slat_retention", "What keeps the slats in place: blocks glued between them on the ledgers, or screws.",
        choices=("blocks", "screws"), default="blocks",
    ),
    option.Flag("doubled_middle", "Whether two slats touch at the middle, over the centre leg.", default=True),
    option.Choice(
        "centre_support", "What carries the slats at mid width; auto: a beam and leg from 53 in (1.35 m) up.",
        choices=("auto", "none", "beam", "beam and leg"), default="auto",
    ),
    option.Flag("headboard", "A headboard, bolted to the head end board outside the sleeping length.", default=False),
    option.Length(
        "headboard_rise", "How far the headboard rises above the mattress.",
        default=14 * INCH, metric_default=350 * MM, least=0, most=36 * INCH,
    ),
    option.Flag("footboard", "A footboard, bolted to the foot end board outside the sleeping length.", default=False),
    option.Length(
        "footboard_rise", "How far the footboard rises above the mattress.",
        default=2 * INCH, metric_default=50 * MM, least=0, most=36 * INCH,
    ),
    option.Choice(
        "bolt_size", "Size of all bolts.",
        choices=("1/4 in", "5/16 in", "3/8 in", "1/2 in", "M6", "M8", "M10", "M12"),
        default="3/8 in", metric_default="M10",
    ),
    option.Choice(
        "screw_size", "Least size of the wood screws, where there are any; thick wood may ask for a larger one.",
        choices=("#8", "#10", "#12", "4.5 mm", "5 mm", "6 mm"), default="#8", metric_default="4.5 mm",
    ),
    option.Length(
        "mattress_allowance", "How much wider and longer than the mattress the bed is inside.",
        default=1 * INCH, metric_default=25 * MM, least=0, most=3 * INCH,
    ),
    option.Length(
        "slat_clearance", "How much shorter than their place the loose pieces are: slats, beam, spacer blocks.",
        default=INCH // 8, metric_default=3 * MM, least=0, most=INCH // 2,
    ),
)  # fmt: skip


@dataclass(frozen=True)
class Layout:
    """Every dimension that follows from the options [nm]; heights are above the floor."""

    o: Options
    bolt: fasteners.BoltSize
    inside_width: int
    inside_length: int
    post_layers: int
    post_top: int
    rail_bolts: tuple[tuple[int, int], ...]
    end_bolt: int
    end_board_bottom: int
    set_back: int

    @property
    def length(self) -> int:
        """Of the bed, and so of its rails."""
        return self.inside_length + 2 * int(self.o.end_board.thickness)

    @property
    def width(self) -> int:
        """Over both rails."""
        return self.inside_width + 2 * int(self.o.rail.thickness)

    @property
    def post_depth(self) -> int:
        """Of a post's laminations together."""
        return self.post_layers * int(self.o.post.thickness)

    @property
    def ledger_start(self) -> int:
        """Where the ledgers begin, behind the end board and the post."""
        return int(self.o.end_board.thickness + self.o.post.width) + self.set_back

    @property
    def deck(self) -> int:
        """The height of the ledgers' upper edge, on which the slats lie."""
        return int(self.o.clear_height + self.o.ledger.width)

    @property
    def mattress_base(self) -> int:
        """The height of the slats' upper face."""
        return self.deck + int(self.o.slat.thickness)

    @cached_property
    def slats(self) -> SlatRun:
        """Where the slats lie along the ledgers."""
        low, high = self.ledger_start, self.length - self.ledger_start
        return slat_run(low, high, self.o.slat.width, self.o.slat_gap, self.o.doubled_middle)

    @property
    def block(self) -> int:
        """The length of a spacer block; 0 when the gaps are too narrow for one."""
        block = self.slats.gap - min(int(self.o.slat_clearance), self.slats.gap // 4)
        return block if block >= SHORTEST_BLOCK else 0

    @property
    def screwed(self) -> bool:
        """Whether the slats are screwed down, as asked or because no block fits between them."""
        return bool(self.o.slat_retention == "screws" or not self.block)

    @property
    def stops(self) -> bool:
        """Whether the rail stands high enough above the post to glue a stop on it."""
        height = min(BLOCK_HEIGHT, int(self.o.slat.thickness))
        return self.post_top <= self.deck and self.deck + height <= self.o.clear_height + self.o.rail.width

    @property
    def support(self) -> str:
        """What carries the slats at mid width."""
        if self.o.centre_support != "auto":
            return str(self.o.centre_support)
        return "beam and leg" if self.o.mattress.width >= WIDE else "none"


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: a headboard whose uprights have no room beside the posts."""
    at = _layout(o)
    left = _side(at) + _blocks(at)
    head = _end_board(at)
    ends = {"head": head, "foot": mirrored(head, "x", at.length, "head", "foot")}
    sides = {"left": left, "right": mirrored(left, "y", at.width, "left", "right")}
    centre = _centre(at)
    slats = _slats(at, centre)
    boards = {end: _upright_board(at, end) for end in ends if o[f"{end}board"]}
    low = (o.end_board.thickness, o.rail.thickness, at.mattress_base)
    high = (at.length - low[0], at.width - low[1], at.mattress_base + o.mattress.thickness)
    return frame_of(
        *sides.values(), *ends.values(), centre, slats, *boards.values(),
        carried_pieces=(
            *(CarriedPiece(f"{side} rail", piece.keys) for side, piece in sides.items()),
            *(CarriedPiece(f"{end} end board", piece.keys) for end, piece in ends.items()),
            *(CarriedPiece(f"{end}board", piece.keys) for end, piece in boards.items()),
            *([CarriedPiece("centre beam", centre.keys)] if centre.parts else []),
            CarriedPiece("slat", slats.keys, len(slats.keys)),
        ),
        sleeping_places=(SleepingPlace("mattress", o.mattress, Box(low, high), slats.keys, o.slat_gap),),
        notes=_notes(at),
    )  # fmt: skip


def _layout(o: Options) -> Layout:
    """Work out the dimensions that must be chosen: how high the posts go, and where three bolts pass in each.

    Two bolts run across the bed through rail and post, one along it through end board and post; stacked one
    above the other at the quarters of the height they share, or, where that is too low, the rail's two side by
    side below the end board's one.
    """
    bolt = fasteners.bolt_sizes()[o.bolt_size]
    room = lane(bolt)
    rise = max(o.ledger.width - UNDER_SLATS, min(4 * room, o.ledger.width + o.slat.thickness))
    shared = min(rise, o.rail.width)
    stacked = shared >= 4 * room
    rail_level = min(o.rail.width // 2, rise // 3)
    end_bolt = o.clear_height + (shared // 2 if stacked else (rail_level + rise) // 2)
    post_start = o.end_board.thickness
    heights = (0, shared) if stacked else (rail_level, rail_level)
    rail_bolts = bolt_places(
        (o.clear_height + heights[0], o.clear_height + heights[1]),
        (post_start, post_start + o.post.width),
        bolt,
    )
    layers = laminations(o.post, POST_THICKNESS)
    grip = o.end_board.thickness + o.post.width
    nut_edge = layers * o.post.thickness - o.post.thickness // 2 - bolt.tee_nut.flange_diameter // 2
    above_deck = end_bolt + bolt.tee_nut.flange_diameter // 2 > o.clear_height + o.ledger.width
    blocked = o.ledger.thickness > nut_edge or above_deck
    return Layout(
        o,
        bolt,
        inside_width=o.mattress.width + o.mattress_allowance,
        inside_length=o.mattress.length + o.mattress_allowance + BEDDING,
        post_layers=layers,
        post_top=o.clear_height + rise,
        rail_bolts=rail_bolts,
        end_bolt=end_bolt,
        end_board_bottom=max(o.clear_height, end_bolt - o.end_board.width // 2),
        set_back=fasteners.bolt_length(bolt, grip, "tee nut") - grip if blocked else 0,
    )


def _side(at: Layout) -> Assembly:
    """The left rail with its ledger and its two posts, which stay bolted to it."""
    o = at.o
    rail = Part("left rail", "side rail", o.rail, at.length, Placement((0, 0, o.clear_height), "x", "z"))
    ledger = Part(
        "left ledger", "ledger", o.ledger, at.length - 2 * at.ledger_start,
        Placement((at.ledger_start, o.rail.thickness, o.clear_height), "x", "z"), rounding="down",
    )  # fmt: skip
    head_post = _post(at)
    foot_post = mirrored(head_post, "x", at.length, "head", "foot")
    return Assembly((rail, ledger), (Glued((ledger.key, rail.key)),)) + head_post + foot_post


def _post(at: Layout) -> Assembly:
    """The head post of the left rail, and the two bolts that hold it to the rail."""
    o = at.o
    place = Placement((o.end_board.thickness, o.rail.thickness, 0), "z", "x")
    post = laminated("left head post", "post lamination", o.post, at.post_top, place, at.post_layers)
    through = ("left rail", *post.keys)
    bolts = tuple(Bolted(through, o.bolt_size, (x, 0, z), "y", 1) for z, x in at.rail_bolts)
    return post + Assembly((), bolts)


def _end_board(at: Layout) -> Assembly:
    """The head end board between the rails, bolted to the inmost lamination of each post."""
    o = at.o
    board = Part(
        "head end board", "end board", o.end_board, at.inside_width,
        Placement((0, o.rail.thickness, at.end_board_bottom), "y", "z"), rounding="down",
    )  # fmt: skip
    layer = f" {at.post_layers}" if at.post_layers > 1 else ""
    y = o.rail.thickness + at.post_depth - o.post.thickness // 2
    bolt = Bolted((board.key, f"left head post{layer}"), o.bolt_size, (0, y, at.end_bolt), "x", 1)
    left = Assembly((), (bolt,))
    return Assembly((board,)) + left + mirrored(left, "y", at.width, "left", "right")


def _centre(at: Layout) -> Assembly:
    """The beam in its hangers, and its leg: a piece under the beam glued to one bolted beside it."""
    if at.support == "none":
        return Assembly()
    o, layers = at.o, laminations(at.o.ledger, BEAM_THICKNESS)
    thickness = layers * o.ledger.thickness
    play = o.slat_clearance // 2
    start, y = o.end_board.thickness + play, (at.width - thickness) // 2
    beam = laminated(
        "beam", "centre beam", o.ledger, at.length - 2 * start,
        Placement((start, y, o.clear_height), "x", "z"), layers,
    )  # fmt: skip
    beam = replace(beam, parts=tuple(replace(part, rounding="down") for part in beam.parts))
    hanger = fasteners.hanger_for(thickness, at.bolt.system).name
    hung = tuple(Hung((*beam.keys, f"{end} end board"), hanger, play) for end in ("head", "foot"))
    leg = _leg(at, beam, y + thickness) if at.support == "beam and leg" else Assembly()
    return beam + Assembly((), hung) + leg


def _leg(at: Layout, beam: Assembly, side: int) -> Assembly:
    o, x = at.o, (at.length - at.o.post.width) // 2
    washer = at.bolt.washer_diameter // 2
    low_beam = o.ledger.width - UNDER_SLATS < washer + at.bolt.tee_nut.barrel_diameter
    top = at.deck if low_beam else at.deck - UNDER_SLATS
    under = Part(
        "leg under beam", "leg under beam", o.post, o.clear_height,
        Placement((x, side - o.post.thickness, 0), "z", "x"),
    )  # fmt: skip
    beside = Part("leg beside beam", "leg beside beam", o.post, top, Placement((x, side, 0), "z", "x"))
    places = bolt_places((o.clear_height, top), (x, x + o.post.width), at.bolt, washer)
    head = side - len(beam.parts) * o.ledger.thickness
    bolts = tuple(Bolted((*beam.keys, beside.key), o.bolt_size, (bx, head, bz), "y", 1) for bz, bx in places)
    joints: tuple[Joint, ...] = (Glued((under.key, beside.key)), Resting((beam.keys[-1], under.key)), *bolts)
    return Assembly((under, beside), joints)


def _slats(at: Layout, centre: Assembly) -> Assembly:
    """The slats, loose or screwed on the ledgers, and lying on the beam where there is one."""
    o, y = at.o, at.o.rail.thickness + at.o.slat_clearance // 2
    length = at.inside_width - o.slat_clearance
    slats = tuple(
        Part(
            f"slat {i}",
            "slat",
            o.slat,
            length,
            Placement((x, y, at.deck), "y", "x"),
            rounding="down",
            least=length - SHORTER_SLAT,
        )
        for i, x in enumerate(at.slats.starts, 1)
    )
    carriers = ["left ledger", "right ledger", *(key for key in centre.keys if key.startswith("beam"))]
    resting = tuple(Resting((slat.key, carrier)) for slat in slats for carrier in carriers)
    screws = tuple(screw for slat in slats for screw in _slat_screws(at, slat)) if at.screwed else ()
    return Assembly(slats, resting + screws)


def _slat_screws(at: Layout, slat: Part) -> tuple[Screwed, ...]:
    o, top = at.o, at.mattress_base
    size = screw_that_holds(o.screw_size, o.slat.thickness, o.ledger.width)
    edge = o.rail.thickness + o.ledger.thickness // 2
    start = slat.placement.origin[0]
    return tuple(
        Screwed((slat.key, f"{side} ledger"), size, (x, y, top), "z", -1)
        for side, y in (("left", edge), ("right", at.width - edge))
        for x in (start + o.slat.width // 4, start + o.slat.width * 3 // 4)
    )


def _blocks(at: Layout) -> Assembly:
    """Spacer blocks glued on the left ledger in every gap, and stops on the rail behind the end slats."""
    if at.screwed:
        return Assembly()
    o, starts = at.o, at.slats.starts
    height = min(BLOCK_HEIGHT, o.slat.thickness)

    def block(key: str, x: int, length: int) -> Part:
        place = Placement((x, o.rail.thickness, at.deck), "x", "z")
        return Part(key, "spacer block", o.ledger, length, place, ripped=height, rounding="down")

    gaps = [
        (before + o.slat.width, after) for before, after in pairwise(starts)
        if after - before - o.slat.width >= at.block
    ]  # fmt: skip
    spacers = [
        block(f"left spacer {i}", low + (high - low - at.block) // 2, at.block) for i, (low, high) in enumerate(gaps, 1)
    ]
    stop = min(at.block, o.post.width + at.set_back)
    stops = [
        block("left head stop", starts[0] - stop, stop),
        block("left foot stop", starts[-1] + o.slat.width, stop),
    ] if at.stops else []  # fmt: skip
    glued = [Glued((part.key, "left ledger")) for part in spacers]
    glued += [Glued((part.key, "left rail")) for part in stops]
    return Assembly((*spacers, *stops), tuple(glued))


def _upright_board(at: Layout, end: str) -> Assembly:
    """A headboard or footboard: boards across two uprights, each bolted to the end board by two bolts."""
    o = at.o
    beside = max(BESIDE_POST, (at.bolt.washer_diameter - o.post.thickness) // 2)
    inner = o.rail.thickness + at.post_depth + beside
    if 2 * (inner - o.rail.thickness + o.post.width) > at.inside_width:
        raise RefusalError(
            f"{end}board",
            f"{end}board: two uprights of {o.post.name} have no room between the posts of this mattress; "
            f"choose a narrower post, or leave the {end}board out",
        )
    end_top = at.end_board_bottom + o.end_board.width
    low = max(o.clear_height + o.rail.width, end_top, at.mattress_base) + UNDER_SLATS
    top = max(at.mattress_base + o.mattress.thickness + o[f"{end}board_rise"], low + o.end_board.width)
    upright = Part(
        f"left {end}board upright", f"{end}board upright", o.post, top,
        Placement((-o.post.thickness, inner, 0), "z", "y"),
    )  # fmt: skip
    places = bolt_places((at.end_board_bottom, end_top), (inner, inner + o.post.width), at.bolt)
    bolts = tuple(
        Bolted((upright.key, f"{end} end board"), o.bolt_size, (-o.post.thickness, y, z), "x", 1) for z, y in places
    )
    left = Assembly((upright,), bolts)
    both = left + mirrored(left, "y", at.width, "left", "right")
    whole = both + _cross_boards(at, end, both.parts, low, top)
    return whole if end == "head" else mirrored(whole, "x", at.length, "head", "head")


def _cross_boards(at: Layout, end: str, uprights: tuple[Part, ...], low: int, top: int) -> Assembly:
    """Boards from the top of the uprights down to `low`, no more than 3 in apart, each on four screws."""
    o, width = at.o, at.o.end_board.width
    rise = top - low
    count = min(-(-(rise + WIDEST_HEADBOARD_GAP) // (width + WIDEST_HEADBOARD_GAP)), rise // width)
    pitch = (rise - width) // (count - 1) if count > 1 else 0
    boards = tuple(
        Part(f"{end}board board {i + 1}", f"{end}board board", o.end_board, at.width,
             Placement((0, 0, top - width - i * pitch), "y", "z"))
        for i in range(count)
    )  # fmt: skip
    size, from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)
    screws = tuple(
        Screwed((upright.key, board.key), size, (-o.post.thickness, y, z), "x", 1)
        if from_behind
        else Screwed((board.key, upright.key), size, (o.end_board.thickness, y, z), "x", -1)
        for board in boards
        for upright in uprights
        for y, z in _screw_places(upright, board)
    )
    return Assembly(boards, screws)


def _screw_places(upright: Part, board: Part) -> tuple[tuple[int, int], ...]:
    """Two screws on the diagonal of a crossing, so that they do not split one line of grain."""
    y, z = upright.placement.origin[1], board.placement.origin[2]
    return tuple((y + upright.width * i // 4, z + board.width * i // 4) for i in (1, 3))


def _notes(at: Layout) -> tuple[Note, ...]:
    notes = []
    if at.screwed and at.o.slat_retention == "blocks":
        notes.append(
            Note(
                "slats-screwed",
                "The gaps between the slats are too narrow for spacer blocks: the slats are screwed down.",
            )
        )
    if at.o.doubled_middle and not at.slats.doubled:
        notes.append(Note("middle-not-doubled", "No even number of these slats fits: the middle slat stays single."))
    if len(at.rail_bolts) == 1:
        notes.append(
            Note("one-rail-bolt", "Rail and post are too small for two bolts: one holds each post to its rail.")
        )
    return tuple(notes)


DESIGN: Final = Design(
    name="slatted-bed",
    title="Knock-down slatted bed",
    summary=(
        "Two side rails with glued ledgers, four laminated posts, two end boards, a centre beam that lifts out, "
        "and loose slats. Comes apart with four bolts; no piece is longer than a rail."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Joinery, slat gaps and centre support: common practice, no source",
    ),
)
