"""From patterns to boards at the saw: no surplus, the leftovers gathered, each piece named and placed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import accumulate, pairwise

from sawbill.estimating.cutting.order import Board, Cut
from sawbill.estimating.cutting.problem import Pattern, Problem, Row, blank_length
from sawbill.estimating.cutting.yard import blanks


@dataclass(frozen=True, slots=True, order=True)
class Layout:
    """What is cut from one board of a bin: (row, amount), in pieces, or in blocks of one blank for small parts."""

    bin: int
    cuts: tuple[tuple[int, int], ...]

    def without(self, row: int, amount: int) -> Layout:
        """The same with so much less of a row."""
        cuts = ((r, n - amount if r == row else n) for r, n in self.cuts)
        return Layout(self.bin, tuple((r, n) for r, n in cuts if n))


Layouts = Counter[Layout]


def lay_out(problem: Problem, plan: Mapping[Pattern, int]) -> Layouts:
    """The plan's boards, blanks of one part in a board joined to one, surplus left out."""
    layouts: Layouts = Counter()
    for pattern, count in plan.items():
        group = problem.groups[problem.bins[pattern.bin].group]
        cuts: Counter[int] = Counter()
        for index, n in pattern.items:
            cuts[group[index].row] += n * (group[index].blocks or 1)
        layouts[Layout(pattern.bin, tuple(sorted(cuts.items())))] += count
    had: Counter[int] = Counter()
    for layout, count in layouts.items():
        for row, n in layout.cuts:
            had[row] += n * count * gives(problem, layout, row)
    for row, asked in enumerate(problem.rows):
        if had[row] > asked.demand:
            _leave_out_surplus(problem, layouts, row, had[row] - asked.demand)
    return layouts


def used(problem: Problem, layout: Layout) -> int:
    """The length a layout takes up, each cut's kerf included [nm]."""
    return sum(taken(problem.rows[row], n, problem.kerf) for row, n in layout.cuts)


def taken(row: Row, amount: int, kerf: int) -> int:
    """The length that so many pieces, or one blank of so many blocks, take up, each cut's kerf included [nm]."""
    if row.part is None:
        return amount * (row.length + kerf)
    return blank_length(row.part, amount, kerf) + kerf


def leftover(problem: Problem, layout: Layout) -> int:
    """What remains of the board after the last cut's kerf [nm]."""
    return max(0, problem.bins[layout.bin].usable - used(problem, layout))


def gives(problem: Problem, layout: Layout, row: int) -> int:
    """How many strips lie side by side: 1 for a piece, more for a blank."""
    part = problem.rows[row].part
    if part is None:
        return 1
    return part.strips[problem.bins[layout.bin].material]


def _leave_out_surplus(problem: Problem, layouts: Layouts, row: int, surplus: int) -> None:
    """Take what is too much of a row off the boards, first off those cut least often with the most left over."""
    for layout in sorted(layouts, key=lambda own: (layouts[own], -leftover(problem, own), own)):
        there = dict(layout.cuts).get(row, 0)
        while there and layouts[layout] and surplus >= gives(problem, layout, row):
            strips = gives(problem, layout, row)
            amount = min(there, surplus // strips)
            boards = min(layouts[layout], surplus // (amount * strips))
            layouts[layout] -= boards
            less = layout.without(row, amount)
            if less.cuts:
                layouts[less] += boards
            surplus -= boards * amount * strips
    for layout in [own for own, count in layouts.items() if not count]:
        del layouts[layout]


def name_boards(problem: Problem, layouts: Layouts) -> Counter[Board]:
    """Boards with the callers' keys: lots are given out in the order of their keys, alike boards together."""
    boards: Counter[Board] = Counter()
    given = [0] * len(problem.rows)
    drawn = [0] * len(problem.bins)
    for layout in sorted(layouts, key=lambda own: (own.bin, -used(problem, own), own.cuts)):
        count = layouts[layout]
        for first, boards_alike in _runs(problem, layout, count, given, drawn[layout.bin]):
            starts = {row: given[row] + first * n for row, n in layout.cuts}
            board = _board(problem, layout, starts, drawn[layout.bin] + first)
            boards[board] += boards_alike
        drawn[layout.bin] += count
        for row, n in layout.cuts:
            given[row] += n * count
    return boards


def _runs(problem: Problem, layout: Layout, count: int, given: list[int], drawn: int) -> Iterator[tuple[int, int]]:
    """Runs of boards whose pieces and stock have the same keys, as (first, how many)."""
    breaks = {0, count}
    sequences = [(1, drawn, [end for _, end in _bin_ends(problem, layout.bin)])]
    sequences += [(n, given[row], [end for _, end in _row_ends(problem.rows[row])]) for row, n in layout.cuts]
    for each, start, ends in sequences:
        for end in ends:
            if start < end < start + each * count:
                breaks |= {(end - start) // each, -((start - end) // each)}
    marks = sorted(breaks)
    return ((first, last - first) for first, last in pairwise(marks))


def _row_ends(row: Row) -> list[tuple[str, int]]:
    keys = [key for key, _ in row.lots]
    return list(zip(keys, accumulate(count for _, count in row.lots), strict=True))


def _bin_ends(problem: Problem, bin_index: int) -> list[tuple[str, int]]:
    """Where each stock key's boards end in the bin's sequence; an unlimited one goes on beyond every plan."""
    endless = sum(problem.demand) + 1
    lots = problem.bins[bin_index].lots
    ends = accumulate(endless if count is None else count for _, count in lots)
    return list(zip([key for key, _ in lots], ends, strict=True))


def drawn(problem: Problem, bin_index: int, count: int) -> dict[str, int]:
    """How many of so many boards of a bin are of each stock, by key."""
    ends = [(key, min(end, count)) for key, end in _bin_ends(problem, bin_index)]
    befores = [0, *(end for _, end in ends)]
    return {key: end - before for (key, end), before in zip(ends, befores, strict=False) if end > before}


def _key_at(ends: list[tuple[str, int]], place: int) -> str:
    return next((key for key, end in ends if place < end), ends[-1][0])


def _board(problem: Problem, layout: Layout, starts: Mapping[int, int], drawn: int) -> Board:
    """One board: longest cut first, blanks last, each after the kerf of the one before.

    Blanks joined, or with their surplus left out, may end up to a kerf short of where the pattern did: where slivers
    are forbidden the last one takes what is left, some of it waste.
    """
    cuts: list[tuple[bool, int, str, int]] = []
    for row_index, n in layout.cuts:
        row = problem.rows[row_index]
        ends = _row_ends(row)
        if row.part is None:
            cuts += [(False, -row.length, _key_at(ends, starts[row_index] + i), 1) for i in range(n)]
        else:
            strips = gives(problem, layout, row_index)
            for blocks in blanks(row.part, n, problem.bins[layout.bin].carry, problem.kerf):
                cuts.append((True, -blank_length(row.part, blocks, problem.kerf), row.lots[0][0], blocks * strips))
    cuts.sort()
    sliver = problem.bins[layout.bin].usable - sum(problem.kerf - cut[1] for cut in cuts) + problem.kerf
    if problem.no_slivers and 0 < sliver < problem.kerf:
        cuts[-1] = (cuts[-1][0], cuts[-1][1] - sliver, *cuts[-1][2:])
    placed, at = [], 0
    for blank, negative, key, parts in cuts:
        placed.append(Cut(key, at, -negative, parts, blank))
        at += -negative + problem.kerf
    stock = _key_at(_bin_ends(problem, layout.bin), drawn)
    return Board(stock, 1, tuple(placed), leftover(problem, layout))
