"""Integer programmes solved by HiGHS, in the helper process: the one place where one is.

HiGHS reckons in floats. It has called solvable programmes infeasible in its presolve, takes 0.01 % for optimal unless
told otherwise, and through the tolerance of its rows has called four set-ups enough where five are needed. So

- the gaps are set to 0, or just below a step of the costs;
- what a solution may cost is told as the solver's bound too: what it fixes by that makes it about four times as fast;
- a solution counts once its whole numbers hold every row exactly, and costs what they say;
- "there is none", and "there is none cheaper", count once a second solve says so as well: without presolve, and of the
  programme that asks for something cheaper, so that it goes another way.
"""

from __future__ import annotations

import time

import highspy
import numpy as np

from sawbill.cutting.solver.answers import Answer, Effort, Outcome, Programme
from sawbill.cutting.solver.quiet import QuietSolver

MANY_NODES = 1_000  # of branch and bound from which it pays to begin anew with what was learnt

_OUTCOMES = {
    highspy.HighsModelStatus.kOptimal: Outcome.BEST,
    highspy.HighsModelStatus.kInfeasible: Outcome.IMPOSSIBLE,
    highspy.HighsModelStatus.kObjectiveBound: Outcome.IMPOSSIBLE,
    highspy.HighsModelStatus.kObjectiveTarget: Outcome.STOPPED,
    highspy.HighsModelStatus.kSolutionLimit: Outcome.STOPPED,
    highspy.HighsModelStatus.kTimeLimit: Outcome.STOPPED,
}


def solve(programme: Programme, step: int, target: int, effort: Effort) -> Answer:
    """The best solution, costs in steps of so much; any that costs no more than the target is the best.

    Without a proof in whole numbers or by a second solve the best that was come to is only that.
    """
    end = time.monotonic() + effort.seconds
    if not programme.costs:
        return Answer(Outcome.BEST if programme.holds(()) else Outcome.IMPOSSIBLE)
    answer = _solved(programme, step, target, effort.nodes, end, "on")
    if answer.outcome is Outcome.UNKNOWN and not answer.timed_out:
        answer = _solved(programme, step, target, effort.nodes, end, "off")
    while effort.proof and answer.outcome in (Outcome.BEST, Outcome.IMPOSSIBLE):
        if answer.counts and programme.cost(answer.counts) <= target:
            break
        cheaper = programme.up_to(programme.cost(answer.counts) - step) if answer.counts else programme
        second = _solved(cheaper, step, target, effort.nodes, end, "off")
        if second.outcome is Outcome.IMPOSSIBLE:
            break
        if not second.counts:
            outcome = Outcome.STOPPED if answer.counts else Outcome.UNKNOWN
            return Answer(outcome, answer.counts, second.timed_out)
        answer = second
    return answer


def _solved(programme: Programme, step: int, target: int, nodes: int, end: float, presolve: str) -> Answer:
    """What one solve says, its solution held against the rows in whole numbers."""
    solver = QuietSolver()
    for option, value in (
        ("presolve", presolve),
        ("solver", "choose"),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.999 * step),
        ("objective_target", target + 0.001 * step),
        ("objective_bound", highspy.kHighsInf if programme.most is None else programme.most + 0.5 * step),
        ("mip_max_nodes", nodes),
        ("mip_allow_restart", nodes >= MANY_NODES),
        ("mip_heuristic_run_feasibility_jump", False),  # a third of a small programme's time, and nothing found there
        ("time_limit", max(0.01, end - time.monotonic())),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(_model(programme))
    solver.run()
    status = solver.getModelStatus()
    outcome, timed_out = _OUTCOMES.get(status, Outcome.UNKNOWN), status == highspy.HighsModelStatus.kTimeLimit
    if outcome is Outcome.IMPOSSIBLE:
        return Answer(outcome)
    counts = tuple(round(value) for value in solver.getSolution().col_value)
    if not counts and outcome is Outcome.STOPPED:
        return Answer(outcome, timed_out=timed_out)
    if not counts or not programme.holds(counts):
        return Answer(Outcome.UNKNOWN, timed_out=timed_out)
    if programme.cost(counts) <= target:
        return Answer(Outcome.BEST, counts)
    return Answer(Outcome.STOPPED if outcome is Outcome.UNKNOWN else outcome, counts, timed_out)


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
