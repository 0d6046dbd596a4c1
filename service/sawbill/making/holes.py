"""Every hole of a frame with its place in space: what is drilled, from which side, how wide and how deep."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Point
from sawbill.trade.frame import Bolted, Frame, Screwed
from sawbill.trade.lengths import INCH, MM, System, format_length

Purpose = Literal["bolt", "tee nut", "screw", "pilot"]
Toward = Literal[1, -1]
BIT_STEP: Final[dict[System, int]] = {"inch": INCH // 64, "metric": MM // 2}
"""The step of drill bits [nm] (common practice, no source)."""
PILOT_SHARE: Final = (3, 5)
"""A pilot hole's part of the screw's diameter, in softwood (common practice, no source)."""
_ENDS: Final = {"tee nut": "tee nut", "nut": "washer and nut", "capped nut": "washer, nut and cap"}


@dataclass(frozen=True, slots=True)
class Drilling:
    """One hole in one part. at: a point of its middle line; axis (0 to 2), toward: the way the drill goes [nm].

    depth: None where it goes through the part [nm].
    """

    part: str
    purpose: Purpose
    axis: int
    toward: Toward
    at: Point
    diameter: int
    depth: int | None


@dataclass(frozen=True, slots=True)
class Fastener:
    """What goes into holes in line: in words, where its head is, and which way it goes in; whether that is round."""

    words: str
    axis: int
    toward: Toward
    head: Point
    parts: tuple[str, ...]
    end: str
    system: System
    drillings: tuple[Drilling, ...]
    round_head: bool = False


def fasteners_of(frame: Frame) -> list[Fastener]:
    """Every bolt and screw of a frame with its holes. Raises FastenerError: a joint for which there is none."""
    return [
        _bolt(frame, joint) if isinstance(joint, Bolted) else _screw(frame, joint)
        for joint in frame.joints
        if isinstance(joint, Bolted | Screwed)
    ]


def _bolt(frame: Frame, joint: Bolted) -> Fastener:
    size = fasteners.bolt_sizes()[joint.size]
    axis = AXES.index(joint.axis)
    found = [Drilling(key, "bolt", axis, joint.toward, joint.head, bolt_hole(size), None) for key in joint.parts]
    if joint.end == "tee nut" and tee_nut_hole(size) > bolt_hole(size):
        found += _barrel(frame, joint, axis, size)
    length = format_length(frame.bolt_length(joint), size.system)
    what = "round-head bolt" if joint.round_head else "bolt"
    return Fastener(f"{what} {joint.size} x {length}", axis, joint.toward, joint.head, joint.parts, _ENDS[joint.end],
                    size.system, tuple(found), joint.round_head)  # fmt: skip


def _barrel(frame: Frame, joint: Bolted, axis: int, size: fasteners.BoltSize) -> Iterator[Drilling]:
    """The wider hole for the tee nut's barrel, from where the bolt's tip comes out, as deep as the barrel is long."""
    back: Toward = -1 if joint.toward == 1 else 1
    deep = size.tee_nut.barrel_length
    for key in reversed(joint.parts):
        low, high = frame.boxes[key].span(joint.axis)
        through = deep >= high - low
        yield Drilling(key, "tee nut", axis, back, joint.head, tee_nut_hole(size), None if through else deep)
        deep -= high - low
        if deep <= 0:
            return


def _screw(frame: Frame, joint: Screwed) -> Fastener:
    size = fasteners.screw_sizes()[joint.size]
    axis, (first, second) = AXES.index(joint.axis), joint.parts
    through, length = frame.through(joint)[0], frame.screw_length(joint)
    holes = (
        Drilling(first, "screw", axis, joint.toward, joint.head, screw_hole(size), None),
        Drilling(second, "pilot", axis, joint.toward, joint.head, pilot_hole(size), length - through),
    )
    return Fastener(f"screw {joint.size} x {format_length(length, size.system)}", axis, joint.toward, joint.head,
                    joint.parts, "", size.system, holes)  # fmt: skip


def bolt_hole(size: fasteners.BoltSize) -> int:
    """The diameter of a bolt's hole [nm]. Source: `fasteners.BOLT_PLAY`."""
    return size.diameter + fasteners.bolt_play(size)


def tee_nut_hole(size: fasteners.BoltSize) -> int:
    """The diameter of the hole a tee nut's barrel is driven into [nm]: the next bit from the barrel's up."""
    return _bit(size.tee_nut.barrel_diameter, size.system, up=True)


def screw_hole(size: fasteners.ScrewSize) -> int:
    """The diameter of the hole a screw passes freely [nm]: the next bit above its own (common practice, no source)."""
    return _bit(size.diameter + 1, size.system, up=True)


def pilot_hole(size: fasteners.ScrewSize) -> int:
    """The diameter of the hole a screw bites in [nm], to the nearest bit. Source: PILOT_SHARE."""
    top, bottom = PILOT_SHARE
    return _bit(size.diameter * top // bottom, size.system, up=False)


def _bit(nm: int, system: System, *, up: bool) -> int:
    step = BIT_STEP[system]
    return -(-nm // step) * step if up else (2 * nm + step) // (2 * step) * step
