"""The ends of a bed above the floor: posts, end boards, guard boards, and what ties those of a wide bed.

End boards lie against the posts' end faces and reach from corner to corner; guard boards stand above them in the same
plane. Everything is built at the ladder's end, and mirrored to the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.frame import Bolted, Part, Placement, Screwed
from sawbill.trade.lengths import MM
from sawbill_designs.common.bolt_places import BETWEEN_BORES, half
from sawbill_designs.common.parts import (
    Assembly,
    crossing_screw,
    laminated,
    mirrored,
    screw_that_holds,
    stout,
)
from sawbill_designs.common.places import places_off, quarters
from sawbill_designs.high_beds.levels import Level, Post
from sawbill_designs.high_beds.plan import Plan, clear_places

TWO_COLUMNS: Final = 120 * MM
"""From this width a board has four screws in a post (practice)."""
SCREW_EDGE: Final = 4
"""How many diameters a screw stays from the edge of a board (common practice, no source)."""


def post(at: Plan, each: Post) -> Assembly:
    """A post at the ladder's end, its laminations glued, the first of them outside."""
    place = Placement((0, 0, each.bottom), "z", "x")
    front = laminated(each.key, "post lamination", at.o.post, each.top - each.bottom, place, at.layers)
    return front if each.back is None else across(at, front, each.back)


def across(at: Plan, assembly: Assembly, back: int) -> Assembly:
    """What was built on the ladder's side, on the far side of a bed whose far rail's outer face is at `back` [nm]."""
    return mirrored(assembly, "y", back + at.post_depth, "y", "y")


def end_boards(at: Plan, level: Level, posts: Sequence[Post]) -> Assembly:
    """The end boards of a bed at the ladder's end, over its whole width, on bolts into every post they cross."""
    o, whole = at.o, Assembly()
    for i, z in enumerate(level.end_boards, 1):
        key = level.name(f"{at.ends[0]} end board {i}")
        place = Placement((-o.end_board.thickness, 0, z), "y", "z")
        board = Part(key, "end board", o.end_board, at.width, place)
        heights = at.end_bolts(level, z, at.rail_bolts)
        whole += Assembly((board,), _into_posts(at, board, heights, posts))
        whole += Assembly((), tuple(screws_into_posts(at, board, heights, posts)) if o.braced else ())
    return whole


def end_guard(at: Plan, level: Level, posts: Sequence[Post]) -> Assembly:
    """The guard boards at the ladder's end, each on one bolt into each post of the bed; those of a wide bed tied."""
    o, whole = at.o, Assembly()
    for i, (z, (_, height)) in enumerate(zip(level.guards, level.guard_bolts, strict=True), 1):
        key = level.name(f"{at.ends[0]} guard board {i}")
        place = Placement((-o.guard.thickness, 0, z), "y", "z")
        board = Part(key, "end guard board", o.guard, level.back + at.post_depth, place)
        whole += Assembly((board,), _into_posts(at, board, (height,), posts))
        whole += Assembly((), tuple(screws_into_posts(at, board, (height,), posts)) if o.braced else ())
    return whole + _end_upright(at, level, whole.parts) if level.wide else whole


def _end_upright(at: Plan, level: Level, boards: Sequence[Part]) -> Assembly:
    """An upright outside of the middle of an end's guard boards and end boards, screwed to all of them.

    It ties them together, so that none is pushed out alone; none where they are not of one thickness.
    """
    o = at.o
    if o.guard.thickness != o.end_board.thickness or not boards:
        return Assembly()
    wide, bottom = int(o.post.width), level.end_boards[0]
    y, outer = o.near((level.back + at.post_depth - wide) // 2), -o.guard.thickness - o.post.thickness
    upright = Part(
        level.name(f"{at.ends[0]} guard tie"), "end guard tie", o.post, level.top - bottom,
        Placement((outer, y, bottom), "z", "y"),
    )  # fmt: skip
    size, outside = crossing_screw(o.screw_size, o.guard.thickness, o.post.thickness)
    crossed = [(board.key, board.placement.origin[2], board.width) for board in boards]
    crossed += [
        (level.name(f"{at.ends[0]} end board {i}"), z, int(o.end_board.width))
        for i, z in enumerate(level.end_boards, 1)
    ]
    screws = tuple(
        Screwed((upright.key, key), size, (outer, sy, sz), "x", 1)
        if outside
        else Screwed((key, upright.key), size, (0, sy, sz), "x", -1)
        for key, z, high in crossed
        for sy, sz in zip(quarters(y, wide, o.step), quarters(z, high, o.step), strict=True)
    )
    return Assembly((upright,), screws)


def _into_posts(at: Plan, board: Part, heights: Iterable[int], posts: Iterable[Post]) -> tuple[Bolted, ...]:
    """Bolts along the bed through posts and a board, each in the middle of one lamination, off the glue lines.

    Their round heads are inside, where one lies or climbs in; their nuts outside.
    """
    low, high = board.placement.origin[2], board.placement.origin[2] + board.width
    found = []
    for each in posts:
        if each.bottom <= low and high <= each.top:
            y = at.layer_at if each.back is None else each.back + at.post_depth - at.layer_at
            parts, x = (at.post_key(each.key, at.layer), board.key), int(at.o.post.width)
            found += [Bolted(parts, at.o.bolt_size, (x, y, z), "x", -1, "nut", round_head=True) for z in heights]
    return tuple(found)


def screws_into_posts(at: Plan, board: Part, heights: Iterable[int], posts: Iterable[Post]) -> Iterator[Screwed]:
    """Screws beside the bolts, that have no play: in each post two above each other, and two more in wide boards.

    The first two are in its outer lamination, the others in that which takes the bolts, off their washers.
    """
    low, high = board.placement.origin[2], board.placement.origin[2] + board.width
    size = screw_that_holds(stout(at.o.screw_size), board.section.thickness, at.o.post.width)
    wide = fasteners.screw_sizes()[size].diameter
    room = at.bolt.off_bore(wide, BETWEEN_BORES // 2)
    beside = at.bolt.up(half(at.bolt.size.washer_diameter) + wide)
    taken = [z for level in at.levels for z in at.across(level, at.rail_bolts)]
    edge = at.o.near(SCREW_EDGE * wide)
    ends = low + edge, high - edge
    layer = at.layers // 4
    inset = at.o.near((2 * layer + 1) * int(at.o.post.thickness) // 2 if at.layers > 1 else at.post_depth // 4)
    near = heights if abs(at.layer_at - inset) < room else ()
    columns = [(inset, layer, clear_places(ends, ends, (*taken, *near), room, at.o.step))]
    if board.width >= TWO_COLUMNS:
        off = [(z, room) for z in taken] + [(z, beside) for z in heights]
        free = places_off(ends, ends, off, max(room, edge), at.o.step)
        columns.append((at.post_depth - inset, at.layers - 1 - layer, tuple(free)))
    for each in posts:
        if each.bottom <= low and high <= each.top:
            for deep, number, places in columns:
                y = deep if each.back is None else each.back + at.post_depth - deep
                for z in places:
                    yield Screwed(
                        (board.key, at.post_key(each.key, number)), size, (-board.section.thickness, y, z), "x", 1
                    )
