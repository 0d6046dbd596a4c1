"""Loads on the nodes of a frame, and what holds them, compiled. Forces [N], lengths [mm]."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.statics.elimination import Floats, Ints
from sawbill.compiled import compiled, compiled_part

GAUSS = 0.5773502691896257
"""One over the square root of three."""


@compiled
def spread_over(
    loads: Floats, patches: Floats, which: Ints, columns: Ints, starts: Ints, places: Floats, dofs: Ints
) -> None:
    """Put patches (from, to, how much, how much for each mm) of members on the dofs of their nodes: by the shapes of a
    beam that is bent.

    which: the member of each, columns: its column, -1 for all; starts: the first node of each member; an end that
    reaches past the last node loads it with a force and a moment.
    """
    for p in range(len(patches)):
        low, high, load = patches[p, 0], patches[p, 1], patches[p, 2]
        first, last = starts[which[p]], starts[which[p] + 1]
        if dofs[first, 1] < 0:  # it stands
            put(loads, dofs[first, 0], columns[p], load)
            continue
        wide = high - low
        for e in range(first - 1, last):
            a = places[e] if e >= first else -1e12
            b = places[e + 1] if e + 1 < last else 1e12
            start, end = max(a, low), min(b, high)
            if wide > 0:
                if end <= start:
                    continue
                part = load * (end - start) / wide
            else:
                if not (a <= low < b):
                    continue
                part = load
            middle, half = (start + end) / 2, (end - start) / 2
            if e < first or e + 1 >= last:
                node = max(e, first)
                put(loads, dofs[node, 0], columns[p], part)
                put(loads, dofs[node, 1], columns[p], part * (middle - places[node]))
                continue
            for side in (-1.0, 1.0):  # two points of Gauss, exact for what is cubic
                x = (middle + side * half * GAUSS - a) / (b - a)
                put(loads, dofs[e, 0], columns[p], part / 2 * (1 - 3 * x**2 + 2 * x**3))
                put(loads, dofs[e, 1], columns[p], part / 2 * (b - a) * (x - 2 * x**2 + x**3))
                put(loads, dofs[e + 1, 0], columns[p], part / 2 * (3 * x**2 - 2 * x**3))
                put(loads, dofs[e + 1, 1], columns[p], part / 2 * (b - a) * (x**3 - x**2))


@compiled_part
def put(loads: Floats, dof: int, column: int, load: float) -> None:
    """Add a load to a dof in one column, or in all."""
    if column >= 0:
        loads[dof, column] += load
    else:
        for c in range(loads.shape[1]):
            loads[dof, c] += load


@compiled
def gathered(
    over: Ints, under: Ints, link: Ints, force: Floats, up: Floats, forces: Floats, floor: Floats, column: int
) -> None:
    """Add up what holds every node up, what every link bears, and what every member presses onto the floor.

    over, under: the nodes of each spring; link: its number, or below nothing one less than that of the member which is
    on the floor there; column: the first of the columns that are told of.
    """
    for s in range(len(over)):
        for c in range(force.shape[1]):
            at = column + c
            up[over[s], at] += force[s, c]
            if under[s] >= 0:
                up[under[s], at] -= force[s, c]
                forces[link[s], at] += force[s, c]
            else:
                floor[-1 - link[s], at] += force[s, c]


@compiled
def gone_from(starts: Ints, dofs: Ints, moved: Floats, most: float, gone: NDArray[np.bool_], column: int) -> None:
    """Which members give way by more than the most at any node; column: the first of the columns that are told of."""
    for m in range(len(starts) - 1):
        for node in range(starts[m], starts[m + 1]):
            for c in range(moved.shape[1]):
                if abs(moved[dofs[node, 0], c]) > most:
                    gone[m, column + c] = True
