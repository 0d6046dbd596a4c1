"""What may be asked of a workbench."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import CONSTRUCTION
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.four_legs import overhangs
from sawbill_designs.common.options import BOLT_SIZE, FINISH, SCREW_SIZE

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
