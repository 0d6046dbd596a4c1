"""The way up to a high bed: a ladder, or steps, that stands outside of the rail in front of the way in.

Two stiles stand on the floor against the rail's outer face, each on bolts through rail and ledger, whose round heads
are where one climbs. The treads of a ladder are one above the other. They lie on bearers (see there), and where they
are deeper than the stiles, an upright before each is under their front edges; or they are housed: one board as deep as
the stiles, its ends let into both by a third of their thickness, so that they bear on wood. Screws through the stiles
keep them there; nothing hangs on these.
Those of steps each stand a whole tread further out than the one above, their bearers passing the uprights of the higher
steps: nothing slopes, all of it is sawn square.

EN 747-1 (from memory): treads 200 to 300 mm apart, all alike, 300 mm wide or more, 90 mm deep or more.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate
from typing import Final

from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Housed, Ladder, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem, format_length
from sawbill.trade.lumber import Section
from sawbill_designs.common.bolt_places import half as half_of
from sawbill_designs.common.parts import (
    BEAM_THICKNESS,
    Assembly,
    laminated,
    laminations,
    mirrored,
    screw_that_holds,
)
from sawbill_designs.common.places import quarters, shared
from sawbill_designs.high_beds.bearers import bearer_of
from sawbill_designs.high_beds.levels import END_GRAIN, Level
from sawbill_designs.high_beds.plan import Plan

WIDEST_RISE: Final = 300 * MM
USUAL_RISE: Final = 250 * MM
"""What the spacing of the treads comes near to (common practice, no source)."""
LADDER_TREAD: Final = 90 * MM
STILE_WIDTH: Final = INCH * 7 // 2
"""The least width of a stile of the treads' section, and the depth of a housed tread where no rule says it: a 2x4
(common practice, no source)."""
STEP_TREAD: Final = 7 * INCH
"""The least depth of a step's tread (common practice, no source)."""
DEEPEST: Final[BySystem] = {"inch": INCH * 11 // 2, "metric": 145 * MM}
"""How deep a stile, and how high a bearer, is at most: a 2x6, a 45x145, which need no ripping and keep their grade."""
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
    def housed(self) -> bool:
        """Whether the treads are let into the stiles."""
        return bool(self.at.o.treads == "housed")

    @property
    def wood(self) -> Section:
        """What stiles and bearers are made from: the posts' section; that of the treads, if these are housed, so that
        both are as deep, or if posts would have to be ripped for it and they, no thinner or narrower than a 2x4, need
        not be."""
        o, most = self.at.o, self.at.o.at_most(DEEPEST)
        spares_ripping = o.tread.thickness >= BEAM_THICKNESS and STILE_WIDTH <= o.tread.width <= most < o.post.width
        section: Section = o.tread if self.housed or spares_ripping else o.post
        return section

    @property
    def housing(self) -> int:
        """How deep the housings are: a third of a stile (common practice, no source); 0 without."""
        return int(self.at.o.at_most(self.wood.thickness // 3)) if self.housed else 0

    @property
    def layers(self) -> int:
        """The laminations of a stile."""
        return laminations(self.wood, BEAM_THICKNESS)

    @property
    def inner(self) -> int:
        """The inner face of the first stile."""
        return self.start + self.layers * int(self.wood.thickness)

    @property
    def end(self) -> int:
        """The outer face of the second stile."""
        return 2 * self.inner + int(self.at.o.access) - self.start

    @property
    def first_bolt(self) -> int:
        """Where the bolts of the first stile are, along the rail."""
        return self.start + self.at.o.near(self.wood.thickness // 2)

    @property
    def last_bolt(self) -> int:
        """Where those of the second are."""
        return self.start + self.end - self.first_bolt

    @property
    def stile_depth(self) -> int:
        """Of a stile, out from the rail: a wide section is ripped, but for housed treads."""
        return int(self.wood.width if self.housed else min(self.wood.width, self.at.o.at_most(DEEPEST)))

    @property
    def stile_top(self) -> int:
        """The rail's upper edge; of a bed in halves as low as leaves the bolts there their wood."""
        over = self.level.underside + max(self.at.rail_levels) + self.at.bolt.half_diameters(2 * END_GRAIN)
        return min(self.level.rail_top, over) if self.at.o.in_halves else self.level.rail_top

    @property
    def bearer_height(self) -> int:
        """Of a bearer: a wide section is ripped."""
        return int(min(self.wood.width, self.at.o.at_most(DEEPEST)))

    @property
    def stepped(self) -> bool:
        """Whether these are steps."""
        return bool(self.at.o.way_up == "steps")

    @property
    def boards(self) -> int:
        """How many boards make a tread."""
        if self.housed:
            return 1
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
    """A ladder or steps to a bed: its parts, and which of them are treads.

    Raises RefusalError: treads that cannot be housed.
    """
    up = WayUp(at, level)
    treads = tuple(_tread(up, i, board) for i in range(len(up.tops)) for board in range(up.boards))
    half = _stile(up)
    if up.housed:
        _refuse_housed(up, half)
        half += Assembly((), tuple(joint for tread in treads for joint in _housed(up, half.keys[0], tread)))
    for i in range(0 if up.housed else len(up.tops)):
        half += bearer_of(up, i, tuple(part for part in half.parts if "bearer" not in part.key), treads)
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
    origin = (up.inner - up.housing, up.front(i) + board * o.tread.width, up.tops[i] - o.tread.thickness)
    return Part(key, "tread", o.tread, o.access + 2 * up.housing, Placement(origin, "x", "y"))


def _housed(up: WayUp, stile: str, tread: Part) -> Iterator[Housed | Screwed]:
    """How one end of a tread is held: in a housing of a stile, by screws through it."""
    o, (y, z) = up.at.o, tread.placement.origin[1:]
    yield Housed((tread.key, stile))
    size = screw_that_holds(o.screw_size, up.wood.thickness - up.housing, tread.length)
    middle = z + o.near(tread.section.thickness // 2)
    for place in quarters(y, tread.width, o.step):
        yield Screwed((stile, tread.key), size, (up.start, place, middle), "x", 1)


def _refuse_housed(up: WayUp, half: Assembly) -> None:
    """Raise RefusalError for treads that cannot be housed: on steps, of wood that is thin or narrow, beside a bolt."""
    o, tread = up.at.o, up.at.o.tread
    if up.stepped:
        raise RefusalError("treads", "treads: those of steps lie on bearers; choose that, or a ladder as way_up")
    least = STILE_WIDTH if o.market == "US" else LADDER_TREAD
    if tread.thickness < BEAM_THICKNESS or tread.width < least:
        thick, wide = (format_length(size, o.system) for size in (o.at_least(BEAM_THICKNESS), o.at_least(least)))
        raise RefusalError(
            "tread",
            f"tread: {tread.name} is too thin or too narrow for housed treads and their stiles, which take {thick} by "
            f"{wide} at least; choose a larger tread, or treads on bearers",
        )
    off = half_of(up.at.bolt.size.diameter) + tread.thickness
    tops = (top - tread.thickness // 2 for top in up.tops)
    levels = [joint.head[2] for joint in half.joints if isinstance(joint, Bolted)]
    if any(abs(level - middle) < off for middle in tops for level in levels):
        raise RefusalError(
            "treads",
            f"treads: the highest would be housed beside the bolts that hold the stiles to rails of {o.rail.name}; "
            "choose a narrower ledger, or treads on bearers",
        )


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
    ripped = wide if wide < up.wood.width else None
    whole = laminated(key, name, up.wood, top, Placement((up.start, y, 0), "z", "y"), up.layers)
    return replace(whole, parts=tuple(replace(part, ripped=ripped) for part in whole.parts))
