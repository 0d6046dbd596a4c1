"""Where on the paper something is drawn already, so that no text is written over it."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, floor
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.drawings.lines.view import Floats
from sawbill.drawings.paper.sheet import Area

CELL: Final = 0.75
"""How fine the paper is looked at for room [mm]."""


class Ink:
    """The lines drawn in an area, and the cells of it that wood covers or text takes."""

    def __init__(self, area: Area, lines: Iterable[tuple[float, float, float, float]]) -> None:
        self.area = area
        self.lines: Floats = np.array(list(lines), np.float64).reshape(-1, 4)
        self._barred: Floats = np.zeros((0, 4))
        self._taken: NDArray[np.bool_] = np.zeros((int(area.height / CELL) + 1, int(area.width / CELL) + 1), np.bool_)
        self._sums: NDArray[np.int64] | None = None

    def cover(self, corners: Floats) -> None:
        """Mark a parallelogram (4, 2) as covered, and every cell that it touches."""
        at = ((corners - (self.area.left, self.area.top)) / CELL).tolist()
        (px, py), (ux, uy), _, (vx, vy) = at
        ux, uy, vx, vy = ux - px, uy - py, vx - px, vy - py
        det = ux * vy - uy * vx
        left, right = max(floor(min(x for x, _ in at)), 0), min(ceil(max(x for x, _ in at)), self._taken.shape[1])
        top, bottom = max(floor(min(y for _, y in at)), 0), min(ceil(max(y for _, y in at)), self._taken.shape[0])
        if abs(det) < 1e-9 or left >= right or top >= bottom:
            return
        x = np.arange(left, right) + (0.5 - px)
        y = (np.arange(top, bottom) + (0.5 - py))[:, None]
        a, b = x * (vy / det) - y * (vx / det), y * (ux / det) - x * (uy / det)
        ease_a, ease_b = max(abs(vx), abs(vy)) / abs(det), max(abs(ux), abs(uy)) / abs(det)
        inside = (a >= -ease_a) & (a <= 1 + ease_a) & (b >= -ease_b) & (b <= 1 + ease_b)
        self._taken[top:bottom, left:right] |= inside
        self._sums = None

    def bar(self, *lines: tuple[float, float, float, float]) -> None:
        """Add lines that no leader may cross."""
        self.cross(*lines)
        self._barred = np.concatenate((self._barred, np.array(lines, np.float64).reshape(-1, 4)))

    def write(self, area: Area) -> None:
        """Mark a rectangle as written in: nothing else is written there, and no leader crosses it."""
        a, b, c, d = area.left, area.top, area.right, area.bottom
        self.take(area)
        self.bar((a, b, c, b), (c, b, c, d), (c, d, a, d), (a, d, a, b))

    def take(self, area: Area) -> None:
        """Mark a rectangle as taken."""
        (left, right), (top, bottom) = self._cells(area)
        self._taken[top:bottom, left:right] = True
        self._sums = None

    def draw(self, *lines: tuple[float, float, float, float]) -> None:
        """Add lines that letters on the wood keep off."""
        self.lines = np.concatenate((self.lines, np.array(lines, np.float64).reshape(-1, 4)))

    def cross(self, *lines: tuple[float, float, float, float]) -> None:
        """Add lines that pass over free paper: the cells they touch are taken too."""
        self.draw(*lines)
        for x1, y1, x2, y2 in lines:
            steps = np.linspace(0, 1, int(max(abs(x2 - x1), abs(y2 - y1)) / CELL * 2) + 2)
            column = ((x1 + steps * (x2 - x1) - self.area.left) / CELL).astype(int)
            row = ((y1 + steps * (y2 - y1) - self.area.top) / CELL).astype(int)
            rows, columns = self._taken.shape
            inside = (column >= 0) & (row >= 0) & (column < columns) & (row < rows)
            self._taken[row[inside], column[inside]] = True
        self._sums = None

    def room(self, centres: Floats, width: float, height: float) -> NDArray[np.bool_]:
        """At which centres (n, 2) a text box has its place inside the area, over no wood and no text."""
        half = np.array((width / 2, height / 2))
        low, high = centres - half, centres + half
        a = np.floor((low - (self.area.left, self.area.top)) / CELL).astype(int).clip(0)
        b = np.ceil((high - (self.area.left, self.area.top)) / CELL).astype(int)
        rows, columns = self._taken.shape
        b = np.minimum(b, (columns, rows)).clip(0)
        a = np.minimum(a, (columns, rows))
        sums = self._summed()
        taken = sums[b[:, 1], b[:, 0]] - sums[a[:, 1], b[:, 0]] - sums[b[:, 1], a[:, 0]] + sums[a[:, 1], a[:, 0]]
        found: NDArray[np.bool_] = self.within(centres, width, height) & (taken == 0)
        return found

    def within(self, centres: Floats, width: float, height: float) -> NDArray[np.bool_]:
        """At which centres (n, 2) a text box lies inside the area."""
        half, area = np.array((width / 2, height / 2)), self.area
        low, high = centres - half >= (area.left, area.top), centres + half <= (area.right, area.bottom)
        found: NDArray[np.bool_] = (low & high).all(axis=1)
        return found

    def clear(self, centres: Floats, width: float, height: float) -> NDArray[np.bool_]:
        """At which centres (n, 2) no line passes through a text box."""
        half = np.array((width / 2, height / 2))
        lines = self._near(centres, half)
        if not len(lines):
            return np.ones(len(centres), np.bool_)
        starts, ends = lines[:, :2], lines[:, 2:]
        middle, reach = (starts + ends) / 2, np.abs(ends - starts) / 2
        off = centres[:, None] - middle[None]
        apart = (np.abs(off) > reach[None] + half).any(axis=2)
        ways = ends - starts
        across = np.abs(off[:, :, 0] * ways[None, :, 1] - off[:, :, 1] * ways[None, :, 0])
        apart |= across > half[0] * np.abs(ways[:, 1]) + half[1] * np.abs(ways[:, 0])
        found: NDArray[np.bool_] = apart.all(axis=1)
        return found

    def crossings(self, starts: Floats, ends: Floats) -> NDArray[np.int64]:
        """How many lines each stroke (n, 2), (n, 2) crosses."""
        return _crossed(self._near(np.concatenate((starts, ends)), np.zeros(2)), starts, ends)

    def stopped(self, starts: Floats, ends: Floats) -> NDArray[np.bool_]:
        """Which strokes cross a line that none may cross."""
        found: NDArray[np.bool_] = _crossed(self._barred, starts, ends) > 0
        return found

    def _near(self, points: Floats, around: Floats) -> Floats:
        """The lines that come into the rectangle around all points."""
        if not len(points):
            return self.lines[:0]
        low, high = points.min(axis=0) - around, points.max(axis=0) + around
        starts, ends = self.lines[:, :2], self.lines[:, 2:]
        meet = (np.maximum(starts, ends) >= low).all(axis=1) & (np.minimum(starts, ends) <= high).all(axis=1)
        found: Floats = self.lines[meet]
        return found

    def _cells(self, area: Area) -> tuple[tuple[int, int], tuple[int, int]]:
        rows, columns = self._taken.shape
        left, right = (round((x - self.area.left) / CELL) for x in (area.left, area.right))
        top, bottom = (round((y - self.area.top) / CELL) for y in (area.top, area.bottom))
        return (max(left, 0), min(right + 1, columns)), (max(top, 0), min(bottom + 1, rows))

    def _summed(self) -> NDArray[np.int64]:
        if self._sums is None:
            self._sums = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1), np.int64)
            self._sums[1:, 1:] = self._taken.cumsum(axis=0, dtype=np.int64).cumsum(axis=1)
        return self._sums


def _crossed(lines: Floats, starts: Floats, ends: Floats) -> NDArray[np.int64]:
    """How many of some lines (m, 4) each stroke crosses."""
    p, d = lines[None, :, :2], (lines[:, 2:] - lines[:, :2])[None]
    q, e = starts[:, None], (ends - starts)[:, None]
    side = _turn(d, q - p) * _turn(d, q + e - p) < 0
    other = _turn(e, p - q) * _turn(e, p + d - q) < 0
    found: NDArray[np.int64] = (side & other).sum(axis=1)
    return found


def _turn(a: Floats, b: Floats) -> Floats:
    found: Floats = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return found
