"""A frame set to the step that a shop measures in: every part begins, ends and is drilled at a mark of the tape.

Every coordinate goes to the nearest mark. What touched still touches, for what was equal stays equal; nothing overlaps
that did not, for no order is turned round; and a section keeps its size, where that is a whole number of steps.
"""

from __future__ import annotations

from dataclasses import replace

from sawbill.trade.boxes import AXES, Axis, Box, Point, point
from sawbill.trade.frame import Bolted, Frame, Hung, Joint, Part, Screwed
from sawbill.trade.lengths import round_up


def on_step(frame: Frame, step: int) -> Frame:
    """Set a frame to a step [nm]. Where a section is no whole number of steps, the frame is left as it is."""
    if any(size % step for part in frame.parts for size in (part.section.thickness, part.section.width)):
        return frame
    parts = tuple(_part(part, step) for part in frame.parts)
    joints = tuple(_joint(joint, step) for joint in frame.joints)
    places = tuple(replace(place, opening=_box(place.opening, step)) for place in frame.sleeping_places)
    return replace(frame, parts=parts, joints=joints, sleeping_places=places)


def nearest(nm: int, step: int) -> int:
    """The nearest whole number of steps [nm]; of two as near, the greater."""
    return (2 * nm + step) // (2 * step) * step


def _part(part: Part, step: int) -> Part:
    box, place = part.box, part.placement
    if not any(nm % step for nm in (*box.low, *box.high)):
        return part if part.least is None else replace(part, least=round_up(part.least, step))
    ripped = part.ripped
    return replace(
        part,
        length=_extent(box, place.along, step),
        placement=replace(place, origin=_set(box.low, step)),
        ripped=None if ripped is None else _extent(box, place.across, step),
        least=None if part.least is None else min(round_up(part.least, step), _extent(box, place.along, step)),
    )


def _joint(joint: Joint, step: int) -> Joint:
    if isinstance(joint, Hung) and joint.gap % step:
        return replace(joint, gap=round_up(joint.gap, step))
    if isinstance(joint, Bolted | Screwed) and any(nm % step for nm in joint.head):
        return replace(joint, head=_set(joint.head, step))
    return joint


def _extent(box: Box, axis: Axis, step: int) -> int:
    low, high = box.span(axis)
    return nearest(high, step) - nearest(low, step)


def _box(box: Box, step: int) -> Box:
    return Box(_set(box.low, step), _set(box.high, step))


def _set(place: Point, step: int) -> Point:
    return point(nearest(place[AXES.index(axis)], step) for axis in AXES)
