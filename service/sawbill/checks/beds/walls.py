"""What stands around a bed above the floor: its four walls, their guards, breaks and openings, measured on the boxes.

A wall is every part that lies wholly beyond one side of the mattress's room, the way up left out, seen square on.
Nothing is taken from what a part is called: a board that stands where a guard should is a guard.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Final, Literal

from sawbill.checks.beds.openings import Rect, Stretch, not_above, openings, skyline
from sawbill.trade.boxes import Axis, Box, bounds
from sawbill.trade.frame import Bolted, Frame, Glued, HighBed, Screwed, SleepingPlace
from sawbill.trade.lengths import INCH

Side = Literal["head", "foot", "left", "right"]
SIDES: Final[dict[Side, tuple[Axis, bool]]] = {
    "head": ("x", False), "foot": ("x", True), "left": ("y", False), "right": ("y", True),
}  # fmt: skip
"""The axis across which each wall stands, and whether at its high end."""
LEAST_PASSAGE: Final = 9 * INCH
"""From this width up an opening holds nobody's head (the sphere of 16 CFR 1213.4(c))."""


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a wall as it is seen: its key, its outline, and whether its grain runs up."""

    key: str
    outline: Rect
    upright: bool


@dataclass(frozen=True)
class Wall:
    """One wall: its parts, and the stretch along it between the end structures [nm]."""

    side: Side
    blocks: tuple[Block, ...]
    start: int
    end: int

    def outline(self, ground: int) -> list[Stretch]:
        """How high it stands along the stretch, nowhere less than the ground [nm]."""
        return skyline(self.start, self.end, (block.outline for block in self.blocks), ground)

    def unguarded(self, level: int, ground: int) -> list[Stretch]:
        """The stretches that do not reach a level [nm]."""
        return not_above(self.outline(ground), level - 1)

    def top(self, level: int, ground: int) -> int:
        """The lowest top of what reaches the level; where nothing does, the highest top there is [nm]."""
        tops = [each.top for each in self.outline(ground)]
        return min((top for top in tops if top >= level), default=max(tops, default=ground))

    def ways_in(self, level: int, ground: int) -> list[Stretch]:
        """The unguarded stretches next to an end structure: where one climbs in."""
        return [each for each in self.unguarded(level, ground) if each.start == self.start or each.end == self.end]

    def breaks(self, level: int, ground: int) -> list[Stretch]:
        """The unguarded stretches between guards."""
        return [each for each in self.unguarded(level, ground) if self.start < each.start and each.end < self.end]

    def gaps(self, level: int, bottom: int, fill: int | None = None, below: int = 0) -> list[int]:
        """The width of every opening between the bottom and the top of the guard, breaks among them [nm].

        What is open above is no opening, so ways in are none; fill: the top of a mattress that fills the wall from
        the bottom up, if one lies there; below: how far an opening that rises above the bottom is followed below it.
        """
        lowest, bottom = bottom, bottom - below
        highest = max((each.top for each in self.outline(bottom)), default=bottom)
        window = Rect(self.start, bottom, self.end, max(bottom, highest))
        solid = [block.outline for block in self.blocks]
        solid += [] if fill is None else [Rect(window.left, bottom, window.right, fill)]
        bounded = [each.gap for each in openings(window, solid) if lowest < each.top < window.top]
        # A side's guard may have no break at all; in an end only one that is narrow enough to be a trap counts.
        if self.side in ("left", "right"):
            return bounded + [each.width for each in self.breaks(level, bottom)]
        slots = [each.width for each in self.unguarded(level, bottom)]
        return bounded + [width for width in slots if width < LEAST_PASSAGE]


@dataclass(frozen=True)
class Around:
    """A bed above the floor and what stands around it."""

    frame: Frame
    high: HighBed
    place: SleepingPlace

    @property
    def base(self) -> int:
        """The height of the surface the mattress lies on [nm]."""
        return self.place.opening.low[2]

    @property
    def top(self) -> int:
        """The height of the mattress's top [nm]."""
        return self.place.opening.high[2]

    @cached_property
    def underside(self) -> int:
        """The height of the foundation's underside: of the slats, for what carries them lies lower [nm]."""
        return min((self.frame.boxes[key].low[2] for key in self.place.slats), default=self.base)

    @cached_property
    def walls(self) -> dict[Side, Wall]:
        """The four walls."""
        ladder = set(self.high.ladder.parts) if self.high.ladder else set()
        beyond = {side: [key for key in self.frame.by_key if key not in ladder and self._beyond(side, key)]
                  for side in SIDES}  # fmt: skip
        return {side: self._wall(side, beyond) for side in SIDES}

    def _beyond(self, side: Side, key: str) -> bool:
        axis, high = SIDES[side]
        low_end, high_end = self.frame.boxes[key].span(axis)
        start, end = self.place.opening.span(axis)
        return low_end >= end if high else high_end <= start

    def _wall(self, side: Side, beyond: dict[Side, list[str]]) -> Wall:
        along: Axis = "y" if side in ("head", "foot") else "x"
        low, high = self._inside(along, beyond)
        blocks = tuple(self._block(key, along) for key in beyond[side])
        # The posts in the corners are no guard: what reaches from below the foundation to above the mattress.
        posts = [
            block.outline for block in blocks
            if block.upright and block.outline.bottom < self.underside and block.outline.top > self.base
        ]  # fmt: skip
        low = _past(low, [(post.left, post.right) for post in posts])
        high = -_past(-high, [(-post.right, -post.left) for post in posts])
        return Wall(side, blocks, low, max(low, high))

    def _inside(self, along: Axis, beyond: dict[Side, list[str]]) -> tuple[int, int]:
        """From inner face to inner face of the two walls across an axis, no less than the mattress's room."""
        before, after = (side for side, (axis, _) in SIDES.items() if axis == along)
        start, end = self.place.opening.span(along)
        boxes = self.frame.boxes

        def faces(side: Side, which: int) -> list[int]:
            return [boxes[key].span(along)[which] for key in beyond[side] if boxes[key].high[2] > self.base]

        return max(faces(before, 1), default=start), min(faces(after, 0), default=end)

    def _block(self, key: str, along: Axis) -> Block:
        box = self.frame.boxes[key]
        left, right = box.span(along)
        return Block(key, Rect(left, box.low[2], right, box.high[2]), self.frame.by_key[key].placement.along == "z")

    @property
    def sides(self) -> tuple[Wall, Wall]:
        """The two long walls."""
        return self.walls["left"], self.walls["right"]

    @property
    def ends(self) -> tuple[Wall, Wall]:
        """The two end walls."""
        return self.walls["head"], self.walls["foot"]

    @cached_property
    def ladder_side(self) -> Side | None:
        """The side on which the way up stands; None where there is none, or it stands at an end."""
        if self.high.ladder is None:
            return None
        treads = bounds(self.frame.boxes[key] for key in self.high.ladder.treads)
        middle = sum(treads.span("y"))
        low, high = self.place.opening.span("y")
        x_low, x_high = self.place.opening.span("x")
        if not x_low < sum(treads.span("x")) // 2 < x_high:
            return None
        return "left" if middle < low + high else "right"

    def half_covered(self, wall: Wall) -> int:
        """The height that a wall reaches over at least half of the way between its posts [nm]."""
        highest_first = sorted(wall.outline(self.underside), key=lambda each: -each.top)
        covered = accumulate(each.width for each in highest_first)
        return next(
            each.top for each, so_far in zip(highest_first, covered, strict=True)
            if 2 * so_far >= wall.end - wall.start
        )  # fmt: skip

    @cached_property
    def loose_guards(self) -> tuple[str, ...]:
        """The parts of any wall above the base that no chain of bolts, screws and glue holds to what stands below."""
        firm = [set(joint.parts) for joint in self.frame.joints if isinstance(joint, Bolted | Screwed | Glued)]
        floor = self.frame.bounds.low[2]
        held = {key for key, box in self.frame.boxes.items() if box.low[2] == floor}
        while reached := [parts for parts in firm if held & parts and not parts <= held]:
            held.update(*reached)
        guards = [block for wall in self.walls.values() for block in wall.blocks if block.outline.top > self.base]
        return tuple(dict.fromkeys(block.key for block in guards if block.key not in held))

    @cached_property
    def slat_gaps(self) -> list[int]:
        """The gaps in the surface the mattress lies on, seen from above, those along its edges among them [nm]."""
        if not self.place.slats:
            return []
        ladder = set(self.high.ladder.parts) if self.high.ladder else set()
        seen = [
            Rect(box.low[0], box.low[1], box.high[0], box.high[1])
            for key, box in self.frame.boxes.items()
            if key not in ladder and box.low[2] < self.base and box.high[2] >= self.underside
        ]
        (x_low, y_low, _), (x_high, y_high, _) = self.place.opening.low, self.place.opening.high
        return [each.gap for each in openings(Rect(x_low, y_low, x_high, y_high), seen)]

    @cached_property
    def below(self) -> SleepingPlace | None:
        """The next bed beneath this one."""
        under = [
            place
            for place in self.frame.sleeping_places
            if place.opening.low[2] < self.base and min(place.opening.shared(self.place.opening)[:2]) > 0
        ]
        return max(under, key=lambda place: place.opening.low[2], default=None)

    def clear_below(self, place: SleepingPlace) -> int:
        """From a bed's base to the lowest wood over it, posts in its corners left out [nm]."""
        base = place.opening.low[2]
        room = Box((*place.opening.low[:2], base), (*place.opening.high[:2], self.base))
        lying = (box for key, box in self.frame.boxes.items() if self.frame.by_key[key].placement.along != "z")
        over = (box.low[2] for box in lying if box.overlaps(room))
        return min(over, default=self.base) - base

    def lower_end_gaps(self, place: SleepingPlace) -> Iterator[int]:
        """The openings in the ends between a lower bed's base and this one, without its mattress and with it [nm]."""
        lower = Around(self.frame, HighBed(place.name, self.high.market, self.high.ladder), place)
        base, top = place.opening.low[2], place.opening.high[2]
        for wall in lower.ends:
            window = Rect(wall.start, base, wall.end, max(base, self.underside))
            solid = [block.outline for block in wall.blocks]
            for fill in ([], [Rect(window.left, base, window.right, top)]):
                yield from (each.gap for each in openings(window, [*solid, *fill]))

    @cached_property
    def treads(self) -> list[Box]:
        """The treads of the way up from the lowest, boards of one height taken together."""
        by_height: dict[int, list[Box]] = {}
        for key in self.high.ladder.treads if self.high.ladder else ():
            by_height.setdefault(self.frame.boxes[key].high[2], []).append(self.frame.boxes[key])
        return [bounds(by_height[height]) for height in sorted(by_height)]

    @property
    def tread_spacings(self) -> list[int]:
        """From the top of each tread to the next one's [nm]."""
        return [upper.high[2] - lower.high[2] for lower, upper in pairwise(self.treads)]

    def tread_size(self, tread: Box) -> tuple[int, int]:
        """How wide a tread is, and how deep in the direction one climbs [nm]."""
        x, y, _ = tread.size
        for (end, _), cut in self.frame.housings.items():  # no foot stands in a housing
            if self.frame.boxes[end].low[2] == tread.low[2] and tread.overlaps(cut):
                x, y = (x - cut.size[0], y) if self.frame.by_key[end].placement.along == "x" else (x, y - cut.size[1])
        along_side = self.ladder_side is not None
        return (x, y) if along_side else (y, x)


def around(frame: Frame, high: HighBed) -> Around:
    """Measure what stands around a bed above the floor."""
    place = next(place for place in frame.sleeping_places if place.name == high.place)
    return Around(frame, high, place)


def _past(at: int, spans: Iterable[tuple[int, int]]) -> int:
    """How far uprights that stand against each other reach from a place on."""
    for start, end in sorted(spans):
        if start <= at < end:
            at = end
    return at
