"""The Australian safety notice on bunk beds, which makes parts of AS/NZS 4220 law.

From which height on a bed is a bunk was not found: a bed that says it follows this notice is always held against it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.checks.beds.bunk_eu import guards
from sawbill.checks.beds.walls import Around
from sawbill.checks.finding import Finding, Status, compare, not_checked
from sawbill.trade.lengths import MM

SOURCE: Final = "Consumer goods (bunk beds) safety standard, AS/NZS 4220 (Australia)"
OVER_MATTRESS: Final = 160 * MM
OVER_BASE: Final = 260 * MM
LIMB: Final = (30 * MM, 50 * MM)
BODY: Final = (95 * MM, 230 * MM)
WIDEST: Final = 400 * MM


def check(bed: Around) -> Iterator[Finding]:
    """Hold a bed above the floor against the notice."""
    yield from guards(bed, SOURCE, OVER_MATTRESS)
    level = bed.top + OVER_MATTRESS
    tops = [wall.top(level, bed.base) for wall in bed.walls.values()]
    yield compare(
        "guard-over-base", SOURCE, min(tops) - bed.base, ">=", OVER_BASE,
        ("The guards rise far enough over the bed base.", "Raise the guards over the bed base."),
        otherwise=Status.FAIL,
    )  # fmt: skip
    bare = [gap for wall in bed.walls.values() for gap in wall.gaps(level, bed.base)]
    filled = [gap for wall in bed.walls.values() for gap in wall.gaps(level, bed.base, bed.top)]
    ways = [each.width for wall in bed.walls.values() for each in wall.ways_in(level, bed.base)]
    yield _outside("limb-gaps", bare + ways, LIMB, "a limb")
    yield _outside("body-gaps", bare + filled + ways, BODY, "a head or a body")
    yield compare(
        "widest-gap", SOURCE, max(bare + ways, default=0), "<=", WIDEST,
        ("No gap in the guards is wide enough to fall through, the way in among them.",
         "Make the way in past the guard narrower: lower access."), otherwise=Status.FAIL,
    )  # fmt: skip
    yield not_checked("ages", SOURCE, "Children under nine years of age should not use the upper bed.")
    yield not_checked(
        "height-and-forces", SOURCE,
        "Not checked: from which height the notice applies, the probes, and the strength of the structure.",
    )  # fmt: skip


def _outside(rule: str, gaps: list[int], band: tuple[int, int], what: str) -> Finding:
    """No gap may lie within a band: the widest below it is told, or one that lies in it."""
    low, high = band
    inside = [gap for gap in gaps if low <= gap <= high]
    narrower = [gap for gap in gaps if gap < low]
    wider = [gap for gap in gaps if gap > high]
    messages = (
        f"No gap in the guards is of a width that could trap {what}.",
        f"A gap in the guards could trap {what}: change opening or access.",
    )
    if wider and not inside and not narrower:
        return compare(rule, SOURCE, min(wider), ">=", high + 1, messages, otherwise=Status.FAIL)
    return compare(
        rule, SOURCE, max(inside or narrower, default=0), "<=", low - 1, messages, otherwise=Status.FAIL
    )  # fmt: skip
