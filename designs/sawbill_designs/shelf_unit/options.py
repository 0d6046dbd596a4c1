"""What may be asked of a shelf unit."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import SIZE
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.options import FINISH, SCREW_SIZE

HIGHEST: Final = 96 * INCH
"""The highest that may be asked for."""

OPTIONS: Final = (
    option.Length(
        "width", "Width over the outer frames.",
        default=36 * INCH, metric_default=900 * MM, least=12 * INCH, most=144 * INCH, rounding="down",
    ),
    option.Length(
        "height", "Height, to the top of the highest shelf and of the uprights.",
        default=72 * INCH, metric_default=1800 * MM, least=18 * INCH, most=HIGHEST, rounding="down",
    ),
    option.Length(
        "depth", "Depth of the shelves.",
        default=12 * INCH, metric_default=300 * MM, least=6 * INCH, most=36 * INCH, rounding="down",
    ),
    option.Count("shelves", "How many shelves, the lowest and the top one among them.", default=4, least=2, most=12,
                 heading=SIZE),
    option.Lengths(
        "openings", "Clear heights between the shelves, from the lowest up, with semicolons between, as 15 in; 12 in. "
        "Those that are not named share what is left; the highest is never named.",
        least=2 * INCH, most=60 * INCH, many=10, rare=True,
    ),
    option.Count(
        "spare_cleats", "At how many more heights there are cleats in every opening, so that the shelf above it can be "
        "unscrewed and put lower.",
        default=0, least=0, most=3, heading=SIZE, rare=True, stays=True,
    ),
    option.Count("bays", "How many bays side by side, each between two frames.", default=1, least=1, most=6,
                 heading=SIZE),
    option.Section("upright", "Section of the uprights, their width along the depth.", role="post"),
    option.Section("shelf_board", "Section of the shelf boards, laid flat side by side.", role="shelf"),
    option.Section("cleat", "Section of the cleats that carry the shelves, on edge.", role="ledger"),
    option.Length(
        "shelf_gap", "Widest gap between the boards of a shelf.",
        default=INCH * 3 // 4, metric_default=20 * MM, least=0, most=2 * INCH, rounding="down",
    ),
    option.Choice(
        "back_bracing", "Rails across the back, which keep it from leaning sideways: at top and bottom, behind every "
        "opening between shelves, or none, for a unit fixed to a wall at both its sides.",
        choices=("top and bottom", "every opening", "none"), default="every opening",
    ),
    option.Section("back_rail", "Section of the rails across the back.", role="rail"),
    SCREW_SIZE,
    FINISH,
)  # fmt: skip
