"""From where a frame is looked at: an eye so far away that parallel edges stay parallel."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.trade.boxes import Box
from sawbill.trade.lengths import MM

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class View:
    """A direction to look from, in unit vectors. toward: to the eye; right, up: how the plane lies on the paper."""

    name: str
    right: tuple[float, float, float]
    up: tuple[float, float, float]
    toward: tuple[float, float, float]

    def flat(self, points: Floats) -> Floats:
        """Where points in space [mm] lie in the plane of the view [mm], its second axis upward; (…, 3) to (…, 2)."""
        found: Floats = points @ np.array((self.right, self.up)).T
        return found

    def bounds(self, low: Floats, high: Floats) -> tuple[float, float, float, float]:
        """The least and the greatest place of boxes across and up the plane [mm]: left, bottom, right, top."""
        at = self.flat(corners(low, high).reshape(-1, 3))
        (left, bottom), (right, top) = at.min(axis=0), at.max(axis=0)
        return float(left), float(bottom), float(right), float(top)


def oblique(name: str, azimuth: float, elevation: float) -> View:
    """A view from above or below and from a side [degrees], azimuth from +x to +y."""
    a, e = radians(azimuth), radians(elevation)
    return View(
        name,
        (-sin(a), cos(a), 0.0),
        (-sin(e) * cos(a), -sin(e) * sin(a), cos(e)),
        (cos(e) * cos(a), cos(e) * sin(a), sin(e)),
    )


ISOMETRIC: Final = oblique("isometric", 305, 28)
"""From the front, over its right end: all fronts are seen, low beds look low, and edges of square parts stay apart."""
FROM_BEHIND: Final = oblique("from behind", 125, 28)
FROM_BELOW: Final = oblique("from below", 305, -28)
BELOW_BEHIND: Final = oblique("from below and behind", 125, -28)

FRONT: Final = View("front", (1, 0, 0), (0, 0, 1), (0, -1, 0))
BACK: Final = View("back", (-1, 0, 0), (0, 0, 1), (0, 1, 0))
RIGHT: Final = View("right", (0, 1, 0), (0, 0, 1), (1, 0, 0))
LEFT: Final = View("left", (0, -1, 0), (0, 0, 1), (-1, 0, 0))
TOP: Final = View("top", (1, 0, 0), (0, 1, 0), (0, 0, 1))
BELOW: Final = View("below", (1, 0, 0), (0, -1, 0), (0, 0, -1))


def corners(low: Floats, high: Floats) -> Floats:
    """The eight corners of boxes: (n, 3) and (n, 3) to (n, 8, 3)."""
    pick = np.array([[(i >> axis) & 1 for axis in range(3)] for i in range(8)], np.bool_)
    found: Floats = np.where(pick[None], high[:, None], low[:, None])
    return found


def spans(boxes: tuple[Box, ...]) -> tuple[Floats, Floats]:
    """The least and the greatest corners of boxes, in millimetres: (n, 3) each [mm]."""
    flat = np.array([(*box.low, *box.high) for box in boxes], np.float64).reshape(-1, 6) / MM
    return flat[:, :3], flat[:, 3:]
