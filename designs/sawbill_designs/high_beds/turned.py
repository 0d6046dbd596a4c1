"""A high bed turned to the side and the end where its ladder was asked for."""

from __future__ import annotations

from dataclasses import replace

from sawbill.trade.boxes import AXES, Axis, Box, Point, point
from sawbill.trade.frame import Frame, SleepingPlace
from sawbill_designs.common.parts import (
    Assembly,
    mirrored,
)
from sawbill_designs.high_beds.plan import Plan


def placed(at: Plan, frame: Frame) -> Frame:
    """Turn a frame, built with the ladder at the low end of x and y, to the side and the end that were asked for."""
    whole = Assembly(frame.parts, frame.joints)
    rooms = frame.sleeping_places
    flips: tuple[tuple[bool, Axis, int], ...] = (
        (at.ends[0] == "foot", "x", at.inside_length),
        (at.sides[0] == "right", "y", at.width),
    )
    for wanted, axis, extent in flips:
        if wanted:
            whole = mirrored(whole, axis, extent, axis, axis)
            rooms = tuple(_turned_room(room, axis, extent) for room in rooms)
    return replace(frame, parts=whole.parts, joints=whole.joints, sleeping_places=rooms)


def _turned_room(room: SleepingPlace, axis: Axis, extent: int) -> SleepingPlace:
    i, box = AXES.index(axis), room.opening

    def at(corner: Point, value: int) -> Point:
        return point((*corner[:i], extent - value, *corner[i + 1 :]))

    turned = Box(at(box.low, box.high[i]), at(box.high, box.low[i]))
    return replace(room, opening=turned, slats=room.slats[::-1] if axis == "x" else room.slats)
