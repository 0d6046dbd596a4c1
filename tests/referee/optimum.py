"""The least value of an integer programme, by OR-Tools' CP-SAT: it reckons in whole numbers, so its proof is exact."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ortools.sat.python import cp_model

SECONDS = 10.0
"""How long one programme may take before its value is left between two bounds."""


@dataclass(frozen=True)
class Least:
    """The least value there is lies in low..high; high is None where nothing was found, impossible where nothing is."""

    low: int
    high: int | None
    impossible: bool = False

    @property
    def known(self) -> bool:
        """Whether nothing is left open."""
        return self.impossible or self.low == self.high


def least(model: cp_model.CpModel, objective: cp_model.LinearExprT, seconds: float = SECONDS) -> Least:
    """Find the least value of an objective, on one core."""
    value, _ = solved(model, objective, seconds)
    return value


def solved(
    model: cp_model.CpModel, objective: cp_model.LinearExprT, seconds: float = SECONDS
) -> tuple[Least, Callable[[cp_model.LinearExprT], int] | None]:
    """Find the least value of an objective, and what reads values of the solution."""
    model.minimize(objective)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.linearization_level = 2
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Least(0, None, impossible=True), None
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        low = -((-round(solver.best_objective_bound * 1000)) // 1000)
        high = round(solver.objective_value)
        return Least(high if status == cp_model.OPTIMAL else min(low, high), high), solver.value
    if status == cp_model.MODEL_INVALID:
        raise ValueError(model.validate())
    return Least(-(10**15), None), None
