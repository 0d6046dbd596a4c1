"""An integer programme given as numbers, solved by HiGHS itself; runs in the helper process."""

from __future__ import annotations

import time

import highspy
import numpy as np

from sawbill.estimating.cutting.answers import Answer, Effort, Outcome, Programme
from sawbill.estimating.cutting.quiet import QuietSolver

_OUTCOMES = {
    highspy.HighsModelStatus.kOptimal: Outcome.BEST,
    highspy.HighsModelStatus.kInfeasible: Outcome.IMPOSSIBLE,
    highspy.HighsModelStatus.kObjectiveTarget: Outcome.STOPPED,
    highspy.HighsModelStatus.kSolutionLimit: Outcome.STOPPED,
    highspy.HighsModelStatus.kTimeLimit: Outcome.STOPPED,
}


def solve(programme: Programme, step: int, target: int, effort: Effort) -> Answer:
    """The best solution, costs in steps of so much; any that reaches the target will do.

    An answer that fails in whole numbers, and a claim that there is none, are asked for again without presolve.
    """
    end = time.monotonic() + effort.seconds
    answer = Answer(Outcome.UNKNOWN)
    for presolve in ("on", "off"):
        answer = _run(programme, step, target, effort.nodes, end - time.monotonic(), presolve)
        if answer.outcome in (Outcome.BEST, Outcome.STOPPED) or answer.timed_out:
            return answer
    return answer


def _run(programme: Programme, step: int, target: int, nodes: int, seconds: float, presolve: str) -> Answer:
    solver = QuietSolver()
    for option, value in (
        ("presolve", presolve),
        ("solver", "choose"),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.999 * step),
        ("objective_target", target + 0.001 * step),
        ("mip_max_nodes", nodes),
        ("time_limit", max(0.01, seconds)),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(_model(programme))
    solver.run()
    status = solver.getModelStatus()
    outcome = _OUTCOMES.get(status, Outcome.UNKNOWN)
    timed_out = status == highspy.HighsModelStatus.kTimeLimit
    if outcome is Outcome.IMPOSSIBLE:
        return Answer(outcome)
    counts = tuple(round(value) for value in solver.getSolution().col_value)
    if outcome is Outcome.UNKNOWN or not counts or not holds(programme, counts):
        return Answer(Outcome.UNKNOWN, timed_out=timed_out)
    return Answer(outcome, counts, timed_out)


def holds(programme: Programme, counts: tuple[int, ...]) -> bool:
    """Whether the counts satisfy every row exactly."""
    totals = [0] * len(programme.lowers)
    for column, count in zip(programme.columns, counts, strict=True):
        if count < 0:
            return False
        for row, value in column:
            totals[row] += value * count
    return all(
        (low is None or low <= total) and (high is None or total <= high)
        for total, low, high in zip(totals, programme.lowers, programme.uppers, strict=True)
    )


def _model(programme: Programme) -> highspy.HighsLp:
    columns, inf = len(programme.costs), highspy.kHighsInf
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = columns, len(programme.lowers)
    model.col_cost_ = np.array(programme.costs, float)
    model.col_lower_, model.col_upper_ = np.zeros(columns), np.full(columns, inf)
    model.row_lower_ = np.array([-inf if low is None else low for low in programme.lowers], float)
    model.row_upper_ = np.array([inf if high is None else high for high in programme.uppers], float)
    matrix = model.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kColwise
    sizes = [len(column) for column in programme.columns]
    matrix.start_ = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32)
    matrix.index_ = np.array([row for column in programme.columns for row, _ in column], np.int32)
    matrix.value_ = np.array([value for column in programme.columns for _, value in column], float)
    model.integrality_ = [highspy.HighsVarType.kInteger] * columns
    return model
