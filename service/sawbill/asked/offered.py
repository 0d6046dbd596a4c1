"""What is answered where a design is asked for that is not on offer."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from sawbill.prices.rows.cells import nearest
from sawbill.trade.declaring.shown import show

FOR_BABIES: Final = frozenset(
    ("crib", "baby-crib", "cot", "baby-cot", "cot-bed", "cradle", "bassinet", "baby-bed", "infant-bed", "moses-basket")
)
WHY_NOT: Final = (
    "and there will be none: what a baby sleeps in has to be tested by law, down to the gaps between its bars, its "
    "hardware and its mattress (16 CFR 1219 and 1220 in the USA, EN 716 in Europe, AS/NZS 2172 in Australia), because "
    "untested ones have killed babies; buy a tested one"
)
MOST: Final = 60
"""How much of a name is compared with those there are."""


def no_such_design(name: str, known: Iterable[str]) -> str:
    """Say that there is no design of a name: which comes near to it, or why there is none."""
    if "-".join(name.lower().replace("_", " ").split()) in FOR_BABIES:
        return f"there is no design {show(name)}, {WHY_NOT}"
    return f"there is no design {show(name)}; {nearest(name[:MOST], known)}"
