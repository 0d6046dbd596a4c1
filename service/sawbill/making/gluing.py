"""Where glued parts sit on each other: of every glue-up one part that carries the rest, and how far along each lies."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from sawbill.making.operations import GlueUp
from sawbill.trade.boxes import AXES, Axis, Box
from sawbill.trade.frame import Frame


@dataclass(frozen=True, slots=True)
class Sitting:
    """Like parts in a row on one side of another part.

    part, onto: what they are called in the cut list; side: of that other part, such as `left face`; along: from which
    end of it `places` say where each begins; across: from which side of it `place` says so [all nm].
    """

    part: str
    onto: str
    side: str
    along: str
    places: tuple[int, ...]
    across: str
    place: int


@dataclass(frozen=True, slots=True)
class Glueing:
    """Parts that become one, by key, from the one that the others are glued to.

    flush: they are layers of one size, edge to edge all round.
    """

    parts: tuple[str, ...]
    rows: tuple[Sitting, ...]
    flush: bool


def gluing(frame: Frame, ups: Iterable[GlueUp], letters: Mapping[str, str]) -> tuple[Glueing, ...]:
    """Tell of every glue-up where its parts sit."""
    return tuple(_told(frame, up, letters) for up in ups)


def _told(frame: Frame, up: GlueUp, letters: Mapping[str, str]) -> Glueing:
    base = max(up.parts, key=lambda key: _volume(frame.boxes[key]))
    glued = list(_from(base, up))
    rows: dict[tuple[str, str, str, str, str, int], list[int]] = {}
    ways = set()
    for key, onto in glued:
        sides, (start, place) = _sides(frame, key, onto)
        ways.add(_layered(frame.boxes[key], frame.boxes[onto]))
        rows.setdefault((letters[key], letters[onto], *sides, place), []).append(start)
    return Glueing(
        (base, *(key for key, _ in glued)),
        tuple(
            Sitting(part, onto, side, along, tuple(sorted(starts)), across, place)
            for (part, onto, side, along, across, place), starts in rows.items()
        ),
        None not in ways and len(ways) == 1,
    )


def _from(base: str, up: GlueUp) -> Iterator[tuple[str, str]]:
    """Every other part, and the one before it that it is glued to, from the base outward."""
    near: dict[str, list[str]] = {key: [] for key in up.parts}
    for face in up.faces:
        one, other = face.parts
        near[one].append(other)
        near[other].append(one)
    seen, waiting = {base}, deque([base])
    while waiting:
        onto = waiting.popleft()
        for key in near[onto]:
            if key not in seen:
                seen.add(key)
                waiting.append(key)
                yield key, onto


def _sides(frame: Frame, key: str, onto: str) -> tuple[tuple[str, str, str], tuple[int, int]]:
    """The side of the other part it is glued to, and from which sides of that it begins how far along and across."""
    box, other, place = frame.boxes[key], frame.boxes[onto], frame.by_key[onto].placement
    shared = box.shared(other)
    meeting = AXES[min(range(3), key=lambda i: shared[i])]
    named = {place.along: "end", place.across: "edge"}
    side = frame.sides.name(meeting, 1 if box.low[AXES.index(meeting)] >= other.low[AXES.index(meeting)] + 1 else -1)
    along = place.along if meeting != place.along else place.across
    across = next(axis for axis in AXES if axis not in (meeting, along))

    def start(axis: Axis) -> tuple[str, int]:
        i = AXES.index(axis)
        return f"{frame.sides.name(axis, -1)} {named.get(axis, 'face')}", box.low[i] - other.low[i]

    (first, begins), (second, lies) = start(along), start(across)
    return (f"{side} {named.get(meeting, 'face')}", first, second), (begins, lies)


def _layered(box: Box, other: Box) -> Axis | None:
    """Across which axis two boxes lie on each other edge to edge; None: they do not."""
    apart = [axis for axis in AXES if box.span(axis) != other.span(axis)]
    return apart[0] if len(apart) == 1 else None


def _volume(box: Box) -> int:
    x, y, z = box.size
    return x * y * z
