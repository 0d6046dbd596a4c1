"""The linear programme's optimum in exact numbers, read off its basis.

With B the basis and c_B its costs, the prices are c_B B^-1: whole numbers once multiplied by |det B|. They are
sound (see bound.py) when the exact knapsack finds no pattern worth more than its board; then the floor cost is
the optimum itself, and every reduced cost is exact, 0 in the basis.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sawbill.cutting.corner.lattice import Ints, Lattice, lattice
from sawbill.cutting.corner.sums import Corner
from sawbill.cutting.linear import columns
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.patterns import Sheaf, reduced_costs
from sawbill.cutting.linear.reduced import missing as missing_rows
from sawbill.cutting.problem import Pattern, Problem

MOST_CLASSES = 100_000  # beyond this many the corner's graph costs more than it gains
MOST_ROWS = 60
_ANY = 2**40
_LARGEST = 2**61  # what sums in 64 bits must stay below


@dataclass(frozen=True, slots=True)
class Basis:
    """Patterns and slack rows of the basis, in the order of its columns, its lattice, its exact prices."""

    patterns: tuple[Pattern, ...]
    slacks: tuple[int, ...]
    own: Lattice
    duals: Duals


def exact_basis(problem: Problem, fillers: Sequence[Knapsack], master: columns.Master) -> Basis | None:
    """The optimum's basis with exact prices; None when it is too large, or not exactly optimal."""
    size = len(problem.rows) + len(master.limited)
    if size > MOST_ROWS:
        return None
    patterns, slacks = columns.basis(master)
    parts = [vector(problem, pattern) for pattern in patterns] + [slack_vector(problem, row) for row in slacks]
    if len(parts) != size:
        return None
    own = lattice(np.array(parts, np.int64).T, MOST_CLASSES)
    if own is None:
        return None
    costs = np.array([pattern.cost for pattern in patterns] + [0] * len(slacks), np.int64)
    if int(abs(costs).max()) * int(abs(own.adjugate).max()) * size * master.fullest >= _LARGEST:
        return None
    prices = (costs @ own.adjugate).tolist()
    bins = [0] * len(problem.bins)
    for bin_index, row in master.row_of_bin.items():
        bins[bin_index] = -prices[row]
    duals = Duals(tuple(prices[: len(problem.rows)]), tuple(bins), own.determinant)
    return Basis(tuple(patterns), tuple(slacks), own, duals) if _sound(problem, fillers, duals) else None


def _sound(problem: Problem, fillers: Sequence[Knapsack], duals: Duals) -> bool:
    if any(u < 0 for u, row in zip(duals.rows, problem.rows, strict=True) if not row.exact) or min(duals.bins) < 0:
        return False
    fillings = columns.price(problem, fillers, duals, problem.demand)
    return all(columns.gain(problem, duals, b, filling) <= 0 for b, filling in fillings.items())


def limited(problem: Problem) -> list[int]:
    """The bins of which there are only so many; each has a row after those of the pieces."""
    return [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]


def vector(problem: Problem, pattern: Pattern) -> list[int]:
    """A pattern's column: what it gives to each row, and the board it takes of a limited bin."""
    column = [0] * len(problem.rows) + [int(b == pattern.bin) for b in limited(problem)]
    for row, amount in pattern.rows:
        column[row] = amount
    return column


def slack_vector(problem: Problem, row: int) -> list[int]:
    """The column of a row's surplus, -1, or of a limited bin's unused boards, +1."""
    size = len(problem.rows) + len(limited(problem))
    return [(-1 if row < len(problem.rows) else 1) if n == row else 0 for n in range(size)]


@dataclass(frozen=True, slots=True)
class Beside:
    """What lies beside a basis within the slack: patterns, missing pieces, and the surplus of rows, in this order."""

    sheaves: tuple[Sheaf, ...]
    missing: tuple[int, ...]
    corner: Corner

    def pattern(self, problem: Problem, column: int) -> Pattern | None:
        """The pattern of a column; None for a surplus, which is nothing to cut."""
        for sheaf in self.sheaves:
            if column < len(sheaf.counts):
                return sheaf.pattern(problem, column)
            column -= len(sheaf.counts)
        return problem.missing(self.missing[column]) if column < len(self.missing) else None


def corner_at(problem: Problem, basis: Basis, sheaves: Sequence[Sheaf], slack: int) -> Beside:
    """The programme seen from its basis, with those of the patterns that lie beside it."""
    outside = [_outside(problem, basis, sheaf) for sheaf in sheaves]
    blocks = [_columns(problem, sheaf) for sheaf in outside]
    costs = [reduced_costs(problem, basis.duals, sheaf) for sheaf in outside]
    prices = [*basis.duals.rows, *(basis.duals.bins[b] for b in limited(problem))]
    scale = basis.duals.scale
    missing = missing_rows(problem, basis.duals, slack)
    missing = [row for row in missing if problem.missing(row) not in basis.patterns]
    free = [row for row, price in enumerate(prices) if row not in basis.slacks and price <= slack]
    free = [row for row in free if not is_exact(problem, row)]
    singles = [vector(problem, problem.missing(row)) for row in missing] + [slack_vector(problem, row) for row in free]
    target = [*problem.demand, *(problem.bins[b].available or 0 for b in limited(problem))]
    loose = {*free, *basis.slacks}
    most = [_ANY if row in loose and row < len(problem.rows) else amount for row, amount in enumerate(target)]
    blocks.append(np.array(singles, np.int64).reshape(len(singles), len(target)).T)
    costs.append(
        np.array([problem.penalty * scale - prices[row] for row in missing] + [prices[r] for r in free], np.int64)
    )
    corner = Corner(
        own=basis.own,
        columns=np.hstack(blocks),
        costs=np.concatenate(costs),
        target=np.array(target, np.int64),
        most=np.array(most, np.int64),
        fixed=np.array([False] * len(basis.patterns) + [is_exact(problem, row) for row in basis.slacks]),
    )
    return Beside(tuple(outside), tuple(missing), corner)


def _outside(problem: Problem, basis: Basis, sheaf: Sheaf) -> Sheaf:
    """The patterns of a bin that are not in the basis."""
    keep = np.ones(len(sheaf.counts), bool)
    for pattern in basis.patterns:
        if pattern.bin == sheaf.bin:
            own = dict(pattern.items)
            keep &= (sheaf.counts != [own.get(item, 0) for item in sheaf.order]).any(axis=1)
    return Sheaf(sheaf.bin, sheaf.order, sheaf.counts[keep])


def _columns(problem: Problem, sheaf: Sheaf) -> Ints:
    """What each pattern gives to every row, and the board it takes of a limited bin; one column a pattern."""
    items = problem.groups[problem.bins[sheaf.bin].group]
    given = np.zeros((len(sheaf.order), len(problem.rows)), np.int64)
    for place, item in enumerate(sheaf.order):
        given[place, items[item].row] = items[item].gives
    boards = np.array([[int(b == sheaf.bin)] for b in limited(problem)], np.int64).reshape(-1, 1)
    return np.vstack([(sheaf.counts @ given).T, np.repeat(boards, len(sheaf.counts), axis=1)])


def is_exact(problem: Problem, row: int) -> bool:
    """Whether a row allows no surplus."""
    return row < len(problem.rows) and problem.rows[row].exact


def read(problem: Problem, basis: Basis, beside: Beside, counts: Mapping[int, int], basic: Sequence[int]) -> Plan:
    """The plan of a solution: counts of the columns beside the basis and of the basis."""
    plan: Plan = {}
    for column, count in counts.items():
        pattern = beside.pattern(problem, column)
        if pattern is not None:
            plan[pattern] = count
    for pattern, count in zip(basis.patterns, basic, strict=False):
        if count:
            plan[pattern] = plan.get(pattern, 0) + count
    return plan
