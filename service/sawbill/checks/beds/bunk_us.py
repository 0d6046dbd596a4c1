"""The federal rules of the United States for bunk beds: 16 CFR 1213 (for adults) and 1513 (for children), 1999.

Both ask the same. Of section 3 the numbers (a)(3) and (a)(5) are from memory, the others as published.
The wedge block of the tests is taken as a square face of its narrow side, held square: whatever stops that stops the
block; its taper, and the probe for necks, are not modelled.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.checks.beds.walls import LEAST_PASSAGE, Around
from sawbill.checks.finding import Finding, Status, compare, not_checked
from sawbill.trade.frame import SleepingPlace
from sawbill.trade.lengths import INCH

SOURCE: Final = "16 CFR 1213 and 1513 (United States, 1999)"
HIGH: Final = 30 * INCH
OVER_MATTRESS: Final = 5 * INCH
CONTINUOUS: Final = INCH * 22 // 100
SHORT_OF_END: Final = 15 * INCH
WEDGE: Final = INCH * 7 // 2
HALF: Final = 500


def check(bed: Around) -> Iterator[Finding]:
    """Hold a bed above the floor against the rules."""
    if bed.underside <= HIGH:
        yield Finding(
            "rules-apply", SOURCE, Status.NOT_CHECKED,
            "The foundation is too low for these rules to apply: the bed was not checked against them.",
            "1213.2", most=HIGH, found=bed.underside,
        )  # fmt: skip
        return
    yield from _along(bed)
    yield from _guards(bed)
    yield from _ends(bed)
    if bed.below is not None:
        yield _lower_ends(bed, bed.below)
    yield from _told()


def _along(bed: Around) -> Iterator[Finding]:
    """How far guards reach along the sides."""
    level, ground = bed.top + OVER_MATTRESS, bed.underside
    guards = sum(wall.top(level, ground) >= level for wall in bed.sides)
    yield _compare(
        "guards", "1213.3(a)(1)", guards, ">=", 2,
        ("Both long sides have a guard rail.", "Give each long side a guard rail."), count=True,
    )  # fmt: skip
    open_on = {wall.side: max((each.width for each in wall.unguarded(level, ground)), default=0) for wall in bed.sides}
    climbed = bed.ladder_side
    closed = min(open_on, key=lambda side: (side == climbed, open_on[side]))
    yield _compare(
        "guard-continuous", "1213.3(a)(2)", open_on[closed], "<=", CONTINUOUS,
        ("The guard rail away from the ladder runs from end to end.",
         "Let the guard rail away from the ladder run from end structure to end structure, and touch both."),
    )  # fmt: skip
    yield _compare(
        "guard-end-gap", "1213.3(a)(3)", max(open_on[side] for side in open_on if side != closed), "<=", SHORT_OF_END,
        ("The other guard rail ends close enough to the end structures.",
         "Make the way in past the guard rail narrower: lower access."),
    )  # fmt: skip


def _guards(bed: Around) -> Iterator[Finding]:
    """How high guards rise, what they leave open, and whether they stay."""
    level, ground = bed.top + OVER_MATTRESS, bed.underside
    tops = [wall.top(level, ground) for wall in bed.sides]
    yield _compare(
        "guard-height", "1213.3(a)(5)", min(tops) - bed.top, ">=", OVER_MATTRESS,
        ("The guard rails rise far enough over the mattress.",
         "Raise the guard rails, or choose a thinner mattress for this bed."),
    )  # fmt: skip
    gaps = [gap for wall in bed.sides for gap in wall.gaps(level, ground)]
    yield _compare(
        "guard-openings", "1213.3(a)(6)", max(gaps, default=0), "<=", WEDGE - 1,
        ("No opening under the tops of the guard rails lets the wedge block through.",
         "Close the openings in the guard rails: lower opening."),
    )  # fmt: skip
    yield _compare(
        "guard-fastened", "1213.3(a)", len(bed.loose_guards), "<=", 0,
        ("No guard comes off without a fastener being taken out.",
         "Fasten the guards so that none lifts off by itself."), parts=bed.loose_guards, count=True,
    )  # fmt: skip
    yield _compare(
        "thickest-mattress", "1213.3(a)(5)", bed.place.mattress.thickness, "<=",
        max(0, min(*tops, *map(bed.half_covered, bed.ends)) - OVER_MATTRESS - bed.base),
        ("The mattress is no thicker than the guard rails allow: mark this bed with the thickest one allowed.",
         "The mattress is thicker than the guard rails allow."),
    )  # fmt: skip


def _ends(bed: Around) -> Iterator[Finding]:
    level, ground = bed.top + OVER_MATTRESS, bed.underside
    shares = []
    for wall in bed.ends:
        whole = wall.end - wall.start
        covered = whole - sum(each.width for each in wall.unguarded(level, ground))
        shares.append(covered * 1000 // whole if whole else 1000)
    yield compare(
        "end-height", SOURCE, min(shares), ">=", HALF,
        ("The ends rise far enough over the mattress between their posts.",
         "Raise the end structures over the mattress, over at least half of the way between their posts."),
        otherwise=Status.FAIL, clause="1213.3(b)(1)", unit="share",
    )  # fmt: skip
    gaps = [gap for wall in bed.ends for gap in wall.gaps(level, ground, below=WEDGE)]
    yield _compare(
        "end-openings", "1213.3(b)(2)", max(gaps, default=0), "<=", WEDGE - 1,
        ("No opening in the upper ends lets the wedge block through.",
         "Close the openings in the end structures: lower opening."),
    )  # fmt: skip


def _lower_ends(bed: Around, below: SleepingPlace) -> Finding:
    """Openings that let the wedge block through must let the 9 in sphere through too, mattress in place or not."""
    gaps = [gap for gap in bed.lower_end_gaps(below) if gap < LEAST_PASSAGE]
    return _compare(
        "lower-end-openings", "1213.3(b)(3)", max(gaps, default=0), "<=", WEDGE - 1,
        ("Every opening in the lower ends stops the wedge block, or lets the sphere through.",
         "An opening in the lower ends is wide enough to enter and too narrow to leave: close it, or make it wider."),
    )  # fmt: skip


def _told() -> Iterator[Finding]:
    yield not_checked(
        "ages", SOURCE, "Children under six years of age must not use the upper bed.", clause="1213.5"
    )  # fmt: skip
    yield not_checked(
        "label", SOURCE,
        "Mark the bed for good with the mattress size and the greatest thickness it allows, and with the warnings of "
        "the rule; put the continuous guard rail to the wall.", clause="1213.5, 1213.6",
    )  # fmt: skip
    yield not_checked(
        "probes-and-forces", SOURCE,
        "Not checked: the taper of the wedge block and the force on it, the probe for necks, the fastening by trial.",
        clause="1213.4",
    )  # fmt: skip


def _compare(
    rule: str,
    clause: str,
    found: int,
    relation: str,
    required: int,
    messages: tuple[str, str],
    *,
    parts: tuple[str, ...] = (),
    count: bool = False,
) -> Finding:
    return compare(
        rule, SOURCE, found, "<=" if relation == "<=" else ">=", required, messages, parts, Status.FAIL,
        clause=clause, unit="count" if count else "length",
    )  # fmt: skip
