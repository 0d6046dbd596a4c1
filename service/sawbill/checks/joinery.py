"""Whether the joints of a frame hold together as wood: faces touch, fasteners stay inside what they join.

These are faults of a design, not findings for a maker: a design that shows one must be mended.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis, Box, Point, bounds, meetings
from sawbill.trade.frame import Bolted, Fastener, Frame, Glued, Housed, Hung, Joint, Resting


@dataclass(frozen=True, slots=True)
class Bore:
    """Where a bolt or screw runs: the wood it takes from its head's face to its far end, and all of the shank."""

    joint: Fastener
    wood: Box
    shank: Box


def joinery_faults(frame: Frame) -> list[str]:
    """Every joint that does not touch or hold, every bore that goes where it must not, every part joined to none."""
    unknown = [
        f"a joint names {key}, which is no part"
        for joint in frame.joints
        for key in joint.parts
        if key not in frame.by_key
    ]
    if unknown:
        return unknown
    bores, without = [], []
    for joint in frame.joints:
        if isinstance(joint, Fastener):
            try:
                bores.append(bore(frame, joint))
            except fasteners.FastenerError as error:
                without.append(f"the joint of {' and '.join(joint.parts)} has no fastener: {error}")
    return [
        *without,
        *(fault for joint in frame.joints for fault in _touching(frame, joint)),
        *(fault for each in bores for fault in _bore_faults(frame, each)),
        *_in_the_way(frame, bores),
        *_crossing(bores),
        *_crowded(frame, bores),
        *_glue_lines(frame, bores),
        *_apart(frame),
    ]


def bore(frame: Frame, joint: Fastener) -> Bore:
    """Measure the bore of a bolt (as wide as its tee nut's barrel) or of a screw."""
    if isinstance(joint, Bolted):
        bolt = fasteners.bolt_sizes()[joint.size]
        tee = joint.end == "tee nut"
        width = bolt.tee_nut.barrel_diameter if tee else bolt.diameter
        length, grip = frame.bolt_length(joint), frame.grip(joint)
        washer = 0 if joint.round_head else bolt.washer(large=joint.large_washers)[0]
    else:
        width = fasteners.screw_sizes()[joint.size].diameter
        length, washer = frame.screw_length(joint), 0
        grip = length
    wood = rod(joint.head, joint.axis, joint.toward, grip, width)
    return Bore(joint, wood, rod(joint.head, joint.axis, joint.toward, length - washer, width))


def rod(start: Point, axis: Axis, toward: Literal[1, -1], length: int, width: int) -> Box:
    """The box around a round rod from a point, along an axis [nm]."""
    i, half = AXES.index(axis), width // 2
    near, far = sorted((start[i], start[i] + toward * length))
    low, high = [at - half for at in start], [at - half + width for at in start]
    low[i], high[i] = near, far
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _touching(frame: Frame, joint: Joint) -> Iterator[str]:
    *parts, last = (frame.boxes[key] for key in joint.parts)
    if isinstance(joint, Glued | Resting):
        if not parts[0].contact(last):
            yield f"{joint.parts[0]} does not touch {joint.parts[1]}"
        elif isinstance(joint, Resting) and parts[0].low[2] != last.high[2]:
            yield f"{joint.parts[0]} does not lie on {joint.parts[1]}"
    elif isinstance(joint, Housed):
        yield from _housing_faults(frame, *joint.parts)
    elif isinstance(joint, Hung):
        yield from (
            f"{key} does not reach {joint.parts[-1]}"
            for key, box in zip(joint.parts, parts, strict=False)
            if not box.contact(last, joint.gap)
        )


def _housing_faults(frame: Frame, end: str, key: str) -> Iterator[str]:
    """An end that lies goes squarely into the face of what stands, no deeper than half of it with what is behind it."""
    part, post, cut = frame.by_key[end], frame.by_key[key], frame.housings[end, key]
    i, name = AXES.index(part.placement.along), f"the housing of {end} in {key}"
    box, whole = frame.boxes[end], frame.boxes[key]
    faces = [k for k in range(3) if k != i]
    behind = [other for (_, at), other in frame.housings.items() if at == key
              if all(other.low[k] < cut.high[k] and cut.low[k] < other.high[k] for k in faces)]  # fmt: skip
    if min(cut.size) <= 0:
        yield f"{name} has no depth"
    elif post.placement.along != "z" or part.placement.along in ("z", post.placement.across):
        yield f"{name} is not for an end that lies, in the face of what stands"
    elif 2 * sum(other.size[i] for other in behind) > whole.size[i]:
        yield f"{name} is cut deeper than half" + (", with that behind it" if len(behind) > 1 else "")
    elif any(cut.span(axis) != box.span(axis) for axis in AXES if axis != part.placement.along):
        yield f"{end} is wider than {key}, in which it is housed"
    elif cut.low[2] <= whole.low[2] or cut.high[2] >= whole.high[2]:
        yield f"{name} has no wood above or below"


def _bore_faults(frame: Frame, each: Bore) -> Iterator[str]:
    """Through what it joins, one after the other, inside every edge."""
    joint, axis = each.joint, each.joint.axis
    name = _name(joint)
    others = [i for i, a in enumerate(AXES) if a != axis]
    at = joint.head[AXES.index(axis)]
    for key in joint.parts:
        box = frame.boxes[key]
        near, far = box.span(axis) if joint.toward == 1 else box.span(axis)[::-1]
        cut = frame.housings.get((key, joint.parts[0]))
        if near != at and not (cut and near in cut.span(axis)):
            yield f"{name} meets a gap before {key}"
        at = far
        if any(each.wood.low[i] < box.low[i] or each.wood.high[i] > box.high[i] for i in others):
            yield f"{name} breaks out of the edge of {key}"


def _in_the_way(frame: Frame, bores: list[Bore]) -> Iterator[str]:
    """A bore goes through nothing but what it joins."""
    keys, claims = list(frame.boxes), [(each.shank, *_ends(each)) for each in bores]
    met = meetings([bounds(claimed) for claimed in claims], list(frame.boxes.values()))
    for each, claimed, places in zip(bores, claims, met, strict=True):
        for key in (keys[i] for i in places):
            if key not in each.joint.parts and any(space.overlaps(frame.boxes[key]) for space in claimed):
                yield f"{_name(each.joint)} runs into {key}"


def _name(joint: Fastener) -> str:
    return f"the {joint.size} {'bolt' if isinstance(joint, Bolted) else 'screw'} from {joint.parts[0]}"


def _ends(each: Bore) -> tuple[Box, ...]:
    """Where a bolt's washer or round head, and the flange or washer at its far end, must find room to lie flat."""
    joint = each.joint
    if not isinstance(joint, Bolted):
        return ()
    bolt = fasteners.bolt_sizes()[joint.size]
    i = AXES.index(joint.axis)
    far = list(joint.head)
    far[i] = each.wood.high[i] if joint.toward == 1 else each.wood.low[i]
    away: Literal[1, -1] = -1 if joint.toward == 1 else 1
    thick, wide = bolt.washer(large=joint.large_washers)
    flange = bolt.tee_nut.flange_diameter if joint.end == "tee nut" else wide
    head = bolt.under_head(large=joint.large_washers, round_head=joint.round_head)
    return (
        rod(joint.head, joint.axis, away, *head),
        rod((far[0], far[1], far[2]), joint.axis, joint.toward, thick, flange),
    )


def _crossing(bores: list[Bore]) -> Iterator[str]:
    shanks = [each.shank for each in bores]
    for i, places in enumerate(meetings(shanks, shanks)):
        for j in places:
            if i < j:
                one, other = bores[i].joint.parts[0], bores[j].joint.parts[0]
                yield f"the bores from {one} and {other} run into each other"


def _crowded(frame: Frame, bores: list[Bore]) -> Iterator[str]:
    """Washers and flanges lie flat beside each other, and a socket goes over all that is turned."""
    bolts = [each for each in bores if isinstance(each.joint, Bolted)]
    ends = [(each, end) for each in bolts for end in _ends(each)]
    found: set[tuple[Bolted, Bolted]] = set()
    for i, places in enumerate(meetings([end for _, end in ends], [end for _, end in ends])):
        for (one, first), (other, second) in ((ends[i], ends[j]) for j in places if i < j):
            a, b = one.joint, other.joint
            assert isinstance(a, Bolted) and isinstance(b, Bolted)
            if one is not other and (a, b) not in found and _circles_overlap(one, first, other, second):
                found.add((a, b))
                yield f"washers or flanges of the bolts from {a.parts[0]} and {b.parts[0]} overlap"
    for turned in _by_turned_face(frame, bolts).values():
        yield from (
            f"no socket goes over the heads from {one.parts[0]} and {other.parts[0]}"
            for one, other in combinations(turned, 2) if _no_socket(one, other)
        )  # fmt: skip


def _circles_overlap(one: Bore, first: Box, other: Bore, second: Box) -> bool:
    """Whether two discs in boxes that overlap do so too; those that cross at a corner always do."""
    i = AXES.index(one.joint.axis)
    if one.joint.axis != other.joint.axis:
        return True
    radii = (first.size[i - 1] + second.size[i - 1]) / 2
    return _apart_squared(one.joint, other.joint) < radii**2 * (1 - 1e-9)


def _by_turned_face(frame: Frame, bolts: Iterable[Bore]) -> Mapping[tuple[Axis, int, int], Sequence[Bolted]]:
    """The bolts by the face on which a wrench turns them: their hexagons, or their nuts where heads are round."""
    found = defaultdict[tuple[Axis, int, int], list[Bolted]](list)
    for bolt in (each.joint for each in bolts):
        if isinstance(bolt, Bolted):
            at = bolt.head[AXES.index(bolt.axis)]
            far = at + bolt.toward * frame.grip(bolt) if bolt.round_head else at
            found[bolt.axis, far, bolt.toward if bolt.round_head else -bolt.toward].append(bolt)
    return found


def _no_socket(one: Bolted, other: Bolted) -> bool:
    """Whether the socket for one of two bolts that are turned on one face meets the other's head or nut."""
    sizes = [fasteners.bolt_sizes()[each.size] for each in (one, other)]
    least = max(size.socket_diameter for size in sizes) + max(size.head_diameter for size in sizes)
    return 4 * _apart_squared(one, other) < least**2


def _apart_squared(one: Fastener, other: Fastener) -> int:
    """The square of the distance between two parallel axes [nm2]."""
    i = AXES.index(one.axis)
    return sum((a - b) ** 2 for n, (a, b) in enumerate(zip(one.head, other.head, strict=True)) if n != i)


def _glue_lines(frame: Frame, bores: list[Bore]) -> Iterator[str]:
    """A bolt may cross a glue line, never run along it."""
    bolts = [each for each in bores if isinstance(each.joint, Bolted)]
    glued, faces = [], []
    for joint in frame.joints:
        if isinstance(joint, Glued):
            a, b = (frame.boxes[key] for key in joint.parts)
            if a.contact(b):  # else they do not touch, which is a fault of its own
                glued.append(joint)
                faces.append(a.common(b))
    for joint, face, places in zip(glued, faces, meetings(faces, [each.wood for each in bolts]), strict=True):
        flat = next((axis for axis, size in zip(AXES, face.size, strict=True) if size == 0), None)
        for each in (bolts[i] for i in places):
            if each.joint.axis != flat:
                yield f"the bolt from {each.joint.parts[0]} runs along the glue line of {' and '.join(joint.parts)}"


def _apart(frame: Frame) -> Iterator[str]:
    """Parts that no chain of joints connects with the first."""
    if not frame.parts:
        return
    linked = {frame.parts[0].key}
    grown = True
    while grown:
        grown = False
        for joint in frame.joints:
            if linked & set(joint.parts) and not linked >= set(joint.parts):
                linked |= set(joint.parts)
                grown = True
    yield from (f"{key} is joined to nothing" for key in frame.by_key if key not in linked)
