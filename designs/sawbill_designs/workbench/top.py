"""The top of a workbench, and the bearers under it."""

from __future__ import annotations

from itertools import pairwise

from sawbill.trade import fasteners
from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Glued, Part, Placement, Screwed
from sawbill.trade.lengths import INCH
from sawbill_designs.common.leg_frames import SCREWS_APART
from sawbill_designs.common.parts import Assembly, screw_that_holds
from sawbill_designs.common.places import TWO_SCREWS, places_off, screw_places
from sawbill_designs.workbench.plan import Layout


def bearers_under(at: Layout) -> Assembly:
    """Across the rails, screwed down into each, clear of the bolts of the legs."""
    o, stand = at.o, at.stand
    size = screw_that_holds(o.screw_size, o.bearer.thickness, o.rail.width)
    found = Assembly()
    for i, x in enumerate(at.bearers, 1):
        part = Part(f"bearer {i}", "bearer", o.bearer, stand.legs.depth, Placement((x, 0, stand.legs.top), "y", "x"))
        found += Assembly((part,), stand.screwed_down(part, size, "bearer"))
    return found


def top_piece(at: Layout, i: int) -> Assembly:
    """A board of the top, screwed down into every bearer; or a slab, screwed from below between the legs."""
    o, (start, count) = at.o, at.top[i]
    if o.top == "boards":
        place = Placement((0, start, at.deck), "x", "y")
        part = Part(f"top board {i + 1}", "top board", o.top_board, o.length, place)
        size = screw_that_holds(o.screw_size, o.top_board.thickness, o.bearer.thickness)
        places = [(y, part.key) for y in _off_rails(at, start, size)]
        return Assembly((part,), tuple(into_bearers(at, size, places, o.height, down=True)))
    parts = tuple(
        Part(f"slab {i + 1} board {n + 1}", "slab board", o.top_board, o.length,
             Placement((0, start + n * at.wide, at.deck), "x", "z"))
        for n in range(count)
    )  # fmt: skip
    size = screw_that_holds(o.screw_size, o.bearer.thickness, o.top_board.width)
    glued = tuple(Glued((a.key, b.key)) for a, b in pairwise(parts))
    places = from_below(at, parts)
    return Assembly(parts, (*glued, *into_bearers(at, size, places, at.deck - o.bearer.thickness, down=False)))


def _off_rails(at: Layout, start: int, size: str) -> list[int]:
    """Where the screws across a board of the top go: off those that hold a narrow bearer to the rails.

    Raises RefusalError: there is no room for one.
    """
    o, legs = at.o, at.stand.legs
    places = screw_places(start, at.wide, o.step)
    if o.bearer.width >= TWO_SCREWS:
        return list(places)
    wide = fasteners.screw_sizes()[size].diameter
    middle = legs.rail_front + o.near(o.rail.thickness // 2)
    taken = [(y, SCREWS_APART * wide) for y in (middle, legs.depth - middle)]
    edge = o.at_most(at.wide // 6)
    found = places_off(places, (start + edge, start + at.wide - edge), taken, SCREWS_APART * wide, o.step)
    if not found:
        raise RefusalError(
            "top_board",
            f"top_board: the screws of a {o.bearer.name} bearer leave no room for those of {o.top_board.name}; choose "
            "a wider top_board, or a wider bearer",
        )
    return found


def from_below(at: Layout, parts: tuple[Part, ...]) -> list[tuple[int, str]]:
    """Where the screws of a slab go up through a bearer: in the middle of its second board from either side, or as near
    as a driver reaches between the legs.

    Raises RefusalError: it reaches no board of the slab.
    """
    o, legs = at.o, at.stand.legs
    clear = legs.leg_front + legs.deep + o.at_least(2 * INCH), legs.depth - legs.leg_front - legs.deep - 2 * INCH
    middles = [(part.box.low[1] + o.near(at.wide // 2), part.key) for part in parts]
    within = [each for each in middles if clear[0] <= each[0] <= clear[1]]
    if not within:
        raise RefusalError(
            "slabs", "slabs: a driver does not reach the outer slabs from below, between the legs; choose fewer slabs"
        )
    return [within[min(1, len(within) - 1)], within[-2]] if len(within) > 3 else [within[0], within[-1]][: len(within)]


def into_bearers(at: Layout, size: str, places: list[tuple[int, str]], z: int, *, down: bool) -> list[Screwed]:
    """Screws between a piece of the top and the middle of every bearer: down into it, or up through it."""
    middle = at.o.near(at.o.bearer.width // 2)
    return [
        Screwed(
            (key, f"bearer {i}") if down else (f"bearer {i}", key), size, (x + middle, y, z), "z", -1 if down else 1
        )
        for i, x in enumerate(at.bearers, 1)
        for y, key in places
    ]
