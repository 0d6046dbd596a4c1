"""The United Kingdom's Bunk Beds (Entrapment Hazards) (Safety) Regulations, SI 1987/1337.

They say nothing of how high a guard must be. Where one begins is read off at the height of EN 747-1.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.checks.finding import Finding, Status, compare, furthest, not_checked, within
from sawbill.checks.walls import Around
from sawbill.trade.lengths import MM

SOURCE: Final = "SI 1987/1337 (United Kingdom)"
HIGH: Final = 800 * MM
WIDEST_SLAT_GAP: Final = 75 * MM
GAP: Final = (60 * MM, 75 * MM)
ACCESS: Final = 300 * MM
GUARD: Final = 160 * MM
"""Over the mattress: what counts as guarded (EN 747-1, at second hand)."""


def check(bed: Around) -> Iterator[Finding]:
    """Hold a bed above the floor against the regulations."""
    if bed.base < HIGH:
        yield Finding(
            "rules-apply", SOURCE, Status.NOT_CHECKED,
            "The sleeping surface is too low for these rules to apply: the bed was not held against them.",
            least=HIGH, found=bed.base,
        )  # fmt: skip
        return
    level = bed.top + GUARD
    yield compare(
        "sleeping-surface-gaps", SOURCE, max(bed.slat_gaps, default=0), "<=", WIDEST_SLAT_GAP,
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
            "access",
            SOURCE,
            min(ways),
            ">=",
            ACCESS,
            ("The way in past the guard is wide enough.", "Leave a wider way in past the guard: raise access."),
            otherwise=Status.FAIL,
        )
        if ways
        else not_checked("access", SOURCE, "Not checked: the guards leave no way in, so none could be measured.")
    )
    yield not_checked(
        "guard-height", SOURCE,
        "Not checked: how high the guards are, of which these regulations say nothing. BS EN 747 does; it is for sale "
        "from the standards body.",
    )  # fmt: skip
    yield not_checked("ages", SOURCE, "Children under six years of age should not use the upper bed (BS EN 747).")
    yield not_checked("probes-and-forces", SOURCE, "Not checked: the test probes and the strength of the structure.")
