"""Who pushes where: at the guards of a bed above the floor, at backs, at slats from below. Forces [N], lengths [mm]."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import BACK
from sawbill.checks.site import HEAVIEST_USER
from sawbill.checks.strength.pushes.demands import Comes
from sawbill.trade.boxes import Box, bounds
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM

GUARD: Final = 500.0
"""Outward on a guard, anywhere (EN 747-2, from memory)."""
LEAN: Final = 450.0
"""On a back, anywhere (EN 12520, from memory)."""
LIFT: Final = 500.0
"""On slats that are screwed down, from below (EN 747-2, from memory)."""
REACH: Final = 600 * MM
"""How far above where one sits or lies a back begins at most [nm] (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Push:
    """A push, at any place of some boards.

    when: as the end of a sentence; axis, toward: which way, 1 or -1 along x
    (0) or y (1); wall: all boards above the base that stand beside each other there.
    """

    when: str
    force: Comes
    axis: int
    toward: int
    boards: tuple[Part, ...]
    wall: tuple[Part, ...]


def pushes(paths: LoadPaths, user: int) -> Iterator[Push]:
    """Every push against what stands beside a bed or a seat, by users of a mass [g]."""
    frame, weight = paths.frame, user / HEAVIEST_USER
    high = {bed.place for bed in frame.high_beds}
    seats = [each for each in frame.surfaces if each.use == "seat" and each.parts]
    slats = {key for place in frame.sleeping_places for key in place.slats}  # those of a bed above are no wall
    lying = [
        (key, box) for key, box in frame.boxes.items()
        if frame.by_key[key].placement.along != "z" and key not in slats
    ]  # fmt: skip
    areas = [(place.opening, place.opening.low[2], place.name in high) for place in frame.sleeping_places]
    boxes = [bounds(frame.boxes[key] for key in each.parts) for each in seats]
    areas += [(box, box.high[2], False) for box in boxes]
    beds = [place.opening for place in frame.sleeping_places]
    for area, base, guarded in areas:
        if any(_low_over(area, bed) for bed in beds) and not guarded:
            continue
        for axis, toward in product((0, 1), (-1, 1)):
            wall = tuple(each for each in _beside(paths, lying, area, axis, toward) if _lowest(paths, each) >= base)
            boards = wall
            if not guarded:
                tops = [frame.boxes[board.key].high[2] for board in wall]
                if max(tops, default=0) < area.high[2] + BACK:
                    continue
                boards = tuple(each for each, top in zip(wall, tops, strict=True) if top > area.high[2])
            if boards:
                when = "someone pushes a guard outward" if guarded else "someone leans against a back"
                force = Comes(GUARD * weight, "EN 747") if guarded else Comes(LEAN * weight, "EN 12520")
                yield Push(when, force, axis, toward, boards, wall)


def _low_over(area: Box, bed: Box) -> bool:
    """Whether a bed is so low over an area that nobody sits up in it, and leans: as over a trundle."""
    x, y, apart = area.shared(bed)
    return x > 0 and y > 0 and area.high[2] <= bed.low[2] and -apart < REACH


def _lowest(paths: LoadPaths, part: Part) -> int:
    """How low a part reaches with what it is glued to: the upper board of a deep rail is rail, and no guard [nm]."""
    return min(paths.frame.boxes[each.key].low[2] for each in paths.of[part.key].parts)


def _beside(
    paths: LoadPaths, lying: Sequence[tuple[str, Box]], area: Box, axis: int, toward: int
) -> Iterator[Part]:  # fmt: skip
    """The boards that lie along one side of an area, or stand on it there; the way up is none."""
    along, middle = "xy"[1 - axis], (area.low[axis] + area.high[axis]) // 2
    low, high, top = area.low[1 - axis], area.high[1 - axis], area.high[2] + REACH
    for key, box in lying:
        if not (box.low[axis] >= middle if toward > 0 else box.high[axis] <= middle) or box.low[2] >= top:
            continue
        if box.low[1 - axis] < high and low < box.high[1 - axis]:
            part = paths.frame.by_key[key]
            if part.placement.along == along and not paths.climbed(paths.of[key]):
                yield part
