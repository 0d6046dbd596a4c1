"""Slats on straps: carried as one piece, rolled up with the straps inside."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise
from math import asin, atan2, ceil, hypot, pi

from sawbill.trade.boxes import Box, point
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import MM, round_up


def is_rolled(frame: Frame, parts: Collection[str]) -> bool:
    """Whether parts are just those that straps hold together."""
    return any(set(strap.parts) == set(parts) for strap in frame.slat_straps)


def roll_box(frame: Frame, parts: Collection[str]) -> Box:
    """The room that strapped slats take once they are rolled up, in whole millimetres but along them [nm]."""
    boxes = sorted((frame.boxes[key] for key in parts), key=lambda box: box.low[0])
    wide, length, thick = (max(sizes) for sizes in zip(*(box.size for box in boxes), strict=True))
    gap = max((after.low[0] - before.high[0] for before, after in pairwise(boxes)), default=0)
    across = round_up(ceil(roll_diameter(len(boxes), wide, thick, gap)), MM)
    return Box((0, 0, 0), point((across, length, across)))


def roll_diameter(count: int, width: float, thickness: float, gap: float) -> float:
    """How thick a roll of slats is at most, in the unit of what is given; gap: the widest between two of them.

    The first two lie face to face. Every turn lies around the last as around a cylinder: each slat touches it with the
    middle of its face, and the strap goes straight over the gap to the next. A real roll lies closer, never wider.
    """
    left, inner, outer = count - 2, 0.0, hypot(thickness, width / 2)
    while left > 0:
        inner = outer
        slat, over = 2 * atan2(width / 2, inner), 2 * asin(min(1.0, gap / 2 / hypot(inner, width / 2)))
        left -= max(1, int(2 * pi / (slat + over)))
        outer = hypot(inner + thickness, width / 2)
    return 2 * outer
