"""The deck of a bed above the floor: its slats, the beam under the middle of a wide one, the mattress's room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
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
    o, sides = at.o, [at.lengths(level, side, "ledger") for side in at.sides]
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
    bolts = [each for piece in joined for each in piece.joints if isinstance(each, Bolted)]
    bolted = [{bolt.head[0] for bolt in bolts if not set(ledgers).isdisjoint(bolt.parts)} for ledgers in sides]
    inset = o.near(o.ledger.thickness // 2)
    middles = (low + inset, high - inset)
    screws = tuple(
        Screwed((slat.key, ledgers[n]), size, (x, y, level.base), "z", -1)
        for slat in slats
        for ledgers, y, taken in zip(sides, middles, bolted, strict=True)
        for n, start, end in [_most_of(at, slat)]
        for x in clear_places(
            (start + room, end - room),
            quarters(start, end - start, o.step),
            taken,
            at.bolt.off_bore(room, BETWEEN_BORES // 2),
            o.step,
        )
    )
    return Assembly(slats, tuple(_resting(at, slats, sides, beam)) + screws), beam


def _most_of(at: Plan, slat: Part) -> tuple[int, int, int]:
    """On which of its ledgers most of a slat lies, counted from the ladder's end, and from where to where it does."""
    low, high = slat.box.span("x")
    n = (low + high) // 2 // at.rail_length
    return n, max(low, n * at.rail_length), min(high, (n + 1) * at.rail_length)


def _resting(at: Plan, slats: Sequence[Part], sides: Iterable[Sequence[str]], beam: Assembly) -> Iterator[Resting]:
    """Every slat on each length of the ledgers, and of the beam, that it reaches."""
    length = at.rail_length
    under = {key: (n * length, (n + 1) * length) for ledgers in sides for n, key in enumerate(ledgers)}
    under |= {part.key: part.box.span("x") for part in beam.parts}
    for slat in slats:
        low, high = slat.box.span("x")
        yield from (Resting((slat.key, key)) for key, (start, end) in under.items() if low < end and start < high)


def _beam(at: Plan, level: Level) -> Assembly:
    """The beam under the middle of a wide deck, lying in joist hangers on the end boards, with no leg between.

    In halves each lies on a cross board as well, next to the middle.
    """
    o, layers = at.o, laminations(at.o.ledger, FREE_BEAM)
    thickness, plays = layers * o.ledger.thickness, (play_at(o, 0), play_at(o, 1))
    y = o.near((at.post_depth + level.back - thickness) // 2)
    beam = laminated(
        level.name(f"{at.ends[0]} beam" if o.in_halves else "beam"), "centre beam", o.ledger,
        at.rail_length - plays[0] - (0 if o.in_halves else plays[1]),
        Placement((plays[0], y, level.underside), "x", "z"), layers,
    )  # fmt: skip
    beam = replace(beam, parts=tuple(replace(part, rounding="down") for part in beam.parts))
    hanger = fasteners.hanger_for(thickness, at.bolt.size.system).name
    if o.in_halves:
        end_board, cross = (level.name(f"{at.ends[0]} {what}") for what in ("end board 1", "middle cross board"))
        lies = (Resting((key, cross)) for key in beam.keys)
        near = beam + Assembly((), (Hung((*beam.keys, end_board), hanger, plays[0]), *lies))
        return near + at.far(near)
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
