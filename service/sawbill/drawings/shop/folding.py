"""Rows that agree but for one number become one row that lists it; it holds for each with each of the others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import Protocol, Self, TypeVar


class Ordered(Protocol):
    """What can be put in order."""

    def __lt__(self, other: Self, /) -> bool: ...
    def __hash__(self) -> int: ...


T = TypeVar("T", bound=Ordered)


Row = tuple[list[T], list[T], list[T]]


def folded(places: Iterable[tuple[T, T, T]]) -> list[Row[T]]:
    """Cover places by few rows, the longest first: each of a row's first numbers with each second and each third."""
    left = sorted(set(places))
    rows: list[Row[T]] = []
    while left:
        best = max((_group(left, which) for which in range(3)), key=len)
        rows.append(_row(best))
        left = [each for each in left if each not in set(best)]
    return sorted(_joined(rows))


def _joined(rows: list[Row[T]]) -> list[Row[T]]:
    """Rows that agree in two of their lists as one."""
    for one, other in combinations(rows, 2):
        apart = [k for k in range(3) if one[k] != other[k]]
        if len(apart) == 1 and not set(one[apart[0]]) & set(other[apart[0]]):
            a, b, c = (sorted({*one[k], *other[k]}) for k in range(3))
            return _joined([(a, b, c), *(row for row in rows if row is not one and row is not other)])
    return rows


def _group(left: Sequence[tuple[T, T, T]], which: int) -> list[tuple[T, T, T]]:
    """The most places that agree in all but one number; of as many the first."""
    groups: dict[tuple[T, ...], list[tuple[T, T, T]]] = defaultdict(list)
    for each in left:
        groups[each[:which] + each[which + 1 :]].append(each)
    return max(groups.values(), key=len)


def _row(group: Sequence[tuple[T, T, T]]) -> Row[T]:
    return sorted({a for a, _, _ in group}), sorted({b for _, b, _ in group}), sorted({c for _, _, c in group})
