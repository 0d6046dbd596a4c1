"""The order to paint faces in, from far to near. It bears tones only: a wrong order never spoils a line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.drawings.lines.view import Floats, View, corners


def from_far_to_near(view: View, low: Floats, high: Floats) -> list[int]:
    """The boxes in an order in which none is painted after one that it is behind of; rings are cut at any place."""
    behind = _behind(view, low, high)
    waiting = behind.sum(axis=1)
    left = np.ones(len(low), np.bool_)
    order: list[int] = []
    while len(order) < len(low):
        ready = np.flatnonzero(left & (waiting == 0))
        if not len(ready):
            ready = np.flatnonzero(left)[np.argmin(waiting[left])][None]
        left[ready] = False
        order += ready.tolist()
        waiting = waiting - behind[:, ready].sum(axis=1)
    return order


def _behind(view: View, low: Floats, high: Floats) -> NDArray[np.bool_]:
    """[i, j]: box j is to be painted before box i, since a plane between them has i on the eye's side."""
    toward = np.array(view.toward)
    near = np.zeros((len(low), len(low)), np.bool_)
    for k in range(3):
        if toward[k] > 1e-12:
            near |= low[:, None, k] >= high[None, :, k] - 1e-6
        elif toward[k] < -1e-12:
            near |= high[:, None, k] <= low[None, :, k] + 1e-6
    flat = view.flat(corners(low, high))
    least, most = flat.min(axis=1), flat.max(axis=1)
    meet = (least[:, None] < most[None]).all(axis=2) & (least[None] < most[:, None]).all(axis=2)
    both = near & near.T
    found: NDArray[np.bool_] = near & meet & ~both
    np.fill_diagonal(found, False)
    return found


def faces(view: View, low: Floats, high: Floats) -> list[tuple[int, Floats]]:
    """The faces of one box that the eye sees: the axis each is square to, and its corners in space (4, 3) [mm]."""
    found = []
    for axis in range(3):
        if abs(view.toward[axis]) < 1e-12:
            continue
        first, second = (k for k in range(3) if k != axis)
        at = (high if view.toward[axis] > 0 else low)[axis]
        points = np.empty((4, 3))
        points[:, axis] = at
        points[:, first] = (low[first], high[first], high[first], low[first])
        points[:, second] = (low[second], low[second], high[second], high[second])
        found.append((axis, points))
    return found
