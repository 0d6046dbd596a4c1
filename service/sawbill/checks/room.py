"""Whether the furniture fits the room it is for: the floor it leaves, and what is left under the ceiling.

It is taken to stand in a corner of an otherwise empty room, away from the door, with one long side at a wall.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, Status, compare
from sawbill.checks.site import Site
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH

WALKING: Final = 24 * INCH
"""The narrowest floor to walk along a piece of furniture, about 600 mm."""
SITTING: Final = 36 * INCH
"""From the top of a mattress to the ceiling, to sit up in, about 900 mm."""


def check_room(frame: Frame, site: Site) -> list[Finding]:
    """Hold a frame against the room and its ceiling, as far as the site tells of them."""
    findings: list[Finding] = []
    if site.room_length is not None and site.room_width is not None:
        findings += _floor(frame, site.room_length, site.room_width, site.door_swing)
    if site.ceiling is not None:
        findings += _ceiling(frame, site.ceiling)
    return findings


def _floor(frame: Frame, length: int, width: int, swing: int | None) -> Iterator[Finding]:
    """Fit, walking space and the door's swing, the better way around.

    That is the one that fits; of two that fit, the one that leaves more beside the long side, which also has the
    most floor for the door.
    """
    short, long = sorted(frame.bounds.size[:2])
    ways = {"length": (long, short), "width": (short, long)}  # along the room's length, along its width
    beside = {"length": width - short, "width": length - short}
    at_end = {"length": length - long, "width": width - long}
    fits = {way: min(beside[way], at_end[way]) for way in ways}
    way = max(ways, key=lambda way: (fits[way] >= 0, beside[way] if fits[way] >= 0 else fits[way]))
    messages = (
        f"It fits, its long side along the room's {way}.",
        f"It does not fit, its long side along the room's {way}, which is the better way around.",
    )
    for rule, found, most in (("room-length", ways[way][0], length), ("room-width", ways[way][1], width)):
        yield compare(rule, PRACTICE, found, "<=", most, messages, otherwise=Status.FAIL)
    if fits[way] < 0:
        return
    yield compare(
        "walking-space", PRACTICE, beside[way], ">=", WALKING,
        (f"With its long side along the room's {way}, and the other one at the wall, there is floor to walk beside it.",
         "There is little floor to walk beside it, either way around: choose a smaller one, or another room."),
    )  # fmt: skip
    if swing is not None:
        yield compare(
            "door-swing", PRACTICE, max(beside[way], at_end[way]), ">=", swing,
            ("There is floor left for the door to open, where the furniture stands away from it.",
             "The door may strike it wherever it stands: hang the door the other way, or choose a smaller one."),
        )  # fmt: skip


def _ceiling(frame: Frame, ceiling: int) -> Iterator[Finding]:
    yield compare(
        "ceiling", PRACTICE, frame.bounds.high[2], "<=", ceiling,
        ("It stands under the ceiling.", "It is higher than the ceiling: choose a lower one."), otherwise=Status.FAIL,
    )  # fmt: skip
    high = {each.place for each in frame.high_beds}
    tops = [place.opening.high[2] for place in frame.sleeping_places if place.name in high]
    if tops:
        yield compare(
            "sitting-height", PRACTICE, ceiling - max(tops), ">=", SITTING,
            ("There is room to sit up in the highest bed.",
             "There is little room to sit up in the highest bed: make it lower, or take a thinner mattress."),
        )  # fmt: skip
