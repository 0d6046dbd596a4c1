"""A knock-down slatted bed: two side rails with ledgers, four laminated posts, two end boards, loose slats.

x runs from head to foot, y from the left rail to the right, z up from the floor. The bolts of the end boards, four in
all or eight, come out, the beam lifts out of its hangers, and the bed is two rails, two end boards, a beam and slats.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from sawbill.trade import fasteners, option
from sawbill.trade.boxes import Box
from sawbill.trade.declaring.headings import CONSTRUCTION, SLATS
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import (
    SEEN_FROM_THE_FOOT,
    Bolted,
    CarriedPiece,
    Frame,
    Glued,
    Note,
    Part,
    Placement,
    Screwed,
    SleepingPlace,
)
from sawbill.trade.lengths import INCH, MM, BySystem
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
    pulled_places,
)
from sawbill_designs.common.options import (
    BOLT_SIZE,
    CORNER_BOLTS,
    FINISH,
    SCREW_SIZE,
    SLAT_GAP,
    SLAT_RETENTION,
    centre_support,
    mattress,
    mattress_allowance,
    slat_clearance,
)
from sawbill_designs.common.parts import (
    BEDDING,
    POST_THICKNESS,
    UNDER_SLATS,
    WIDE,
    Assembly,
    centre_beam,
    crossing_screw,
    frame_of,
    laminated,
    laminations,
    mirrored,
    play_at,
)
from sawbill_designs.common.places import board_heights, diagonal_places
from sawbill_designs.common.slats import (
    SlatRun,
    slat_deck,
    slat_run,
    slat_screws,
    spacer_block,
    spacer_blocks,
    spacer_length,
)
from sawbill_designs.common.splices import IN_HALVES, Centre, Splice, carried, evenly, refuse_crowded, splice

BESIDE_POST: Final[BySystem] = {"inch": INCH // 4, "metric": 6 * MM}
"""The least an upright stands inside of the post, off the washer of the end board's bolt (practice)."""
SHORTEST_STOP: Final = INCH
"""The shortest stop worth cutting and gluing (practice)."""
END_GRAIN: Final = 4
"""How many diameters of a post's end are left above its bolts (NDS 2018, Table 12.5.1A; EN 1995-1-1, Table 8.4)."""
BACK: Final = 150 * MM
"""So far above the mattress one leans against a board (common practice, no source)."""
WIDEST_HEADBOARD_GAP: Final[BySystem] = {"inch": 3 * INCH, "metric": 75 * MM}

OPTIONS: Final = (
    mattress("queen", "eu-140"),
    option.Length(
        "clear_height", "Clear height underneath the rails and the beam.",
        default=8 * INCH, metric_default=200 * MM, least=4 * INCH, most=24 * INCH,
    ),
    option.Section("rail", "Section of the two side rails, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the ledgers that carry the slats, and of the centre beam.", role="ledger"),
    option.Section(
        "end_board", "Section of the end boards, and of the boards of a headboard or footboard.", role="rail",
    ),
    option.Section("post", "Section that the posts and the centre leg are laminated from.", role="post"),
    option.Section("slat", "Section of the slats, laid flat.", role="slat"),
    SLAT_GAP,
    SLAT_RETENTION,
    option.Flag("doubled_middle", "Whether two slats touch at the middle, over the centre leg.", default=True,
                heading=SLATS, label="Two slats at the middle", rare=True),
    centre_support("a beam and leg from 53 in (1.35 m) up, two legs from 70 in (1.78 m)"),
    option.Flag("headboard", "A headboard, bolted to the head end board outside the sleeping length.", default=False),
    option.Length(
        "headboard_rise", "How far the headboard rises above the mattress.",
        default=14 * INCH, metric_default=350 * MM, least=0, most=36 * INCH, heading=CONSTRUCTION,
    ),
    option.Flag("footboard", "A footboard, bolted to the foot end board outside the sleeping length.", default=False),
    option.Length(
        "footboard_rise", "How far the footboard rises above the mattress.",
        default=2 * INCH, metric_default=50 * MM, least=0, most=36 * INCH, heading=CONSTRUCTION,
    ),
    BOLT_SIZE,
    CORNER_BOLTS,
    SCREW_SIZE,
    FINISH,
    IN_HALVES,
    mattress_allowance(),
    slat_clearance("their place the loose pieces are: slats, beam, spacer blocks"),
)  # fmt: skip


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
        return bool(self.o.slat_retention == "screws" or not self.block)

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


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: a headboard whose uprights have no room beside the posts."""
    at = _layout(o)
    left = _left(at)
    head = _end_board(at)
    ends = {"head": head, "foot": mirrored(head, "x", at.length, "head", "foot")}
    right = {
        name.replace("left", "right"): mirrored(each, "y", at.width, "left", "right") for name, each in left.items()
    }
    centre = _centre(at, (ends["head"].parts[0], ends["foot"].parts[0]))
    joints = (*_rail_joints(at, left), *centre.joints)
    bores = [bolt.head[0] for bolt in joints[0].bolts] if o.in_halves else []
    slats = _slats(at, bores, _named("ledger", left), _named("ledger", right), _named("centre beam", centre.pieces))
    refuse_crowded(joints, [part for each in (*left.values(), *right.values()) for part in each.parts])
    boards = {end: _upright_board(at, end) for end in ends if o[f"{end}board"]}
    low = (o.end_board.thickness, o.rail.thickness, at.mattress_base)
    high = (at.length - low[0], at.width - low[1], at.mattress_base + o.mattress.thickness)
    return frame_of(
        *left.values(), *right.values(), *ends.values(), *centre.pieces.values(), *(each.whole for each in joints),
        slats, *boards.values(),
        carried_pieces=(
            *(CarriedPiece(name, piece.keys) for name, piece in (left | right).items()),
            *(CarriedPiece(f"{end} end board", piece.keys) for end, piece in ends.items()),
            *(CarriedPiece(f"{end}board", piece.keys) for end, piece in boards.items()),
            *(CarriedPiece(name, piece.keys) for name, piece in centre.pieces.items()),
            *carried(joints),
            CarriedPiece("slat", slats.keys, len(slats.keys)),
        ),
        sleeping_places=(SleepingPlace("mattress", o.mattress, Box(low, high), slats.keys, o.slat_gap),),
        notes=_notes(at),
        finish=o.finish,
        sides=SEEN_FROM_THE_FOOT,
    )  # fmt: skip


def _layout(o: Options) -> Layout:
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
        return places, clamped(bolt.between(0, o.end_board.width), (levels[0] + room, levels[1] - room))
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


def _left(at: Layout) -> dict[str, Assembly]:
    """The left rail with its ledger, its posts, which stay bolted to it, and what is glued on: as it is carried."""
    if at.o.in_halves:
        head = _rail(at, "left head ", at.length // 2)
        pieces = {"left head rail": head, "left foot rail": mirrored(head, "x", at.length, "head", "foot")}
    else:
        head = _rail(at, "left ", at.length)
        pieces = {
            "left rail": head + mirrored(Assembly(head.parts[2:], head.joints[1:]), "x", at.length, "head", "foot")
        }
    if not at.screwed:
        for block, onto in _blocks(at, pieces):
            pieces[onto] += block
    return pieces


def _rail(at: Layout, side: str, length: int) -> Assembly:
    """The left rail, or the length of it at the head, with its ledger and its head post."""
    o = at.o
    end = length - at.ledger_start if length == at.length else length
    rail = Part(f"{side}rail", "side rail", o.rail, length, Placement((0, 0, o.clear_height), "x", "z"))
    ledger = Part(
        f"{side}ledger", "ledger", o.ledger, end - at.ledger_start,
        Placement((at.ledger_start, o.rail.thickness, o.clear_height), "x", "z"), rounding="down",
    )  # fmt: skip
    return Assembly((rail, ledger), (Glued((ledger.key, rail.key)),)) + _post(at, rail.key)


def _rail_joints(at: Layout, left: Mapping[str, Assembly]) -> tuple[Splice, ...]:
    """Where the lengths of the rails meet; none where they are whole."""
    if not at.o.in_halves:
        return ()
    joint = splice(at.o, "rail", "left ", left["left head rail"].parts[:2], at.length // 2)
    return joint, joint.mirrored("y", at.width, "left", "right")


def _post(at: Layout, rail: str) -> Assembly:
    """The head post of the left rail, and the two bolts that hold it to the rail."""
    o = at.o
    place = Placement((o.end_board.thickness, o.rail.thickness, 0), "z", "x")
    post = laminated("left head post", "post lamination", o.post, at.post_top, place, at.post_layers)
    through = (rail, *post.keys)
    bolts = tuple(Bolted(through, o.bolt_size, (x, 0, z), "y", 1) for z, x in at.rail_bolts)
    return post + Assembly((), bolts)


def _end_board(at: Layout) -> Assembly:
    """The head end board between the rails, bolted to one lamination of each post."""
    o = at.o
    board = Part(
        "head end board", "end board", o.end_board, at.inside_width,
        Placement((0, o.rail.thickness, at.end_board_bottom), "y", "z"), rounding="down",
    )  # fmt: skip
    layer = f" {at.end_bolt_layer}" if at.post_layers > 1 else ""
    held = (board.key, f"left head post{layer}")
    left = Assembly((), tuple(Bolted(held, o.bolt_size, (0, at.end_bolt_y, z), "x", 1) for z in at.end_bolts))
    return Assembly((board,)) + left + mirrored(left, "y", at.width, "left", "right")


def _centre(at: Layout, ends: tuple[Part, Part]) -> Centre:
    """The beam in its hangers on the end boards, and its leg."""
    if at.support == "none":
        return Centre({})
    beam = centre_beam(at.o, ends, at.width, at.o.clear_height)
    return Centre.of(at.o, beam, at.length, leg=at.support == "beam and leg")


def _slats(at: Layout, bores: Sequence[int], *carriers: Sequence[Part]) -> Assembly:
    """The slats, loose or screwed on the ledgers, left and right, and lying on the beam where there is one.

    bores: the x of bolts that cross the ledgers [nm].
    """
    o = at.o
    across = o.rail.thickness + play_at(o, 0), o.rail.thickness + at.inside_width - play_at(o, 1)
    slats = slat_deck(o, at.slats, across, at.deck, (part for each in carriers for part in each))
    if not at.screwed:
        return slats
    edge = o.rail.thickness + o.near(o.ledger.thickness // 2)
    sides = tuple(zip(carriers[:2], (edge, at.width - edge), strict=True))
    return slats + slat_screws(o, slats.parts, sides, bores, at.bolt.size.tee_nut.barrel_diameter)


def _named(name: str, pieces: Mapping[str, Assembly]) -> tuple[Part, ...]:
    """The parts of a name, in their order."""
    return tuple(part for piece in pieces.values() for part in piece.parts if part.name == name)


def _blocks(at: Layout, pieces: Mapping[str, Assembly]) -> Iterator[tuple[Assembly, str]]:
    """Spacer blocks glued on the left ledger in every gap, and stops on the rail behind the end slats.

    Each with the name of the piece that it is glued to.
    """
    o, starts = at.o, at.slats.starts
    holds = {key: name for name, piece in pieces.items() for key in piece.keys}
    ledgers = _named("ledger", pieces)
    spacers = spacer_blocks(o, at.slats, ledgers, at.block, at.inside_width, "left spacer")
    for block, glue in zip(spacers.parts, spacers.joints, strict=True):
        yield Assembly((block,), (glue,)), holds[glue.parts[1]]
    ends = {"head": starts[0] - at.stop, "foot": starts[-1] + o.slat.width} if at.stop else {}
    for end, x in ends.items():
        stop = spacer_block(o, f"left {end} stop", ledgers[0], x, at.stop, at.inside_width)
        rail = f"left {end} rail" if o.in_halves else "left rail"
        yield Assembly((stop,), (Glued((stop.key, rail)),)), rail


def _upright_board(at: Layout, end: str) -> Assembly:
    """A headboard or footboard: boards across two uprights, each bolted to the end board.

    Where it is high enough to lean against, the uprights are laminated, and their bolts have large washers if there is
    room.
    """
    o = at.o
    beside = o.at_least(max(o.at_least(BESIDE_POST), half(at.bolt.size.washer_diameter - o.post.thickness)))
    inner = o.rail.thickness + at.post_depth + beside
    if 2 * (inner - o.rail.thickness + o.post.width) > at.inside_width:
        raise RefusalError(
            f"{end}board",
            f"{end}board: two uprights of {o.post.name} have no room between the posts of this mattress; "
            f"choose a narrower post, or leave the {end}board out",
        )
    end_top = at.end_board_bottom + o.end_board.width
    low = max(o.clear_height + o.rail.width, end_top, at.mattress_base) + o.at_least(UNDER_SLATS)
    over = at.mattress_base + o.at_least(o.mattress.thickness) + o[f"{end}board_rise"]
    top = max(over, low + o.end_board.width)
    leaned = top >= at.mattress_base + o.mattress.thickness + BACK
    layers = laminations(o.post, POST_THICKNESS) if leaned and not _from_behind(o) else 1
    place = Placement((-layers * o.post.thickness, inner, 0), "z", "y")
    upright = laminated(f"left {end}board upright", f"{end}board upright", o.post, top, place, layers)
    face = Face((at.end_board_bottom, end_top), (inner, inner + o.post.width))
    words = f"an end board of {o.end_board.name} on a {end}board's upright"
    pulled = pulled_places(replace(face, large=True), at.bolt) if leaned else ()
    places = pulled or bolt_places(face, at.bolt, "end_board", words)
    through, x = (*upright.keys, f"{end} end board"), place.origin[0]
    ends: tuple[fasteners.BoltEnd, bool] = ("nut", True) if pulled else ("tee nut", False)
    bolts = tuple(Bolted(through, o.bolt_size, (x, y, z), "x", 1, *ends) for z, y in places)
    left = upright + Assembly((), bolts)
    both = left + mirrored(left, "y", at.width, "left", "right")
    inmost = tuple(part for part in both.parts if part.box.high[0] == 0)
    whole = both + _cross_boards(at, end, inmost, low, top)
    return whole if end == "head" else mirrored(whole, "x", at.length, "head", "head")


def _from_behind(o: Options) -> bool:
    """Whether the screws of a headboard's boards go in from behind its uprights."""
    return crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)[1]


def _cross_boards(at: Layout, end: str, uprights: tuple[Part, ...], low: int, top: int) -> Assembly:
    """Boards from the top of the uprights down to `low`, no more than 3 in apart, each on four screws."""
    o, gap = at.o, at.o.at_most(WIDEST_HEADBOARD_GAP)
    boards = tuple(
        Part(f"{end}board board {i}", f"{end}board board", o.end_board, at.width, Placement((0, 0, z), "y", "z"))
        for i, z in enumerate(board_heights(low, top, o.end_board.width, gap, o.step), 1)
    )
    size, from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)
    screws = tuple(
        Screwed((upright.key, board.key), size, (-o.post.thickness, y, z), "x", 1)
        if from_behind
        else Screwed((board.key, upright.key), size, (o.end_board.thickness, y, z), "x", -1)
        for board in boards
        for upright in uprights
        for y, z in diagonal_places(upright, board, "y", o.step)
    )
    return Assembly(boards, screws)


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
        "and loose slats. Comes apart with four bolts, or eight if asked for; no piece is longer than a rail."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Joinery, slat gaps and centre support: common practice, no source",
    ),
)
