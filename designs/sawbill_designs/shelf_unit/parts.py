"""The frames, shelves and back rails of a shelf unit."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

from sawbill.trade import fasteners
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Part, Placement, Screwed
from sawbill_designs.common.bolt_places import BETWEEN_BORES
from sawbill_designs.common.parts import Assembly, screw_that_holds, stout
from sawbill_designs.common.places import clear_place, screw_places
from sawbill_designs.shelf_unit.plan import Layout, frame_name, twentieths


def frame_at(at: Layout, i: int) -> Assembly:
    """Uprights, and at every level a cleat on each side that faces a bay."""
    o, name, x = at.o, frame_name(at, i), at.frames[i]
    uprights = tuple(
        Part(f"{name} {which}upright", "upright", o.upright, o.height, Placement((x, y, 0), "z", "y"),
             ripped=None if width == o.upright.width else width)
        for which, y, width in at.uprights
    )  # fmt: skip
    sides = [side for side, faces_a_bay in (("right", i < o.bays), ("left", i > 0)) if faces_a_bay]
    cleats = [(f"cleat {n}", at.levels[n - 1]) for n in at.numbers]
    cleats += [(f"spare cleat {n}", level) for n, level in enumerate(at.spare, 1)]
    each = (_cleat(at, f"{name} {side} {key}", uprights, side, level) for key, level in cleats for side in sides)
    return sum(each, Assembly(uprights))


def _cleat(at: Layout, key: str, uprights: tuple[Part, ...], side: str, level: int) -> Assembly:
    """A cleat on one side of a frame, its screws at other heights than those of the cleat on the other side."""
    o, size, from_upright = at.o, *at.cleat_screw
    inner = uprights[0].box.span("x")[1 if side == "right" else 0]
    start = inner if side == "right" else inner - o.cleat.thickness
    low = level - o.cleat.width
    cleat = Part(key, "cleat", o.cleat, o.depth, Placement((start, 0, low), "y", "z"))
    outward = 1 if side == "right" else -1
    head = inner - outward * o.upright.thickness if from_upright else inner + outward * o.cleat.thickness
    toward: Literal[1, -1] = 1 if (side == "right") == from_upright else -1
    heights = twentieths(o, low, (3, 11) if side == "right" else (7, 15))
    screws = tuple(
        Screwed((upright.key, key) if from_upright else (key, upright.key), size, (head, y, z), "x", toward)
        for upright, places in zip(uprights, at.across, strict=True)
        for y, z in zip(places, heights, strict=True)
    )
    return Assembly((cleat,), screws)


def shelf_in(at: Layout, bay: int, level: int) -> Assembly:
    """The boards of one shelf in one bay, lying on two cleats and screwed down into them."""
    o, z = at.o, at.levels[level]
    x = at.frames[bay] + o.upright.thickness
    half = o.near(o.cleat.thickness // 2)
    carriers = (
        (f"{frame_name(at, bay)} right cleat {level + 1}", x + half),
        (f"{frame_name(at, bay + 1)} left cleat {level + 1}", x + at.bay - half),
    )
    parts, screws = [], []
    for i, (y, width) in enumerate(at.boards, 1):
        name, ripped = ("shelf board", None) if width == o.shelf_board.width else ("narrow shelf board", width)
        key = f"bay {bay + 1} shelf {level + 1} board {i}"
        place = Placement((x, y, z), "x", "y")
        parts.append(Part(key, name, o.shelf_board, at.bay, place, ripped=ripped, rounding="down"))
        screws += [
            Screwed((key, cleat), at.shelf_screw, (along, across, z + o.shelf_board.thickness), "z", -1)
            for cleat, along in carriers
            for across in screw_places(y, width, o.step)
        ]
    return Assembly(tuple(parts), tuple(screws))


def rail_heights(at: Layout) -> tuple[int, ...]:
    """How high each back rail begins: behind the middle of its opening, the top one first, none over another."""
    o = at.o
    openings = list(pairwise(at.levels))[::-1]
    chosen = openings if o.back_bracing == "every opening" else [openings[0], *openings[1:][-1:]]
    found: list[int] = []
    for below, above in chosen:
        middle = below + o.shelf_board.thickness + above - o.cleat.width
        z = min(max(o.near((middle - o.back_rail.width) // 2), 0), o.height - o.back_rail.width)
        if not found or z + o.back_rail.width <= found[-1]:
            found.append(z)
    return tuple(found)


def back_rails(at: Layout) -> Assembly:
    """The back rails over the whole width, each on two screws in every frame, clear of those of the cleats."""
    o = at.o
    name, _, width = at.uprights[-1]
    size = screw_that_holds(stout(o.screw_size), o.back_rail.thickness, width)
    diameters = fasteners.screw_sizes()[size].diameter + fasteners.screw_sizes()[at.cleat_screw[0]].diameter
    taken = [z for level in at.cleats for z in twentieths(o, level - o.cleat.width, (3, 7, 11, 15))]
    third = o.near(o.upright.thickness // 3)
    parts, screws = [], []
    for n, low in enumerate(rail_heights(at), 1):
        rail = Part(f"back rail {n}", "back rail", o.back_rail, at.width, Placement((0, o.depth, low), "x", "z"))
        parts.append(rail)
        for i, x in enumerate(at.frames):
            heights = _clear_heights(o, rail, taken, diameters // 2 + BETWEEN_BORES)
            upright = f"{frame_name(at, i)} {name}upright"
            screws += [
                Screwed((rail.key, upright), size, (x + across, rail.box.high[1], z), "y", -1)
                for across, z in zip((third, o.upright.thickness - third), heights, strict=False)
            ]
    return Assembly(tuple(parts), tuple(screws))


def _clear_heights(o: Options, rail: Part, taken: list[int], room: int) -> list[int]:
    """The heights nearest to a rail's edges where a screw keeps off all that are taken, and off the other."""
    low, width = rail.placement.origin[2], rail.width
    span, found = (low + width // 8, low + width - width // 8), list[int]()
    for wanted in span:
        place = clear_place(wanted, span, [*taken, *found], room, o.step)
        found += [] if place is None else [place]
    if not found:
        raise RefusalError(
            "back_rail",
            f"back_rail: the screws of {rail.section.name} run into those of the cleats; choose a wider back rail, or "
            "fewer shelves",
        )
    return found
