"""What boxes hide of straight lines: exact intervals, no order of painting, no sampling.

A point of a line is hidden by a box if the way from it to the eye passes through the box: p + s d + t e with t > 0.
All (s, t) that do are an area between straight sides, so what one box hides of a line is one interval of s.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.drawings.lines.view import Floats

SHRINK: Final = 0.02
"""By how much each box is smaller than it is when it hides [mm]: what lies on its face is seen."""
LEAST: Final = 0.05
"""What is shorter along the line is not worth a stroke [mm]."""
_NEVER: Final = np.inf


def along_axis(axis: int, starts: Floats, low: Floats, high: Floats, toward: Floats) -> tuple[Floats, Floats]:
    """From where to where each box hides lines along one axis: (n, 3), (m, 3), (m, 3) to (n, m) twice [mm]."""
    early, late = _ways(starts, low, high, toward, [k for k in range(3) if k != axis])
    first, last = sorted_pair(early * toward[axis], late * toward[axis])
    begin = low[None, :, axis] + SHRINK - starts[:, None, axis] - last
    end = high[None, :, axis] - SHRINK - starts[:, None, axis] - first
    missed = (early >= late) | (begin >= end)
    return np.where(missed, _NEVER, begin), np.where(missed, _NEVER, end)


def across_face(
    axis: int, starts: Floats, ways: Floats, low: Floats, high: Floats, toward: Floats
) -> tuple[Floats, Floats]:
    """The same for slanting lines in a face square to an axis, which the eye sees; ways: unit vectors (n, 3)."""
    early, late = _ways(starts, low, high, toward, [axis])
    others = [k for k in range(3) if k != axis]
    bounds = [_strip(k, starts, ways, low, high, toward) for k in others]
    (a_low, a_high, a_slope), (b_low, b_high, b_slope) = bounds
    with np.errstate(divide="ignore", invalid="ignore"):
        meets = [(b - a) / (a_slope - b_slope) for a in (a_low, a_high) for b in (b_low, b_high)]
    begin = np.full(early.shape, _NEVER)
    end = np.full(early.shape, -_NEVER)
    for t in (early, late, *(np.clip(np.nan_to_num(meet), early, late) for meet in meets)):
        first = np.maximum(a_low + t * a_slope, b_low + t * b_slope)
        last = np.minimum(a_high + t * a_slope, b_high + t * b_slope)
        there = (early < late) & (first <= last + 1e-9)
        begin = np.where(there, np.minimum(begin, first), begin)
        end = np.where(there, np.maximum(end, last), end)
    missed = begin >= end
    return np.where(missed, _NEVER, begin), np.where(missed, _NEVER, end)


def seen(begin: Floats, end: Floats, lengths: Floats) -> tuple[NDArray[np.int64], Floats, Floats]:
    """What no interval covers of lines from 0 to their lengths: whose, from, to; ordered by line, then along it."""
    if begin.shape[1] == 0:
        return np.arange(len(lengths)), np.zeros(len(lengths)), lengths
    order = np.argsort(begin, axis=1, kind="stable")
    begin, end = np.take_along_axis(begin, order, 1), np.take_along_axis(end, order, 1)
    covered = np.maximum(np.maximum.accumulate(end, axis=1), 0.0)  # what never hides stands last, and ends nowhere
    none = np.zeros((len(lengths), 1))
    starts = np.concatenate((none, covered), axis=1)
    ends = np.minimum(np.concatenate((begin, none + np.inf), axis=1), lengths[:, None])
    lines, gaps = np.nonzero(ends - starts > LEAST)
    return lines, starts[lines, gaps], ends[lines, gaps]


def free(points: Floats, low: Floats, high: Floats, toward: Floats) -> NDArray[np.bool_]:
    """Which points no box hides: (n, 3)."""
    early, late = _ways(points, low, high, toward, [0, 1, 2])
    found: NDArray[np.bool_] = np.all(early >= late, axis=1)
    return found


def sorted_pair(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """The lesser and the greater of each two."""
    return np.minimum(a, b), np.maximum(a, b)


def _ways(starts: Floats, low: Floats, high: Floats, toward: Floats, axes: list[int]) -> tuple[Floats, Floats]:
    """When the way to the eye is between the box's faces on these axes; never before it has left the point."""
    early = np.zeros((len(starts), len(low)))
    late = np.full((len(starts), len(low)), 1e9)
    for k in axes:
        below = low[None, :, k] + SHRINK - starts[:, None, k]
        above = high[None, :, k] - SHRINK - starts[:, None, k]
        if abs(toward[k]) < 1e-12:
            late = np.where((below < 0) & (above > 0), late, -1.0)
            continue
        first, last = sorted_pair(below / toward[k], above / toward[k])
        early, late = np.maximum(early, first), np.minimum(late, last)
    return early, late


def _strip(
    k: int, starts: Floats, ways: Floats, low: Floats, high: Floats, toward: Floats
) -> tuple[Floats, Floats, Floats]:
    """Between which s a line is within a box on an axis, at t = 0, and how fast both bounds move with t."""
    way = ways[:, None, k]
    near, far = sorted_pair(
        (low[None, :, k] + SHRINK - starts[:, None, k]) / way, (high[None, :, k] - SHRINK - starts[:, None, k]) / way
    )
    return near, far, -toward[k] / way
