"""A high bed in two halves: what stands where they meet in the middle, and what holds one to the other.

Each half has posts of its own there, like those at its corners, its rails and guards bolted to them in the same way.
The posts of both stand back to back, and bolts along the bed go through either. So each half stands by itself, no
moment passes over a joint, and nothing hangs on a bolt near an end. A cross board of each half, on those same bolts,
keeps its posts square, and in a wide bed carries its length of the beam.

Common practice, no source; distances of bolts as in `bolt_places`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Joint, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem, format_length
from sawbill_designs.common.bolt_places import LEAST, Point2
from sawbill_designs.common.parts import SCREW_END, Assembly, screw_that_holds, stout
from sawbill_designs.high_beds.ends import across, screws_into_posts
from sawbill_designs.high_beds.levels import END_GRAIN, Level, Post
from sawbill_designs.high_beds.plan import Plan, clear_places

BELOW_RAIL: Final[BySystem] = {"inch": 8 * INCH, "metric": 200 * MM}
"""How far below the rails the halves of a narrow bed are bolted together, at most (common practice, no source)."""
HALF_SCAB: Final[BySystem] = {"inch": 14 * INCH, "metric": 350 * MM}
"""How far scabs reach up and down from a joint of posts, at most (common practice, no source)."""


def scabs(at: Plan, pairs: Iterable[tuple[Post, Post]], room: int) -> dict[str, Assembly]:
    """Scabs outside of the joints of posts in two lengths, by the lower length: two bolts above a joint, two below.

    One on the side of the bed and one on its end, so that a joint bends neither way; that at the end has screws too:
    its bolts are too near to the edge of a post to count where it is bent sideways.

    pairs: the lengths of each, the lower first; room: how far the scabs may reach up and down [nm].
    """
    o, found = at.o, {}
    reach = min(o.at_most(room - at.bolt.size.washer_diameter // 2), o.at_most(HALF_SCAB))
    inset, middle, thick = o.near(reach // 6), o.near(o.post.width // 2), int(o.post.thickness)
    if at.layer_at + at.bolt.half_diameters(LEAST.edge) > o.post.width:
        name = "in_halves" if o.in_halves else "separable"
        raise RefusalError(
            name,
            f"{name}: scabs of {o.post.name} are too narrow for the bolts of posts in two lengths; choose a wider "
            "post, or leave the bed whole",
        )
    for below, above in pairs:
        key, joint = below.key.replace("lower ", "").replace("post", "scab"), below.top
        beside = Part(key, "post scab", o.post, 2 * reach, Placement((0, -thick, joint - reach), "z", "x"))
        rests = tuple(map(Resting, zip(at.post_keys(above.key), at.post_keys(below.key), strict=True)))
        front = Assembly((beside,), (*_scabbed(at, beside, (below, above), inset, (middle, at.post_depth)), *rests))
        outer = replace(beside, key=f"{key} beyond", placement=Placement((-thick, 0, joint - reach), "z", "y"))
        bolts = _scabbed(at, outer, (below, above), inset + at.bolt.lane, (int(o.post.width), at.layer_at))
        front += Assembly((outer,), (*bolts, *_screwed(at, outer, (below, above), (*front.joints, *bolts))))
        found[below.key] = front if below.back is None else across(at, front, below.back)
    return found


def _scabbed(at: Plan, scab: Part, lengths: tuple[Post, Post], inset: int, place: Point2) -> tuple[Bolted, ...]:
    """The bolts of a scab, so far from the joint and from its ends; place: where their heads are, along x and y.

    Their round heads are inside, where someone may lie below; their nuts on the scab.
    """
    joint, reach, across_it = lengths[0].top, scab.length // 2, scab.placement.across == "x"
    return tuple(
        Bolted(
            (*(at.post_keys(each.key)[::-1] if across_it else (at.post_key(each.key, at.layer),)), scab.key),
            at.o.bolt_size, (*place, joint + side * up), "y" if across_it else "x", -1, "nut", round_head=True,
        )
        for each, side in zip(lengths, (-1, 1), strict=True) for up in (inset, reach - inset)
    )  # fmt: skip


def _screwed(at: Plan, scab: Part, lengths: tuple[Post, Post], joints: Iterable[Joint]) -> Iterator[Screwed]:
    """Screws along the bed through a scab into the outer lamination of a post, which have no play, off its bolts."""
    o, joint, reach = at.o, lengths[0].top, scab.length // 2
    size = screw_that_holds(stout(o.screw_size), scab.section.thickness, o.post.width)
    wide = fasteners.screw_sizes()[size].diameter
    inset, taken = o.near(SCREW_END * wide), [each.head[2] for each in joints if isinstance(each, Bolted)]
    y = o.near(int(o.post.thickness) // 2 if at.layers > 1 else at.post_depth // 4)
    for each, side in zip(lengths, (-1, 1), strict=True):
        low, high = sorted((joint + side * inset, joint + side * (reach - inset)))
        for z in clear_places((low, high), (low, (low + high) // 2, high), taken, at.bolt.off_bore(wide), o.step):
            yield Screwed((scab.key, at.post_key(each.key, 0)), size, (scab.placement.origin[0], y, z), "x", 1)


def cross_board(at: Plan, level: Level, posts: Sequence[Post]) -> Assembly:
    """What joins the posts in the middle of that half which is at the ladder's end, and carries a wide bed's beam.

    Built outside of its posts at the ladder's end; screws beside the bolts that tie the halves hold it to them.
    Raises RefusalError: it would reach the floor, or no bolt is so long.
    """
    o, z = at.o, level.cross_board
    if z is None:
        return Assembly()
    if z < 0:
        raise RefusalError(
            "in_halves",
            f"in_halves: a cross board of {o.end_board.name} under the rails has no height; raise clear_height to "
            f"{format_length(int(o.end_board.width), o.system)} or more, or choose a narrower end_board",
        )
    try:
        fasteners.bolt_length(at.bolt.size, 2 * (o.post.width + max(o.end_board.thickness, o.post.thickness)), "nut")
    except fasteners.FastenerError:
        raise RefusalError(
            "in_halves",
            f"in_halves: no {at.bolt.name} bolt is long enough to hold two posts of {o.post.name} back to back with "
            "what is beside them; choose a narrower post, or leave the bed whole",
        ) from None
    place = Placement((-int(o.end_board.thickness), 0, z), "y", "z")
    board = Part(level.name(f"{at.ends[0]} cross board"), "cross board", o.end_board, level.back + at.post_depth, place)
    screws = screws_into_posts(at, board, at.end_bolts(level, z, at.rail_bolts), posts) if o.braced else ()
    return Assembly((board,), tuple(screws))


def ties(at: Plan, posts: Sequence[Post], crossing: Sequence[Bolted], scabbed: int) -> Iterator[Bolted]:
    """The bolts along the bed through the posts in the middle of both halves, and through their cross boards.

    posts: at the ladder's end, all lengths; crossing: the bolts that go across through those in the middle; scabbed: up
    to which height the scabs on them reach [nm].
    """
    for level in at.levels:
        for each in posts:
            near = at.post_keys(at.next_post(each.key))
            taken = [bolt.head[2] for bolt in crossing if not set(near).isdisjoint(bolt.parts)]
            boards = [level.name(f"{end} middle cross board") for end in at.ends]
            for z, crossed in _tied(at, level, each, taken, scabbed):
                yield _tie(at, each, z, boards if crossed else ())


def _tied(at: Plan, level: Level, each: Post, taken: Sequence[int], scabbed: int) -> Iterator[tuple[int, bool]]:
    """At which heights a post is tied for a bed, and whether through cross boards; what scabs do is not told."""
    end = at.bolt.half_diameters(2 * END_GRAIN)
    low, high = each.bottom + end, each.top - end
    if level.cross_board is not None:
        heights = at.end_bolts(level, level.cross_board, at.rail_bolts)
        yield from ((z, True) for z in heights if low <= z <= high)
    else:
        above = max(level.underside - at.o.at_most(BELOW_RAIL), scabbed + at.bolt.lane)
        span = max(low, above), min(high, level.underside - end)
        for z in clear_places(span, (span[1],), taken, at.bolt.lane, at.o.step):
            yield z, False
    if level.guarded and low <= level.guard_bolts[-1][1] <= high:
        yield level.guard_bolts[-1][1], False


def _tie(at: Plan, each: Post, z: int, boards: Sequence[str]) -> Bolted:
    """A bolt through the posts back to back, and through cross boards outside of them."""
    y = at.layer_at if each.back is None else each.back + at.post_depth - at.layer_at
    near = at.post_key(at.next_post(each.key), at.layer)
    held = [near, near.replace(*at.ends)]
    x = at.rail_length - int(at.o.post.width)
    if boards:
        held, x = [boards[0], *held, boards[1]], x - int(at.o.end_board.thickness)
    return Bolted(tuple(held), at.o.bolt_size, (x, y, z), "x", 1)


def through_both(at: Plan, bolt: Bolted) -> Bolted:
    """A bolt through a scab and the post of one half in the middle, through those of the other half as well.

    Its nut has a cap, for it stands beside who lies below.
    """
    post, scab = bolt.parts
    x, y, z = bolt.head
    head = (x + at.o.post.width + at.o.post.thickness, y, z)
    return replace(bolt, parts=(scab.replace(*at.ends), post.replace(*at.ends), post, scab), head=head,
                   end="capped nut")  # fmt: skip
