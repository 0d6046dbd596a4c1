"""The options that several designs ask for alike."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.lengths import INCH, MM

BOLT_SIZE: Final = option.Choice(
    "bolt_size", "Size of all bolts.",
    choices=("1/4 in", "5/16 in", "3/8 in", "1/2 in", "M6", "M8", "M10", "M12"),
    default="3/8 in", metric_default="M8",
)  # fmt: skip
SCREW_SIZE: Final = option.Choice(
    "screw_size", "Least size of the wood screws, where there are any; thick wood may ask for a larger one.",
    choices=("#8", "#10", "#12", "4.5 mm", "5 mm", "6 mm"), default="#8", metric_default="4.5 mm",
)  # fmt: skip


CORNER_BOLTS: Final = option.Count(
    "corner_bolts", "Bolts at either end of an end board: one, which keeps the bed square with the board's end against "
    "the rail; two hold it by themselves.",
    default=1, least=1, most=2,
)  # fmt: skip


def mattress_allowance(what: str = "the bed is inside") -> option.Length:
    """Room around a mattress; what: that which is so much larger than it."""
    return option.Length(
        "mattress_allowance", f"How much wider and longer than the mattress {what}.",
        default=1 * INCH, metric_default=25 * MM, least=0, most=3 * INCH,
    )  # fmt: skip


def slat_clearance(shorter: str) -> option.Length:
    """Play of what lies loose; shorter: which pieces are so much shorter than their place."""
    return option.Length(
        "slat_clearance", f"How much shorter than {shorter}.",
        default=INCH // 8, metric_default=3 * MM, least=0, most=INCH // 2,
    )  # fmt: skip
