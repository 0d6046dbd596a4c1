"""A second opinion on boxes: exact interval sweeps in integers, sharing no code with the service.

Space is cut at every coordinate where any box begins or ends. No box has an edge inside a cell, so what holds of
a cell's corner holds of all of it, and nothing is ever compared within a tolerance. Slow, and simple to believe.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

Span = tuple[int, int]
Spans = tuple[Span, Span, Span]
Rectangle = tuple[Span, Span]


def overlaps(spans: Mapping[str, Spans]) -> set[tuple[str, str]]:
    """The pairs of boxes, by name and in order, that share a cell; given as spans along x, y and z [nm].

    A sweep along x keeps the boxes open at each cut; among those every cell of the y-z plane is looked at.
    """
    cuts = sorted({at for box in spans.values() for at in box[0]})
    found: set[tuple[str, str]] = set()
    for start in cuts:
        live = [name for name, (x, _, _) in spans.items() if x[0] <= start < x[1]]
        found |= _sharing({name: spans[name][1:] for name in live})
    return found


def _sharing(plane: Mapping[str, Rectangle]) -> set[tuple[str, str]]:
    found: set[tuple[str, str]] = set()
    for start in sorted({at for first, _ in plane.values() for at in first}):
        column = {name: second for name, (first, second) in plane.items() if first[0] <= start < first[1]}
        events = sorted((at, edge, name) for name, ends in column.items() for edge, at in enumerate(ends[::-1]))
        live: set[str] = set()
        for (
            _,
            begins,
            name,
        ) in events:  # at one place what ends (0) comes before what begins (1): touching is no overlap
            if begins:
                found |= {(min(name, other), max(name, other)) for other in live}
                live.add(name)
            else:
                live.discard(name)
    return found


def maximal_free(rectangles: Iterable[Rectangle], window: Rectangle) -> set[Rectangle]:
    """Every free rectangle in a window that cannot grow on any side, by trying each pair of cuts on both axes."""
    solid = [(u, v) for u, v in (_clipped(each, window) for each in rectangles) if u[0] < u[1] and v[0] < v[1]]
    us = sorted({*window[0], *(at for u, _ in solid for at in u)})
    vs = sorted({*window[1], *(at for _, v in solid for at in v)})
    filled = _summed(solid, us, vs)

    def free(i: int, j: int, k: int, n: int) -> bool:
        """Whether columns i to j and rows k to n hold no solid cell, and lie in the window."""
        if i < 0 or k < 0 or j >= len(us) or n >= len(vs):
            return False
        return filled[j][n] - filled[i][n] - filled[j][k] + filled[i][k] == 0

    return {
        ((us[i], us[j]), (vs[k], vs[n]))
        for i, j in combinations(range(len(us)), 2)
        for k, n in combinations(range(len(vs)), 2)
        if free(i, j, k, n)
        and not any((free(i - 1, j, k, n), free(i, j + 1, k, n), free(i, j, k - 1, n), free(i, j, k, n + 1)))
    }


def _clipped(rectangle: Rectangle, window: Rectangle) -> Rectangle:
    (u, v), (wu, wv) = rectangle, window
    return (max(u[0], wu[0]), min(u[1], wu[1])), (max(v[0], wv[0]), min(v[1], wv[1]))


def _summed(solid: Sequence[Rectangle], us: Sequence[int], vs: Sequence[int]) -> list[list[int]]:
    """How many solid cells lie below and left of every crossing of the cuts."""
    cells = [[0] * len(vs) for _ in us]
    for u, v in solid:
        for i in range(bisect_left(us, u[0]), bisect_left(us, u[1])):
            for k in range(bisect_left(vs, v[0]), bisect_left(vs, v[1])):
                cells[i][k] = 1
    filled = [[0] * len(vs) for _ in us]
    for i in range(1, len(us)):
        for k in range(1, len(vs)):
            filled[i][k] = filled[i - 1][k] + filled[i][k - 1] - filled[i - 1][k - 1] + cells[i - 1][k - 1]
    return filled
