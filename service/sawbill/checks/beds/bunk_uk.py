"""The United Kingdom: its Bunk Beds (Entrapment Hazards) (Safety) Regulations, SI 1987/1337, and BS EN 747-1.

The regulations are law, and tell openings alone. How high a guard is, and what a way up must be, is told by the
European standard, which the United Kingdom has as its own: its values are those of `bunk_eu`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.checks.beds import bunk_eu
from sawbill.checks.beds.bunk_eu import GUARD
from sawbill.checks.beds.walls import Around
from sawbill.checks.finding import Finding, Status, compare, furthest, not_checked, within
from sawbill.trade.lengths import MM

SOURCE: Final = "SI 1987/1337 (United Kingdom)"
STANDARD: Final = "BS EN 747-1, at second hand"
HIGH: Final = 800 * MM
WIDEST_SLAT_GAP: Final = 75 * MM
GAP: Final = (60 * MM, 75 * MM)
ACCESS: Final = 300 * MM


def check(bed: Around) -> Iterator[Finding]:
    """Hold a bed above the floor against the standard, and against the regulations from the height they name."""
    if bed.base < bunk_eu.HIGH:
        yield bunk_eu.too_low(bed, STANDARD)
        return
    yield from bunk_eu.measured(bed, STANDARD)
    if bed.base >= HIGH:
        yield from _regulations(bed)
    else:
        yield Finding(
            "regulations-apply", SOURCE, Status.NOT_CHECKED,
            "The sleeping surface is too low for the regulations: the bed was checked against the standard alone.",
            least=HIGH, found=bed.base,
        )  # fmt: skip
    yield from bunk_eu.unmeasured(STANDARD)


def _regulations(bed: Around) -> Iterator[Finding]:
    level = bed.top + GUARD
    yield compare(
        "lawful-surface-gaps", SOURCE, max(bed.slat_gaps, default=0), "<=", WIDEST_SLAT_GAP,
        ("The gaps in the sleeping surface are narrow enough.", "Bring the slats closer together: lower slat_gap."),
        bed.place.slats, Status.FAIL,
    )  # fmt: skip
    gaps = [gap for wall in bed.walls.values() for gap in wall.gaps(level, bed.base)]
    yield within(
        "guard-gaps", SOURCE, furthest(gaps, GAP), GAP,
        ("Every gap at or above the sleeping surface is neither too narrow nor too wide.",
         "A gap at or above the sleeping surface could trap a limb or a body: change opening."),
        otherwise=Status.FAIL,
    ) if gaps else Finding(
        "guard-gaps", SOURCE, Status.PASS, "There is no gap at or above the sleeping surface.", "", *GAP,
    )  # fmt: skip
    ways = [each.width for wall in bed.walls.values() for each in wall.ways_in(level, bed.base)]
    yield (
        compare(
            "lawful-access", SOURCE, min(ways), ">=", ACCESS,
            ("The way in past the guard is wide enough.", "Leave a wider way in past the guard: raise access."),
            otherwise=Status.FAIL,
        )
        if ways
        else not_checked("lawful-access", SOURCE, "Not checked: the guards leave no way in, so none could be measured.")
    )  # fmt: skip
