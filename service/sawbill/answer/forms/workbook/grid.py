"""The columns of a sheet on which several tables stand one under the other, each with columns of its own widths.

Every place where a column of any table ends, a column of the sheet ends; a cell of a table takes as many of these as
lie within its own. So no table is narrow because another has long words.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

NEAR: Final = 6
"""How much wider than it has to be a column may become, to end where another ends [characters]."""


def grid(tables: Sequence[Sequence[int]], spread: Sequence[bool], wide: int) -> tuple[list[int], list[list[int]]]:
    """Find the columns of a sheet.

    tables: how wide each column of each table is at least [characters]; spread: whether the last column of each goes up
    to the end of the sheet; wide: the whole sheet, or more where a table takes more. Gives how wide each column of the
    sheet is, and for each table the numbers of the columns where its own begin, and of the one after its last.
    """
    ends: list[int] = []
    for widths in sorted(tables, key=len, reverse=True):  # those of fewer columns find an end more easily
        _laid(widths, ends)
    laid = [_laid(widths, ends) for widths in tables]
    wide = max(wide, *(edges[-2] + widths[-1] for edges, widths in zip(laid, tables, strict=True)), *ends)
    laid = [[*edges[:-1], wide] if spreads else edges for edges, spreads in zip(laid, spread, strict=True)]
    marks = sorted({0, wide}.union(*laid))
    begins = [[marks.index(edge) for edge in edges] for edges in laid]
    return [b - a for a, b in pairwise(marks)], begins


def _laid(widths: Sequence[int], ends: list[int]) -> list[int]:
    """Tell where each column of a table begins, and its last ends [characters], adding the ends that are not there."""
    edges = [0]
    for width in widths:
        least = edges[-1] + width
        place = bisect_left(ends, least)
        if place == len(ends) or ends[place] > least + NEAR:
            insort(ends, least)
        edges.append(ends[place])
    return edges
