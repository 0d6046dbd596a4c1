"""The usual cautions of a small workshop, each at the step it belongs to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sawbill.trade.frame import Frame, Market
from sawbill.trade.lengths import INCH, System

SHORT: Final = 12 * INCH
"""Under this a piece is short for a saw [nm] (common practice, no source: about 12 in or 300 mm)."""
SHORT_TEXT: Final[Mapping[System, str]] = {"inch": "12 in", "metric": "300 mm"}
"""The same as makers say it."""
LEAST_AGE: Final[Mapping[Market, int]] = {"US": 6, "UK": 6, "EU": 6, "AU": 9}
"""Who is younger never sleeps or plays on a high bed [years].

Source: 16 CFR 1213 and 1513 (warning label) for US; EN 747-1, at second hand, for EU and UK; the notice on AS/NZS 4220
for AU.
"""

MANUALS: Final = (
    "Follow each tool's manual and your local codes; wear eye and hearing protection, and keep guards in place."
)
SHORT_PIECES: Final = (
    "Never hold a short piece (under {short}) by hand at the saw: cut it from a longer one, clamp it, and let the "
    "blade stop before you take it away."
)
RIPPING: Final = (
    "Rip long strips, never a piece under {short}; use the fence, the riving knife and push sticks, stand out of the "
    "line of the blade, and cut the strips to length last."
)
RIP_FIRST: Final = (
    "Rip small parts as long strips, with push sticks and guards, and cut them to length last: a piece under {short} "
    "is never ripped."
)
GLUE_WAIT: Final = "Put no load on a glued part for 24 h, whatever the clamps say; the glue's container overrules."
DRILLING: Final = "Clamp the work, back it with waste wood, and drill from both faces where a hole is deep."
ROUTING: Final = (
    "Clamp the work and the guide, take a deep channel in several passes against the turn of the bit, keep both hands "
    "on the router until it stands still, and pull the plug before you touch the bit. A chisel is pushed away from you."
)
DUST: Final = "Wood dust harms the lungs and can burn: wear a dust mask, collect the dust, keep flames away."
FINISHING: Final = (
    "Finish with fresh air and as the container says; spread oily rags out to dry or drown them in water: they can "
    "catch fire by themselves."
)
LIFT: Final = "Lift with two people: one piece is more than one person should lift."
STEADY: Final = "Have a second person steady what stands free until it is bolted."
STRAP: Final = (
    "Furniture that tips over can kill a child: use straps and wall fasteners made for that wall, pull on them to try "
    "them, look at them every few months, and let nobody climb where no ladder is. Local codes come first."
)
TIGHTEN: Final = "Tighten all bolts again after some weeks, and then every few months: wood shrinks as it dries."


def told(caution: str, units: System) -> str:
    """Say one of the cautions about short pieces in a system's measures."""
    return caution.format(short=SHORT_TEXT[units])


def high_bed_cautions(frame: Frame) -> tuple[str, ...]:
    """Who must not be on the high beds of a frame, by the market each is built for."""
    markets = sorted({bed.market for bed in frame.high_beds})
    found = [
        f"Nobody under {LEAST_AGE[market]} years sleeps or plays on the upper bed (warnings of the {market} market)."
        for market in markets
    ]
    if found:
        found.append("Keep the mattress no thicker than the guard rails allow, and the rails on both sides.")
    return tuple(found)
