"""What may be asked of a bench."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import CONSTRUCTION
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.options import BOLT_SIZE, FINISH, SCREW_SIZE

OPTIONS: Final = (
    option.Length(
        "length", "Length of the seat.",
        default=48 * INCH, metric_default=1200 * MM, least=16 * INCH, most=96 * INCH,
    ),
    option.Length(
        "height", "Height of the seat above the floor: 17 to 18 in (430 to 460 mm) suits most grown people.",
        default=18 * INCH, metric_default=450 * MM, least=10 * INCH, most=30 * INCH,
    ),
    option.Length(
        "depth", "Depth of the seat, front to rear edge, or to a back, whose boards stand behind that.",
        default=16 * INCH, metric_default=400 * MM, least=10 * INCH, most=30 * INCH,
    ),
    option.Section("rail", "Section of the two rails under the seat, standing on edge.", role="rail"),
    option.Section("leg", "Section that the legs are laminated from, and of a back's uprights.", role="post"),
    option.Section(
        "cross_board", "Section of the boards that join front to rear legs; the stretchers that a shelf lies on are of "
        "the legs' section where that is narrower.", role="rail",
    ),
    option.Section("seat_board", "Section of the boards of the seat, laid flat across the rails.", role="slat"),
    option.Length(
        "seat_gap", "Widest gap between seat boards; outdoors leave at least 1/8 in (3 mm).",
        default=INCH // 2, metric_default=12 * MM, least=0, most=2 * INCH, rounding="down",
    ),
    option.Choice(
        "middle_legs", "Whether legs stand between the end ones; auto: from a span of sixteen rail widths up.",
        choices=("auto", "none"), default="auto",
    ),
    option.Flag(
        "shelf", "A shelf low between the legs, for shoes or boxes, on stretchers from front to rear legs.",
        default=False,
    ),
    option.Flag("back", "A back: boards on uprights behind the rear rail, one at every pair of legs.", default=False),
    option.Length(
        "back_height", "How far the back rises above the seat.",
        default=16 * INCH, metric_default=400 * MM, least=4 * INCH, most=30 * INCH, heading=CONSTRUCTION,
    ),
    option.Section("back_board", "Section of the boards of a back.", role="slat"),
    option.Section("shelf_board", "Section of the boards of a shelf.", role="shelf"),
    BOLT_SIZE,
    SCREW_SIZE,
    FINISH,
)  # fmt: skip
