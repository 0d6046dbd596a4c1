"""What may be asked of a daybed."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import SLEEPING_PLACE
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.options import (
    BOLT_SIZE,
    FINISH,
    SCREW_SIZE,
    SLAT_GAP,
    SLAT_RETENTION,
    centre_support,
    mattress,
    mattress_allowance,
    slat_clearance,
)
from sawbill_designs.common.splices import IN_HALVES

HIGHEST_SEAT: Final = 30 * INCH

OPTIONS: Final = (
    mattress("twin", "eu-90"),
    option.Length(
        "seat_height",
        "Height of the slats above the floor, on which the mattress lies; one sits a mattress higher. If none is asked "
        "for, it is as high as a trundle wants.",
        default=13 * INCH, metric_default=340 * MM, least=6 * INCH, most=HIGHEST_SEAT,
    ),
    option.Length(
        "back_height", "How far the back rises above the mattress.",
        default=16 * INCH, metric_default=400 * MM, least=0, most=36 * INCH,
    ),
    option.Length(
        "arm_height", "How far the arms, the two ends, rise above the mattress.",
        default=8 * INCH, metric_default=200 * MM, least=0, most=36 * INCH,
    ),
    option.Section("rail", "Section of the front and the back rail, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the ledgers that carry the slats, and of the centre beam.", role="ledger"),
    option.Section("end_board", "Section of the boards of the ends and of the back.", role="end_board"),
    option.Section(
        "post", "Section that the posts and the leg are laminated from, and of the upright of the back.", role="post",
    ),
    option.Section("slat", "Section of the slats, laid flat, and of the trundle's runners.", role="slat"),
    SLAT_GAP,
    SLAT_RETENTION,
    centre_support(
        "a beam from 53 in (1.35 m) up, and a leg for it where no trundle is in its way; from 57 in (1.45 m) up legs "
        "under the boards that a beam without one hangs from"
    ),
    option.Flag("trundle", "A trundle: a low bed on runners that is pulled out from underneath.", default=False,
                heading=SLEEPING_PLACE),
    option.Mattress(
        "trundle_mattress", "The mattress of the trundle; a thinner one lets the seat be lower.",
        default="twin x 6 in", metric_default="eu-90 x 150 mm",
    ),
    option.Section("trundle_side", "Section of the trundle's front and back, standing on edge.", role="end_board"),
    BOLT_SIZE,
    SCREW_SIZE,
    FINISH,
    IN_HALVES,
    mattress_allowance(),
    slat_clearance("their place the loose pieces are: slats, beam, spacer blocks"),
)  # fmt: skip
