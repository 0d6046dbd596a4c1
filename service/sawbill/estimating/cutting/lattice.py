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
    transform, orders = _diagonal(basis, determinant)
    if np.prod(orders.astype(float)) != determinant:
        return None
    real = orders > 1
    if not real.any():
        real[0] = True
    return Lattice(determinant, adjugate, transform[real], orders[real])


def _diagonal(basis: Ints, modulus: int) -> tuple[Ints, Ints]:
    """U and s of U B V = diag(s), modulo the determinant: clear the smallest entry's row and column, go on."""
    size = len(basis)
    work, transform = basis % modulus, np.eye(size, dtype=np.int64)
    for t in range(size):
        while work[t:, t:].any():
            part = np.where(work[t:, t:] == 0, modulus, work[t:, t:])
            row, column = divmod(int(np.argmin(part)), size - t)
            _swap(work, t, t + row)
            _swap(transform, t, t + row)
            _swap(work.T, t, t + column)
            quotients = work[t + 1 :, t] // work[t, t]
            work[t + 1 :] = (work[t + 1 :] - quotients[:, None] * work[t]) % modulus
            transform[t + 1 :] = (transform[t + 1 :] - quotients[:, None] * transform[t]) % modulus
            quotients = work[t, t + 1 :] // work[t, t]
            work[:, t + 1 :] = (work[:, t + 1 :] - work[:, t : t + 1] * quotients) % modulus
            if not work[t + 1 :, t].any() and not work[t, t + 1 :].any():
                break
    orders = np.gcd(np.diagonal(work), modulus).astype(np.int64)
    return transform, orders


def _swap(matrix: Ints, one: int, other: int) -> None:
    if one != other:
        matrix[[one, other]] = matrix[[other, one]]
