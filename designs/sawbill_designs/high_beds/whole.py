"""A bed above the floor, or two on the same posts, put together: ends, rails, guards, deck and way up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

from sawbill.trade.design import RefusalError
from sawbill.trade.frame import SEEN_FROM_THE_FOOT, Bolted, CarriedPiece, Frame, HighBed, Joint, Ladder, Note, Strap
from sawbill.trade.lengths import MM, format_length
from sawbill_designs.common.bolt_places import half
from sawbill_designs.common.parts import Assembly, frame_of
from sawbill_designs.high_beds.decks import deck
from sawbill_designs.high_beds.decks import sleeping_place as room
from sawbill_designs.high_beds.ends import across, end_boards, end_guard, post
from sawbill_designs.high_beds.halves import cross_board, through_both, ties
from sawbill_designs.high_beds.ladders import WayUp, way_up
from sawbill_designs.high_beds.ledger_screws import ledger_screws
from sawbill_designs.high_beds.levels import Level, Post
from sawbill_designs.high_beds.plan import BESIDE_UPRIGHT, NO_TRAP, Plan
from sawbill_designs.high_beds.sides import side_guard, side_rail, stretcher
from sawbill_designs.high_beds.turned import placed

CLIMBED_OVER: Final = 100 * MM
"""How far a rail may rise above the mattress where one climbs in (common practice, no source)."""


@dataclass(frozen=True)
class HighFrame:
    """What a design decides: the plan, the posts, and which of them carry which bed.

    posts: those at the ladder's end by what is carried as one end, a word before `head end`, empty where an end is
    one piece; corners: for every bed its post on the ladder's side and the one on the far side, by name; scabs:
    what joins a post at the ladder's end to that which stands on it, by its name, carried with it, or alone where the
    bed is in halves; free: of a bed its post at the ladder's end on the far side that stands clear of its rails, by
    name, and where its inner face is.
    """

    at: Plan
    posts: Mapping[str, tuple[Post, ...]]
    corners: Mapping[Level, tuple[str, str]]
    scabs: Mapping[str, Assembly] = field(default_factory=dict)
    free: Mapping[Level, tuple[str, int]] = field(default_factory=dict)

    def frame(self) -> Frame:
        """Build the frame. Raises RefusalError: no room beside the way up, or a rail that closes the way in."""
        at, over = self.at, self.high.rail_top - self.high.base - self.high.mattress.thickness
        if over > CLIMBED_OVER:
            raise RefusalError(
                "rail",
                f"rail: rails of {at.o.rail.name} beside ledgers of {at.o.ledger.name} rise "
                f"{format_length(over, at.o.system)} above this mattress and close the way in; choose a narrower "
                "ledger, another rail, or a thicker mattress",
            )
        pieces = dict(self._pieces())
        decks = {level: deck(at, level, pieces.values()) for level in at.levels}
        joints = [joint for piece in pieces.values() for joint in piece.joints]
        backed = Assembly((), ledger_screws(at, self.high, decks[self.high][0].parts, joints))
        backed += Assembly((), self._ties(joints))
        rest = {level.name("centre beam"): beam for level, (_, beam) in decks.items() if beam.parts}
        slats = {level.name("slat"): each for level, (each, _) in decks.items()}
        counts = self._counts | dict.fromkeys(rest, 2 if at.o.in_halves else 1)
        return self._strapped(placed(at, frame_of(
            *pieces.values(), *rest.values(), *slats.values(), backed,
            carried_pieces=(
                *(CarriedPiece(name, piece.keys, counts.get(name, 1)) for name, piece in (pieces | rest).items()),
                *(CarriedPiece(name, each.keys, len(each.keys)) for name, each in slats.items()),
            ),
            sleeping_places=tuple(room(at, level, decks[level][0]) for level in at.levels),
            high_beds=(HighBed(self.high.name("mattress"), at.o.market, self._way_up[1]),),
            notes=(BOLT_TIPS, TIPS_OVER, *((LONG_BEAM,) if rest and not at.o.in_halves else ())),
            sides=SEEN_FROM_THE_FOOT, finish=at.o.finish,
        )))  # fmt: skip

    def _strapped(self, frame: Frame) -> Frame:
        """Straps from the posts on the side away from the ladder, at the head and at the foot, to a wall there."""
        far = self._both_ends(self.high)[1]
        keys = [next(key for key in frame.by_key if key.startswith(name)) for name in far]
        wall = sum(frame.bounds.span("y"))
        straps = (Strap(key, "y", 1 if sum(frame.boxes[key].span("y")) > wall else -1) for key in keys)
        return replace(frame, straps=tuple(straps))

    @property
    def high(self) -> Level:
        """The bed one may fall from."""
        return self.at.levels[-1]

    @cached_property
    def _way_up(self) -> tuple[Assembly, Ladder]:
        return way_up(self.at, self.high)

    def _pieces(self) -> Iterator[tuple[str, Assembly]]:
        """All that is carried as one piece but the decks, by name."""
        at = self.at
        for word, posts in self.posts.items():
            near, scabs = self._end(posts), self._scabs(posts)
            what = "end" if self._levels_on(posts) else "post"
            name = f"{word} {at.ends[0]}".strip()
            if not at.o.in_halves:
                yield from self._twice(f"{name} {what}", near + scabs)
                continue
            yield from self._twice(f"{name} {what}", near)
            yield from self._twice(f"{name} middle post", self._middle(posts))
            if scabs.parts:
                yield from self._twice(f"{at.ends[0]} scab", scabs)
                yield from self._twice(f"{at.ends[0]} middle scab", self._middle_scabs(scabs))
        for level in at.levels:
            for side, both in zip(at.sides, self._both_ends(level), strict=True):
                rail = side_rail(at, level, side, both)
                rail = rail if side == at.sides[0] else across(at, rail, level.back)
                yield from self._along(at.lying(level, side, "rail"), rail)
        for level, (name, back_at) in self.free.items():
            side, both = at.sides[1], (name, at.next_post(name))
            yield level.name(f"{side} stretcher"), across(at, stretcher(at, level, side, both), back_at)
        yield from self._guards()
        yield at.o.way_up, self._way_up[0]

    def _both_ends(self, level: Level) -> list[tuple[str, str]]:
        """For each side of a bed the names of its posts at the ladder's end and at the other end of its rail."""
        return [(name, self.at.next_post(name)) for name in self.corners[level]]

    def _twice(self, name: str, near: Assembly) -> Iterator[tuple[str, Assembly]]:
        """A piece at the ladder's end, and the same at the other."""
        yield name, near
        yield name.replace(*self.at.ends), self.at.far(near)

    def _along(self, name: str, near: Assembly) -> Iterator[tuple[str, Assembly]]:
        """A piece along the bed: whole, or the half of it at the ladder's end and the same at the other."""
        return self._twice(name, near) if self.at.o.in_halves else iter([(name, near)])

    def _levels_on(self, posts: Sequence[Post]) -> list[Level]:
        """The beds at whose corners some of these posts stand."""
        keys = {each.key for each in posts}
        return [level for level in self.at.levels if not keys.isdisjoint(self.corners[level])]

    def _middle(self, posts: Sequence[Post]) -> Assembly:
        """What stands in the middle of that half which is at the ladder's end, like these posts at its corners."""
        at = self.at
        whole = sum((post(at, each) for each in posts), Assembly())
        boards = sum((cross_board(at, level, posts) for level in self._levels_on(posts)), Assembly())
        return at.at_middle(whole) + at.in_middle(boards)

    def _scabs(self, posts: Sequence[Post]) -> Assembly:
        """What joins posts at the ladder's end to those that stand on them."""
        return sum((self.scabs.get(each.key, Assembly()) for each in posts), Assembly())

    def _middle_scabs(self, scabs: Assembly) -> Assembly:
        """Those in the middle, without the bolts along the bed, which tie both halves there."""
        turned = self.at.in_middle(scabs)
        return replace(turned, joints=tuple(each for each in turned.joints if not _along_bed(each)))

    @property
    def _counts(self) -> dict[str, int]:
        """How many pieces alike are carried by one name, where that is not one: posts that no board joins."""
        found, ends = dict[str, int](), self.at.ends
        for word, posts in self.posts.items():
            levels = self._levels_on(posts)
            names = [] if levels else [f"{word} {end} post" for end in ends]
            names += (
                []
                if any(level.cross_board is not None for level in levels)
                else [f"{word} {end} middle post" for end in ends]
            )
            found |= dict.fromkeys(names, len(posts))
        names = [f"{end}{where} scab" for end in ends for where in ("", " middle")] if self.at.o.in_halves else []
        return found | dict.fromkeys(names, sum(len(each.parts) for each in self.scabs.values()))

    def _ties(self, joints: Sequence[Joint]) -> tuple[Bolted, ...]:
        """What holds the halves together; nothing where there are none."""
        if not self.at.o.in_halves:
            return ()
        crossing = [joint for joint in joints if isinstance(joint, Bolted) and joint.axis == "y"]
        every = [each for posts in self.posts.values() for each in posts]
        scabbed = self.at.in_middle(self._scabs(every))
        top = max(part.placement.origin[2] + part.length for part in scabbed.parts)
        return (
            *ties(self.at, every, crossing, top),
            *(through_both(self.at, each) for each in scabbed.joints if isinstance(each, Bolted) and _along_bed(each)),
        )

    def _end(self, posts: tuple[Post, ...]) -> Assembly:
        """The posts at the ladder's end with the end boards and guard boards of the beds that they carry."""
        at = self.at
        whole = sum((post(at, each) for each in posts), Assembly())
        for level in self._levels_on(posts):
            whole += end_boards(at, level, posts)
            whole += end_guard(at, level, [each for each in posts if each.key in self.corners[level]])
        return whole

    @property
    def _off_upright(self) -> int:
        """The least from a bolt of the way up to the guard's upright, whose bolts have washers beside it."""
        at, size = self.at, self.at.bolt.size
        apart = half(size.washer_diameter + size.large_washer_diameter)
        return at.bolt.up(apart - min((x for _, x in at.upright_bolts), default=at.o.near(at.o.post.width // 2)))

    def _guards(self) -> Iterator[tuple[str, Assembly]]:
        """The two side guards: the one beside the way in ends short of the post, the other does not."""
        at, level, post_width = self.at, self.high, self.at.o.post.width
        front, back = self._both_ends(level)
        start = post_width + at.o.access
        up = WayUp(at, level)
        beside = max(max(start, up.end) + at.o.at_least(BESIDE_UPRIGHT), up.last_bolt + self._off_upright)
        if beside + 2 * post_width + max(at.beside_post, NO_TRAP) > at.rail_length:
            raise RefusalError(
                "post",
                f"post: posts of {at.o.post.name} leave no room for a guard beside the way up on a bed this short; "
                "choose a narrower post or a longer mattress",
            )
        side, other = at.sides
        near = side_guard(at, level, side, (None, front[1]), start, beside)
        yield at.lying(level, side, "guard"), near
        if at.o.in_halves:
            beyond = side_guard(at, level, side, front, 0, None)
            yield at.lying(level, side, "guard").replace(*at.ends), at.far(beyond)
        middle = None if at.o.in_halves else at.o.near((at.inside_length - post_width) // 2)
        guard = side_guard(at, level, other, back, 0, middle)
        yield from self._along(at.lying(level, other, "guard"), across(at, guard, level.back))


def _along_bed(joint: Joint) -> bool:
    return isinstance(joint, Bolted) and joint.axis == "x"


BOLT_TIPS: Final = Note(
    "bolt-tips",
    "Saw off or cap every bolt's tip that stands out of its tee nut, so that nothing can catch on it.",
)
TIPS_OVER: Final = Note(
    "tips-over",
    "A bed this high can tip over when someone pulls at its top, and hurt who is near: tie it to the studs or the "
    "masonry of a wall by its straps, with fasteners made for that wall, before anyone climbs it. Local codes and "
    "licensed practice come before this advice.",
)
LONG_BEAM: Final = Note(
    "beam-without-leg",
    "The beam under the middle of a wide bed reaches from end to end: put a leg under it wherever one may stand.",
)
