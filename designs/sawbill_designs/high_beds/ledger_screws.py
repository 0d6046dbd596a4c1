"""Screws that hold a high bed's ledgers to its rails should the glue fail: one in every gap between slats.

Common practice, no source; the strength check reckons with them alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from sawbill.trade import fasteners
from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Joint, Part, Screwed
from sawbill_designs.common.bolt_places import BETWEEN_BORES, half
from sawbill_designs.common.parts import SCREW_END, screw_that_holds
from sawbill_designs.high_beds.levels import Level
from sawbill_designs.high_beds.plan import Plan, clear_places


def ledger_screws(at: Plan, level: Level, slats: Sequence[Part], joined: Iterable[Joint]) -> tuple[Screwed, ...]:
    """Through both ledgers into their rails, half way up what they share, clear of the bolts of `joined`.

    None where no standard screw holds both without coming out.
    """
    o = at.o
    try:
        size = screw_that_holds(o.screw_size, o.ledger.thickness, o.rail.thickness)
    except RefusalError:
        return ()
    wide = fasteners.screw_sizes()[size].diameter
    room = at.bolt.up(half(at.bolt.size.large_washer_diameter + wide + BETWEEN_BORES))
    z = level.underside + o.near(min(o.ledger.width, o.rail.width) // 2)
    ends = sorted(slat.box.span("x") for slat in slats)
    near, far = (
        at.post_depth + o.rail.thickness + o.ledger.thickness,
        level.back - o.rail.thickness - o.ledger.thickness,
    )
    bolts = [joint for joint in joined if isinstance(joint, Bolted)]
    found = []
    for side, y in zip(at.sides, (near, far), strict=True):
        rails, ledgers = at.lengths(level, side, "rail"), at.lengths(level, side, "ledger")
        taken = {bolt.head[0] for bolt in bolts if not {*rails, *ledgers}.isdisjoint(bolt.parts)}
        for (_, low), (high, _) in pairwise(ends):
            n = (low + high) // 2 // at.rail_length
            rail, ledger = rails[n], ledgers[n]
            end = o.at_least(SCREW_END * wide)  # from the ledger's own
            first, last = at.rail_length * n + end, at.rail_length * (n + 1) - end
            span = max(low + wide, first), min(high - wide, last)
            for x in clear_places(span, ((low + high) // 2,), taken, room, o.step):
                found.append(Screwed((ledger, rail), size, (x, y, z), "y", -1 if y == near else 1))
    return tuple(found)
