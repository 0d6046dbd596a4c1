"""The pattern master: the integer programme over a list of patterns, stated in PuLP and solved by HiGHS.

With x_p the number of boards cut by pattern p and a_ip what each gives of row i, it is

    least  sum c_p x_p   with   sum a_ip x_p >= d_i (= d_i where no surplus is allowed)   for each row i,
                                sum_{p of bin k} x_p <= A_k                               for each limited bin k,

and for tie-breaks a roof on the cost, a fixed number of boards, and y_p = 1 where x_p > 0 (x_p <= U_p y_p).
"""

from __future__ import annotations

import time
from collections.abc import Sequence

import pulp

from sawbill.estimating.cutting.answers import Answer, Effort, Outcome
from sawbill.estimating.cutting.problem import MISSING, Pattern, Problem


Roof = tuple[Sequence[int], int]  # a weight for each pattern, and the most their total may be


def fewest(
    problem: Problem,
    patterns: Sequence[Pattern],
    weights: Sequence[int],
    roofs: Sequence[Roof],
    step: int,
    effort: Effort,
) -> Answer:
    """The plan of least total weight, in steps of so much, among those under every roof."""
    model, x = _master(problem, patterns, roofs)
    model += pulp.LpAffineExpression(list(zip(x, weights, strict=True)))
    return _solve(model, x, 0.999 * step, effort)


def fewest_setups(
    problem: Problem, patterns: Sequence[Pattern], roofs: Sequence[Roof], effort: Effort
) -> Answer:
    """The plan with the fewest different patterns among those under every roof."""
    model, x = _master(problem, patterns, roofs)
    model += pulp.lpSum(define_setups(model, problem, patterns, x))
    return _solve(model, x, 0.999, effort)


def _master(
    problem: Problem, patterns: Sequence[Pattern], roofs: Sequence[Roof]
) -> tuple[pulp.LpProblem, list[pulp.LpVariable]]:
    model = pulp.LpProblem("boards", pulp.LpMinimize)
    x = [
        pulp.LpVariable(f"x{n}", 0, most_boards(problem, pattern), pulp.LpInteger)
        for n, pattern in enumerate(patterns)
    ]
    define_demand(model, problem, patterns, x)
    define_availability(model, problem, patterns, x)
    for weights, most in roofs:
        define_roof(model, x, weights, most)
    return model, x


def most_boards(problem: Problem, pattern: Pattern) -> int:
    """How often a pattern can be wanted: until each of its rows is covered by it alone, U_p = max_i ceil(d_i / a_ip)."""
    return max(-(-problem.rows[row].demand // amount) for row, amount in pattern.rows)


def define_demand(
    model: pulp.LpProblem, problem: Problem, patterns: Sequence[Pattern], x: Sequence[pulp.LpVariable]
) -> None:
    """Every row is cut: sum_p a_ip x_p >= d_i, or = d_i where surplus is not allowed."""
    terms: list[list[tuple[pulp.LpVariable, int]]] = [[] for _ in problem.rows]
    for pattern, var in zip(patterns, x, strict=True):
        for row, amount in pattern.rows:
            terms[row].append((var, amount))
    for row, own in zip(problem.rows, terms, strict=True):
        total = pulp.LpAffineExpression(own)
        model += (total == row.demand) if row.exact else (total >= row.demand)


def define_availability(
    model: pulp.LpProblem, problem: Problem, patterns: Sequence[Pattern], x: Sequence[pulp.LpVariable]
) -> None:
    """No more boards than there are: sum_{p of k} x_p <= A_k."""
    for index, bin_ in enumerate(problem.bins):
        if bin_.available is not None:
            own = [(var, 1) for pattern, var in zip(patterns, x, strict=True) if pattern.bin == index]
            if own:
                model += pulp.LpAffineExpression(own) <= bin_.available


def define_roof(
    model: pulp.LpProblem, x: Sequence[pulp.LpVariable], weights: Sequence[int], most: int
) -> None:
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
        y = pulp.LpVariable(f"y{n}", 0, 1, pulp.LpInteger)
        model += var <= most_boards(problem, pattern) * y
        used.append(y)
    return used


def _solve(model: pulp.LpProblem, x: Sequence[pulp.LpVariable], gap: float, effort: Effort) -> Answer:
    """Solve to the gap given; an answer that fails in whole numbers is asked for again without presolve.

    HiGHS takes 0.01 % for optimal unless told otherwise, and its presolve has called solvable programmes
    infeasible.
    """
    end = time.monotonic() + effort.seconds
    outcome = Outcome.UNKNOWN
    for presolve in ("on", "off"):
        outcome = _run(model, gap, effort.nodes, end - time.monotonic(), presolve)
        if outcome in (Outcome.BEST, Outcome.STOPPED):
            for var in model.variables():
                var.varValue = round(var.varValue)
            if all(constraint.valid() for constraint in model.constraints.values()):
                return Answer(outcome, tuple(int(var.varValue) for var in x), time.monotonic() > end)
        if time.monotonic() > end:
            return Answer(Outcome.UNKNOWN, timed_out=True)
    return Answer(outcome if outcome is Outcome.IMPOSSIBLE else Outcome.UNKNOWN)


def _run(model: pulp.LpProblem, gap: float, nodes: int, seconds: float, presolve: str) -> Outcome:
    """Solve once; PuLP calls a run that was cut short optimal too, only sol_status tells them apart."""
    solver = pulp.HiGHS(
        msg=False,
        gapRel=0.0,
        gapAbs=gap,
        threads=1,
        timeLimit=seconds,
        parallel="off",
        random_seed=0,
        mip_max_nodes=nodes,
        presolve=presolve,
    )
    model.solve(solver)
    return _OUTCOMES.get(model.sol_status, Outcome.UNKNOWN)


_OUTCOMES = {
    pulp.LpSolutionOptimal: Outcome.BEST,
    pulp.LpSolutionIntegerFeasible: Outcome.STOPPED,
    pulp.LpSolutionInfeasible: Outcome.IMPOSSIBLE,
}
