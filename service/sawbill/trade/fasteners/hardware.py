"""The hardware that a price book sells, by its name; straps for slats and for walls are such and nothing more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from sawbill.trade.lengths import INCH, MM, System

NUT_CAP: Final = "nut cap"
SLAT_STRAP: Final = "slat strap"
"""Webbing across the undersides of slats, a screw in each, that keeps them apart; cut from a length of SLAT_STRAPS."""
SLAT_STRAPS: Final[Mapping[System, int]] = {"inch": 120 * INCH, "metric": 3000 * MM}
"""How long it is as it is sold [nm] (common practice, no source)."""
STRAP: Final = "wall strap"
"""A strap with a bracket and screws for the furniture, and a bracket for the wall; what goes into the wall depends on
the wall, and is not in it."""
STRAP_PULL: Final = 222
"""What a wall strap holds [N]: a pull of 50 lb (ASTM F2057, an edition before 2023, at second hand)."""
STRAP_BELOW: Final = 2 * INCH
"""How far under the top of what it ties a wall strap is fixed, at most [nm] (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Item:
    """A kind of hardware, and whether a price book lists it by size and by length.

    everywhere: whether a book must sell it where it is needed; what need not be is told of, and bought elsewhere.
    """

    name: str
    has_size: bool
    has_length: bool
    everywhere: bool = True


ITEMS: Final[Mapping[str, Item]] = MappingProxyType(
    {
        item.name: item
        for item in (
            Item("hex bolt", has_size=True, has_length=True),
            Item("round-head bolt", has_size=True, has_length=True, everywhere=False),
            Item("hex nut", has_size=True, has_length=False),
            Item(NUT_CAP, has_size=True, has_length=False, everywhere=False),
            Item("washer", has_size=True, has_length=False),
            Item("large washer", has_size=True, has_length=False, everywhere=False),
            Item("tee nut", has_size=True, has_length=False),
            Item("wood screw", has_size=True, has_length=True),
            Item("joist hanger", has_size=True, has_length=False),
            Item("hanger nail", has_size=False, has_length=True),
            Item(SLAT_STRAP, has_size=False, has_length=False, everywhere=False),
            Item(STRAP, has_size=False, has_length=False, everywhere=False),
        )
    }
)
"""The hardware that a price book sells, by its name."""
