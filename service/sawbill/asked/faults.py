"""What is wrong with a request: every fault with its place, in order, one a place."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

T = TypeVar("T")
Pointer = tuple[str | int, ...]

MOST_WORDED: Final = 100
"""How many faults are put into words, in the order of their places: as many as a problem lists (`MOST_ERRORS`)."""


@dataclass(frozen=True, slots=True)
class RequestFault:
    """One fault: where it stands in the request (RFC 6901 steps), a stable code, and what would be right."""

    pointer: Pointer
    code: str
    detail: str


class RequestFaultsError(ValueError):
    """Every fault of a request at once."""

    def __init__(self, faults: Sequence[RequestFault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(fault.detail for fault in faults))


def merged(shape: Iterable[RequestFault], meaning: Iterable[RequestFault]) -> list[RequestFault]:
    """Join the faults of shape and of meaning, one a place.

    What a value means is not told where the shape of it, of what holds it or of what it holds is wrong.
    """
    found: dict[Pointer, RequestFault] = {}
    for fault in shape:
        found.setdefault(fault.pointer, fault)
    wrong = {pointer[:n] for pointer in found for n in range(len(pointer) + 1)}
    ends = set(found)
    for fault in meaning:
        within = any(fault.pointer[:n] in ends for n in range(len(fault.pointer) + 1))
        if not within and fault.pointer not in wrong:
            found.setdefault(fault.pointer, fault)
    return list(found.values())


def first_in_order(all_of_them: Iterable[T], place: Callable[[T], Pointer]) -> list[T]:
    """Put those first that are told, in the order of their places; the order of a flood behind them tells nothing."""
    numbered = [(_order(place(each)), number, each) for number, each in enumerate(all_of_them)]
    first = heapq.nsmallest(MOST_WORDED, numbered)
    taken = {number for _, number, _ in first}
    return [each for _, _, each in first] + [each for _, number, each in numbered if number not in taken]


def _order(pointer: Pointer) -> list[tuple[int, str]]:
    return [(step, "") if isinstance(step, int) else (-1, step) for step in pointer]
