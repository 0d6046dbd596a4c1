"""The assemblies of a bed above the floor: posts, end boards, rails, guards, deck.

A post stands outside of each rail, beyond the mattress's room, and the rail lies against its inner face; rail,
ledger and post are held by the same bolts, their tee nuts under the slats. End boards lie against the posts' end
faces and reach from corner to corner. Guard boards stand above them in the same two planes at one set of levels,
so that nothing is left open but the gap that was asked for, and beside the ladder the way in.

Everything is built at the ladder's end and on the ladder's side, and mirrored to the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis, Box, Point, point
from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Frame, Glued, Hung, Part, Placement, Resting, Screwed, SleepingPlace
from sawbill.trade.lengths import MM
from sawbill_designs.common.bolt_places import BETWEEN_BORES, half
from sawbill_designs.common.parts import (
    Assembly,
    crossing_screw,
    laminated,
    laminations,
    mirrored,
    play_at,
    screw_that_holds,
    stout,
)
from sawbill_designs.common.places import diagonal_places, place_off, quarters
from sawbill_designs.common.slats import SHORTER_SLAT, slat_run
from sawbill_designs.high_beds.plan import WIDEST_SURFACE_GAP, Level, Plan, Post, clear_places

END_GRAIN: Final = 4
"""How many diameters of an upright's end are left below its bolts (NDS 2018, Table 12.5.1A; EN 1995-1-1, Table 8.4)."""
TWO_COLUMNS: Final = 120 * MM
"""From this width a board has four screws in a post (practice)."""
SCREW_EDGE: Final = 4
"""How many diameters a screw stays from the edge of a board (common practice, no source)."""
FREE_BEAM: Final = 60 * MM
"""The least thickness of the laminations of a beam that no leg stands under: two of 2-by, one of 3-by (practice)."""


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
        whole += Assembly((), tuple(_screws_into_posts(at, board, heights, posts)) if o.braced else ())
    return whole


def end_guard(at: Plan, level: Level, posts: Sequence[Post]) -> Assembly:
    """The guard boards at the ladder's end, each on one bolt into each post of the bed; those of a wide bed tied."""
    o, whole = at.o, Assembly()
    for i, (z, (_, height)) in enumerate(zip(level.guards, level.guard_bolts, strict=True), 1):
        key = level.name(f"{at.ends[0]} guard board {i}")
        place = Placement((-o.guard.thickness, 0, z), "y", "z")
        board = Part(key, "end guard board", o.guard, level.back + at.post_depth, place)
        whole += Assembly((board,), _into_posts(at, board, (height,), posts))
        whole += Assembly((), tuple(_screws_into_posts(at, board, (height,), posts)) if o.braced else ())
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
    """Bolts along the bed through a board into posts, each in the middle of one lamination, off the glue lines."""
    low, high = board.placement.origin[2], board.placement.origin[2] + board.width
    found = []
    for each in posts:
        if each.bottom <= low and high <= each.top:
            y = at.layer_at if each.back is None else each.back + at.post_depth - at.layer_at
            parts = (board.key, at.post_key(each.key, at.layer))
            found += [Bolted(parts, at.o.bolt_size, (-board.section.thickness, y, z), "x", 1) for z in heights]
    return tuple(found)


def _screws_into_posts(at: Plan, board: Part, heights: Iterable[int], posts: Iterable[Post]) -> Iterator[Screwed]:
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
        free = [z for end in ends if (z := place_off(end, ends, off, at.o.step)) is not None]
        columns.append((at.post_depth - inset, at.layers - 1 - layer, tuple(free)))
    for each in posts:
        if each.bottom <= low and high <= each.top:
            for deep, number, places in columns:
                y = deep if each.back is None else each.back + at.post_depth - deep
                for z in places:
                    yield Screwed(
                        (board.key, at.post_key(each.key, number)), size, (-board.section.thickness, y, z), "x", 1
                    )


def side_rail(at: Plan, level: Level, side: str, posts: tuple[str, str]) -> Assembly:
    """A rail and its ledger on the ladder's side, bolted to its post at the ladder's end and to that at the other."""
    o, rails = at.o, _rail_boards(at, level, level.name(f"{side} rail"), "side rail")
    ledger = Part(
        level.name(f"{side} ledger"), "ledger", o.ledger, at.inside_length,
        Placement((0, at.post_depth + o.rail.thickness, level.underside), "x", "z"), rounding="down",
    )  # fmt: skip
    faces = tuple(Glued((ledger.key, rail.key)) for rail in rails.parts if rail.box.contact(ledger.box))
    held = rails.keys[0], ledger.key
    bolts = (*_rail_bolts(at, level, held, posts), *_high_bolts(at, level, rails.parts[-1], posts))
    return rails + Assembly((ledger,), (*faces, *bolts))


def stretcher(at: Plan, level: Level, side: str, posts: tuple[str, str]) -> Assembly:
    """A rail like those of a bed between two posts that carry none there, so that they cannot lean along the bed."""
    rails = _rail_boards(at, level, level.name(f"{side} stretcher"), "stretcher")
    bolts = (*_rail_bolts(at, level, rails.keys[:1], posts), *_high_bolts(at, level, rails.parts[-1], posts))
    return rails + Assembly((), bolts)


def _rail_boards(at: Plan, level: Level, key: str, name: str) -> Assembly:
    """The boards of a rail, glued edge to edge."""
    o = at.o
    rails = tuple(
        Part(key if i == 0 else f"{key} {i + 1}", name, o.rail, at.inside_length,
             Placement((0, at.post_depth, level.underside + i * o.rail.width), "x", "z"), rounding="down")
        for i in range(level.rail_boards)
    )  # fmt: skip
    return Assembly(rails, tuple(Glued((upper.key, lower.key)) for lower, upper in pairwise(rails)))


def _rail_bolts(at: Plan, level: Level, held: Sequence[str], posts: tuple[str, str]) -> tuple[Bolted, ...]:
    """The bolts through both posts and what they hold, in at either end."""
    length = at.inside_length
    return tuple(
        Bolted((*at.post_keys(name), *held), at.o.bolt_size, (at_x, 0, level.underside + z), "y", 1)
        for x, z in at.rail_bolts
        for name, at_x in ((posts[0], x), (posts[1], length - x))
    )


def _high_bolts(at: Plan, level: Level, board: Part, posts: tuple[str, str]) -> Iterator[Bolted]:
    """The bolts of a deep rail's upper board into both posts, their heads inside."""
    if level.high_bolt is None:
        return
    y = at.post_depth + board.section.thickness
    for name, x in ((posts[0], at.beside_end), (posts[1], at.inside_length - at.beside_end)):
        yield Bolted((board.key, *at.post_keys(name)[::-1]), at.o.bolt_size, (x, y, level.high_bolt), "y", -1)


def side_guard(
    at: Plan, level: Level, side: str, posts: tuple[str | None, str], start: int, upright_at: int
) -> Assembly:
    """The guard of one side, built on the ladder's side, from `start` to the far end; it comes off as one piece.

    Its boards lie against the inner faces of the posts named (None: it ends short of that one), each on one bolt
    with its head inside; an upright outside of them is screwed to every board and bolted to the rail.
    """
    o, y, end = at.o, at.post_depth, at.inside_length
    boards = tuple(
        Part(level.name(f"{side} guard board {i}"), "side guard board", o.guard, end - start,
             Placement((start, y, z), "x", "z"), rounding="down")
        for i, z in enumerate(level.guards, 1)
    )  # fmt: skip
    bolts = tuple(
        Bolted((board.key, *at.post_keys(name)[::-1]), o.bolt_size, (x, y + o.guard.thickness, z), "y", -1)
        for name, x in ((posts[0], at.beside_end), (posts[1], end - at.beside_end)) if name
        for board, (z, _) in zip(boards, level.guard_bolts, strict=True)
    )  # fmt: skip
    return Assembly(boards, bolts) + _upright(at, level, side, boards, upright_at)


def _upright(at: Plan, level: Level, side: str, boards: tuple[Part, ...], x: int) -> Assembly:
    """The upright of a side guard, laminated as the posts are: outside of rail and boards, bolted to rail and ledger.

    Who falls against the guard bends it and pulls at its bolts, which have large washers at both ends where there is
    room. It reaches below the rail as far as its lowest bolt wants wood under it.
    """
    o, middle = at.o, at.o.near(at.o.post.width // 2)
    size, outside = crossing_screw(o.screw_size, o.guard.thickness, o.post.thickness)
    layers = 1 if outside else at.layers  # screws from outside reach no further than through one layer
    places = at.upright_bolts or tuple((z, middle) for z in at.rail_levels)
    end: tuple[fasteners.BoltEnd, bool] = ("nut", True) if at.upright_bolts else ("tee nut", False)
    end_grain, y = at.bolt.half_diameters(2 * END_GRAIN), at.post_depth
    bottom = level.underside + min(z for z, _ in places) - end_grain
    front, key = y - layers * o.post.thickness, level.name(f"{side} guard upright")
    place = Placement((x, front, bottom), "z", "x")
    whole = laminated(key, "guard upright", o.post, level.top - bottom, place, layers)
    held = (*whole.keys, level.name(f"{side} rail"), level.name(f"{side} ledger"))
    bolts = tuple(
        Bolted(held, o.bolt_size, (x + across, front, level.underside + z), "y", 1, *end) for z, across in places
    )
    inmost = whole.keys[-1]
    screws = tuple(
        Screwed((inmost, board.key), size, (sx, front, z), "y", 1)
        if outside
        else Screwed((board.key, inmost), size, (sx, y + o.guard.thickness, z), "y", -1)
        for board in boards
        for sx, z in diagonal_places(whole.parts[0], board, "x", o.step)
    )
    return whole + Assembly((), (*bolts, *screws))


def deck(at: Plan, level: Level, joined: Iterable[Assembly]) -> tuple[Assembly, Assembly]:
    """The slats of a bed, screwed to both ledgers clear of every bolt, and the beam under the middle of a wide one.

    joined: what else stands on this bed's ledgers, whose bolts the screws keep off.
    """
    o, ledgers = at.o, tuple(level.name(f"{side} ledger") for side in at.sides)
    run = slat_run(0, at.inside_length, o.slat.width, o.slat_gap, doubled=False, step=o.step)
    if max(run.starts[0], at.inside_length - run.starts[-1] - o.slat.width) > WIDEST_SURFACE_GAP:
        raise RefusalError(
            "slat_gap",
            f"slat_gap: slats of {o.slat.name} this close together leave more than 75 mm at the ends of the bed, which "
            "SI 1987/1337 and EN 747-1 forbid; choose narrower slats, or a wider slat_gap",
        )
    low, high = at.post_depth + o.rail.thickness, level.back - o.rail.thickness
    length = high - low - o.slat_clearance
    count = len(run.starts)
    numbers = range(1, count + 1) if at.ends[0] == "head" else range(count, 0, -1)
    slats = tuple(
        Part(level.name(f"slat {i}"), "slat", o.slat, length,
             Placement((x, low + play_at(o, 0), level.deck), "y", "x"), rounding="down",
             least=length - o.at_most(SHORTER_SLAT))
        for i, x in zip(numbers, run.starts, strict=True)
    )  # fmt: skip
    beam = _beam(at, level) if level.wide else Assembly()
    size = screw_that_holds(o.screw_size, o.slat.thickness, o.ledger.width)
    room = fasteners.screw_sizes()[size].diameter
    bolted = [
        {each.head[0] for piece in joined for each in piece.joints if isinstance(each, Bolted) and key in each.parts}
        for key in ledgers
    ]
    inset = o.near(o.ledger.thickness // 2)
    middles = (low + inset, high - inset)
    screws = tuple(
        Screwed((slat.key, key), size, (x, y, level.base), "z", -1)
        for slat in slats
        for key, y, taken in zip(ledgers, middles, bolted, strict=True)
        for x in clear_places(
            (slat.placement.origin[0] + room, slat.placement.origin[0] + o.slat.width - room),
            quarters(slat.placement.origin[0], o.slat.width, o.step),
            taken,
            at.bolt.off_bore(room, BETWEEN_BORES // 2),
            o.step,
        )
    )
    resting = tuple(Resting((slat.key, key)) for slat in slats for key in (*ledgers, *beam.keys))
    return Assembly(slats, resting + screws), beam


def _beam(at: Plan, level: Level) -> Assembly:
    """The beam under the middle of a wide deck, lying in joist hangers on the end boards, with no leg between."""
    o, layers = at.o, laminations(at.o.ledger, FREE_BEAM)
    thickness, plays = layers * o.ledger.thickness, (play_at(o, 0), play_at(o, 1))
    y = o.near((at.post_depth + level.back - thickness) // 2)
    beam = laminated(
        level.name("beam"), "centre beam", o.ledger, at.inside_length - sum(plays),
        Placement((plays[0], y, level.underside), "x", "z"), layers,
    )  # fmt: skip
    beam = replace(beam, parts=tuple(replace(part, rounding="down") for part in beam.parts))
    hanger = fasteners.hanger_for(thickness, at.bolt.size.system).name
    hung = tuple(
        Hung((*beam.keys, level.name(f"{end} end board 1")), hanger, play)
        for end, play in zip(at.ends, plays, strict=True)
    )
    return beam + Assembly((), hung)


def sleeping_place(at: Plan, level: Level, slats: Assembly) -> SleepingPlace:
    """The room of a bed's mattress."""
    low = (0, at.post_depth + level.thickness, level.base)
    high = (at.inside_length, level.back - level.thickness, level.base + level.mattress.thickness)
    return SleepingPlace(level.name("mattress"), level.mattress, Box(low, high), slats.keys, at.o.slat_gap)


def placed(at: Plan, frame: Frame) -> Frame:
    """Turn a frame, built with the ladder at the low end of x and y, to the side and the end that were asked for."""
    whole = Assembly(frame.parts, frame.joints)
    rooms = frame.sleeping_places
    flips: tuple[tuple[bool, Axis, int], ...] = (
        (at.ends[0] == "foot", "x", at.inside_length),
        (at.sides[0] == "right", "y", at.width),
    )
    for wanted, axis, extent in flips:
        if wanted:
            whole = mirrored(whole, axis, extent, axis, axis)
            rooms = tuple(_turned_room(room, axis, extent) for room in rooms)
    return replace(frame, parts=whole.parts, joints=whole.joints, sleeping_places=rooms)


def _turned_room(room: SleepingPlace, axis: Axis, extent: int) -> SleepingPlace:
    i, box = AXES.index(axis), room.opening

    def at(corner: Point, value: int) -> Point:
        return point((*corner[:i], extent - value, *corner[i + 1 :]))

    turned = Box(at(box.low, box.high[i]), at(box.high, box.low[i]))
    return replace(room, opening=turned, slats=room.slats[::-1] if axis == "x" else room.slats)
