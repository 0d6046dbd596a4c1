"""From patterns to boards at the saw: no surplus, the leftovers gathered, each piece named and placed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise, product
from typing import NamedTuple

from sawbill.cutting.order import Board, Cut
from sawbill.cutting.problem import Pattern, Problem, Row
from sawbill.cutting.yard import blanks, fewest


@dataclass(frozen=True, slots=True, order=True)
class Layout:
    """What is cut from one board of a bin: (row, amount), in pieces, or in blocks of one blank for small parts."""

    bin: int
    cuts: tuple[tuple[int, int], ...]

    def without(self, row: int, amount: int) -> Layout:
        """The same with so much less of a row."""
        cuts = ((r, n - amount if r == row else n) for r, n in self.cuts)
        return Layout(self.bin, tuple((r, n) for r, n in cuts if n))


_ENDLESS = 2**62  # boards, where there is no limit

Layouts = Counter[Layout]
Ends = list[tuple[str, int]]  # keys, and where each ends in a sequence


class _Ends(NamedTuple):
    """Where the pieces of each row and the boards of each bin change their keys."""

    rows: list[Ends]
    bins: list[Ends]


def lay_out(problem: Problem, plan: Mapping[Pattern, int]) -> Layouts:
    """The plan's boards, blanks of one part in a board joined to one, surplus left out."""
    layouts: Layouts = Counter()
    for pattern, count in plan.items():
        group = problem.groups[problem.bins[pattern.bin].group]
        cuts: Counter[int] = Counter()
        for index, n in pattern.items:
            cuts[group[index].row] += n * (group[index].blocks or 1)
        layouts[Layout(pattern.bin, tuple(sorted(cuts.items())))] += count
    return without_surplus(problem, layouts)


def without_surplus(problem: Problem, layouts: Layouts) -> Layouts:
    """The same boards, with no more of a row than is asked."""
    layouts = Counter(layouts)
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
    carry = problem.bins[layout.bin].carry
    return sum(taken(problem.rows[row], n, problem.kerf, carry) for row, n in layout.cuts)


def taken(row: Row, amount: int, kerf: int, carry: int | None) -> int:
    """The length that so many pieces, or blanks of so many blocks in all, take up, each cut's kerf included [nm]."""
    if row.part is None:
        return amount * (row.length + kerf)
    own = blanks(row.part, amount, fewest(row.part, amount, carry, kerf), kerf)
    return sum(own) + kerf * len(own)


def leftover(problem: Problem, layout: Layout) -> int:
    """What remains of the board after the last cut's kerf [nm]."""
    return max(0, problem.bins[layout.bin].usable - used(problem, layout))


def worth(problem: Problem, layouts: Layouts) -> int:
    """What the leftovers of all boards are credited with [minor units]."""
    if not problem.credited:
        return 0
    return sum(problem.worth(own.bin, leftover(problem, own)) * count for own, count in layouts.items())


def gives(problem: Problem, layout: Layout, row: int) -> int:
    """How many strips lie side by side: 1 for a piece, more for a blank."""
    part = problem.rows[row].part
    if part is None:
        return 1
    return part.strips[problem.bins[layout.bin].material]


def _leave_out_surplus(problem: Problem, layouts: Layouts, row: int, surplus: int) -> None:
    """Take what is too much of a row off the boards, first off those cut least often with the most left over.

    Too many small parts do no harm: they are left out only where boards cut alike stay so.
    """
    alike = problem.rows[row].part is not None
    for layout in sorted(layouts, key=lambda own: (layouts[own], -leftover(problem, own), own)):
        there = dict(layout.cuts).get(row, 0)
        strips = gives(problem, layout, row) if there else 1
        least = strips * layouts[layout] if alike else strips
        while there and layouts[layout] and surplus >= least:
            amount = min(there, surplus // least)
            boards = layouts[layout] if alike else min(layouts[layout], surplus // (amount * strips))
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
    ends = _Ends([_row_ends(row) for row in problem.rows], [_bin_ends(problem, b) for b in range(len(problem.bins))])
    for layout in sorted(layouts, key=lambda own: (own.bin, -used(problem, own), own.cuts)):
        count = layouts[layout]
        for first, boards_alike in _runs(ends, layout, count, given, drawn[layout.bin]):
            starts = {row: given[row] + first * n for row, n in layout.cuts}
            board = _board(problem, ends, layout, starts, drawn[layout.bin] + first)
            boards[board] += boards_alike
        drawn[layout.bin] += count
        for row, n in layout.cuts:
            given[row] += n * count
    return boards


def _runs(ends_of: _Ends, layout: Layout, count: int, given: list[int], drawn: int) -> Iterator[tuple[int, int]]:
    """Runs of boards whose pieces and stock have the same keys, as (first, how many)."""
    breaks = {0, count}
    sequences = [(1, drawn, ends_of.bins[layout.bin]), *((n, given[row], ends_of.rows[row]) for row, n in layout.cuts)]
    for each, start, ends in sequences:
        for _, end in ends:
            if start < end < start + each * count:
                breaks |= {(end - start) // each, -((start - end) // each)}
    marks = sorted(breaks)
    return ((first, last - first) for first, last in pairwise(marks))


def _row_ends(row: Row) -> Ends:
    keys = [key for key, _ in row.lots]
    return list(zip(keys, accumulate(count for _, count in row.lots), strict=True))


def _bin_ends(problem: Problem, bin_index: int) -> Ends:
    """Where each stock key's boards end in the bin's sequence; an unlimited one goes on beyond every plan."""
    lots = problem.bins[bin_index].lots
    ends = accumulate(_ENDLESS if count is None else count for _, count in lots)
    return list(zip([key for key, _ in lots], ends, strict=True))


def drawn(problem: Problem, bin_index: int, count: int) -> dict[str, int]:
    """How many of so many boards of a bin are of each stock, by key."""
    ends = [(key, min(end, count)) for key, end in _bin_ends(problem, bin_index)]
    befores = [0, *(end for _, end in ends)]
    return {key: end - before for (key, end), before in zip(ends, befores, strict=False) if end > before}


def _key_at(ends: Ends, place: int) -> str:
    return next((key for key, end in ends if place < end), ends[-1][0])


def _board(problem: Problem, ends_of: _Ends, layout: Layout, starts: Mapping[int, int], drawn: int) -> Board:
    """One board: longest cut first, blanks last, each after the kerf of the one before."""
    cuts: list[tuple[bool, int, str, int]] = []
    own = _blanks(problem, layout)
    for row_index, n in layout.cuts:
        row, ends = problem.rows[row_index], ends_of.rows[row_index]
        if row.part is None:
            cuts += [(False, -row.length, _key_at(ends, starts[row_index] + i), 1) for i in range(n)]
        else:
            strips, number = gives(problem, layout, row_index), len(own[row_index])
            for i, length in enumerate(own[row_index]):
                blocks = n // number + (i < n % number)
                cuts.append((True, -length, row.lots[0][0], blocks * strips))
    cuts.sort()
    placed, at = [], 0
    for blank, negative, key, parts in cuts:
        placed.append(Cut(key, at, -negative, parts, blank))
        at += -negative + problem.kerf
    stock = _key_at(ends_of.bins[layout.bin], drawn)
    return Board(stock, 1, tuple(placed), leftover(problem, layout))


def _blanks(problem: Problem, layout: Layout) -> dict[int, list[int]]:
    """The lengths of the blanks for each row of small parts, as few as can be carried [nm].

    Where slivers are forbidden and one would be left, blanks take it up as waste: the last as far as it can be
    carried, then those before it. Where all of them cannot, there are more of them: the pattern had as many.
    """
    carry, kerf = problem.bins[layout.bin].carry, problem.kerf
    parts = [(r, problem.rows[r].part, n) for r, n in layout.cuts]
    rows = [(r, part, n) for r, part, n in parts if part is not None]
    least = [fewest(part, n, carry, kerf) for _, part, n in rows]
    pieces = sum(n * (problem.rows[r].length + kerf) for r, part, n in parts if part is None)
    for numbers in _numbers(least, [n for _, _, n in rows]):
        own = [blanks(part, n, number, kerf) for (_, part, n), number in zip(rows, numbers, strict=True)]
        sliver = problem.bins[layout.bin].usable + kerf - pieces - sum(sum(each) + kerf * len(each) for each in own)
        if not problem.no_slivers or sliver == 0 or sliver >= kerf:
            break
        stretched = _stretched(own, sliver, carry)
        if stretched is not None:
            own = stretched
            break
    return {r: each for (r, _, _), each in zip(rows, own, strict=True)}


def _numbers(least: Sequence[int], most: Sequence[int]) -> Iterator[Sequence[int]]:
    """So many blanks of each row, then more of them, the fewest first."""
    yield least
    ways = [range(few, n + 1) for few, n in zip(least, most, strict=True)]
    yield from sorted(product(*ways), key=lambda way: (sum(way), way))


def _stretched(own: list[list[int]], sliver: int, carry: int | None) -> list[list[int]] | None:
    """The blanks with a sliver shared out among them, from the last; None where they cannot take it all up [nm]."""
    found: list[list[int]] = []
    if sliver < 0:
        return None
    for each in reversed(own):
        longer = []
        for length in reversed(each):
            more = sliver if carry is None else min(sliver, carry - length)
            longer.append(length + more)
            sliver -= more
        found.append(longer[::-1])
    return found[::-1] if sliver == 0 else None
