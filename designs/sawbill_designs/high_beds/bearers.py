"""The bearers of a way up: what its treads lie on where these are not let into the stiles.

Each is glued and screwed to all the uprights that it passes, so that screws alone carry it if the glue should fail.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from sawbill.trade import fasteners
from sawbill.trade.frame import Glued, Part, Placement, Screwed
from sawbill.trade.lengths import MM
from sawbill_designs.common.bolt_places import BETWEEN_BORES
from sawbill_designs.common.parts import SCREW_END, Assembly, screw_that_holds
from sawbill_designs.common.places import quarters
from sawbill_designs.high_beds.plan import clear_places

if TYPE_CHECKING:
    from sawbill_designs.high_beds.ladders import WayUp

THREE_COLUMNS: Final = 120 * MM
"""From this width on a bearer has six screws in what it is glued to: it reaches as far beyond them (practice)."""
LOW_SCREW: Final = 4
HIGH_SCREW: Final = 7
HIGH_THIN: Final = 5
"""How many diameters a screw of a bearer stays from its lower edge, and from the upper, which it presses on."""
THIN: Final = 5 * MM
"""Below this diameter, less is enough (EN 1995-1-1, Table 8.2)."""


def bearer_of(up: WayUp, i: int, uprights: tuple[Part, ...], treads: tuple[Part, ...]) -> Assembly:
    """The bearer of a tread at the first stile, glued and screwed to all that it passes, the tread screwed on it."""
    at, o = up.at, up.at.o
    top = up.tops[i] - o.tread.thickness
    ripped = up.bearer_height if up.bearer_height < up.wood.width else None
    bearer = Part(
        f"{at.ends[0]} bearer {i + 1}", "tread bearer", up.wood, at.post_depth - up.front(i),
        Placement((up.inner, up.front(i), top - up.bearer_height), "y", "z"), ripped=ripped,
    )  # fmt: skip
    size = screw_that_holds(o.screw_size, o.tread.thickness, up.bearer_height)
    down = tuple(
        Screwed((tread.key, bearer.key), size, (up.inner + o.near(up.wood.thickness // 2), y, up.tops[i]), "z", -1)
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
    size = screw_that_holds(o.screw_size, up.wood.thickness, up.wood.thickness)
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
    x = up.inner + up.wood.thickness
    return tuple(Screwed((bearer.key, upright.key), size, (x, y, z), "x", -1) for z in zs for y in ys)
