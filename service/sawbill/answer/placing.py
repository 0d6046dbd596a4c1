"""A frame as the JSON of an answer: the mapping behind `placed`. Needs no web framework."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, Literal

from sawbill.making.assembly import placed_with
from sawbill.making.drilling import Drilled
from sawbill.trade.boxes import AXES, Box, Point
from sawbill.trade.frame import Bolted, Frame, Glued, Hung, Joint, Resting, Screwed
from sawbill.trade.lengths import millimetres

Json = dict[str, Any]
KINDS: Final[Mapping[type[Joint], str]] = {
    Glued: "glued", Resting: "resting", Hung: "hung", Bolted: "bolted", Screwed: "screwed",
}  # fmt: skip
"""What each kind of joint is called."""


def placed_json(frame: Frame, drilled: tuple[Drilled, ...]) -> Json:
    """Give a frame as data; drilled: the marks of its parts."""
    marks = {key: each for each in drilled for key in each.parts}
    piece = {key: each.name for each in placed_with(frame) for key in each.parts}
    return {
        "sides": {"x": list(frame.sides.x), "y": list(frame.sides.y), "seen_from": frame.sides.seen_from},
        "parts": [
            {
                "part": part.key,
                "letter": marks[part.key].letter,
                "mark": marks[part.key].mark.name,
                "piece": piece[part.key],
                **_box(frame.boxes[part.key]),
                "along": part.placement.along,
                "across": part.placement.across,
            }
            for part in frame.parts
        ],
        "joints": [_joint(frame, joint) for joint in frame.joints],
        "mattresses": [
            {"name": place.name, **_box(_lying(place.opening, place.mattress.length, place.mattress.width))}
            for place in frame.sleeping_places
        ],
    }


def _joint(frame: Frame, joint: Joint) -> Json:
    length = None
    if isinstance(joint, Bolted):
        length = frame.bolt_length(joint)
    elif isinstance(joint, Screwed):
        length = frame.screw_length(joint)
    fastener = joint if isinstance(joint, Bolted | Screwed) else None
    toward: Literal[1, -1] | None = None if fastener is None else fastener.toward
    return {
        "kind": KINDS[type(joint)],
        "parts": list(joint.parts),
        "size": joint.hanger if isinstance(joint, Hung) else None if fastener is None else fastener.size,
        "length": None if length is None else millimetres(length),
        "end": joint.end if isinstance(joint, Bolted) else None,
        "head": None if fastener is None else _point(fastener.head),
        "axis": None if fastener is None else fastener.axis,
        "toward": toward,
    }


def _lying(opening: Box, length: int, width: int) -> Box:
    """A mattress in the middle of its opening; where that is smaller, it fills it."""
    (ax, ay, az), (bx, by, bz) = opening.low, opening.high
    x, y = max(0, bx - ax - length) // 2, max(0, by - ay - width) // 2
    return Box((ax + x, ay + y, az), (bx - x, by - y, bz))


def _box(box: Box) -> Json:
    return {"corner": _point(box.low), "size": _point(box.size)}


def _point(point: Point) -> Json:
    return {axis: millimetres(nm) for axis, nm in zip(AXES, point, strict=True)}
