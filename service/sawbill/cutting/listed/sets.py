"""All sets of so many ways to cut a board that may make up a plan, one after the other (see supports.py)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part, inlined
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.listed.counting import COUNTS, Best, complete
from sawbill.cutting.listed.equations import Columns, Equations, Floats, Wanted, left_to, may_be, reduce

REDUCED = 20  # steps that it takes to bring the equations of a set into reduced form
AT_ONCE = 10  # last columns that are looked at in a step


class Held(NamedTuple):
    """What tells at once that a set is none.

    masks: the rows that a column holds, as bits; by_row: of each row the columns that hold it, from starts[row] on, and
    after the last row all columns; across: what these give in each equation; order: rows, those that fewest hold first;
    need: how many columns it takes at least to cover each set of rows; gives: the most that all boards of a column give
    of a row, and, last, count for; caps: of any column; asked: of all.
    """

    masks: Ints
    by_row: Ints
    starts: Ints
    across: Floats
    order: Ints
    need: Ints
    gives: Floats
    caps: Floats
    asked: Floats


class Work(NamedTuple):
    """Room for the search, by depth.

    chosen: columns; covered: rows, as bits; spent: reduced costs; first, ends and next_: where in `by_row` the columns
    of the row branched on begin and end, and which comes next; banned: the depth, from 1, at which a column was tried
    before; one: of each row, with one board each; all: with as many as there may be; equations: of the set; left: what
    last columns give in the first equation that is left over.
    """

    chosen: Ints
    covered: Ints
    spent: Ints
    first: Ints
    ends: Ints
    next_: Ints
    banned: Ints
    one: Ints
    all: Floats
    equations: Equations
    left: Floats


@compiled
def cover(masks: Ints, need: Ints) -> None:
    """How many columns it takes at least to cover each set of rows, as bits; masks: the rows that columns hold."""
    for rows in range(1, len(need)):
        need[rows] = len(need)
        for held in masks:
            if held & rows:
                need[rows] = min(need[rows], need[rows & ~held] + 1)


@compiled
def sets_of(own: Columns, wanted: Wanted, held: Held, k: int, steps: int, work: Work, best: Best) -> int:
    """All sets of k columns; the steps left. Once one is a plan, `best` holds the best."""
    chosen, banned, spent, covered = work.chosen, work.banned, work.spent, work.covered
    depth, fresh = 0, True
    while depth >= 0:
        if fresh:
            row = _to_branch_on(held.order, covered[depth])
            work.first[depth] = work.next_[depth] = held.starts[row]
            work.ends[depth], fresh = held.starts[row + 1], False
            if depth == k - 1:
                steps = _last(own, wanted, held, steps, work, best)
                depth -= 1
                continue
        at = work.next_[depth]
        j = held.by_row[at] if at < work.ends[depth] else -1
        if j < 0 or steps <= 0 or spent[depth] + own.reduced[j] > wanted.slack:  # the others cost still more
            for n in range(work.first[depth], at):
                if banned[held.by_row[n]] == depth + 1:
                    banned[held.by_row[n]] = 0
            depth -= 1
            continue
        work.next_[depth] += 1
        steps -= 1
        if banned[j]:
            continue
        banned[j] = depth + 1
        covered[depth + 1], spent[depth + 1] = covered[depth] | held.masks[j], spent[depth] + own.reduced[j]
        if held.need[len(held.need) - 1 & ~covered[depth + 1]] > k - depth - 1:
            continue
        if not _fits(own.given[j], work.one, wanted.demand, wanted.loose, depth):
            continue
        if not _is_enough(held.gives[j], work.all, held.caps, held.asked, depth, k - depth - 1):
            continue
        chosen[depth] = j
        depth, fresh = depth + 1, True
    return steps


@compiled_part
def _last(own: Columns, wanted: Wanted, held: Held, steps: int, work: Work, best: Best) -> int:
    """All sets of the columns chosen and a last one; the steps left."""
    k, depth, table = len(work.chosen), len(work.chosen) - 1, work.equations.table
    uncovered, slack = len(held.need) - 1 & ~work.covered[depth], wanted.slack - work.spent[depth]
    done = reduce(own, wanted, work.chosen, work.equations)
    first, end = work.first[depth], work.ends[depth]
    _in_first_left(held.across, table, k, done, first, work.left[: end - first])
    side = table[done, k + len(wanted.sides)] if done < len(wanted.sides) else 0.0
    steps -= REDUCED + (end - first) // AT_ONCE
    for at in range(first, end):
        j = held.by_row[at]
        if not may_be(work.left[at - first], side, own.most[j]) or work.banned[j] or uncovered & ~held.masks[j]:
            continue
        if steps <= 0 or own.reduced[j] > slack:
            break
        steps -= 1
        last = left_to(table, own.equations[j], own.most[j], k, done)
        if last < 0 or not _fits(own.given[j], work.one, wanted.demand, wanted.loose, depth):
            continue
        if not _is_enough(held.gives[j], work.all, held.caps, held.asked, depth, 0):
            continue
        work.chosen[depth] = j
        tried = complete(own, wanted, work.chosen, work.equations, last, best)
        steps -= 3 * k * tried if tried < COUNTS else steps
    return steps


@compiled_part
def _in_first_left(across: Floats, table: Floats, k: int, done: int, first: int, left: Floats) -> None:
    """What columns give in the first equation without a pivot, 0 where there is none: all at once, as is quickest."""
    for n in range(len(left)):
        left[n] = 0.0
    for equation in range(len(across) if done < len(across) else 0):
        factor = table[done, k + equation]
        for n in range(len(left)):
            left[n] += factor * across[equation, first + n]


@inlined
def _to_branch_on(order: Ints, covered: int) -> int:
    """The uncovered row that fewest columns hold, the number after the last where all are covered."""
    found = len(order)
    for row in order:
        if not covered >> row & 1:
            found = row
            break
    return found


@inlined
def _fits(given: Ints, one: Ints, demand: Ints, loose: NDArray[np.bool_], depth: int) -> bool:
    """Whether one board of each column gives no more than may be, a column added to those before."""
    fits = True
    for n in range(len(given)):
        one[depth + 1, n] = one[depth, n] + given[n]
        fits = fits and (loose[n] or one[depth + 1, n] <= demand[n])
    return fits


@inlined
def _is_enough(gives: Floats, all_: Floats, caps: Floats, asked: Floats, depth: int, more: int) -> bool:
    """Whether all boards of the columns, with so many more columns, may give enough, a column added likewise."""
    enough = True
    for n in range(len(gives)):
        all_[depth + 1, n] = all_[depth, n] + gives[n]
        enough = enough and all_[depth + 1, n] + more * caps[n] >= asked[n]
    return enough
