"""A workbench: two rails on stout leg frames, bearers across, a top along them of boards or of glued slabs, a shelf.

x runs along the bench from the left, y from its front to its rear edge, z up from the floor. The bolts of the rails
come out: what is left is rails, leg frames, bearers, and the boards or slabs of the top and the shelf.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from sawbill.trade import fasteners, option
from sawbill.trade.declaring.headings import CONSTRUCTION
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import CarriedPiece, Frame, Glued, Note, Part, Placement, Screwed, Surface, Use
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.four_legs import SCREWS_APART, Boards, Stand, overhangs, stand_under
from sawbill_designs.common.leg_frames import told
from sawbill_designs.common.options import BOLT_SIZE, FINISH, SCREW_SIZE
from sawbill_designs.common.parts import Assembly, carried_by_name, frame_of, screw_that_holds
from sawbill_designs.common.places import TWO_SCREWS, places_off, screw_places, spread

SPAN_IN_THICKNESSES: Final = 16
"""A top reaches so many of its thicknesses from bearer to bearer, 24 in for 1-1/2 in (common practice, no source)."""
BEARERS_APART: Final[BySystem] = {"inch": 16 * INCH, "metric": 400 * MM}
"""How far bearers are apart at most where work is heavy, as joists under a floor (common practice, no source)."""
SHELF_GAP: Final[BySystem] = {"inch": 1 * INCH, "metric": 25 * MM}
"""The widest gap between the boards of the shelf, for shavings to fall through (common practice, no source)."""
SLOT: Final[BySystem] = {"inch": INCH // 8, "metric": 3 * MM}
"""How much longer than wide the holes for a slab's screws are (common practice, no source)."""

OPTIONS: Final = (
    option.Length(
        "length", "Length of the top.",
        default=60 * INCH, metric_default=1500 * MM, least=30 * INCH, most=144 * INCH,
    ),
    option.Length(
        "depth", "Depth of the top, front to rear edge, at most: it is of whole boards.",
        default=24 * INCH, metric_default=600 * MM, least=16 * INCH, most=48 * INCH, rounding="down",
    ),
    option.Length(
        "height", "Height of the top: as high as the wrist of who works at it, 34 to 38 in (860 to 970 mm).",
        default=35 * INCH, metric_default=900 * MM, least=20 * INCH, most=44 * INCH,
    ),
    *overhangs(8 * INCH, 200 * MM, 0, 0),
    option.Choice(
        "top", "Boards laid flat, screwed down; or slabs glued of boards on edge, screwed from below: heavier, dearer, "
        "and flat for longer.",
        choices=("boards", "slabs"), default="boards", heading=CONSTRUCTION,
    ),
    option.Count(
        "slabs", "How many slabs a top of slabs is in, side by side; more are lighter to carry.",
        default=2, least=1, most=6, heading=CONSTRUCTION,
    ),
    option.Choice(
        "work", "What it is for: hand tools, some 30 lb/ft2 (150 kg/m2) on the top; or machines and heavy stock, some "
        "100 lb/ft2 (500 kg/m2).",
        choices=("hand tools", "heavy"), default="hand tools", heading=CONSTRUCTION, stays=True,
    ),
    option.Flag("shelf", "A shelf on the stretchers.", default=True, heading=CONSTRUCTION),
    option.Section("top_board", "Section of the boards of the top.", role="top"),
    option.Length(
        "top_gap", "Gap between the boards or slabs of the top.",
        default=0, metric_default=0, least=0, most=INCH // 2, rare=True,
    ),
    option.Section("bearer", "Section of the boards that lie across the rails, under the top.", role="bearer"),
    option.Section("rail", "Section of the two rails under the top, standing on edge.", role="rail"),
    option.Section(
        "leg", "Section that the legs are laminated from; its width lies along the bench, and a wide one keeps that "
        "from swaying.", role="rail",
    ),
    option.Section("cross_board", "Section of the boards that join front to rear legs, high and low.", role="rail"),
    option.Section("shelf_board", "Section of the boards of the shelf.", role="shelf"),
    FINISH,
    BOLT_SIZE,
    SCREW_SIZE,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Layout:
    """What follows from the options; lengths [nm]. deck: how high the bearers reach; bearers: where they begin; top:
    where each board or slab of the top begins, and of how many boards it is.
    """

    o: Options
    stand: Stand
    deck: int
    bearers: tuple[int, ...]
    top: tuple[tuple[int, int], ...]

    @property
    def wide(self) -> int:
        """Of a board of the top, as it lies."""
        return _wide(self.o)


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: sections or overhangs too large for this top."""
    at = _layout(o)
    bearers, pieces = _bearers(at), [_piece(at, i) for i in range(len(at.top))]
    top, shelf = sum(pieces, Assembly()), _shelf(at) if o.shelf else Assembly()
    use: Use = "heavy workbench" if o.work == "heavy" else "workbench"
    loose = (
        carried_by_name(top.parts)
        if o.top == "boards"
        else tuple(CarriedPiece(f"slab {i}", piece.keys) for i, piece in enumerate(pieces, 1))
    )
    return frame_of(
        at.stand.rails, *at.stand.frames.values(), bearers, top, shelf,
        carried_pieces=(*at.stand.carried, *carried_by_name(bearers.parts), *loose, *carried_by_name(shelf.parts)),
        notes=_notes(at),
        surfaces=(Surface("top", use, top.keys), *([Surface("shelf", "shelf", shelf.keys)] if o.shelf else [])),
        finish=o.finish,
    )  # fmt: skip


def _notes(at: Layout) -> tuple[Note, ...]:
    if at.o.top == "boards":
        return ()
    longer = told(at.o.at_least(SLOT), at.stand.legs.bolt)
    return (
        Note(
            "slabs-move",
            "Slabs swell and shrink across their boards: make the holes for their screws slots along the bearers, "
            f"{longer} longer than they are wide, so that the slabs can move.",
            tuple(f"bearer {i}" for i in range(1, len(at.bearers) + 1)),
        ),
    )


def _thick(o: Options) -> int:
    """Of the top: of boards as they lie, of slabs as wide as their boards [nm]."""
    return int(o.top_board.thickness if o.top == "boards" else o.top_board.width)


def _wide(o: Options) -> int:
    return int(o.top_board.width if o.top == "boards" else o.top_board.thickness)


def _layout(o: Options) -> Layout:
    """Share the depth out to whole boards, and the length to bearers."""
    top, depth = _shared_out(o)
    deck = o.height - _thick(o)
    gap = int(o.top_gap)
    boards = Boards(_wide(o) + gap, gap) if o.top == "boards" else Boards(_wide(o), -(o.slabs - 1) * gap)
    shelf = int(o.shelf_board.thickness) if o.shelf else 0
    stand = stand_under(o, deck - o.bearer.thickness, (o.length, depth), (Boards(), boards), shelf)
    over_legs = o.near((o.leg.width - o.bearer.width) // 2)
    first, last = stand.starts[0] + over_legs, stand.starts[1] + o.leg.width - o.bearer.width - over_legs
    apart = o.at_most(BEARERS_APART) if o.work == "heavy" else SPAN_IN_THICKNESSES * _thick(o) + o.bearer.width
    gaps = max(1, -(-(last - first) // apart))
    if first < 0 or (last - first) // gaps < o.bearer.width:
        raise RefusalError(
            "bearer", f"bearer: {o.bearer.name} is too wide to lie over the legs of {o.leg.name}; choose a narrower one"
        )
    starts = (first, *(o.near(first + (last - first) * i // gaps) for i in range(1, gaps)), last)
    return Layout(o, stand, deck, starts, top)


def _shared_out(o: Options) -> tuple[tuple[tuple[int, int], ...], int]:
    """Where each board or slab begins and of how many boards it is, and how deep they are together [nm]."""
    wide, gap = _wide(o), int(o.top_gap)
    if o.top == "boards":
        each = [1] * ((o.depth + gap) // (wide + gap))
    else:
        count = (o.depth - (o.slabs - 1) * gap) // wide
        if count < 2 * o.slabs:
            raise RefusalError(
                "slabs", f"slabs: {o.slabs} of {o.top_board.name} have not two boards each in this depth; choose fewer"
            )
        each = [count // o.slabs + (i < count % o.slabs) for i in range(o.slabs)]
    if not each:
        raise RefusalError(
            "top_board", f"top_board: {o.top_board.name} is wider than this top is deep; choose a narrower one"
        )
    starts, at = [], 0
    for number in each:
        starts.append((at, number))
        at += number * wide + gap
    return tuple(starts), at - gap


def _bearers(at: Layout) -> Assembly:
    """Across the rails, screwed down into each, clear of the bolts of the legs."""
    o, stand = at.o, at.stand
    size = screw_that_holds(o.screw_size, o.bearer.thickness, o.rail.width)
    found = Assembly()
    for i, x in enumerate(at.bearers, 1):
        part = Part(f"bearer {i}", "bearer", o.bearer, stand.legs.depth, Placement((x, 0, stand.legs.top), "y", "x"))
        found += Assembly((part,), stand.screwed_down(part, size, "bearer"))
    return found


def _piece(at: Layout, i: int) -> Assembly:
    """A board of the top, screwed down into every bearer; or a slab, screwed from below between the legs."""
    o, (start, count) = at.o, at.top[i]
    if o.top == "boards":
        place = Placement((0, start, at.deck), "x", "y")
        part = Part(f"top board {i + 1}", "top board", o.top_board, o.length, place)
        size = screw_that_holds(o.screw_size, o.top_board.thickness, o.bearer.thickness)
        places = [(y, part.key) for y in _off_rails(at, start, size)]
        return Assembly((part,), tuple(_into_bearers(at, size, places, o.height, down=True)))
    parts = tuple(
        Part(f"slab {i + 1} board {n + 1}", "slab board", o.top_board, o.length,
             Placement((0, start + n * at.wide, at.deck), "x", "z"))
        for n in range(count)
    )  # fmt: skip
    size = screw_that_holds(o.screw_size, o.bearer.thickness, o.top_board.width)
    glued = tuple(Glued((a.key, b.key)) for a, b in pairwise(parts))
    places = _from_below(at, parts)
    return Assembly(parts, (*glued, *_into_bearers(at, size, places, at.deck - o.bearer.thickness, down=False)))


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


def _from_below(at: Layout, parts: tuple[Part, ...]) -> list[tuple[int, str]]:
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


def _into_bearers(at: Layout, size: str, places: list[tuple[int, str]], z: int, *, down: bool) -> list[Screwed]:
    """Screws between a piece of the top and the middle of every bearer: down into it, or up through it."""
    middle = at.o.near(at.o.bearer.width // 2)
    return [
        Screwed(
            (key, f"bearer {i}") if down else (f"bearer {i}", key), size, (x + middle, y, z), "z", -1 if down else 1
        )
        for i, x in enumerate(at.bearers, 1)
        for y, key in places
    ]


def _shelf(at: Layout) -> Assembly:
    """Boards from stretcher to stretcher, between the leg frames, screwed down into both."""
    o, legs = at.o, at.stand.legs
    left, right = at.stand.starts[0] + o.leg.width, at.stand.starts[1]
    stretcher = legs.boards[-1]
    z = stretcher.bottom + stretcher.section.width
    low, room = legs.leg_front, legs.depth - 2 * legs.leg_front
    widest = o.at_most(SHELF_GAP)
    count = min(-(-(room + widest) // (o.shelf_board.width + widest)), room // o.shelf_board.width)
    if count < 1:
        raise RefusalError(
            "shelf_board", f"shelf_board: {o.shelf_board.name} is wider than the shelf is deep; choose a narrower one"
        )
    starts = spread(low, room, o.shelf_board.width, count, o.step) if count > 1 else (low,)
    size = screw_that_holds(o.screw_size, o.shelf_board.thickness, stretcher.section.width)
    half = o.near(stretcher.section.thickness // 2)
    found = Assembly()
    for i, y in enumerate(starts, 1):
        part = Part(f"shelf board {i}", "shelf board", o.shelf_board, right - left, Placement((left, y, z), "x", "y"))
        screws = tuple(
            Screwed((part.key, f"{name} stretcher"), size, (x, across, z + o.shelf_board.thickness), "z", -1)
            for name, x in (("left", left + half), ("right", right - half))
            for across in _off_legs(at, y, size)
        )
        found += Assembly((part,), screws)
    return found


def _off_legs(at: Layout, start: int, size: str) -> list[int]:
    """Where the screws across a board of the shelf go, clear of those that hold the stretchers to the legs."""
    o, legs, wide = at.o, at.stand.legs, fasteners.screw_sizes()[size].diameter
    near = [legs.leg_front + y for y in (legs.inmost, legs.screws_in)]
    taken = [(y, legs.bolt.off_bore(wide)) for y in (*near, *(legs.depth - y for y in near))]
    edge = o.at_most(o.shelf_board.width // 6)
    span = start + edge, start + o.shelf_board.width - edge
    found = places_off(screw_places(start, o.shelf_board.width, o.step), span, taken, SCREWS_APART * wide, o.step)
    if not found:
        raise RefusalError(
            "shelf_board",
            f"shelf_board: the bolts and screws of the stretchers leave no room for those of {o.shelf_board.name}; "
            "choose a wider shelf_board",
        )
    return found


DESIGN: Final = Design(
    name="workbench",
    title="Knock-down workbench",
    summary=(
        "A top of boards, or of slabs glued up from boards on edge, on bearers across two rails on stout legs; a shelf "
        "below, if asked for. Bolts hold rails to legs and come out."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Height, bearers and joinery: common practice, no source",
    ),
)
