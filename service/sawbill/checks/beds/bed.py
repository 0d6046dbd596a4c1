"""What practice asks of any bed: the mattress fits, stays in place, and is carried."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final, NamedTuple

from sawbill.checks.finding import PRACTICE, Finding, compare
from sawbill.trade.frame import Frame, SleepingPlace
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.mattresses import mattress_sizes


class Limits(NamedTuple):
    """What practice asks, as a shop says it that works in inches, or in millimetres: the same to the safe side [nm].

    slat_gap: under a foam mattress; slat_span: from a full or double mattress (53 in) up the slats want support at mid
    width; bedding_gap: on each side between mattress and rail: less, and no sheet or cover is tucked in without lifting
    the mattress; upstand: of what keeps the mattress in place; overhang: of the mattress past the last slat.
    """

    slat_gap: int
    slat_span: int
    side_gap: int
    bedding_gap: int
    upstand: int
    overhang: int


INCHES: Final = Limits(3 * INCH, 53 * INCH, 2 * INCH, INCH // 4, INCH // 4, 6 * INCH)
MILLIMETRES: Final = Limits(75 * MM, 1345 * MM, 50 * MM, 7 * MM, 7 * MM, 150 * MM)


def limits_of(frame: Frame) -> Limits:
    """Those of the shop that a frame's boards are from: one of inches where any of them is named by inches."""
    named = any(part.section.nominal_width is not None for part in frame.parts)
    return INCHES if named else MILLIMETRES


def check_beds(frame: Frame) -> list[Finding]:
    """Every finding of practice on every sleeping place of a frame."""
    return [finding for place in frame.sleeping_places for finding in _check(frame, place)]


def _check(frame: Frame, place: SleepingPlace) -> Iterator[Finding]:
    upstand, limits = min(_upstands(frame, place)), limits_of(frame)
    yield from _fit(place, limits)
    if upstand > 0:
        yield _bedding_gap(place, limits)
    if place.slats:
        yield _slat_gap(frame, place, limits)
        yield _slat_span(frame, place, limits)
        yield _overhang(frame, place, limits)
        yield _upstand(upstand, limits)


def _fit(place: SleepingPlace, limits: Limits) -> Iterator[Finding]:
    """Label size plus tolerance against the opening; then the gap left beside the mattress."""
    mattress, (length, width, _) = place.mattress, place.opening.size
    listed = mattress_sizes().get(mattress.name)
    source = listed.source if listed else "the mattress as measured"
    for side, found, size in (("width", width, mattress.width), ("length", length, mattress.length)):
        yield compare(
            f"mattress-{side}", source, found, ">=", size + mattress.tolerance,
            (f"A mattress at the upper end of its tolerance fits by its {side}.",
             f"A mattress at the upper end of its tolerance may not fit by its {side}: measure it, or raise "
             "mattress_allowance."),
        )  # fmt: skip
    yield compare(
        "side-gap", PRACTICE, (width - mattress.width) // 2, "<=", limits.side_gap,
        ("The mattress lies close enough between the rails.",
         "The gap beside the mattress is wide enough to slip into: lower mattress_allowance."),
    )  # fmt: skip


def _bedding_gap(place: SleepingPlace, limits: Limits) -> Finding:
    """What is left for bedding on each side of a mattress that lies between two rails or boards."""
    return compare(
        "bedding-gap", PRACTICE, (place.opening.size[1] - place.mattress.width) // 2, ">=", limits.bedding_gap,
        ("There is room beside the mattress to tuck the bedding in.",
         "The mattress lies too tight between the sides to tuck the bedding in: raise mattress_allowance."),
    )  # fmt: skip


def _slat_gap(frame: Frame, place: SleepingPlace, limits: Limits) -> Finding:
    spans = [frame.boxes[key].span("x") for key in place.slats]
    gaps = [start - end for (_, end), (start, _) in pairwise(spans)]
    return compare(
        "slat-gap", PRACTICE, max(gaps, default=0), "<=", limits.slat_gap,
        ("The slats are close enough for a foam mattress.",
         "The slats are too far apart for a foam mattress: lower slat_gap."),
        place.slats,
    )  # fmt: skip


def _slat_span(frame: Frame, place: SleepingPlace, limits: Limits) -> Finding:
    """The longest stretch of a slat between two parts that carry it from below."""
    slat = frame.boxes[place.slats[0]]
    under = sorted(
        box.span("y")
        for box in frame.boxes.values()
        if box.high[2] == slat.low[2] and box.contact(slat) and box.size[0] > slat.size[0]
    )
    clear = [start - end for (_, end), (start, _) in pairwise(under)]
    return compare(
        "slat-span", PRACTICE, max(clear, default=slat.size[1]), "<=", limits.slat_span,
        ("The slats are supported often enough across the bed.",
         "The slats reach far without support: add a centre beam with a leg."),
        place.slats[:1],
    )  # fmt: skip


def _overhang(frame: Frame, place: SleepingPlace, limits: Limits) -> Finding:
    """How far the mattress reaches past the last slat at either end."""
    first, last = (frame.boxes[key].span("x") for key in (place.slats[0], place.slats[-1]))
    low, high = place.opening.span("x")
    spare = (high - low - place.mattress.length) // 2
    found = max(first[0] - low, high - last[1]) - spare
    return compare(
        "mattress-overhang", PRACTICE, max(0, found), "<=", limits.overhang,
        ("The slats reach near enough to the mattress's ends.",
         "Much of the mattress's ends lies on no slat: choose a narrower post."),
        (place.slats[0], place.slats[-1]),
    )  # fmt: skip


def _upstand(upstand: int, limits: Limits) -> Finding:
    """How high the lower of the two sides stands above the slats beside the mattress."""
    return compare(
        "mattress-held", PRACTICE, upstand, ">=", limits.upstand,
        ("What stands beside the mattress above the slats keeps it in place.",
         "Too little stands beside the mattress above the slats, and it may slide: choose stops where the design has "
         "them, or else a wider rail, a narrower ledger or thinner slats."),
    )  # fmt: skip


def _upstands(frame: Frame, place: SleepingPlace) -> tuple[int, int]:
    """How high the parts at either side of the mattress stand above what it lies on, without a gap [nm]."""
    low, high = place.opening.span("y")
    return _upstand_at(frame, place, 1, low), _upstand_at(frame, place, 0, high)


def _upstand_at(frame: Frame, place: SleepingPlace, edge: int, at: int) -> int:
    """How far what is beside the mattress reaches up from its base; edge: of the parts, which lies at that y [nm].

    A guard further up, as that of a bed above, keeps no mattress in place.
    """
    base = top = place.opening.low[2]
    beside = (
        (box.low[2], box.high[2]) for box in frame.boxes.values()
        if box[edge][1] == at and box.shared(place.opening)[0] > 0
    )  # fmt: skip
    for start, end in sorted(beside):
        if start <= top:
            top = max(top, end)
    return top - base
