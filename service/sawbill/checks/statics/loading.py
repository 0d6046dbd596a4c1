"""Loads on the nodes of a frame, and what comes of them in its members, compiled. Forces [N], lengths [mm]."""

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
def effects(
    starts: Ints, ends: Floats, places: Floats, up: Floats, patches: Floats, first: Ints, cases: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """The greatest moment, where that is, and the greatest shear, of each piece of a member; the moment at every node.

    By what stands to the left of a place alone, so that every piece is in balance: ends: where each member begins and
    ends; up: what each node is held up with, a column each; patches: sorted by member and column, first: where those
    of a member begin that are there in all columns, then those of each of so many cases; columns are cases over and
    over. A member of n nodes has n + 1 pieces.
    """
    members, columns = len(starts) - 1, up.shape[1]
    moments = np.zeros((len(places) + members, columns))
    where, shears, bent = np.zeros_like(moments), np.zeros_like(moments), np.zeros_like(up)
    for m in range(members):
        if ends[m, 0] >= ends[m, 1]:  # it stands
            continue
        row = m * (cases + 1)
        for c in range(columns):
            case = row + c % cases + 1
            shear, moment, x = 0.0, 0.0, ends[m, 0]
            for s in range(starts[m], starts[m + 1] + 1):
                piece = s + m
                end = places[s] if s < starts[m + 1] else ends[m, 1]
                moments[piece, c], where[piece, c], shears[piece, c] = moment, x, shear
                while x < end:
                    stop, rate = end, 0.0
                    for k in range(2):  # what is always there, then what is there in this column
                        r = case if k else row
                        for p in range(first[r], first[r + 1]):
                            if x < patches[p, 0] < stop:
                                stop = patches[p, 0]
                            elif x < patches[p, 1] < stop:
                                stop = patches[p, 1]
                    for k in range(2):
                        r = case if k else row
                        for p in range(first[r], first[r + 1]):
                            if patches[p, 0] <= x and patches[p, 1] >= stop:
                                rate += patches[p, 3]
                    reach = stop - x
                    left = shear - rate * reach
                    if shear > 0.0 > left:
                        most = moment + shear * shear / (2 * rate)
                        if abs(most) > abs(moments[piece, c]):
                            moments[piece, c], where[piece, c] = most, x + shear / rate
                    moment += (shear + left) / 2 * reach
                    shear, x = left, stop
                    if abs(shear) > abs(shears[piece, c]):
                        shears[piece, c] = shear
                    if abs(moment) > abs(moments[piece, c]):
                        moments[piece, c], where[piece, c] = moment, x
                if s < starts[m + 1]:
                    bent[s, c] = moment
                    shear += up[s, c]
    return moments, where, shears, bent


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


@compiled
def most_by(found: Floats, group: Ints, groups: int) -> Floats:
    """The most of each row, up or down, of the columns of each group; those of group -1 are left out."""
    most = np.zeros((found.shape[0], groups))
    for row in range(found.shape[0]):
        for c in range(found.shape[1]):
            if group[c] >= 0 and abs(found[row, c]) > most[row, group[c]]:
                most[row, group[c]] = abs(found[row, c])
    return most
