"""Column generation: the linear programme over all patterns, of which only useful ones are ever made.

    least  sum c_p x_p   with   sum a_ip x_p >= d_i   (dual u_i),     sum_{p of k} x_p <= A_k   (dual -m_k).

A pattern p of bin k can lower the optimum only when c_p + m_k - sum u_i a_ip < 0; the knapsack finds, for
all bins of a material at once, the pattern that breaks this most, and when none does the optimum is reached.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from sawbill.cutting.linear.knapsack import NEVER, Filling, Knapsack
from sawbill.cutting.problem import Pattern, Problem
from sawbill.cutting.solver.quiet import QuietSolver

_BLINK = 0.001  # what the solver is given when time is up: it ends with a basis [s]


@dataclass(frozen=True, slots=True)
class Duals:
    """Prices of the programme as whole numbers, scale times what they stand for: u of rows, m of bins."""

    rows: tuple[int, ...]
    bins: tuple[int, ...]
    scale: int


class Master:
    """The linear programme so far: its patterns, and the warm solver behind it."""

    def __init__(self, problem: Problem, patterns: Iterable[Pattern]) -> None:
        self.problem = problem
        self.fullest, self.dearest = fullest(problem), max(bin_.cost for bin_ in problem.bins) + 1
        self.patterns: list[Pattern] = []
        self._known: set[Pattern] = set()
        self.limited = [b for b, bin_ in enumerate(problem.bins) if bin_.available is not None]
        self.row_of_bin = {b: len(problem.rows) + n for n, b in enumerate(self.limited)}
        self.solver = QuietSolver()
        self._add_rows()
        self.add(problem.missing(row) for row in range(len(problem.rows)))
        self.add(patterns)

    def _add_rows(self) -> None:
        none, empty = np.empty(0, np.int32), np.empty(0)
        uppers = [float(row.demand) if row.exact else highspy.kHighsInf for row in self.problem.rows]
        lowers = [float(row.demand) for row in self.problem.rows] + [-highspy.kHighsInf] * len(self.limited)
        uppers += [float(self.problem.bins[b].available or 0) for b in self.limited]
        starts = np.zeros(len(lowers), np.int32)
        self.solver.addRows(len(lowers), np.array(lowers), np.array(uppers), 0, starts, none, empty)

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Add the patterns that are new; how many were."""
        fresh = [p for p in dict.fromkeys(patterns) if p not in self._known]
        if fresh:
            starts: list[int] = []
            indices: list[int] = []
            values: list[float] = []
            for pattern in fresh:
                starts.append(len(indices))
                entries = list(pattern.rows)
                if pattern.bin in self.row_of_bin:
                    entries.append((self.row_of_bin[pattern.bin], 1))
                indices += [index for index, _ in entries]
                values += [float(value) for _, value in entries]
            self.solver.addCols(
                len(fresh),
                np.array([float(pattern.cost) for pattern in fresh]),
                np.zeros(len(fresh)),
                np.full(len(fresh), highspy.kHighsInf),
                len(indices),
                np.array(starts, np.int32),
                np.array(indices, np.int32),
                np.array(values),
            )
            self.patterns += fresh
            self._known.update(fresh)
        return len(fresh)

    def want(self, demand: Sequence[int], left: Sequence[int | None]) -> None:
        """Ask for this much of each row, with so many boards of each bin left."""
        for row, amount in enumerate(demand):
            most = float(amount) if self.problem.rows[row].exact else highspy.kHighsInf
            self.solver.changeRowBounds(row, float(amount), most)
        for bin_index, row in self.row_of_bin.items():
            self.solver.changeRowBounds(row, -highspy.kHighsInf, float(left[bin_index] or 0))

    def solve(self, end: float) -> tuple[float, NDArray[np.float64]]:
        """The optimum over the patterns so far, and how often each is used; end: the emergency stop.

        Stopped, it is only what the solver had come to: nothing may be concluded from it.
        """
        self.solver.setOptionValue("time_limit", self.solver.getRunTime() + max(_BLINK, end - time.monotonic()))
        self.solver.run()
        solution = self.solver.getSolution()
        return self.solver.getInfo().objective_function_value, np.array(solution.col_value)

    def duals(self) -> Duals:
        """The programme's prices as whole numbers, rounded down, as fine as 64 bits allow."""
        raw = list(self.solver.getSolution().row_dual)
        rows = [value if row.exact else max(0.0, value) for value, row in zip(raw, self.problem.rows, strict=False)]
        scale = fine_scale(max(map(abs, raw), default=1.0), self.fullest, self.dearest)
        bins = [0] * len(self.problem.bins)
        for bin_index, row in self.row_of_bin.items():
            bins[bin_index] = max(0, int(-raw[row] * scale))
        return Duals(tuple(int(np.floor(value * scale)) for value in rows), tuple(bins), scale)


def basis(master: Master) -> tuple[list[Pattern], list[int]]:
    """The patterns in the optimum's basis, and the rows whose surplus or unused boards are."""
    found = master.solver.getBasis()
    inside = highspy.HighsBasisStatus.kBasic
    patterns = [p for p, status in zip(master.patterns, found.col_status, strict=True) if status == inside]
    return patterns, [row for row, status in enumerate(found.row_status) if status == inside]


def fullest(problem: Problem) -> int:
    """More than anything one board can give of a row."""
    return max((b.room // item.length + 1) * item.gives for b in problem.bins for item in problem.groups[b.group])


def fine_scale(largest: float, fullest: int, dearest: int) -> int:
    """The power of two by which prices up to the largest can be scaled and a full board still fits 62 bits.

    fullest: more than one board gives of a row; dearest: more than one costs.
    """
    bits = 58 - int(max(largest * fullest, dearest)).bit_length()
    return int(1 << max(0, min(40, bits)))


def price(problem: Problem, fillers: Sequence[Knapsack], duals: Duals, rest: Sequence[int]) -> dict[int, Filling]:
    """The most valuable filling of each bin at these prices, using no more of a row than is left to be cut."""
    found: dict[int, Filling] = {}
    for filler in fillers:
        values = [item.gives * duals.rows[item.row] for item in filler.items]
        most = [-(-rest[item.row] // item.gives) for item in filler.items]
        found |= filler.best(values, most, duals.scale)
    return found


def gain(problem: Problem, duals: Duals, bin_index: int, filling: Filling) -> int:
    """By how much a filling is worth more than its board: sum u a + worth - c_k - m_k, scaled."""
    return filling.value - problem.bins[bin_index].cost * duals.scale - duals.bins[bin_index]


def improving(problem: Problem, duals: Duals, fillings: dict[int, Filling], tolerance: float = 1e-7) -> list[Pattern]:
    """The patterns among the fillings that would lower the optimum."""
    least = int(tolerance * duals.scale)
    return [
        problem.pattern(bin_index, filling.items)
        for bin_index, filling in fillings.items()
        if filling.value > NEVER // 2 and gain(problem, duals, bin_index, filling) > least and filling.items
    ]
