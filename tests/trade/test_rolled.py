"""Slats rolled up on their straps: a roll is laid slat by slat, none in another, and lies within what is told."""

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from sawbill.checks.carrying import carried_box, check_carrying
from sawbill.checks.finding import Status
from sawbill.checks.site import Site
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.rolled import roll_diameter

Slat = NDArray[np.float64]


def turned(slat: Slat, angle: float) -> Slat:
    return slat @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])


def laid(count: int, wide: float, thick: float, gap: float) -> list[Slat]:
    """The corners of slats: two face to face, then turn by turn, each as far from the one before as the strap goes."""
    flat = np.array([(-wide / 2, 0), (wide / 2, 0), (wide / 2, thick), (-wide / 2, thick)])
    found = [flat, turned(flat, np.pi)]
    while len(found) < count:
        base = flat + np.array([0, max(np.hypot(*corner) for slat in found for corner in slat)])
        low, high = 0.0, np.pi
        for _ in range(60):
            middle = (low + high) / 2
            before, after = base[0], turned(base, -middle)[1]
            far = np.hypot(*(before - after)) >= gap and middle >= 2 * np.arctan2(wide / 2, base[0, 1])
            low, high = (low, middle) if far else (middle, high)
        found += [turned(base, -n * high) for n in range(max(1, int(2 * np.pi / high)))]
    return found[:count]


def apart(a: Slat, b: Slat) -> bool:
    """Whether a line parts two rectangles: one along a side of either."""
    sides = [slat[i + 1] - slat[i] for slat in (a, b) for i in (0, 1)]
    normals = [np.array([-y, x]) / np.hypot(x, y) for x, y in sides]
    spans = [((a @ n).min(), (a @ n).max(), (b @ n).min(), (b @ n).max()) for n in normals]
    return any(a_high <= b_low + 1e-6 or b_high <= a_low + 1e-6 for a_low, a_high, b_low, b_high in spans)


@pytest.mark.parametrize(
    ("count", "wide", "thick", "gap"), [(14, 3.5, 1.5, 2.1), (20, 89, 19, 0), (30, 3.5, 0.75, 6), (3, 89, 38, 500)]
)
def test_slats_laid_turn_by_turn_lie_within_the_roll(count: int, wide: float, thick: float, gap: float) -> None:
    slats = laid(count, wide, thick, gap)
    assert all(apart(a, b) for a, b in combinations(slats, 2))
    across, told = (
        2 * max(np.hypot(*corner) for slat in slats for corner in slat),
        roll_diameter(count, wide, thick, gap),
    )
    assert across <= told * (1 + 1e-9)
    if gap < wide:  # a strap longer than the first two are wide goes around a corner, which is not counted on
        assert across == pytest.approx(told)


def test_strapped_slats_are_one_piece_to_lift_and_as_wide_as_their_roll() -> None:
    """A queen's 14 slats of 2x4 weigh 33.6 kg where one person lifts 23; as a roll they go into a small car."""
    frame = designs()["slatted-bed"].frame({"slat_retention": "strap", "in_halves": "yes"}, reading())
    [roll] = [piece for piece in frame.carried_pieces if piece.name == "roll of slats"]
    slats = {part.key for part in frame.parts if part.name == "slat"}
    assert set(roll.parts) == slats and roll.count == 1
    length = max(frame.by_key[key].length for key in slats)
    across, along, deep = carried_box(frame, roll).size
    assert along == length and across == deep and 15 * INCH < across < 16 * INCH and across % MM == 0
    told = {each.rule: each for each in check_carrying(frame, Site(vehicle_length=70 * INCH), {})}
    assert told["vehicle-length"].status is Status.PASS
    assert told["one-person"].status is Status.WARN and slats <= set(told["one-person"].parts)
