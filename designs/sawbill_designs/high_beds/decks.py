"""The deck of a bed above the floor: its slats, the beam under the middle of a wide one, the mattress's room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from sawbill.trade import fasteners
from sawbill.trade.boxes import Box
from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Hung, Part, Placement, Resting, Screwed, SleepingPlace
from sawbill.trade.lengths import MM
from sawbill_designs.common.bolt_places import BETWEEN_BORES
from sawbill_designs.common.parts import (
    Assembly,
    laminated,
    laminations,
    play_at,
    screw_that_holds,
)
from sawbill_designs.common.places import quarters
from sawbill_designs.common.slats import SHORTER_SLAT, slat_run
from sawbill_designs.high_beds.levels import Level
from sawbill_designs.high_beds.plan import WIDEST_SURFACE_GAP, Plan, clear_places

FREE_BEAM: Final = 60 * MM
"""The least thickness of the laminations of a beam that no leg stands under: two of 2-by, one of 3-by (practice)."""


def deck(at: Plan, level: Level, joined: Iterable[Assembly]) -> tuple[Assembly, Assembly]:
    """The slats of a bed, screwed to both ledgers clear of every bolt, and the beam under the middle of a wide one.

    joined: what else stands on this bed's ledgers, whose bolts the screws keep off.
    """
    o, ledgers = at.o, tuple(level.name(f"{side} ledger") for side in at.sides)
    run = slat_run(0, at.inside_length, o.slat.width, o.slat_gap, doubled=False, step=o.step)
    if max(run.starts[0], at.inside_length - run.starts[-1] - o.slat.width) > WIDEST_SURFACE_GAP:
        raise RefusalError(
            "slat_gap",
            f"slat_gap: slats of {o.slat.name} this close together leave more than 75 mm at the ends of the bed, which "
            "SI 1987/1337 and EN 747-1 forbid; choose narrower slats, or a wider slat_gap",
        )
    low, high = at.post_depth + o.rail.thickness, level.back - o.rail.thickness
    length = high - low - o.slat_clearance
    count = len(run.starts)
    numbers = range(1, count + 1) if at.ends[0] == "head" else range(count, 0, -1)
    slats = tuple(
        Part(level.name(f"slat {i}"), "slat", o.slat, length,
             Placement((x, low + play_at(o, 0), level.deck), "y", "x"), rounding="down",
             least=length - o.at_most(SHORTER_SLAT))
        for i, x in zip(numbers, run.starts, strict=True)
    )  # fmt: skip
    beam = _beam(at, level) if level.wide else Assembly()
    size = screw_that_holds(o.screw_size, o.slat.thickness, o.ledger.width)
    room = fasteners.screw_sizes()[size].diameter
    bolted = [
        {each.head[0] for piece in joined for each in piece.joints if isinstance(each, Bolted) and key in each.parts}
        for key in ledgers
    ]
    inset = o.near(o.ledger.thickness // 2)
    middles = (low + inset, high - inset)
    screws = tuple(
        Screwed((slat.key, key), size, (x, y, level.base), "z", -1)
        for slat in slats
        for key, y, taken in zip(ledgers, middles, bolted, strict=True)
        for x in clear_places(
            (slat.placement.origin[0] + room, slat.placement.origin[0] + o.slat.width - room),
            quarters(slat.placement.origin[0], o.slat.width, o.step),
            taken,
            at.bolt.off_bore(room, BETWEEN_BORES // 2),
            o.step,
        )
    )
    resting = tuple(Resting((slat.key, key)) for slat in slats for key in (*ledgers, *beam.keys))
    return Assembly(slats, resting + screws), beam


def _beam(at: Plan, level: Level) -> Assembly:
    """The beam under the middle of a wide deck, lying in joist hangers on the end boards, with no leg between."""
    o, layers = at.o, laminations(at.o.ledger, FREE_BEAM)
    thickness, plays = layers * o.ledger.thickness, (play_at(o, 0), play_at(o, 1))
    y = o.near((at.post_depth + level.back - thickness) // 2)
    beam = laminated(
        level.name("beam"), "centre beam", o.ledger, at.inside_length - sum(plays),
        Placement((plays[0], y, level.underside), "x", "z"), layers,
    )  # fmt: skip
    beam = replace(beam, parts=tuple(replace(part, rounding="down") for part in beam.parts))
    hanger = fasteners.hanger_for(thickness, at.bolt.size.system).name
    hung = tuple(
        Hung((*beam.keys, level.name(f"{end} end board 1")), hanger, play)
        for end, play in zip(at.ends, plays, strict=True)
    )
    return beam + Assembly((), hung)


def sleeping_place(at: Plan, level: Level, slats: Assembly) -> SleepingPlace:
    """The room of a bed's mattress."""
    low = (0, at.post_depth + level.thickness, level.base)
    high = (at.inside_length, level.back - level.thickness, level.base + level.mattress.thickness)
    return SleepingPlace(level.name("mattress"), level.mattress, Box(low, high), slats.keys, at.o.slat_gap)
