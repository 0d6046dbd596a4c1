"""The general solvers a user could reach for, each on the arc-flow model of the same order.

One thread, relative gap 0, the same limit. The graph is built before the clock starts, in the rivals' favour;
stating the model in the solver's own interface and solving it counts.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import version
from itertools import pairwise
from math import gcd
from multiprocessing import get_context

from sawbill.cutting import Order
from sawbill.cutting.flow import paths
from sawbill.cutting.flow import programme as flow
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.greedy import knapsacks
from sawbill.cutting.linear.reduced import prospect
from sawbill.cutting.normalise import normalise


@dataclass(frozen=True)
class Flow:
    """Valerio de Carvalho's arc-flow model (1999): columns as (cost, most, entries), rows as (low, high or None).

    Items are laid longest first, so an item's arcs leave only positions that longer ones reach; waste is an arc to
    the next position. One column a stock closes its boards at the last position they hold.
    """

    columns: list[tuple[int, int, list[tuple[int, int]]]]
    rows: list[tuple[int, int | None]]


def arc_flow(order: Order) -> Flow:
    """The model of an order without limited stock, small parts or credit."""
    unit = gcd(*(piece.length + order.kerf for piece in order.pieces))
    items = sorted(((p.length + order.kerf) // unit, p.count) for p in order.pieces)[::-1]
    rooms = [(s.length - s.trim + order.kerf) // unit for s in order.stocks]
    arcs, reached = [], {0}
    for row, (length, count) in enumerate(items):
        front = set(reached)
        for _ in range(count):
            front = {p + length for p in front if p + length <= max(rooms)} - reached
            arcs += [(row, p - length, p) for p in sorted(front)]
            reached |= front
            if not front:
                break
        arcs += [(row, p - length, p) for p in sorted(reached) if p - length in reached]
    arcs = sorted(set(arcs))
    nodes = {p: len(items) + n for n, p in enumerate(sorted(reached - {0}))}
    rows: list[tuple[int, int | None]] = [(count, None) for _, count in items] + [(0, 0)] * len(nodes)
    columns: list[tuple[int, int, list[tuple[int, int]]]] = []
    total = sum(count for _, count in items)
    for row, start, end in arcs:
        columns.append((0, items[row][1], [(row, 1), *_between(nodes, start, end)]))
    places = sorted(reached)
    for start, end in pairwise(places[1:]):
        columns.append((0, total, _between(nodes, start, end)))
    for stock, room in zip(order.stocks, rooms, strict=True):
        last = max(p for p in places if p <= room)
        if last:
            columns.append((stock.price, total, [(nodes[last], -1)]))
    return Flow(columns, rows)


def compressed(order: Order) -> Flow | None:
    """The same model on the compressed graph (Brandao, Pedroso 2016), which the planner makes: of all patterns, without
    the planner's prices. None where it is too large.
    """
    (problem,) = normalise(order)
    nothing = Duals((0,) * len(problem.rows), (0,) * len(problem.bins), 1)
    views = [prospect(problem, filler, nothing) for filler in knapsacks(problem)]
    graph = paths.graph(problem, views, nothing, 2**60, ())
    if graph is None:
        return None
    stated, total = flow.programme(problem, graph, 0, 0), sum(problem.demand)
    band = len(stated.lowers) - 1
    columns = [
        (cost, total, [(row, value) for row, value in column if row != band])
        for cost, column in zip(stated.costs, stated.columns, strict=True)
    ]
    return Flow(columns, [(low or 0, high) for low, high in zip(stated.lowers, stated.uppers, strict=True)][:band])


def compressed_highs(flow: Flow, limit: float) -> int | None:
    """HiGHS as above, on the compressed graph."""
    return highs(flow, limit)


def _between(nodes: dict[int, int], start: int, end: int) -> list[tuple[int, int]]:
    return [(nodes[p], sign) for p, sign in ((end, 1), (start, -1)) if p]


def cp_sat(flow: Flow, limit: float) -> int | None:
    """OR-Tools CP-SAT, num_workers = 1, relative_gap_limit = 0."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    x = [model.new_int_var(0, most, "") for _, most, _ in flow.columns]
    for (low, high), terms in zip(flow.rows, _by_row(flow), strict=True):
        total = sum(value * x[column] for column, value in terms)
        if terms:
            model.add(total == low) if high == low else model.add(total >= low)
    model.minimize(sum(cost * var for (cost, _, _), var in zip(flow.columns, x, strict=True) if cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.relative_gap_limit = 0.0
    solver.parameters.max_time_in_seconds = limit
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None


def scip(flow: Flow, limit: float) -> int | None:
    """OR-Tools MPSolver with SCIP, RELATIVE_MIP_GAP = 0, one thread."""
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("SCIP")
    solver.SetNumThreads(1)
    solver.SetTimeLimit(int(limit * 1000))
    x = [solver.IntVar(0, most, "") for _, most, _ in flow.columns]
    for (low, high), terms in zip(flow.rows, _by_row(flow), strict=True):
        row = solver.Constraint(low, solver.infinity() if high is None else high)
        for column, value in terms:
            row.SetCoefficient(x[column], value)
    for (cost, _, _), var in zip(flow.columns, x, strict=True):
        solver.Objective().SetCoefficient(var, cost)
    solver.Objective().SetMinimization()
    exact = pywraplp.MPSolverParameters()
    exact.SetDoubleParam(pywraplp.MPSolverParameters.RELATIVE_MIP_GAP, 0.0)
    return round(solver.Objective().Value()) if solver.Solve(exact) == pywraplp.Solver.OPTIMAL else None


def highs(flow: Flow, limit: float) -> int | None:
    """HiGHS by highspy, mip_rel_gap = 0, mip_abs_gap = 0.999, threads = 1."""
    import highspy
    import numpy as np

    solver = highspy.Highs()
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("parallel", "off"),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.999),
        ("time_limit", limit),
    ):
        solver.setOptionValue(option, value)
    model, inf = highspy.HighsLp(), highspy.kHighsInf
    model.num_col_, model.num_row_ = len(flow.columns), len(flow.rows)
    model.col_cost_ = np.array([cost for cost, _, _ in flow.columns], float)
    model.col_lower_ = np.zeros(len(flow.columns))
    model.col_upper_ = np.array([most for _, most, _ in flow.columns], float)
    model.row_lower_ = np.array([low for low, _ in flow.rows], float)
    model.row_upper_ = np.array([inf if high is None else high for _, high in flow.rows], float)
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.cumsum([0] + [len(entries) for _, _, entries in flow.columns]).astype(np.int32)
    model.a_matrix_.index_ = np.array([row for _, _, entries in flow.columns for row, _ in entries], np.int32)
    model.a_matrix_.value_ = np.array([value for _, _, entries in flow.columns for _, value in entries], float)
    model.integrality_ = [highspy.HighsVarType.kInteger] * len(flow.columns)
    solver.passModel(model)
    solver.run()
    optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(solver.getInfo().objective_function_value) if optimal else None


def cbc(flow: Flow, limit: float) -> int | None:
    """PuLP with its bundled CBC, gapRel = 0, threads = 1."""
    import pulp

    model = pulp.LpProblem("flow", pulp.LpMinimize)
    x = [pulp.LpVariable(f"x{n}", 0, most, pulp.LpInteger) for n, (_, most, _) in enumerate(flow.columns)]
    model += pulp.LpAffineExpression([(var, cost) for (cost, _, _), var in zip(flow.columns, x, strict=True) if cost])
    for (low, high), terms in zip(flow.rows, _by_row(flow), strict=True):
        total = pulp.LpAffineExpression([(x[column], value) for column, value in terms])
        if terms:
            model += (total == low) if high == low else (total >= low)
    model.solve(pulp.PULP_CBC_CMD(msg=False, threads=1, timeLimit=limit, gapRel=0.0, gapAbs=0.0))
    return round(pulp.value(model.objective)) if model.sol_status == pulp.LpSolutionOptimal else None


def _by_row(flow: Flow) -> list[list[tuple[int, int]]]:
    terms: list[list[tuple[int, int]]] = [[] for _ in flow.rows]
    for column, (_, _, entries) in enumerate(flow.columns):
        for row, value in entries:
            terms[row].append((column, value))
    return terms


RIVALS: dict[str, Callable[[Flow, float], int | None]] = {
    "OR-Tools CP-SAT": cp_sat,
    "OR-Tools SCIP": scip,
    "arc-flow HiGHS": highs,
    "compressed HiGHS": compressed_highs,
    "PuLP + CBC": cbc,
}
VERSIONS = ("ortools", "highspy", "pulp", "numpy")


def versions() -> str:
    """The installed versions of every solver."""
    return ", ".join(f"{name} {version(name)}" for name in VERSIONS)


def timed(name: str, flow: Flow, limit: float) -> tuple[float, int | None]:
    """Seconds and proven optimum of a rival, in a process of its own that is killed half a limit after its time."""
    context = get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_run, args=(name, flow, limit, theirs))
    process.start()
    theirs.close()
    try:
        return ours.recv() if ours.poll(1.5 * limit + 5) else (limit, None)
    except EOFError:
        return limit, None
    finally:
        process.kill()
        process.join()


def _run(name: str, flow: Flow, limit: float, line: object) -> None:
    warm = Flow([(1, 5, [(0, 1)])], [(2, None)])
    RIVALS[name](warm, limit)
    started = time.perf_counter()
    found = RIVALS[name](flow, limit)
    line.send((time.perf_counter() - started, found))  # type: ignore[attr-defined]
