"""Finishes: what each takes to cover bare wood, by area and coats, and the abrasives before and between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import ceil
from typing import Final

from sawbill.trade import tables
from sawbill.trade.lengths import METRE

BARE: Final = "none"
"""What wood is called that is left bare."""
OUTDOORS: Final = "outdoors"
"""The finish that stands weather."""
ABRASIVE: Final = "sandpaper"
SANDED_BY_ONE: Final = Fraction(1)
"""How much a sheet or disc sands, coarse and fine by turns [m2] (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Finish:
    """A finish: the supply it is bought as, how many coats, what a litre covers once [m2]."""

    name: str
    item: str
    coats: int
    covers: Fraction
    source: str

    def takes(self, area: int) -> int:
        """How much an area takes, all coats together [nm2 to ml]."""
        return ceil(Fraction(area * self.coats, METRE**2) / self.covers * 1000)


@cache
def finishes() -> Mapping[str, Finish]:
    """List the finishes by name."""
    listed = tables.rows("finishes", "name", "item", "coats", "covers")
    return tables.by_name(
        Finish(row["name"], row["item"], int(row["coats"]), Fraction(row["covers"]), row["source"]) for row in listed
    )


def abrasives(area: int) -> int:
    """How many sheets an area takes that is finished [nm2]."""
    return ceil(Fraction(area, METRE**2) / SANDED_BY_ONE)
