"""What may be asked of a slatted bed."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import CONSTRUCTION, SLATS
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
        "clear_height", "Clear height underneath the rails and the beam.",
        default=8 * INCH, metric_default=200 * MM, least=4 * INCH, most=24 * INCH,
    ),
    option.Section("rail", "Section of the two side rails, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the ledgers that carry the slats, and of the centre beam.", role="ledger"),
    option.Section(
        "end_board", "Section of the end boards, and of the boards of a headboard or footboard.", role="rail",
    ),
    option.Section("post", "Section that the posts and the centre leg are laminated from.", role="post"),
    option.Section("slat", "Section of the slats, laid flat.", role="slat"),
    SLAT_GAP,
    option.Choice(
        "slat_retention", "What keeps the slats in place: blocks glued between them on the ledgers, screws, or straps "
        "under them, which roll up with them; then the end slats alone are screwed down.",
        choices=("blocks", "screws", "strap"), default="blocks", heading=SLATS, label="What keeps the slats in place",
        rare=True, stays=True,
    ),
    option.Flag("doubled_middle", "Whether two slats touch at the middle, over the centre leg.", default=True,
                heading=SLATS, label="Two slats at the middle", rare=True),
    centre_support("a beam and leg from 53 in (1.35 m) up, two legs from 70 in (1.78 m)"),
    option.Flag("headboard", "A headboard, bolted to the head end board outside the sleeping length.", default=False),
    option.Length(
        "headboard_rise", "How far the headboard rises above the mattress.",
        default=14 * INCH, metric_default=350 * MM, least=0, most=36 * INCH, heading=CONSTRUCTION,
    ),
    option.Flag("footboard", "A footboard, bolted to the foot end board outside the sleeping length.", default=False),
    option.Length(
        "footboard_rise", "How far the footboard rises above the mattress.",
        default=2 * INCH, metric_default=50 * MM, least=0, most=36 * INCH, heading=CONSTRUCTION,
    ),
    BOLT_SIZE,
    CORNER_BOLTS,
    SCREW_SIZE,
    FINISH,
    IN_HALVES,
    mattress_allowance(),
    slat_clearance("their place the loose pieces are: slats, beam, spacer blocks"),
)  # fmt: skip
