"""When is B x = a solvable in whole numbers? The finite group Z^n / B Z^n, as sums of cyclic groups.

Row and column operations that keep whole numbers whole bring B to U B V = diag(s_1 .. s_n). Then a is a whole
combination of B's columns exactly when (U a)_i is a multiple of s_i for every i, and two vectors differ by such
a combination when their (U a)_i mod s_i agree: these are the coordinates of a's class, |det B| classes in all.
As |det B| Z^n lies within B Z^n, all the work may be done modulo |det B|, so that numbers stay small.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Lattice:
    """The whole combinations of a basis; adjugate / determinant is the basis's inverse, exactly."""

    determinant: int
    adjugate: Ints
    transform: Ints
    orders: Ints

    def classes(self, vectors: Ints) -> Ints:
        """The class of each column, as one number below the determinant."""
        coordinates = (self.transform @ (vectors % self.determinant)) % self.orders[:, None]
        return np.asarray(self.weights @ coordinates, np.int64)

    @property
    def weights(self) -> Ints:
        """Place values that make one number of a class's coordinates."""
        return np.concatenate([[1], np.cumprod(self.orders[:-1])]).astype(np.int64)

    def coordinates(self) -> Ints:
        """The coordinates of every class, one column each."""
        return self.coordinates_of(np.arange(self.determinant, dtype=np.int64))

    def coordinates_of(self, classes: Ints) -> Ints:
        """The coordinates of the classes given, one column each."""
        return (classes[None, :] // self.weights[:, None]) % self.orders[:, None]


def lattice(basis: Ints, most: int) -> Lattice | None:
    """The lattice of a square matrix's columns; None when its determinant is 0 or more than so much.

    The inverse is found in floats, rounded, and accepted only if it holds exactly.
    """
    determinant = round(abs(np.linalg.det(basis)))
    if not 0 < determinant <= most:
        return None
    adjugate = np.rint(np.linalg.inv(basis) * determinant).astype(np.int64)
    if not np.array_equal(adjugate @ basis, determinant * np.eye(len(basis), dtype=np.int64)):
        return None
    work, transform = np.ascontiguousarray(basis % determinant), np.eye(len(basis), dtype=np.int64)
    _make_diagonal(work, transform, determinant)
    orders = np.gcd(np.diagonal(work), determinant)
    if np.prod(orders.astype(float)) != determinant:
        return None
    real = orders > 1
    if not real.any():
        real[0] = True
    return Lattice(determinant, adjugate, transform[real], orders[real])


@compiled
def _make_diagonal(work: Ints, transform: Ints, modulus: int) -> None:
    """U and s of U B V = diag(s), modulo the determinant: clear the smallest entry's row and column, go on.

    work: B, of which the multiples of s are left; transform: becomes U.
    """
    size = len(work)
    for t in range(size):
        row, column = _smallest(work, t)
        while row >= 0:
            for n in range(size):
                work[t, n], work[row, n] = work[row, n], work[t, n]
                transform[t, n], transform[row, n] = transform[row, n], transform[t, n]
            for n in range(size):
                work[n, t], work[n, column] = work[n, column], work[n, t]
            cleared = True
            for n in range(t + 1, size):
                times = work[n, t] // work[t, t]
                for m in range(size):
                    work[n, m] = (work[n, m] - times * work[t, m]) % modulus
                    transform[n, m] = (transform[n, m] - times * transform[t, m]) % modulus
            for n in range(t + 1, size):
                times = work[t, n] // work[t, t]
                for m in range(size):
                    work[m, n] = (work[m, n] - work[m, t] * times) % modulus
                cleared = cleared and work[n, t] == 0 and work[t, n] == 0
            if cleared:
                break
            row, column = _smallest(work, t)


@compiled_part
def _smallest(work: Ints, t: int) -> tuple[int, int]:
    """The place of the smallest entry other than 0 from the t-th row and column on; -1 where there is none."""
    row, column, least = -1, -1, 0
    for n in range(t, len(work)):
        for m in range(t, len(work)):
            if work[n, m] and (row < 0 or work[n, m] < least):
                row, column, least = n, m, work[n, m]
    return row, column
