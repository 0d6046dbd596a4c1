"""A frame: parts of lumber that each know where they stand, how they are joined, and what is carried as one.

Everything a quote says about a design is measured from these boxes: the cut list, the hardware, the openings,
the weight. So they cannot disagree.
"""

from sawbill.trade.frame.joints import (
    Bolted,
    Fastener,
    Glued,
    Housed,
    Hung,
    Joint,
    Lying,
    Resting,
    Screwed,
    SlatStrap,
    Strap,
)
from sawbill.trade.frame.parts import Part, Placement, Rounding
from sawbill.trade.frame.serves import HighBed, Ladder, Market, SleepingPlace, Surface, Use
from sawbill.trade.frame.whole import (
    SEEN_FROM_THE_FOOT,
    SEEN_FROM_THE_FRONT,
    CarriedPiece,
    Frame,
    Note,
    Sides,
)

__all__ = [
    "SEEN_FROM_THE_FOOT",
    "SEEN_FROM_THE_FRONT",
    "Bolted",
    "CarriedPiece",
    "Fastener",
    "Frame",
    "Glued",
    "HighBed",
    "Housed",
    "Hung",
    "Joint",
    "Ladder",
    "Lying",
    "Market",
    "Note",
    "Part",
    "Placement",
    "Resting",
    "Rounding",
    "Screwed",
    "Sides",
    "SlatStrap",
    "SleepingPlace",
    "Strap",
    "Surface",
    "Use",
]
