"""What may be asked of a low platform."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import CONSTRUCTION
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.options import (
    BOLT_SIZE,
    CORNER_BOLTS,
    FINISH,
    SCREW_SIZE,
    SLAT_GAP,
    centre_support,
    mattress,
    mattress_allowance,
    slat_clearance,
)
from sawbill_designs.common.splices import IN_HALVES

OPTIONS: Final = (
    mattress("queen", "eu-140"),
    option.Length(
        "height", "Height of the deck above the floor, on which the mattress lies.",
        default=10 * INCH, metric_default=250 * MM, least=4 * INCH, most=24 * INCH,
    ),
    option.Choice(
        "base", "What the deck stands on: a box of rails on legs, or a plinth of rails down to the floor.",
        choices=("legs", "plinth"), default="legs",
    ),
    option.Length(
        "overhang", "How far the deck reaches beyond the base at either side.",
        default=2 * INCH, metric_default=50 * MM, least=0, most=6 * INCH,
    ),
    option.Flag("stops", "Low stops around the deck that keep the mattress from sliding.", default=True),
    option.Section("rail", "Section of the rails of the base, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the centre beam.", role="ledger"),
    option.Section("post", "Section that the posts and the centre leg are laminated from.", role="post"),
    option.Section("slat", "Section of the slats, laid flat, and of the stops.", role="slat"),
    SLAT_GAP,
    option.Flag("headboard", "A headboard, bolted to the rail at the head outside the deck.", default=False),
    option.Length(
        "headboard_rise", "How far the headboard rises above the mattress.",
        default=14 * INCH, metric_default=350 * MM, least=0, most=36 * INCH, heading=CONSTRUCTION,
    ),
    option.Section("headboard_board", "Section of the boards of a headboard.", role="slat"),
    centre_support("a beam and leg from 53 in (1.35 m) up, two legs from 70 in (1.78 m)"),
    BOLT_SIZE,
    CORNER_BOLTS,
    SCREW_SIZE,
    FINISH,
    IN_HALVES,
    mattress_allowance("the deck is, between the stops if any"),
    slat_clearance("its place the beam is, which lifts out"),
)  # fmt: skip
