"""The sides of a daybed: its rails, its two ends with the posts, its back, and the bolts that come out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import Point
from sawbill.trade.design import RefusalError
from sawbill.trade.fasteners import BoltEnd
from sawbill.trade.frame import Bolted, Glued, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.bolt_places import half
from sawbill_designs.common.parts import (
    POST_THICKNESS,
    Assembly,
    Upright,
    crossing_screw,
    laminated,
    laminations,
    mirrored,
    screw_that_holds,
)
from sawbill_designs.common.places import clear_place, diagonal_places, quarters
from sawbill_designs.common.slats import spacer_blocks
from sawbill_designs.common.splices import Splice, splice
from sawbill_designs.daybed.plan import Layout

SCREW_EDGE: Final = INCH // 4
"""The least from the middle of a screw to the edge of a board (practice)."""
SIDES: Final = "left", "right"
"""What the ends are called, and the lengths of what comes in two."""


def front_rails(at: Layout) -> dict[str, Assembly]:
    """The front rail with its ledger and the spacer blocks on it, or its two lengths: as they are carried."""
    o = at.o
    if o.in_halves:
        left = _rail(at, "left ", at.length // 2)
        pieces = {"left front rail": left, "right front rail": mirrored(left, "x", at.length, *SIDES)}
    else:
        pieces = {"front rail": _rail(at, "", at.length)}
    if at.screwed:
        return pieces
    ledgers = [piece.parts[1] for piece in pieces.values()]
    blocks = spacer_blocks(o, at.slats, ledgers, at.block, at.inside_width, "front spacer")
    holds = {ledger.key: name for ledger, name in zip(ledgers, pieces, strict=True)}
    for block, glue in zip(blocks.parts, blocks.joints, strict=True):
        pieces[holds[glue.parts[1]]] += Assembly((block,), (glue,))
    return pieces


def _rail(at: Layout, side: str, length: int) -> Assembly:
    """The front rail from the left end on, and its ledger."""
    o, end = at.o, at.inside_start if length == at.length else 0
    rail = Part(f"{side}front rail", "rail", o.rail, length, Placement((0, 0, at.rail_bottom), "x", "z"))
    place = Placement((at.inside_start, o.rail.thickness, at.rail_bottom), "x", "z")
    ledger = Part(
        f"{side}front ledger", "ledger", o.ledger, length - at.inside_start - end, place, rounding="down"
    )  # fmt: skip
    return Assembly((rail, ledger), (Glued((ledger.key, rail.key)),))


def rail_joints(at: Layout, front: Sequence[Part], back: Sequence[Part]) -> tuple[Splice, ...]:
    """Where the lengths of the rails meet, each told as the left rail and ledger; none where they are whole.

    The legs of the front rail stand behind it; those of the back rail outside, and rise to the top of the back.
    """
    o = at.o
    if not o.in_halves:
        return ()
    if o.trundle:
        raise RefusalError(
            "in_halves",
            "in_halves: the legs in the middle would stand in the trundle's way; leave out the trundle, or leave the "
            "bed whole",
        )
    if not at.back_flush:
        raise RefusalError(
            "in_halves",
            f"in_halves: the back in two lengths is held by uprights that lie on rail and boards alike; choose rail "
            f"and end_board of one thickness, not {o.rail.name} and {o.end_board.name}",
        )
    middle = at.length // 2
    from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)[1]
    upright = Upright(at.back_top, 1 if from_behind else laminations(o.post, POST_THICKNESS))
    return (
        splice(o, "rail", "front ", front, middle, SIDES),
        splice(o, "rail", "back ", back[::-1], middle, SIDES, upright),
    )


def end(at: Layout) -> Assembly:
    """The left end: a front and a back post, and the boards screwed on their inner faces."""
    o, depth = at.o, at.post_layers * at.o.post.thickness
    back = max(at.arm_top, at.back_top)
    posts = [
        laminated(f"left {side} post", f"{side} post lamination", o.post, top, Placement((0, y, 0), "z", "x"),
                  at.post_layers)
        for side, top, y in (("front", at.arm_top, o.rail.thickness), ("back", back, at.back_face - depth))
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
    return posts[0] + posts[1] + Assembly(boards, (*screws, *_beam_bolts(at, boards[-1], posts)))


def _beam_bolts(at: Layout, board: Part, posts: Sequence[Assembly]) -> Iterator[Bolted]:
    """A bolt in either end of the board that a beam hangs from, which no screws then carry alone.

    Beside a trundle's mattress its round head is inside, and its nut outside.
    """
    if at.beam_bolt is not None:
        z, deep = at.beam_bolt
        (front, back), start = posts, at.o.rail.thickness
        for y, layer in ((start + deep, front.keys[-1]), (start + at.inside_width - deep, back.keys[0])):
            if at.o.trundle:
                head = (at.inside_start, y, z)
                yield Bolted((board.key, layer), at.o.bolt_size, head, "x", -1, "nut", round_head=True)
            else:
                yield Bolted((layer, board.key), at.o.bolt_size, (0, y, z), "x", 1)


def _end_screws(at: Layout, board: Part, post: tuple[Part, ...]) -> tuple[Screwed, ...]:
    """Two screws into a post, each in the middle of a lamination and clear of the bolts that cross it.

    Where a bolt holds the board too, one that finds no room is left out.
    """
    o = at.o
    size, from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.width)
    room = at.bolt.off_bore(fasteners.screw_sizes()[size].diameter, MM)
    taken = [z for z, _ in (*at.rail_bolts, *(place for board in at.back_bolts for place in board))]
    low, high = board.box.span("z")
    bolted = at.beam_bolt is not None and board.placement.origin[2] == at.rail_bottom
    taken += [at.beam_bolt[0]] if at.beam_bolt is not None and bolted else []
    span, wanted = (low + SCREW_EDGE, high - SCREW_EDGE), quarters(low, board.width, o.step)
    heights = [clear_place(each, span, taken, room, o.step) for each in wanted]
    found = []
    for i, z in enumerate(heights):
        if z is None and bolted:
            continue
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


def post_bolts(at: Layout) -> Assembly:
    """The bolts that come out: rails and boards of the back through the posts, and so to the ends.

    The boards' have round heads inside, for they are in sight between the boards of the ends; their nuts are behind.
    Rail bolts that rise above the seat have round heads too, and caps on their nuts.
    """
    o = at.o

    def layers(side: str) -> tuple[str, ...]:
        numbers = range(1, at.post_layers + 1)
        return tuple(f"left {side} post {i}" for i in numbers) if len(numbers) > 1 else (f"left {side} post",)

    def rail_bolt(parts: tuple[str, ...], head: Point, toward: Literal[1, -1]) -> Bolted:
        seen = head[2] + half(at.bolt.size.washer_diameter) > o.seat_height
        ends: tuple[BoltEnd, bool, bool] = ("capped nut", False, True) if seen else ("tee nut", False, False)
        return Bolted(parts, o.bolt_size, head, "y", toward, *ends)

    side = "left " if o.in_halves else ""
    through = (f"{side}front rail", *layers("front"))
    front = Assembly((), tuple(rail_bolt(through, (x, 0, z), 1) for z, x in at.rail_bolts))
    inner = at.back_face - at.post_layers * o.post.thickness
    through = layers("back")[::-1]
    boards = tuple(
        Bolted((*through[::-1], f"{side}back board {i}"), o.bolt_size, (x, inner, z), "y", 1, "nut", round_head=True)
        for i, places in enumerate(at.back_bolts, 1)
        for z, x in places
    )
    back = tuple(rail_bolt((f"{side}back rail", *through), (x, at.width, z), -1) for z, x in at.rail_bolts)
    left = front + Assembly((), back + boards)
    return left + mirrored(left, "x", at.length, "left", "right")


def back_boards(at: Layout) -> dict[str, Assembly]:
    """The boards of the back, or their two lengths, by the word for these."""
    if not at.o.in_halves:
        return {"": _boards(at, "", at.length)}
    left = _boards(at, "left ", at.length // 2)
    return {"left ": left, "right ": mirrored(left, "x", at.length, *SIDES)}


def _boards(at: Layout, side: str, length: int) -> Assembly:
    o = at.o
    return Assembly(tuple(
        Part(
            f"{side}back board {i}", "back board", o.end_board, length, Placement((0, at.back_face, z), "x", "z"),
            ripped=width if width < o.end_board.width else None,
        )
        for i, (z, width) in enumerate(at.back_boards, 1)
    ))  # fmt: skip


def middle_upright(at: Layout, boards: Assembly, rail: Part) -> Assembly:
    """The upright behind the back in the middle, screwed to its boards, and to the rail too if it can be."""
    o, outer = at.o, at.back_face + at.o.end_board.thickness
    bottom = at.rail_bottom if at.back_flush else at.back_boards[0][0]
    place = Placement((o.near((at.length - o.post.width) // 2), outer, bottom), "z", "x")
    upright = Part("back upright", "back upright", o.post, at.back_top - bottom, place)
    screws = upright_screws(at, upright, boards)
    if at.back_flush:
        size = screw_that_holds(o.screw_size, o.post.thickness, o.rail.thickness)
        behind = outer + o.post.thickness
        screws += tuple(
            Screwed((upright.key, rail.key), size, (x, behind, z), "y", -1)
            for x, z in diagonal_places(upright, rail, "x", o.step)
        )
    return Assembly((upright,), screws)


def upright_screws(at: Layout, upright: Part, boards: Assembly) -> tuple[Screwed, ...]:
    """Two screws at every crossing of an upright and a board of the back."""
    o, (front, behind) = at.o, (at.back_face, upright.box.high[1])
    size, from_behind = crossing_screw(o.screw_size, o.end_board.thickness, o.post.thickness)
    return tuple(
        Screwed((upright.key, board.key), size, (x, behind, z), "y", -1)
        if from_behind
        else Screwed((board.key, upright.key), size, (x, front, z), "y", 1)
        for board in boards.parts
        for x, z in diagonal_places(upright, board, "x", o.step)
    )
