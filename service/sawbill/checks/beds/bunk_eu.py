"""EN 747-1, the European standard for bunk and high beds, as secondary sources and memory give it.

The standard itself is for sale and was not at hand: whoever sells or donates a bed has to get it. Its rules for
openings, and its tests (EN 747-2), are not held against the frame.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.checks.beds.walls import Around
from sawbill.checks.finding import Finding, Status, compare, furthest, not_checked, within
from sawbill.trade.lengths import MM

SOURCE: Final = "EN 747-1, at second hand"
HIGH: Final = 600 * MM
GUARD: Final = 160 * MM
ACCESS: Final = (300 * MM, 400 * MM)
CLEAR_HEIGHT: Final = 750 * MM
WIDEST_SLAT_GAP: Final = 75 * MM
TREAD_SPACING: Final = (200 * MM, 300 * MM)
TREAD_WIDTH: Final = 300 * MM
TREAD_DEPTH: Final = 90 * MM


def check(bed: Around) -> Iterator[Finding]:
    """Hold a bed above the floor against the standard, as far as it is known."""
    if bed.base < HIGH:
        yield too_low(bed, SOURCE)
        return
    yield from measured(bed, SOURCE)
    yield from unmeasured(SOURCE)


def too_low(bed: Around, source: str) -> Finding:
    """Say that the standard is not for a bed this low."""
    return Finding(
        "rules-apply", source, Status.NOT_CHECKED,
        "The bed base is too low for these rules to apply: the bed was not checked against them.",
        least=HIGH, found=bed.base,
    )  # fmt: skip


def measured(bed: Around, source: str) -> Iterator[Finding]:
    """Every value of the standard that is known, whatever it is called where it is adopted."""
    yield from guards(bed, source)
    level = bed.top + GUARD
    ways = [each.width for wall in bed.sides for each in wall.ways_in(level, bed.base)]
    yield within(
        "access", source, furthest(ways, ACCESS), ACCESS,
        ("The way in past the guard is neither too narrow nor too wide.",
         "Change the width of the way in past the guard: access."), otherwise=Status.FAIL,
    )  # fmt: skip
    if bed.below is not None:
        yield compare(
            "clear-between", source, bed.clear_below(bed.below), ">=", CLEAR_HEIGHT,
            ("There is room to sit up on the lower bed.", "Leave more height between the beds: raise clear_between."),
            otherwise=Status.FAIL,
        )  # fmt: skip
    yield compare(
        "sleeping-surface-gaps", source, max(bed.slat_gaps, default=0), "<=", WIDEST_SLAT_GAP,
        ("The gaps in the bed base are narrow enough.", "Bring the slats closer together: lower slat_gap."),
        bed.place.slats, Status.FAIL,
    )  # fmt: skip
    yield from _treads(bed, source)


def unmeasured(source: str) -> Iterator[Finding]:
    """What the standard asks beside, which no frame can be held against, or of which no value is known."""
    yield not_checked("ages", source, "The upper bed is not for children under six years of age.")
    yield not_checked(
        "openings-and-forces", source,
        "Not checked: the standard's rules for openings in guards, its probes, and its tests of strength (EN 747-2).",
    )  # fmt: skip
    yield not_checked(
        "label", source, "Mark the bed with the height that the top of the mattress must not pass, and the warnings."
    )  # fmt: skip


def guards(bed: Around, source: str, least: int = GUARD) -> Iterator[Finding]:
    """The guards all round: how high over the mattress, unbroken at the ends and on the side away from the way in."""
    level = bed.top + least
    tops = [wall.top(level, bed.base) for wall in bed.walls.values()]
    yield compare(
        "guard-height", source, min(tops) - bed.top, ">=", least,
        ("The guards rise far enough over the mattress on all sides.",
         "Raise the guards, or choose a thinner mattress for this bed."), otherwise=Status.FAIL,
    )  # fmt: skip
    open_walls = [wall.side for wall in bed.walls.values() if wall.unguarded(level, bed.base)]
    yield compare(
        "guard-all-round", source, len(open_walls), "<=", 1,
        ("The guards stand all round, but for the way in.",
         "Close the guards all round: only one side may have a way in."), otherwise=Status.FAIL, unit="count",
    )  # fmt: skip
    yield compare(
        "thickest-mattress", source, bed.place.mattress.thickness, "<=", max(0, min(tops) - least - bed.base),
        ("The mattress is no thicker than the guards allow: mark this bed with the thickest one allowed.",
         "The mattress is thicker than the guards allow."), otherwise=Status.FAIL,
    )  # fmt: skip


def _treads(bed: Around, source: str) -> Iterator[Finding]:
    if not bed.treads or bed.high.ladder is None:
        yield not_checked("treads", source, "Not checked: no way up is part of this bed; see that it has a safe one.")
        return
    keys, sizes = bed.high.ladder.treads, [bed.tread_size(tread) for tread in bed.treads]
    if bed.tread_spacings:
        yield within(
            "tread-spacing", source, furthest(bed.tread_spacings, TREAD_SPACING), TREAD_SPACING,
            ("The treads are a good step apart.", "Space the treads closer together, or further apart."),
            keys, Status.FAIL,
        )  # fmt: skip
    for rule, found, least, word in (
        ("tread-width", min(width for width, _ in sizes), TREAD_WIDTH, "wide"),
        ("tread-depth", min(depth for _, depth in sizes), TREAD_DEPTH, "deep"),
    ):
        yield compare(
            rule, source, found, ">=", least, (f"The treads are {word} enough.", f"Make the treads more {word}."),
            keys, Status.FAIL,
        )  # fmt: skip
