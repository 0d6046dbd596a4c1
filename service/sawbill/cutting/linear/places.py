"""The places a board may be cut to: sums of its items, exactly, however fine their lengths are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled_part

Ints = NDArray[np.int64]

BITS = 40_000_000  # places in a board up to which sums are marked one by one; beyond that they are merged
MOST_PLACES = 400_000  # sums that are held
MOST_NUMBERS = 24_000_000  # sums times items: what tables of them may hold; it bounds the memory


class TooManyPlacesError(ValueError):
    """The lengths are so many and so fine that their sums cannot all be held."""


def reachable(strides: Sequence[int], most: Sequence[int], room: int, storey: int = 0, storeys: int = 0) -> Ints:
    """Every total of items, each at most so often, that is no more than the room; ascending.

    storey: places a whole number of these apart, up to so many, have a room of their own (see Problem).
    Raises TooManyPlacesError.
    """
    allowed = min(MOST_PLACES, MOST_NUMBERS // max(1, len(strides)))
    if not storeys and room < BITS:
        return _marked(strides, most, room, allowed)
    found = np.zeros(1, np.int64)
    for by in _splits(strides, most):
        more = found + by
        more = more[more % storey <= room] if storeys else more
        found = np.concatenate([found, more[more <= room + storey * storeys]])
        found.sort(kind="stable")
        found = found[np.concatenate([[True], found[1:] != found[:-1]])]
        if len(found) > allowed:
            raise TooManyPlacesError
    return found


def _marked(strides: Sequence[int], most: Sequence[int], room: int, allowed: int) -> Ints:
    """The same with a bit for every place."""
    bits, mask = 1, (1 << (room + 1)) - 1
    for by in _splits(strides, most):
        bits |= (bits << by) & mask
    if room >= allowed and bits.bit_count() > allowed:
        raise TooManyPlacesError
    raw = np.frombuffer(bits.to_bytes(room // 8 + 1, "little"), np.uint8)
    return np.flatnonzero(np.unpackbits(raw, bitorder="little")).astype(np.int64)


def _splits(strides: Sequence[int], most: Sequence[int]) -> Iterator[int]:
    """Copies of each item in binary: 1, 2, 4, ..., rest."""
    for stride, count in zip(strides, most, strict=True):
        copies = 1
        while count > 0:
            yield min(copies, count) * stride
            count -= copies
            copies *= 2


@compiled_part
def place(positions: Ints, room: int) -> int:
    """The last of the positions within a room, as an index."""
    if positions[-1] == len(positions) - 1:
        return min(room, len(positions) - 1)
    low, high = 0, len(positions)
    while high - low > 1:
        middle = (low + high) // 2
        if positions[middle] <= room:
            low = middle
        else:
            high = middle
    return low
