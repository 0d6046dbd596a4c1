"""Beds above the floor: each is held against the rules of its market, and a bed that names none is pointed out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Final

from sawbill.checks.beds import bunk_au, bunk_eu, bunk_uk, bunk_us
from sawbill.checks.beds.walls import Around, around
from sawbill.checks.finding import PRACTICE, Finding, Status, not_checked
from sawbill.trade.frame import Frame, HighBed, Market, SleepingPlace

RULES: Final[Mapping[Market, Callable[[Around], Iterator[Finding]]]] = MappingProxyType(
    {"US": bunk_us.check, "UK": bunk_uk.check, "EU": bunk_eu.check, "AU": bunk_au.check}
)


def check_high_beds(frame: Frame) -> list[Finding]:
    """Every finding on every bed that someone could fall from."""
    found = [finding for high in frame.high_beds for finding in RULES[high.market](around(frame, high))]
    if frame.high_beds:
        found.append(not_checked(
            "not-a-certificate", PRACTICE,
            "This is checked for planning, never a certificate. Whoever sells or donates a bunk or loft bed must get "
            "the standard itself and have the bed tested; local law and licensed judgement come first.",
        ))  # fmt: skip
    declared = {high.place for high in frame.high_beds}
    markets = {high.market for high in frame.high_beds} or {"EU"}
    found += [
        Finding(
            "high-bed", "EN 747-1, at second hand", Status.WARN,
            "Someone could fall from a bed this high, and no rule for guards was checked: lower it, or choose a "
            "design with guards.", most=bunk_eu.HIGH - 1, found=place.opening.low[2],
        )
        for place in frame.sleeping_places
        if place.name not in declared and any(_is_high(frame, place, market) for market in markets)
    ]  # fmt: skip
    return found


def _is_high(frame: Frame, place: SleepingPlace, market: Market) -> bool:
    """Whether a market's rules would apply to a bed; where none was found the lowest, Europe's, is taken."""
    bed = Around(frame, HighBed(place.name, market), place)
    if market == "US":
        return bed.underside > bunk_us.HIGH
    return bed.base >= bunk_eu.HIGH
