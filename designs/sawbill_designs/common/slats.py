"""Slats along a bed, on what carries them: loose between spacer blocks, or screwed down."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from sawbill.trade.design import Options
from sawbill.trade.fasteners import screw_sizes
from sawbill.trade.frame import Glued, Part, Placement, Resting, Screwed
from sawbill.trade.lengths import INCH, MM, BySystem, round_down
from sawbill_designs.common.bolt_places import Point2
from sawbill_designs.common.parts import Assembly, screw_that_holds
from sawbill_designs.common.places import clear_place, quarters, spread

SHORTER_SLAT: Final[BySystem] = {"inch": INCH // 4, "metric": 6 * MM}
"""How much shorter a slat may be cut and still lie on what carries it (common practice, no source)."""
SHORTEST_BLOCK: Final = INCH // 2


@dataclass(frozen=True, slots=True)
class SlatRun:
    """Slats along a deck: where each begins, and the least gap between neighbours [nm]."""

    starts: tuple[int, ...]
    gap: int
    doubled: bool


def slat_run(low: int, high: int, width: int, widest_gap: int, doubled: bool, step: int) -> SlatRun:
    """Spread the fewest slats that keep every gap within the widest, all alike to a step, the end slats flush.

    doubled: two slats touch at the middle, where a centre leg stands; when no even number of slats does it, the
    middle is left single. When equal gaps between flush ends cannot do it either, as many slats as fit keep the
    widest gap and stand back from the ends alike.
    """
    room = high - low
    for pair in (True, False) if doubled else (False,):
        for count in range(4 if pair else 2, room // width + 1, 2 if pair else 1):
            gaps, left = count - 2 if pair else count - 1, room - count * width
            if left <= gaps * widest_gap:
                return SlatRun(spread(low, room, width, count, step, pair=pair), round_down(left // gaps, step), pair)
    count = max(1, room // width)
    margin = round_down((room - count * width - (count - 1) * widest_gap) // 2, step)
    starts = tuple(low + margin + i * (width + widest_gap) for i in range(count))
    return SlatRun(starts, widest_gap, False)


def slat_deck(
    o: Options, run: SlatRun, across: Point2, height: int, carriers: Iterable[Part], name: str = "slat"
) -> Assembly:
    """Slats along a run, lying from one y to another at a height [nm], on those of the carriers that they reach."""
    low, high = across
    least = high - low - o.at_most(SHORTER_SLAT)
    slat, length = o.slat, high - low
    slats = tuple([
        Part(f"{name} {i}", name, slat, length, Placement((x, low, height), "y", "x"), rounding="down", least=least)
        for i, x in enumerate(run.starts, 1)
    ])  # fmt: skip
    under, over = [(part, part.box) for part in carriers], [(part, part.box) for part in slats]
    resting = tuple([Resting((a.key, b.key)) for a, box in over for b, below in under if box.contact(below)])
    return Assembly(slats, resting)


def slat_screws(
    o: Options,
    slats: Iterable[Part],
    carriers: Iterable[tuple[Sequence[Part], int]],
    taken: Iterable[int] = (),
    bore: int = 0,
) -> Assembly:
    """Two screws from above where a slat lies on each carrier, at a y in the middle of its thickness [nm].

    carriers: each as its lengths, one behind the other along x, of which it is that on which most of the slat lies;
    taken: the x of bores of a diameter that cross a carrier below [nm]; a screw that finds no place beside them is left
    out.
    """
    carriers, taken = tuple(carriers), tuple(taken)
    screws = []
    for slat in slats:
        for lengths, y in carriers:
            carrier = max(lengths, key=lambda each: slat.box.contact(each.box))
            size = screw_that_holds(o.screw_size, slat.section.thickness, carrier.width)
            wide = screw_sizes()[size].diameter
            start, end = _shared(slat.box.span("x"), carrier.box.span("x"))
            placed = list[int]()
            for wanted in quarters(start, end - start, o.step):
                x = clear_place(wanted, (start + wide, end - wide), taken, (bore + wide) // 2 + MM, o.step)
                if x is not None and all(abs(x - other) > wide for other in placed):
                    placed.append(x)
                    screws.append(Screwed((slat.key, carrier.key), size, (x, y, slat.box.high[2]), "z", -1))
    return Assembly((), tuple(screws))


def _shared(one: Point2, other: Point2) -> Point2:
    """From where to where both are [nm]."""
    return max(one[0], other[0]), min(one[1], other[1])


def spacer_length(run: SlatRun, o: Options) -> int:
    """The length of a spacer block between slats [nm]; 0 when the gaps are too narrow for one."""
    block = run.gap - min(o.slat_clearance, o.at_most(run.gap // 4))
    return block if block >= SHORTEST_BLOCK else 0


def spacer_blocks(
    o: Options, run: SlatRun, ledgers: Sequence[Part], length: int, room: int, key: str
) -> Assembly:  # fmt: skip
    """Blocks of a length [nm] glued on a ledger, one in every gap of a run that is wide enough for it.

    ledgers: its lengths, one behind the other along x; a block over two is glued on that on which more of it lies;
    room: how wide the deck is [nm].
    """
    wide = o.slat.width
    gaps = [(before + wide, after) for before, after in pairwise(run.starts) if after - before - wide >= length]
    blocks = tuple(
        spacer_block(o, f"{key} {i}", ledgers[0], low + o.at_most((high - low - length) // 2), length, room)
        for i, (low, high) in enumerate(gaps, 1)
    )
    boxes = [(ledger.key, ledger.box) for ledger in ledgers]

    def under(block: Part) -> str:
        return max(boxes, key=lambda each: block.box.contact(each[1]))[0] if len(boxes) > 1 else boxes[0][0]

    return Assembly(blocks, tuple([Glued((block.key, under(block))) for block in blocks]))


def spacer_block(o: Options, key: str, ledger: Part, x: int, length: int, room: int) -> Part:
    """A block from x on, cut from a slat and laid as one, level with the ledger's outer face [nm].

    It reaches inwards over the ledger's edge as far as a slat is wide, so a crosscut makes it; where two of them would
    meet in the room between the rails, it is ripped as wide as the ledger is thick.
    """
    place = Placement((x, ledger.placement.origin[1], ledger.box.high[2]), "x", "y")
    ripped = ledger.section.thickness if 2 * o.slat.width > room else None
    return Part(key, "spacer block", o.slat, length, place, ripped=ripped, rounding="down")
