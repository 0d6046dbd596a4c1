"""What either standard asks of the distances of bolts, each as the least for one to count and that for all of it [nm].

NDS 2018, Tables 12.5.1A to D; EN 1995-1-1, Table 8.4. Loads run along the grain of what stands, across that of what
lies.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from sawbill.checks.resistance.wood import Standard
from sawbill.trade import fasteners
from sawbill.trade.boxes import Point

LISTED: Final = 80 * 10**6
"""The least of a loaded end by Eurocode 5, whatever the diameter (Table 8.4)."""


class Asked:
    """What the NDS asks: each as the least distance and the full one, of the bolt's diameter [nm]."""

    def end(self, d: int, *, upright: bool, toward: bool) -> tuple[int, int]:
        """Table 12.5.1A, softwood: along the grain toward an end 7D, away from it 4D; across it 4D; half of it."""
        full = 7 * d if upright and toward else 4 * d
        return full // 2, full

    def edge(self, d: int, *, loaded: bool) -> int:
        """Table 12.5.1C: the loaded edge across the grain 4D, others 1.5D."""
        return fasteners.LOADED_EDGE * d if loaded else 3 * d // 2

    def along(self, d: int, *, upright: bool, thick: int) -> tuple[int, int]:
        """In a row along the grain 3D and 4D (12.5.1B); of loads across it between rows (12.5.1D)."""
        if upright:
            return 3 * d, 4 * d
        least = 5 * d // 2 if thick <= 2 * d else 5 * d if thick >= 6 * d else (5 * thick + 10 * d) // 8
        return least, least

    def across(self, d: int, *, upright: bool) -> tuple[int, int]:
        """Rows along the grain 1.5D (12.5.1D); in a row across it 3D, and 4D as what it is fixed to wants (12.5.1B)."""
        return (3 * d // 2, 3 * d // 2) if upright else (3 * d, 4 * d)

    def number(self, places: Sequence[Point], d: int, *, upright: bool) -> float:
        """As how many bolts count; Cg of so few, so near, is 1 within a hundredth (Table 11.3.6A)."""
        return float(len(places))


class AskedEc5(Asked):
    """What Eurocode 5 asks (Table 8.4, loads along the grain of what stands, across that of what lies)."""

    def end(self, d: int, *, upright: bool, toward: bool) -> tuple[int, int]:
        """a3,t and a3,c: toward the end 7d and 80 mm, away from it 4d; across the grain (1 + 6 sin 90) d."""
        least = (max(7 * d, LISTED) if toward else 4 * d) if upright else 7 * d
        return least, least

    def edge(self, d: int, *, loaded: bool) -> int:
        """a4,t (2 + 2 sin 90) d and a4,c 3d."""
        return fasteners.LOADED_EDGE * d if loaded else 3 * d

    def along(self, d: int, *, upright: bool, thick: int) -> tuple[int, int]:
        """a1 (4 + cos a) d."""
        least = 5 * d if upright else 4 * d
        return least, least

    def across(self, d: int, *, upright: bool) -> tuple[int, int]:
        """a2 4d."""
        return 4 * d, 4 * d

    def number(self, places: Sequence[Point], d: int, *, upright: bool) -> float:
        """The effective number in a row along the grain of what stands (8.34)."""
        rows = Counter(place[:2] for place in places)
        row = max(rows.values())
        if not upright or row < 2:
            return float(len(places))
        heights = sorted(place[2] for place in places if rows[place[:2]] == row)
        gap = min(b - a for a, b in pairwise(heights) if b > a)
        return len(places) / row * float(min(row, row**0.9 * (gap / (13 * d)) ** 0.25))


ASKED: Final[Mapping[Standard, Asked]] = {"NDS": Asked(), "EC5": AskedEc5()}
"""What either standard asks."""
