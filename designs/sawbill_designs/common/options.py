"""The options that several designs ask for alike."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import CONSTRUCTION, JOINTS, SLATS, SLEEPING_PLACE
from sawbill.trade.finishes import BARE, finishes
from sawbill.trade.lengths import INCH, MM

BOLT_SIZE: Final = option.Choice(
    "bolt_size", "Size of all bolts.",
    choices=("1/4 in", "5/16 in", "3/8 in", "1/2 in", "M6", "M8", "M10", "M12"),
    default="3/8 in", metric_default="M8", fastener="bolt", heading=JOINTS, rare=True,
)  # fmt: skip
SCREW_SIZE: Final = option.Choice(
    "screw_size", "Least size of the wood screws, where there are any; thick wood may ask for a larger one.",
    choices=("#8", "#10", "#12", "4.5 mm", "5 mm", "6 mm"), default="#8", metric_default="4.5 mm",
    fastener="screw", heading=JOINTS, rare=True,
)  # fmt: skip


CORNER_BOLTS: Final = option.Count(
    "corner_bolts", "Bolts at either end of an end board: one, which keeps the bed square with the board's end against "
    "the rail; two hold it by themselves.",
    default=1, least=1, most=2, heading=JOINTS, label="Bolts at a corner", rare=True,
)  # fmt: skip


FINISH: Final = option.Choice(
    "finish", "What its faces are finished with, which is bought by area and coats, and the sandpaper for it; "
    "outdoors: what stands weather. None: only its edges are broken.",
    choices=(BARE, *finishes()), default=BARE, heading=CONSTRUCTION, stays=True,
)  # fmt: skip
SLAT_GAP: Final = option.Length(
    "slat_gap", "Widest gap between slats: at most 3 in (75 mm) under a foam mattress; 2 to 2-1/2 in is better.",
    default=3 * INCH, metric_default=75 * MM, least=INCH // 2, most=4 * INCH, rounding="down", heading=SLATS,
)  # fmt: skip
SLAT_RETENTION: Final = option.Choice(
    "slat_retention", "What keeps the slats in place: blocks glued between them on the ledgers, or screws.",
    choices=("blocks", "screws"), default="blocks", heading=SLATS, label="What keeps the slats in place", rare=True,
    eases="carrying",
)  # fmt: skip


def mattress(default: str, metric_default: str) -> option.Mattress:
    """The mattress of a bed for one."""
    return option.Mattress(
        "mattress", "The mattress: a listed size, or its measured width and length, and its thickness if known.",
        default=default, metric_default=metric_default,
    )  # fmt: skip


def centre_support(auto: str) -> option.Choice:
    """What carries the slats between the rails; auto: what is taken where nothing is said."""
    return option.Choice(
        "centre_support", f"What carries the slats at mid width; auto: {auto}.",
        choices=("auto", "none", "beam", "beam and leg"), default="auto", heading=SLATS, label="Support at mid width",
    )  # fmt: skip


def mattress_allowance(what: str = "the bed is inside") -> option.Length:
    """Room around a mattress; what: that which is so much larger than it."""
    return option.Length(
        "mattress_allowance", f"How much wider and longer than the mattress {what}.",
        default=1 * INCH, metric_default=25 * MM, least=0, most=3 * INCH,
        heading=SLEEPING_PLACE, label="Room around the mattress", rare=True,
    )  # fmt: skip


def slat_clearance(shorter: str) -> option.Length:
    """Play of what lies loose; shorter: which pieces are so much shorter than their place."""
    return option.Length(
        "slat_clearance", f"How much shorter than {shorter}.",
        default=INCH // 8, metric_default=3 * MM, least=0, most=INCH // 2,
        heading=SLATS, label="Play of loose pieces", rare=True,
    )  # fmt: skip
