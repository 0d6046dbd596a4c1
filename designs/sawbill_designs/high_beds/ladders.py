"""The way up to a high bed: a ladder, or steps, that stands outside of the rail in front of the way in.

Two stiles stand on the floor against the rail's outer face, each on bolts through rail and ledger, whose round heads
are where one climbs, and where treads are deeper than those, an upright before each, under their front edges. Bearers
are glued and screwed to the inner faces of both, so that screws alone carry them if the glue should fail, and the
treads, one board or several side by side, are screwed down on them. The treads of a ladder are one above the other.
Those of steps each stand a whole tread further out than the one above, their bearers passing the uprights of the higher
steps: nothing slopes, all of it is sawn square.

EN 747-1 (from memory): treads 200 to 300 mm apart, all alike, 300 mm wide or more, 90 mm deep or more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.frame import Bolted, Glued, Ladder, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.bolt_places import BETWEEN_BORES
from sawbill_designs.common.parts import (
    BEAM_THICKNESS,
    SCREW_END,
    Assembly,
    laminated,
    laminations,
    mirrored,
    screw_that_holds,
)
from sawbill_designs.common.places import quarters, shared
from sawbill_designs.high_beds.levels import END_GRAIN, Level
from sawbill_designs.high_beds.plan import Plan, clear_places

WIDEST_RISE: Final = 300 * MM
USUAL_RISE: Final = 250 * MM
"""What the spacing of the treads comes near to (common practice, no source)."""
LADDER_TREAD: Final = 90 * MM
STEP_TREAD: Final = 7 * INCH
"""The least depth of a step's tread (common practice, no source)."""
DEEPEST: Final[BySystem] = {"inch": INCH * 11 // 2, "metric": 145 * MM}
"""How deep a stile, and how high a bearer, is at most: a 2x6, a 45x145, which need no ripping and keep their grade."""
THREE_COLUMNS: Final = 120 * MM
"""From this width on a bearer has six screws in what it is glued to: it reaches as far beyond them (practice)."""
LOW_SCREW: Final = 4
HIGH_SCREW: Final = 7
HIGH_THIN: Final = 5
"""How many diameters a screw of a bearer stays from its lower edge, and from the upper, which it presses on."""
THIN: Final = 5 * MM
"""Below this diameter, less is enough (EN 1995-1-1, Table 8.2)."""
NARROWEST: Final[BySystem] = {"inch": INCH * 3 // 2, "metric": 45 * MM}
"""What reaches no further than this beyond a stile wants no upright of its own (practice)."""


@dataclass(frozen=True)
class WayUp:
    """Where the parts of the way up are [nm]."""

    at: Plan
    level: Level

    @property
    def start(self) -> int:
        """The outer face of the first stile."""
        return int(self.at.o.post.width) + self.at.beside_post

    @property
    def layers(self) -> int:
        """The laminations of a stile."""
        return laminations(self.at.o.post, BEAM_THICKNESS)

    @property
    def inner(self) -> int:
        """The inner face of the first stile."""
        return self.start + self.layers * int(self.at.o.post.thickness)

    @property
    def end(self) -> int:
        """The outer face of the second stile."""
        return 2 * self.inner + int(self.at.o.access) - self.start

    @property
    def first_bolt(self) -> int:
        """Where the bolts of the first stile are, along the rail."""
        return self.start + self.at.o.near(self.at.o.post.thickness // 2)

    @property
    def last_bolt(self) -> int:
        """Where those of the second are."""
        return self.start + self.end - self.first_bolt

    @property
    def stile_depth(self) -> int:
        """Of a stile, out from the rail: a wide section is ripped."""
        return int(min(self.at.o.post.width, self.at.o.at_most(DEEPEST)))

    @property
    def stile_top(self) -> int:
        """The rail's upper edge; of a bed in halves as low as leaves the bolts there their wood."""
        over = self.level.underside + max(self.at.rail_levels) + self.at.bolt.half_diameters(2 * END_GRAIN)
        return min(self.level.rail_top, over) if self.at.o.in_halves else self.level.rail_top

    @property
    def bearer_height(self) -> int:
        """Of a bearer: a wide section is ripped."""
        return int(min(self.at.o.post.width, self.at.o.at_most(DEEPEST)))

    @property
    def stepped(self) -> bool:
        """Whether these are steps."""
        return bool(self.at.o.way_up == "steps")

    @property
    def boards(self) -> int:
        """How many boards make a tread."""
        least = max(STEP_TREAD, self.stile_depth) if self.stepped else LADDER_TREAD
        return int(-(-least // self.at.o.tread.width))

    @property
    def depth(self) -> int:
        """Of a tread."""
        return self.boards * int(self.at.o.tread.width)

    @cached_property
    def tops(self) -> tuple[int, ...]:
        """The heights of the treads' upper faces; from the highest it is one more rise to the bed's base.

        All rises are alike, to a step.
        """
        base = self.level.base
        count = max(-(-base // self.at.o.at_most(WIDEST_RISE)), (base + USUAL_RISE // 2) // USUAL_RISE)
        return tuple(accumulate(shared(base, count, self.at.o.step)))[:-1]

    def front(self, i: int) -> int:
        """How far from the posts' outer faces tread i, counted from 0, begins; out from the bed is less."""
        run = self.depth if self.stepped else 0
        return self.at.post_depth - self.depth - (len(self.tops) - 1 - i) * run


def way_up(at: Plan, level: Level) -> tuple[Assembly, Ladder]:
    """A ladder or steps to a bed: its parts, and which of them are treads."""
    up = WayUp(at, level)
    treads = tuple(_tread(up, i, board) for i in range(len(up.tops)) for board in range(up.boards))
    half = _stile(up)
    for i in range(len(up.tops)):
        half += _bearer(up, i, tuple(part for part in half.parts if "bearer" not in part.key), treads)
    whole = half + _other(up, half) + Assembly(treads)
    return whole, Ladder(tuple(tread.key for tread in treads), whole.keys)


def _other(up: WayUp, half: Assembly) -> Assembly:
    """The half of the way up that is nearer to the middle of the bed, on the same lengths of rail and ledger."""
    at = up.at
    other = mirrored(half, "x", up.start + up.end, *at.ends)
    same = [at.lying(up.level, at.sides[0], what) for what in ("rail", "ledger")]
    back = {key.replace(*at.ends): key for key in same}
    joints = (
        each.moved(tuple(back.get(key, key) for key in each.parts), each.head, each.toward)
        if isinstance(each, Bolted) else each
        for each in other.joints
    )  # fmt: skip
    return Assembly(other.parts, tuple(joints))


def _tread(up: WayUp, i: int, board: int) -> Part:
    o = up.at.o
    key = f"tread {i + 1}" if up.boards == 1 else f"tread {i + 1} board {board + 1}"
    origin = (up.inner, up.front(i) + board * o.tread.width, up.tops[i] - o.tread.thickness)
    return Part(key, "tread", o.tread, o.access, Placement(origin, "x", "y"))


def _stile(up: WayUp) -> Assembly:
    """The first stile, bolted to rail and ledger, and the uprights under the front edges of the treads."""
    at, o, level, end = up.at, up.at.o, up.level, up.at.ends[0]
    rail_face = at.post_depth
    whole = _upright(up, f"{end} stile", "ladder stile", rail_face - up.stile_depth, up.stile_top, up.stile_depth)
    held = (whole.keys[0], at.lying(level, at.sides[0], "rail"), at.lying(level, at.sides[0], "ledger"))
    x, y = up.first_bolt, rail_face - up.stile_depth
    bolts = tuple(
        Bolted(held, o.bolt_size, (x, y, level.underside + z), "y", 1, "nut", round_head=True) for z in at.rail_levels
    )
    whole += Assembly((), bolts)
    for i in range(len(up.tops)) if up.stepped else [len(up.tops) - 1]:
        free = up.depth - (up.stile_depth if i == len(up.tops) - 1 else 0)
        if free > o.at_most(NARROWEST):
            name = f"step upright {i + 1}" if up.stepped else "front stile"
            wide = min(free, up.stile_depth)
            top = up.tops[i] - o.tread.thickness
            if i == len(up.tops) - 1:  # it stands against the stile: the heads of the bolts there stay free
                top = min(top, min(bolt.head[2] for bolt in bolts) - at.bolt.up(at.bolt.size.washer_diameter))
            whole += _upright(up, f"{end} {name}", name.rstrip(" 0123456789"), up.front(i), top, wide)
    return whole


def _upright(up: WayUp, key: str, name: str, y: int, top: int, wide: int) -> Assembly:
    o = up.at.o
    ripped = wide if wide < o.post.width else None
    whole = laminated(key, name, o.post, top, Placement((up.start, y, 0), "z", "y"), up.layers)
    return replace(whole, parts=tuple(replace(part, ripped=ripped) for part in whole.parts))


def _bearer(up: WayUp, i: int, uprights: tuple[Part, ...], treads: tuple[Part, ...]) -> Assembly:
    """The bearer of a tread at the first stile, glued and screwed to all that it passes, the tread screwed on it."""
    at, o = up.at, up.at.o
    top = up.tops[i] - o.tread.thickness
    ripped = up.bearer_height if up.bearer_height < o.post.width else None
    bearer = Part(
        f"{at.ends[0]} bearer {i + 1}", "tread bearer", o.post, at.post_depth - up.front(i),
        Placement((up.inner, up.front(i), top - up.bearer_height), "y", "z"), ripped=ripped,
    )  # fmt: skip
    size = screw_that_holds(o.screw_size, o.tread.thickness, up.bearer_height)
    down = tuple(
        Screwed((tread.key, bearer.key), size, (up.inner + o.near(o.post.thickness // 2), y, up.tops[i]), "z", -1)
        for tread in treads[i * up.boards : (i + 1) * up.boards]
        for y in quarters(tread.placement.origin[1], o.tread.width, o.step)
    )
    passed = [part for part in uprights if part.box.contact(bearer.box)]
    glued = tuple(Glued((bearer.key, part.key)) for part in passed)
    sideways = tuple(screw for part in passed for screw in _sideways(up, bearer, part, down))
    return Assembly((bearer,), (*glued, *sideways, *down))


def _sideways(up: WayUp, bearer: Part, upright: Part, down: tuple[Screwed, ...]) -> tuple[Screwed, ...]:
    """Four screws through a bearer into what it is glued to, or six, clear of the treads' screws and the stile's bolts.

    Who steps on the end of a tread stands on them nearly alone, if the glue should fail. Two above two: far enough from
    the edge that they press on, and from the other (EN 1995-1-1, Table 8.2); as many as there is room for.
    """
    at, o = up.at, up.at.o
    size = screw_that_holds(o.screw_size, o.post.thickness, o.post.thickness)
    thick = max(fasteners.screw_sizes()[name].diameter for name in (size, down[0].size))
    (_, low, bottom), (_, high, top) = bearer.box.common(upright.box).low, bearer.box.common(upright.box).high
    bolts = [up.level.underside + z for z in at.rail_levels] if up.layers == 1 else []
    own = fasteners.screw_sizes()[size].diameter
    below = (HIGH_THIN if own < THIN else HIGH_SCREW) * own
    heights = o.at_least(bottom + LOW_SCREW * own), o.at_most(top - below)
    levels = heights if heights[1] - heights[0] >= LOW_SCREW * own else ((bottom + top) // 2,)
    zs = clear_places((bottom + thick, top - thick), levels, bolts, at.bolt.lane, o.step)
    wanted: tuple[int, ...] = quarters(low, high - low, o.step)
    if high - low >= THREE_COLUMNS:
        wanted = (wanted[0], o.near((low + high) // 2), wanted[1])
    end, inside = SCREW_END * fasteners.screw_sizes()[size].diameter, (low + thick, high - thick)
    better = max(inside[0], bearer.box.low[1] + end), min(inside[1], bearer.box.high[1] - end)
    taken = [each.head[1] for each in down]
    ways = [clear_places(span, wanted, taken, thick + BETWEEN_BORES, o.step) for span in (better, inside)]
    ys = max(ways, key=len)
    x = up.inner + o.post.thickness
    return tuple(Screwed((bearer.key, upright.key), size, (x, y, z), "x", -1) for z in zs for y in ys)
