"""A bed above the floor, or two on the same posts, put together: ends, rails, guards, deck and way up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

from sawbill.trade.design import RefusalError
from sawbill.trade.frame import SEEN_FROM_THE_FOOT, CarriedPiece, Frame, HighBed, Ladder, Note, Strap
from sawbill.trade.lengths import MM, format_length
from sawbill_designs.common.parts import Assembly, frame_of
from sawbill_designs.high_beds.decks import deck
from sawbill_designs.high_beds.decks import sleeping_place as room
from sawbill_designs.high_beds.ends import across, end_boards, end_guard, post
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
    what joins posts at the ladder's end, carried with the first of the ends; free: of a bed its post at the ladder's
    end on the far side that stands clear of its rails, by name, and where its inner face is.
    """

    at: Plan
    posts: Mapping[str, tuple[Post, ...]]
    corners: Mapping[Level, tuple[str, str]]
    scabs: Assembly = field(default_factory=Assembly)
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
        rest = {level.name("centre beam"): beam for level, (_, beam) in decks.items() if beam.parts}
        slats = {level.name("slat"): each for level, (each, _) in decks.items()}
        return self._strapped(placed(at, frame_of(
            *pieces.values(), *rest.values(), *slats.values(), backed,
            carried_pieces=(
                *(CarriedPiece(name, piece.keys) for name, piece in (pieces | rest).items()),
                *(CarriedPiece(name, each.keys, len(each.keys)) for name, each in slats.items()),
            ),
            sleeping_places=tuple(room(at, level, decks[level][0]) for level in at.levels),
            high_beds=(HighBed(self.high.name("mattress"), at.o.market, self._way_up[1]),),
            notes=(BOLT_TIPS, TIPS_OVER, *((LONG_BEAM,) if rest else ())), sides=SEEN_FROM_THE_FOOT,
            finish=at.o.finish,
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
        for i, (word, posts) in enumerate(self.posts.items()):
            near = self._end(word, posts) + (self.scabs if i == 0 else Assembly())
            for end, piece in zip(at.ends, (near, at.far(near)), strict=True):
                yield f"{word} {end} end".strip(), piece
        for level in at.levels:
            front, back = self._both_ends(level)
            yield level.name(f"{at.sides[0]} rail"), side_rail(at, level, at.sides[0], front)
            yield level.name(f"{at.sides[1]} rail"), across(at, side_rail(at, level, at.sides[1], back), level.back)
        for level, (name, back_at) in self.free.items():
            side, both = at.sides[1], (name, name.replace(*at.ends))
            yield level.name(f"{side} stretcher"), across(at, stretcher(at, level, side, both), back_at)
        yield from self._guards()
        yield at.o.way_up, self._way_up[0]

    def _both_ends(self, level: Level) -> list[tuple[str, str]]:
        """For each side of a bed the names of its posts at the ladder's end and at the other."""
        return [(name, name.replace(*self.at.ends)) for name in self.corners[level]]

    def _end(self, word: str, posts: tuple[Post, ...]) -> Assembly:
        """The posts at the ladder's end with the end boards and guard boards of the beds that they carry."""
        at, whole = self.at, sum((post(self.at, each) for each in posts), Assembly())
        for level in at.levels:
            if word in ("", level.word):
                whole += end_boards(at, level, posts)
                whole += end_guard(at, level, [each for each in posts if each.key in self.corners[level]])
        return whole

    def _guards(self) -> Iterator[tuple[str, Assembly]]:
        """The two side guards: the one beside the way in ends short of the post, the other does not."""
        at, level, post_width = self.at, self.high, self.at.o.post.width
        (_, far_front), back = self._both_ends(level)
        start = post_width + at.o.access
        beside = max(start, WayUp(at, level).end) + at.o.at_least(BESIDE_UPRIGHT)
        if beside + 2 * post_width + max(at.beside_post, NO_TRAP) > at.inside_length:
            raise RefusalError(
                "post",
                f"post: posts of {at.o.post.name} leave no room for a guard beside the way up on a bed this short; "
                "choose a narrower post or a longer mattress",
            )
        side, other = at.sides
        yield level.name(f"{side} guard"), side_guard(at, level, side, (None, far_front), start, beside)
        middle = at.o.near((at.inside_length - post_width) // 2)
        guard = side_guard(at, level, other, back, 0, middle)
        yield level.name(f"{other} guard"), across(at, guard, level.back)


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
