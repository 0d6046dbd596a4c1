"""The pattern master: the integer programme over a list of patterns, stated in PuLP and solved by HiGHS.

With x_p the number of boards cut by pattern p and a_ip what each gives of row i, it is

    least  sum c_p x_p   with   sum a_ip x_p >= d_i (= d_i where no surplus is allowed)   for each row i,
                                sum_{p of bin k} x_p <= A_k                               for each limited bin k,

and for tie-breaks a roof on the cost, a fixed number of boards, and y_p = 1 where x_p > 0 (x_p <= U_p y_p).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

import pulp

from sawbill.estimating.cutting.answers import Answer, Effort, Outcome
from sawbill.estimating.cutting.problem import MISSING, Pattern, Problem

FEASIBLE = 2  # HiGHS's word for "there is a solution"

MANY_NODES = 1_000  # of branch and bound from which it pays to begin anew with what was learnt

Roof = tuple[Sequence[int], int]  # a weight for each pattern, and the most their total may be


def least(
    problem: Problem,
    patterns: Sequence[Pattern],
    weights: Sequence[int],
    per_setup: int,
    roofs: Sequence[Roof],
    step: int,
    effort: Effort,
) -> Answer:
    """The plan of least total weight, each different pattern weighing more besides, among those under every roof.

    step: what every total is a multiple of.
    """
    model, x = _master(problem, patterns, roofs)
    goal = pulp.LpAffineExpression(list(zip(x, weights, strict=True)))
    if per_setup:
        goal += per_setup * pulp.lpSum(define_setups(model, problem, patterns, x))
    model += goal
    return _solve(model, x, 0.999 * step, effort, lambda counts: holds(problem, patterns, roofs, counts))


def _master(
    problem: Problem, patterns: Sequence[Pattern], roofs: Sequence[Roof]
) -> tuple[pulp.LpProblem, list[pulp.LpVariable]]:
    model = pulp.LpProblem("boards", pulp.LpMinimize)
    x = [
        model.add_variable(f"x{n}", 0, most_boards(problem, pattern), pulp.LpInteger)
        for n, pattern in enumerate(patterns)
    ]
    define_demand(model, problem, patterns, x)
    define_availability(model, problem, patterns, x)
    for weights, most in roofs:
        define_roof(model, x, weights, most)
    return model, x


def most_boards(problem: Problem, pattern: Pattern) -> int:
    """How often a pattern can be wanted: until it alone covers each of its rows, U_p = max_i ceil(d_i / a_ip)."""
    return max(-(-problem.rows[row].demand // amount) for row, amount in pattern.rows)


def define_demand(
    model: pulp.LpProblem, problem: Problem, patterns: Sequence[Pattern], x: Sequence[pulp.LpVariable]
) -> None:
    """Every row is cut: sum_p a_ip x_p >= d_i, or = d_i where surplus is not allowed."""
    terms: list[list[tuple[pulp.LpVariable, int]]] = [[] for _ in problem.rows]
    for pattern, var in zip(patterns, x, strict=True):
        for row, amount in pattern.rows:
            terms[row].append((var, amount))
    for asked, own in zip(problem.rows, terms, strict=True):
        total = pulp.LpAffineExpression(own)
        model += (total == asked.demand) if asked.exact else (total >= asked.demand)


def define_availability(
    model: pulp.LpProblem, problem: Problem, patterns: Sequence[Pattern], x: Sequence[pulp.LpVariable]
) -> None:
    """No more boards than there are: sum_{p of k} x_p <= A_k."""
    for index, bin_ in enumerate(problem.bins):
        if bin_.available is not None:
            own = [(var, 1) for pattern, var in zip(patterns, x, strict=True) if pattern.bin == index]
            if own:
                model += pulp.LpAffineExpression(own) <= bin_.available


def define_roof(model: pulp.LpProblem, x: Sequence[pulp.LpVariable], weights: Sequence[int], most: int) -> None:
    """What was settled before stays settled: sum_p w_p x_p <= W."""
    model += pulp.LpAffineExpression(list(zip(x, weights, strict=True))) <= most


def define_setups(
    model: pulp.LpProblem, problem: Problem, patterns: Sequence[Pattern], x: Sequence[pulp.LpVariable]
) -> list[pulp.LpVariable]:
    """A pattern that is cut at all is one set-up: x_p <= U_p y_p, y_p in {0, 1}."""
    used = []
    for n, (pattern, var) in enumerate(zip(patterns, x, strict=True)):
        if pattern.bin == MISSING:
            continue
        y = model.add_variable(f"y{n}", 0, 1, pulp.LpInteger)
        model += var <= most_boards(problem, pattern) * y
        used.append(y)
    return used


def holds(problem: Problem, patterns: Sequence[Pattern], roofs: Sequence[Roof], counts: Sequence[int]) -> bool:
    """Whether whole counts meet every demand, limit and roof exactly."""
    had, used = [0] * len(problem.rows), [0] * len(problem.bins)
    for pattern, count in zip(patterns, counts, strict=True):
        for row, amount in pattern.rows:
            had[row] += amount * count
        if pattern.bin != MISSING:
            used[pattern.bin] += count
    return (
        all(n == row.demand if row.exact else n >= row.demand for n, row in zip(had, problem.rows, strict=True))
        and all(b.available is None or n <= b.available for n, b in zip(used, problem.bins, strict=True))
        and all(sum(w * n for w, n in zip(weights, counts, strict=True)) <= most for weights, most in roofs)
        and min(counts, default=0) >= 0
    )


def _solve(
    model: pulp.LpProblem,
    x: Sequence[pulp.LpVariable],
    gap: float,
    effort: Effort,
    right: Callable[[Sequence[int]], bool],
) -> Answer:
    """Solve to the gap given; an answer that is not right in whole numbers is asked for again without presolve.

    HiGHS takes 0.01 % for optimal unless told otherwise, and its presolve has called solvable programmes
    infeasible.
    """
    end = time.monotonic() + effort.seconds
    outcome = Outcome.UNKNOWN
    for presolve in ("on", "off"):
        outcome = _run(model, gap, effort.nodes, end - time.monotonic(), presolve)
        if outcome in (Outcome.BEST, Outcome.STOPPED):
            counts = tuple(round(var.varValue) for var in x)
            if right(counts):
                return Answer(outcome, counts, time.monotonic() > end)
            outcome = Outcome.UNKNOWN
        if time.monotonic() > end:
            return Answer(Outcome.UNKNOWN, timed_out=True)
    return Answer(outcome)


class _HiGHS(pulp.HiGHS):  # type: ignore[misc]  # untyped
    """PuLP's HiGHS has no word for a run that its node limit stopped, and fails there: call it cut short."""

    def findSolutionValues(self, lp: pulp.LpProblem) -> tuple[int, int]:  # noqa: N802 (PuLP's name)
        try:
            return tuple(super().findSolutionValues(lp))
        except KeyError:
            values = lp.solverModel.getSolution().col_value
            if not len(values) or lp.solverModel.getInfo().primal_solution_status != FEASIBLE:
                return pulp.LpStatusNotSolved, pulp.LpSolutionNoSolutionFound
            for var in lp.variables():
                var.varValue = values[var.index]
            return pulp.LpStatusOptimal, pulp.LpSolutionIntegerFeasible


def _run(model: pulp.LpProblem, gap: float, nodes: int, seconds: float, presolve: str) -> Outcome:
    """Solve once; PuLP calls a run that was cut short optimal too, only sol_status tells them apart."""
    solver = _HiGHS(
        msg=False,
        gapRel=0.0,
        gapAbs=gap,
        threads=1,
        timeLimit=seconds,
        parallel="off",
        random_seed=0,
        mip_max_nodes=nodes,
        mip_allow_restart=nodes >= MANY_NODES,
        mip_heuristic_run_feasibility_jump=False,  # takes a third of a small programme's time, and finds nothing there
        presolve=presolve,
    )
    model.solve(solver)
    return _OUTCOMES.get(model.sol_status, Outcome.UNKNOWN)


_OUTCOMES = {
    pulp.LpSolutionOptimal: Outcome.BEST,
    pulp.LpSolutionIntegerFeasible: Outcome.STOPPED,
    pulp.LpSolutionInfeasible: Outcome.IMPOSSIBLE,
}
