"""The sides of a bed above the floor: rails with their ledgers, stretchers, guards.

A post stands outside of each rail, beyond the mattress's room, and the rail lies against its inner face; rail, ledger
and post are held by the same bolts, their tee nuts under the slats. Everything is built on the ladder's side, and
mirrored to the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from sawbill.trade import fasteners
from sawbill.trade.frame import Bolted, Glued, Part, Placement, Screwed
from sawbill_designs.common.parts import (
    Assembly,
    crossing_screw,
    laminated,
)
from sawbill_designs.common.places import diagonal_places
from sawbill_designs.high_beds.levels import END_GRAIN, Level
from sawbill_designs.high_beds.plan import Plan


def side_rail(at: Plan, level: Level, side: str, posts: tuple[str, str]) -> Assembly:
    """A rail and its ledger on the ladder's side, bolted to its post at the ladder's end and to that at the other."""
    o, rails = at.o, _rail_boards(at, level, at.lying(level, side, "rail"), "side rail")
    ledger = Part(
        at.lying(level, side, "ledger"), "ledger", o.ledger, at.rail_length,
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
        Part(key if i == 0 else f"{key} {i + 1}", name, o.rail, at.rail_length,
             Placement((0, at.post_depth, level.underside + i * o.rail.width), "x", "z"), rounding="down")
        for i in range(level.rail_boards)
    )  # fmt: skip
    return Assembly(rails, tuple(Glued((upper.key, lower.key)) for lower, upper in pairwise(rails)))


def _rail_bolts(at: Plan, level: Level, held: Sequence[str], posts: tuple[str, str]) -> tuple[Bolted, ...]:
    """The bolts through both posts and what they hold, in at either end."""
    length = at.rail_length
    return tuple(
        Bolted((*at.post_keys(name), *held), at.o.bolt_size, (at_x, 0, level.underside + z), "y", 1)
        for x, z in at.rail_bolts
        for name, at_x in ((posts[0], x), (posts[1], length - x))
    )


def _high_bolts(at: Plan, level: Level, board: Part, posts: tuple[str, str]) -> Iterator[Bolted]:
    """The bolts of a deep rail's upper board into both posts, their round heads inside."""
    y, inset = at.post_depth + board.section.thickness, at.beside_end
    middle = level.high_bolts if at.o.in_halves else level.high_bolts[:1]
    for name, x, heights in (
        (posts[0], inset, level.high_bolts[:1]),
        (posts[1], at.rail_length - inset, middle),
    ):
        parts = (board.key, *at.post_keys(name)[::-1])
        for z in heights:
            yield Bolted(parts, at.o.bolt_size, (x, y, z), "y", -1, "nut", round_head=True)


def side_guard(
    at: Plan, level: Level, side: str, posts: tuple[str | None, str], start: int, upright_at: int | None
) -> Assembly:
    """The guard of one side, built on the ladder's side, from `start` to the far end; it comes off as one piece.

    Its boards lie against the inner faces of the posts named (None: it ends short of that one), each on one bolt
    with its round head inside; an upright outside of them, where one is wanted, is screwed to every board and bolted
    to the rail.
    """
    o, y, end = at.o, at.post_depth, at.rail_length
    boards = tuple(
        Part(at.lying(level, side, f"guard board {i}"), "side guard board", o.guard, end - start,
             Placement((start, y, z), "x", "z"), rounding="down")
        for i, z in enumerate(level.guards, 1)
    )  # fmt: skip
    bolts = tuple(
        Bolted((board.key, *at.post_keys(name)[::-1]), o.bolt_size, (x, y + o.guard.thickness, z), "y", -1, "nut",
               round_head=True)
        for name, x in ((posts[0], at.beside_end), (posts[1], end - at.beside_end)) if name
        for board, (z, _) in zip(boards, level.guard_bolts, strict=True)
    )  # fmt: skip
    guard = Assembly(boards, bolts)
    return guard if upright_at is None else guard + _upright(at, level, side, boards, upright_at)


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
    front, key = y - layers * o.post.thickness, at.lying(level, side, "guard upright")
    place = Placement((x, front, bottom), "z", "x")
    whole = laminated(key, "guard upright", o.post, level.top - bottom, place, layers)
    held = (*whole.keys, at.lying(level, side, "rail"), at.lying(level, side, "ledger"))
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
