"""A knock-down daybed: two ends with arms, a front rail, a back, loose slats, and a trundle underneath if wanted.

x runs from the left end to the right, y from the front to the back, z up from the floor. The posts stand outside
the sleeping length: the end boards lie on their inner faces, the rails and the boards of the back on their outer
ones. The bolts through the posts come out, and the bed is two ends, a front rail, a back and slats.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import Final

from sawbill.trade import fasteners, option
from sawbill.trade.boxes import Box
from sawbill.trade.declaring.headings import SLEEPING_PLACE
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import Bolted, CarriedPiece, Frame, Glued, Note, Part, Placement, Screwed, SleepingPlace
from sawbill.trade.lengths import INCH, MM, STEP, BySystem, format_length, round_down, round_up
from sawbill_designs.common.bolt_places import FAR, Bolt, Face, Point2, bolt_places
from sawbill_designs.common.options import (
    BOLT_SIZE,
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
    WIDE,
    Assembly,
    beam_legs,
    centre_beam,
    crossing_screw,
    frame_of,
    laminated,
    laminations,
    mirrored,
    play_at,
    screw_that_holds,
)
from sawbill_designs.common.places import clear_place, diagonal_places, quarters, shared
from sawbill_designs.common.slats import SlatRun, slat_deck, slat_run, slat_screws, spacer_blocks, spacer_length

WIDEST_BOARD_GAP: Final[BySystem] = {"inch": 3 * INCH, "metric": 75 * MM}
"""Between the boards of an end or of the back (common practice, no source)."""
SCREW_EDGE: Final = INCH // 4
"""The least from the middle of a screw to the edge of a board (practice)."""
STRIP: Final[BySystem] = {"inch": INCH * 3 // 2, "metric": 40 * MM}
"""How high the ledgers of the trundle are, so that it stays low (practice)."""
TRUNDLE_PLAY: Final = INCH // 4
"""How far the trundle stays from the posts at either side (practice)."""
ABOVE_TRUNDLE: Final = INCH // 2
"""How far the rails clear the trundle and its mattress (practice)."""
HIGHEST_SEAT: Final = 30 * INCH

TWO_BOLTS: Final = 7 * INCH
"""From this width a board of the back has two bolts at either end (practice)."""

OPTIONS: Final = (
    mattress("twin", "eu-90"),
    option.Length(
        "seat_height", "Height of the slats above the floor, on which the mattress lies; one sits a mattress higher.",
        default=13 * INCH, metric_default=340 * MM, least=6 * INCH, most=HIGHEST_SEAT,
    ),
    option.Length(
        "back_height", "How far the back rises above the mattress.",
        default=16 * INCH, metric_default=400 * MM, least=0, most=36 * INCH,
    ),
    option.Length(
        "arm_height", "How far the arms, the two ends, rise above the mattress.",
        default=8 * INCH, metric_default=200 * MM, least=0, most=36 * INCH,
    ),
    option.Section("rail", "Section of the front and the back rail, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the ledgers that carry the slats, and of the centre beam.", role="ledger"),
    option.Section("end_board", "Section of the boards of the ends and of the back.", role="end_board"),
    option.Section(
        "post", "Section that the posts and the leg are laminated from, and of the upright of the back.", role="post",
    ),
    option.Section("slat", "Section of the slats, laid flat, and of the trundle's runners.", role="slat"),
    SLAT_GAP,
    SLAT_RETENTION,
    centre_support("a beam from 53 in (1.35 m) up, and a leg for it where no trundle is in its way"),
    option.Flag("trundle", "A trundle: a low bed on runners that is pulled out from underneath.", default=False,
                heading=SLEEPING_PLACE),
    option.Mattress(
        "trundle_mattress", "The mattress of the trundle; a thinner one lets the seat be lower.",
        default="twin x 6 in", metric_default="eu-90 x 150 mm",
    ),
    option.Section("trundle_side", "Section of the trundle's front and back, standing on edge.", role="end_board"),
    BOLT_SIZE,
    SCREW_SIZE,
    FINISH,
    mattress_allowance(),
    slat_clearance("their place the loose pieces are: slats, beam, spacer blocks"),
)  # fmt: skip


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
        return self.o.at_least(self.o.mattress.length) + int(self.o.mattress_allowance) + self.o.at_least(BEDDING)

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

    @property
    def back_flush(self) -> bool:
        """Whether the boards of the back are flush with its rail, so that one upright lies on both."""
        return bool(self.o.rail.thickness == self.o.end_board.thickness)


def _boards(o: Options, pitches: int, room: int) -> tuple[int, int]:
    """How wide and how many boards are, with no gap too wide: whole ones, or ripped alike to fill the room."""
    count = max(1, -(-pitches // (o.end_board.width + o.at_most(WIDEST_BOARD_GAP))))
    return min(int(o.end_board.width), o.at_most(room // count)), count


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: no room for the rails, a board of an end or the back, or the trundle."""
    at = Layout(o, Bolt.of(o), laminations(o.post, POST_THICKNESS))
    _check_heights(at)
    front = _rail(at)
    back = mirrored(front, "y", at.width, "front", "back")
    boards, upright = _back(at, back.parts[0])
    left = _end(at)
    ends = (left, mirrored(left, "x", at.length, "left", "right"))
    bolts = _post_bolts(at)
    centre = _centre(at, (ends[0].parts[-1], ends[1].parts[-1]))
    slats = _slats(at, front.parts[1], back.parts[1], centre)
    trundle, places = _trundle(at) if o.trundle else (Assembly(), ())
    return frame_of(
        front, back, boards, upright, *ends, bolts, centre, slats, trundle,
        carried_pieces=(
            *(CarriedPiece(f"{side} end", end.keys) for side, end in zip(("left", "right"), ends, strict=True)),
            CarriedPiece("front rail", front.keys),
            *_back_pieces(at, back, boards + upright),
            *([CarriedPiece("centre beam", centre.keys)] if centre.parts else []),
            CarriedPiece("slat", slats.keys, len(slats.keys)),
            *([CarriedPiece("trundle", trundle.keys)] if trundle.parts else []),
        ),
        sleeping_places=(_main_place(at, slats), *places),
        notes=_notes(at),
        finish=o.finish,
    )  # fmt: skip


def _check_heights(at: Layout) -> None:
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
        raise RefusalError(name, f"{name}: {what} will not fit in this height; {_up(at, least)} or more would do")


def _up(at: Layout, length: int) -> str:
    """A length in words [nm], never less than it is."""
    system = at.bolt.size.system
    return format_length(round_up(length, STEP[system]), system)


def _down(at: Layout, length: int) -> str:
    system = at.bolt.size.system
    return format_length(round_down(length, STEP[system]), system)


def _rail(at: Layout) -> Assembly:
    """The front rail with its ledger, and the spacer blocks on it."""
    o = at.o
    rail = Part("front rail", "rail", o.rail, at.length, Placement((0, 0, at.rail_bottom), "x", "z"))
    place = Placement((at.inside_start, o.rail.thickness, at.rail_bottom), "x", "z")
    ledger = Part("front ledger", "ledger", o.ledger, at.inside_length, place, rounding="down")
    side = Assembly((rail, ledger), (Glued((ledger.key, rail.key)),))
    return (
        side if at.screwed else side + spacer_blocks(o, at.slats, (ledger,), at.block, at.inside_width, "front spacer")
    )


def _end(at: Layout) -> Assembly:
    """The left end: a front and a back post, and the boards screwed on their inner faces."""
    o, depth = at.o, at.post_layers * at.o.post.thickness
    back_top = max(at.arm_top, at.back_boards[-1][0] + at.back_boards[-1][1])
    posts = [
        laminated(f"left {side} post", f"{side} post lamination", o.post, top, Placement((0, y, 0), "z", "x"),
                  at.post_layers)
        for side, top, y in (("front", at.arm_top, o.rail.thickness), ("back", back_top, at.back_face - depth))
    ]  # fmt: skip
    boards = tuple(
        Part(
            f"left end board {i}", "end board", o.end_board, at.inside_width,
            Placement((o.post.width, o.rail.thickness, z), "y", "z"),
            ripped=width if width < o.end_board.width else None, rounding="down",
        )
        for i, (z, width) in reversed(list(enumerate(at.end_boards, 1)))
    )  # fmt: skip
    screws = tuple(screw for board in boards for post in posts for screw in _end_screws(at, board, post.parts))
    return posts[0] + posts[1] + Assembly(boards, screws)


def _end_screws(at: Layout, board: Part, post: tuple[Part, ...]) -> tuple[Screwed, ...]:
    """Two screws into a post, each in the middle of a lamination and clear of the bolts that cross it."""
    o = at.o
    size, from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.width)
    room = at.bolt.off_bore(fasteners.screw_sizes()[size].diameter, MM)
    taken = [z for z, _ in (*at.rail_bolts, *(place for board in at.back_bolts for place in board))]
    low, high = board.box.span("z")
    span, wanted = (low + SCREW_EDGE, high - SCREW_EDGE), quarters(low, board.width, o.step)
    heights = [clear_place(each, span, taken, room, o.step) for each in wanted]
    found = []
    for i, z in enumerate(heights):
        if z is None:
            raise RefusalError("bolt_size", f"bolt_size: {o.bolt_size} bolts leave no room for screws; choose thinner")
        layer = post[-i]
        share = 2 if len(post) > 1 else 4
        parts = 2 * i + 1 if share == 4 else 1
        y = layer.placement.origin[1] + o.near(layer.section.thickness * parts // share)
        found.append(
            Screwed((layer.key, board.key), size, (0, y, z), "x", 1)
            if from_behind
            else Screwed((board.key, layer.key), size, (at.inside_start, y, z), "x", -1)
        )
    return tuple(found)


def _post_bolts(at: Layout) -> Assembly:
    """The bolts that come out: rails and boards of the back through the posts, and so to the ends."""
    o = at.o

    def layers(side: str) -> tuple[str, ...]:
        numbers = range(1, at.post_layers + 1)
        return tuple(f"left {side} post {i}" for i in numbers) if len(numbers) > 1 else (f"left {side} post",)

    front = Assembly(
        (), tuple(Bolted(("front rail", *layers("front")), o.bolt_size, (x, 0, z), "y", 1) for z, x in at.rail_bolts)
    )
    outer = at.back_face + o.end_board.thickness
    through = layers("back")[::-1]
    boards = tuple(
        Bolted((f"back board {i}", *through), o.bolt_size, (x, outer, z), "y", -1)
        for i, places in enumerate(at.back_bolts, 1)
        for z, x in places
    )
    back = tuple(Bolted(("back rail", *through), o.bolt_size, (x, at.width, z), "y", -1) for z, x in at.rail_bolts)
    left = front + Assembly((), back + boards)
    return left + mirrored(left, "x", at.length, "left", "right")


def _back(at: Layout, rail: Part) -> tuple[Assembly, Assembly]:
    """The boards of the back, and the upright behind them in the middle, screwed to the rail too if it can be."""
    o, outer = at.o, at.back_face + at.o.end_board.thickness
    boards = tuple(
        Part(
            f"back board {i}", "back board", o.end_board, at.length, Placement((0, at.back_face, z), "x", "z"),
            ripped=width if width < o.end_board.width else None,
        )
        for i, (z, width) in enumerate(at.back_boards, 1)
    )  # fmt: skip
    bottom = at.rail_bottom if at.back_flush else at.back_boards[0][0]
    top = boards[-1].box.high[2]
    place = Placement((o.near((at.length - o.post.width) // 2), outer, bottom), "z", "x")
    upright = Part("back upright", "back upright", o.post, top - bottom, place)
    size, from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)
    behind, front = outer + o.post.thickness, at.back_face
    screws = [
        Screwed((upright.key, board.key), size, (x, behind, z), "y", -1)
        if from_behind
        else Screwed((board.key, upright.key), size, (x, front, z), "y", 1)
        for board in boards
        for x, z in diagonal_places(upright, board, "x", o.step)
    ]
    if at.back_flush:
        size = screw_that_holds(o.screw_size, o.post.thickness, o.rail.thickness)
        screws += [
            Screwed((upright.key, rail.key), size, (x, behind, z), "y", -1)
            for x, z in diagonal_places(upright, rail, "x", o.step)
        ]
    return Assembly(boards), Assembly((upright,), tuple(screws))


def _back_pieces(at: Layout, rail: Assembly, boards: Assembly) -> tuple[CarriedPiece, ...]:
    if at.back_flush:
        return (CarriedPiece("back", (rail + boards).keys),)
    return (CarriedPiece("back rail", rail.keys), CarriedPiece("back", boards.keys))


def _centre(at: Layout, ends: tuple[Part, Part]) -> Assembly:
    """The beam in its hangers on the lowest end boards, and its leg."""
    o = at.o
    if at.support == "none":
        return Assembly()
    beam = centre_beam(o, ends, at.width, at.rail_bottom)
    if at.support == "beam":
        return beam
    if o.trundle:
        raise RefusalError("centre_support", "centre_support: a leg would stand in the trundle's way; beam would do")
    return beam + beam_legs(o, beam, at.length)


def _slats(at: Layout, front: Part, back: Part, centre: Assembly) -> Assembly:
    """The slats, loose or screwed on the ledgers, and lying on the beam where there is one."""
    o = at.o
    across = o.rail.thickness + play_at(o, 0), o.rail.thickness + at.inside_width - play_at(o, 1)
    beams = (part for part in centre.parts if part.name == "centre beam")
    slats = slat_deck(o, at.slats, across, at.deck, (front, back, *beams))
    if not at.screwed:
        return slats
    edge = o.rail.thickness + o.near(o.ledger.thickness // 2)
    return slats + slat_screws(o, slats.parts, (((front,), edge), ((back,), at.width - edge)))


def _main_place(at: Layout, slats: Assembly) -> SleepingPlace:
    low = (at.inside_start, int(at.o.rail.thickness), int(at.o.seat_height))
    high = (at.length - low[0], at.width - low[1], low[2] + at.o.mattress.thickness)
    return SleepingPlace("mattress", at.o.mattress, Box(low, high), slats.keys, at.o.slat_gap)


def _trundle(at: Layout) -> tuple[Assembly, tuple[SleepingPlace, ...]]:
    """The trundle, pushed in: its front closes against the front posts, where a bolt at either side locks it."""
    o = at.o
    strip = min(o.at_least(STRIP), o.ledger.width)
    foot, base = o.slat.thickness, o.slat.thickness + strip + o.slat.thickness
    length, depth = (
        o.at_least(side) + o.mattress_allowance for side in (o.trundle_mattress.length, o.trundle_mattress.width)
    )
    _check_trundle(at, length, depth, max(foot + o.trundle_side.width, base + o.trundle_mattress.thickness))
    start, near = o.near((at.length - length) // 2), o.rail.thickness
    far, wood = near + depth, o.trundle_side.thickness
    front = Part("trundle front", "trundle front", o.trundle_side, at.length,
                 Placement((0, near - wood, foot), "x", "z"))  # fmt: skip
    back = Part("trundle back", "trundle back", o.trundle_side, length, Placement((start, far, foot), "x", "z"))
    ledgers = tuple(
        Part(f"trundle {side} ledger", "trundle ledger", o.ledger, length, Placement((start, y, foot), "x", "z"),
             ripped=strip if strip < o.ledger.width else None)
        for side, y in (("front", near), ("back", far - o.ledger.thickness))
    )  # fmt: skip
    glued = (Glued((ledgers[0].key, front.key)), Glued((ledgers[1].key, back.key)))
    run = slat_run(start, start + length, o.slat.width, o.slat_gap, doubled=False, step=o.step)
    across = near + play_at(o, 0), far - play_at(o, 1)
    slats = slat_deck(o, run, across, foot + strip, ledgers, "trundle slat")
    inset = o.near(o.ledger.thickness // 2)
    edges = near + inset, far - inset
    whole = Assembly((front, back, *ledgers), glued) + slats
    whole += slat_screws(o, slats.parts, tuple(((ledger,), y) for ledger, y in zip(ledgers, edges, strict=True)))
    whole += _runners(at, front, back, (start, start + length)) + _locks(at, front)
    opening = Box((start, near, base), (start + length, far, base + o.trundle_mattress.thickness))
    return whole, (SleepingPlace("trundle mattress", o.trundle_mattress, opening, slats.keys, o.slat_gap),)


def _check_trundle(at: Layout, length: int, depth: int, height: int) -> None:
    """Refuse a trundle that has no room between the posts, or under the rails."""
    o, name = at.o, "trundle_mattress"
    most = at.length - 2 * o.post.width - 2 * TRUNDLE_PLAY
    if length > most:
        longest = _down(at, most - o.mattress_allowance)
        raise RefusalError(name, f"{name}: it is too long for the room between the posts; up to {longest} would do")
    if depth + o.trundle_side.thickness > at.width - o.rail.thickness:
        widest = at.width - o.rail.thickness - o.trundle_side.thickness - o.mattress_allowance
        raise RefusalError(name, f"{name}: it is too wide for the bed; up to {_down(at, widest)} would do")
    if at.rail_bottom < height + ABOVE_TRUNDLE:
        seat = o.seat_height + height + ABOVE_TRUNDLE - at.rail_bottom
        if seat > HIGHEST_SEAT:
            over = f"is too thick to go under any seat up to {_down(at, HIGHEST_SEAT)}"
            raise RefusalError(name, f"{name}: the trundle with it {over}; a thinner one, or narrower boards, would do")
        needs = f"the trundle with its mattress is {_up(at, height)} high, which does not fit under the rails"
        raise RefusalError("seat_height", f"seat_height: {needs}; {_up(at, seat)} or more would do")


def _runners(at: Layout, front: Part, back: Part, span: tuple[int, int]) -> Assembly:
    """Three runners on the floor from front to back, screwed from below into both."""
    o, (low, high) = at.o, span
    y, length = front.box.low[1], back.box.high[1] - front.box.low[1]
    starts = (low, o.near((low + high - o.slat.width) // 2), high - o.slat.width)
    runners = tuple(
        Part(f"trundle runner {i}", "trundle runner", o.slat, length, Placement((x, y, 0), "y", "x"))
        for i, x in enumerate(starts, 1)
    )
    size = screw_that_holds(o.screw_size, o.slat.thickness, o.trundle_side.width)
    middle = o.near(o.trundle_side.thickness // 2)
    screws = tuple(
        Screwed((runner.key, side.key), size, (x, side.placement.origin[1] + middle, 0), "z", 1)
        for runner in runners
        for side in (front, back)
        for x in quarters(runner.placement.origin[0], o.slat.width, o.step)
    )
    return Assembly(runners, screws)


def _locks(at: Layout, front: Part) -> Assembly:
    """A bolt at either side through the trundle's front into the front post: it keeps the trundle in until pulled."""
    y, z = front.placement.origin[1], front.placement.origin[2] + at.o.near(front.width // 2)
    layers = [f" {i}" for i in range(1, at.post_layers + 1)] if at.post_layers > 1 else [""]
    through = (front.key, *(f"left front post{layer}" for layer in layers))
    left = Assembly((), (Bolted(through, at.o.bolt_size, (at.o.near(at.o.post.width // 2), y, z), "y", 1),))
    return left + mirrored(left, "x", at.length, "left", "right")


def _notes(at: Layout) -> tuple[Note, ...]:
    notes = []
    if at.screwed and at.o.slat_retention == "blocks":
        notes.append(
            Note(
                "slats-screwed",
                "The gaps between the slats are too narrow for spacer blocks: the slats are screwed down.",
            )
        )
    if len(at.rail_bolts) == 1:
        notes.append(
            Note("one-rail-bolt", "Rail and post are too small for two bolts: one holds each post to its rail.")
        )
    if not at.back_flush:
        notes.append(
            Note(
                "back-upright-free",
                "The upright of the back ends above the rail, which is not as thick as the boards: choose rail and "
                "end_board of one thickness and it is screwed to both.",
                ("back upright",),
            )
        )
    if at.o.trundle:
        notes.append(
            Note("trundle-locks", "Take the two bolts out of the trundle's front to pull it out.", ("trundle front",))
        )
    return tuple(notes)


DESIGN: Final = Design(
    name="daybed",
    title="Knock-down daybed",
    summary=(
        "Two ends with arms, a front rail and a back around three sides of a mattress, loose slats, and a trundle to "
        "pull out from underneath if wanted. Comes apart with the bolts through its posts; no piece is longer than "
        "a rail."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Joinery, slat gaps, clearances and centre support: common practice, no source",
    ),
)
