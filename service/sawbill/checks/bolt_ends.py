"""Whether an end of a bolt stands where someone lies or climbs: hexagon heads, nuts and tips hurt, round heads do not.

A fault of a design, as those of `joinery`. What stands beside a sleeper is what he reaches from the mattress: straight
out to one of its sides, with no wood between.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal

from sawbill.checks.joinery import rod
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Box, bounds, meetings, point
from sawbill.trade.frame import Bolted, Frame, SleepingPlace
from sawbill.trade.lengths import MM

REACH: Final = 250 * MM
"""How far out of a bed, and how high over its mattress, one lies against things; how far from a ladder's front one
climbs (common practice, no source)."""

Rect = tuple[tuple[int, int], tuple[int, int]]


@dataclass(frozen=True, slots=True)
class BoltEnd:
    """What sticks out of the wood at one end of a bolt: what it is, and the space it fills."""

    bolt: Bolted
    what: str
    box: Box


def bolt_end_faults(frame: Frame) -> list[str]:
    """Every hexagon head, nut or tip that stands beside a sleeper, or where one climbs to a bed."""
    ends = [end for joint in frame.joints if isinstance(joint, Bolted) for end in ends_of(frame, joint)]
    rooms = [(f"beside the {place.name}", _beside(frame, place, ends)) for place in frame.sleeping_places]
    rooms += [("in the way up", _in(way, ends)) for way in _ways(frame)]
    return [
        f"the {end.what} of the {end.bolt.size} bolt from {end.bolt.parts[0]} to {end.bolt.parts[-1]} stands {where}"
        for where, found in rooms for end in found
    ]  # fmt: skip


def ends_of(frame: Frame, bolt: Bolted) -> Iterator[BoltEnd]:
    """What of a bolt sticks out and hurts: no round head, no cap, and no tip that ends in its tee nut."""
    size, i = fasteners.bolt_sizes()[bolt.size], AXES.index(bolt.axis)
    thick, wide = size.washer(large=bolt.large_washers)
    away: Literal[1, -1] = -1 if bolt.toward == 1 else 1
    if not bolt.round_head:  # no head is higher than a nut (ISO 4014, ASME B18.2.1)
        yield BoltEnd(bolt, "head", rod(bolt.head, bolt.axis, away, thick + size.nut_height, wide))
    grip = frame.grip(bolt)
    beyond = frame.bolt_length(bolt) - grip - (0 if bolt.round_head else thick)
    far = list(bolt.head)
    far[i] += bolt.toward * grip
    if bolt.end == "nut":
        yield BoltEnd(bolt, "nut", rod(point(far), bolt.axis, bolt.toward, beyond, wide))
    elif bolt.end == "tee nut" and beyond > 0:
        yield BoltEnd(bolt, "tip", rod(point(far), bolt.axis, bolt.toward, beyond, size.tee_nut.flange_diameter))


def _in(room: Box, ends: Sequence[BoltEnd]) -> list[BoltEnd]:
    return [end for end in ends if end.box.overlaps(room)]


def _ways(frame: Frame) -> Iterator[Box]:
    """Where one climbs: the width of the way up, from the bed's side out to before its front, up to the bed's top."""
    places = {place.name: place.opening for place in frame.sleeping_places}
    for bed in frame.high_beds:
        if bed.ladder is not None:
            (x, y, _), (far_x, far_y, _) = bounds(frame.boxes[key] for key in bed.ladder.parts)
            left = y < places[bed.place].low[1]
            low_y, high_y = (y - REACH, far_y) if left else (y, far_y + REACH)
            yield Box((x, low_y, 0), (far_x, high_y, frame.bounds.high[2]))


def _beside(frame: Frame, place: SleepingPlace, ends: Sequence[BoltEnd]) -> list[BoltEnd]:
    """What is in the room of a mattress and over it, or in sight of it from one of its sides."""
    low, high = place.opening.low, place.opening.high
    room = Box(low, (high[0], high[1], low[2] + place.mattress.thickness + REACH))
    around = Box(point((low[0] - REACH, low[1] - REACH, low[2])),
                 point((high[0] + REACH, high[1] + REACH, room.high[2])))  # fmt: skip
    boxes = list(frame.boxes.values())
    near = [replace(end, box=end.box.common(around)) for end in _in(around, ends)]
    return [end for end in near if end.box.overlaps(room) or any(_seen(room, end.box, axis, boxes) for axis in (0, 1))]


def _seen(room: Box, end: Box, axis: Literal[0, 1], boxes: Sequence[Box]) -> bool:
    """Whether something beside a room is in sight of it straight along an axis: not all of it is behind wood."""
    other = 1 - axis
    before = end.high[axis] <= room.low[axis]
    across = max(end.low[other], room.low[other]), min(end.high[other], room.high[other])
    if not (before or end.low[axis] >= room.high[axis]) or across[0] >= across[1]:
        return False
    gap = (end.high[axis], room.low[axis]) if before else (room.high[axis], end.low[axis])
    if gap[0] == gap[1]:
        return True
    low, high = [0, 0, end.low[2]], [0, 0, end.high[2]]
    low[axis], high[axis], low[other], high[other] = *gap, *across
    between = Box(point(low), point(high))
    covers = [boxes[i].common(between) for i in meetings([between], boxes)[0]]
    return not _covered((across, between.span("z")), [(each.span(AXES[other]), each.span("z")) for each in covers])


def _covered(window: Rect, rectangles: Sequence[Rect]) -> bool:
    """Whether rectangles within a window leave nothing of it free."""
    us, vs = (sorted({*window[i], *(end for each in rectangles for end in each[i])}) for i in (0, 1))
    return all(
        any(u[0] <= a and b <= u[1] and v[0] <= c and d <= v[1] for u, v in rectangles)
        for a, b in pairwise(us) for c, d in pairwise(vs)
    )  # fmt: skip
