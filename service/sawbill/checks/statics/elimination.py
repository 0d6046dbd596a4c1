"""Stiffness by rows and the solving of it, compiled: all machines add in the order that is written, and find the same.

The row of a dof holds what it has in common with itself and with those after it. A dof is one way in which a node may
give way, down or by a turn. Forces [N], lengths [mm], turns [rad]; downward is positive.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HOLD = 1e-6
"""A spring to the ground at every dof [N/mm], so weak that it bears nothing of what stands [N mm at a turn x 1e4]."""


@compiled
def filled(count: int, beams: Ints, ties: Ints) -> tuple[Ints, Ints]:
    """Which dofs after itself each has something in common with once those before it are eliminated.

    As where the row of each begins, itself first, and the dofs of all rows one after the other.
    """
    meets = np.zeros((count, count), np.bool_)
    for i in range(count):
        meets[i, i] = True
    for e in range(len(beams)):
        for p in range(4):
            for q in range(4):
                if beams[e, q] > beams[e, p]:
                    meets[beams[e, p], beams[e, q]] = True
    for t in range(len(ties)):
        if ties[t, 1] >= 0:
            meets[min(ties[t, 0], ties[t, 1]), max(ties[t, 0], ties[t, 1])] = True
    starts, dofs, total = np.zeros(count + 1, np.int64), np.empty(count * (count + 1) // 2, np.int64), 0
    for i in range(count):
        for j in range(i, count):
            if meets[i, j]:
                dofs[total] = j
                total += 1
        starts[i + 1] = total
        for p in range(starts[i] + 1, total):
            for q in range(p + 1, total):
                meets[dofs[p], dofs[q]] = True
    return starts, dofs[:total].copy()


@compiled_part
def at(starts: Ints, dofs: Ints, one: int, other: int) -> int:
    """Where the row of the first of two dofs has the other."""
    found, last = int(starts[min(one, other)]), max(one, other)
    while dofs[found] != last:
        found += 1
    return found


@compiled
def assembled(
    starts: Ints, dofs: Ints, turns: NDArray[np.bool_], beams: Ints, lengths: Floats, rigid: Floats, ties: Ints,
    stiff: Floats,
) -> Floats:  # fmt: skip
    """The stiffness of a frame: beams by their four dofs (down and turn at either end), ties by two, -1 the ground."""
    matrix = np.zeros(len(dofs))
    for i in range(len(turns)):
        matrix[starts[i]] = HOLD * 1e4 if turns[i] else HOLD
    k = np.empty((4, 4))
    for e in range(len(beams)):
        b, a = lengths[e], rigid[e] / lengths[e] ** 3
        k[0, 0] = k[2, 2] = 12 * a
        k[0, 2] = k[2, 0] = -12 * a
        k[0, 1] = k[1, 0] = k[0, 3] = k[3, 0] = 6 * a * b
        k[1, 2] = k[2, 1] = k[2, 3] = k[3, 2] = -6 * a * b
        k[1, 1] = k[3, 3] = 4 * a * b * b
        k[1, 3] = k[3, 1] = 2 * a * b * b
        for p in range(4):
            for q in range(4):
                if beams[e, q] >= beams[e, p]:
                    matrix[at(starts, dofs, beams[e, p], beams[e, q])] += k[p, q]
    for t in range(len(ties)):
        add_tie(starts, dofs, matrix, ties[t, 0], ties[t, 1], stiff[t])
    return matrix


@compiled_part
def add_tie(starts: Ints, dofs: Ints, matrix: Floats, over: int, under: int, stiff: float) -> None:
    """A spring between two dofs."""
    matrix[starts[over]] += stiff
    if under >= 0:
        matrix[starts[under]] += stiff
        matrix[at(starts, dofs, over, under)] -= stiff


@compiled_part
def factor(starts: Ints, dofs: Ints, matrix: Floats) -> None:
    """L D L', in its own place."""
    for i in range(len(starts) - 1):
        first, last = starts[i], starts[i + 1]
        for p in range(first + 1, last):
            share = matrix[p] / matrix[first]
            if share != 0.0:
                q = starts[dofs[p]]
                for r in range(p, last):
                    while dofs[q] != dofs[r]:
                        q += 1
                    matrix[q] -= share * matrix[r]


@compiled_part
def solve(starts: Ints, dofs: Ints, matrix: Floats, loads: Floats) -> None:
    """How far all gives way under loads, a column each, in their own place; matrix: as `factor` leaves it."""
    count, columns = loads.shape
    for i in range(count):
        for p in range(starts[i] + 1, starts[i + 1]):
            share, row = matrix[p] / matrix[starts[i]], dofs[p]
            if share != 0.0:
                for c in range(columns):
                    loads[row, c] -= share * loads[i, c]
    for i in range(count - 1, -1, -1):
        for p in range(starts[i] + 1, starts[i + 1]):
            share, row = matrix[p], dofs[p]
            if share != 0.0:
                for c in range(columns):
                    loads[i, c] -= share * loads[row, c]
        for c in range(columns):
            loads[i, c] /= matrix[starts[i]]


@compiled_part
def eliminate(system: Floats, right: Floats) -> None:
    """Solve a small system that is symmetric and positive, in place of its right side (Gauss)."""
    n = len(right)
    for i in range(n):
        for j in range(i + 1, n):
            share = system[j, i] / system[i, i]
            if share != 0.0:
                for k in range(i, n):
                    system[j, k] -= share * system[i, k]
                right[j] -= share * right[i]
    for i in range(n - 1, -1, -1):
        for j in range(i + 1, n):
            right[i] -= system[i, j] * right[j]
        right[i] /= system[i, i]
