"""Sawbill's cutting optimiser beside general solvers, on workshop orders and the classical classes.

    python tests/benchmarks/cutting.py [--quick] [--each N] [--limit SECONDS] [--alone] [--files FOLDER]
                                       [--only small|workshop|classical]

Every solver proves the optimum to the cent, one thread, the same limit, one after the other in the same run.
Times are geometric means, an unsolved instance counts as the limit; a ratio says how many times longer than Sawbill.
Sawbill's time is the whole plan: cost, tie-breaks, layout and check.
"""

from __future__ import annotations

import argparse
import platform
import resource
import statistics
import sys
import time
from collections import defaultdict
from dataclasses import replace
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from instances import CLASSICAL, SMALL, WORKSHOP, fetched, made
from rivals import RIVALS, arc_flow, compressed, compressed_highs, timed, versions

from sawbill.cutting import CuttingPlan, Order, plan
from sawbill.cutting.solver.answers import Effort, Programme
from sawbill.cutting.solver.helper import HELPER

OURS = "Sawbill"


def ours(order: Order, limit: float) -> tuple[float, int | None]:
    """Seconds of a whole plan, and its cost when proven."""
    started = time.perf_counter()
    found = plan(order, limit)
    seconds = time.perf_counter() - started
    assert isinstance(found, CuttingPlan)
    return seconds, found.cost if found.cost == found.bound else None


def race(orders: list[tuple[str, str, Order]], limit: float, rivals: list[str]) -> dict[str, dict[str, list[float]]]:
    """Seconds by class and solver, an unsolved instance as the limit; proven optima must agree."""
    times: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    open_: list[str] = []
    for family, name, order in orders:
        results = {OURS: ours(order, limit)}
        plain, small = (arc_flow(order), compressed(order)) if rivals else (None, None)
        for rival in rivals:
            flow = small if RIVALS[rival] is compressed_highs else plain
            results[rival] = (limit, None) if flow is None else timed(rival, flow, limit)
        optima = {solver: found for solver, (_, found) in results.items() if found is not None}
        if len(set(optima.values())) > 1:
            print(f"DISAGREEMENT on {name}: {optima}")
        if results[OURS][1] is None:
            open_.append(name)
        for solver, (seconds, found) in results.items():
            times[family][solver].append(limit if found is None else min(seconds, limit))
        print(
            name,
            *(f"{solver} {s:.3f}{'' if f is not None else ' open'}" for solver, (s, f) in results.items()),
            sep="; ",
        )
    print("open:", ", ".join(open_) or "none")
    return times


def table(times: dict[str, dict[str, list[float]]], limit: float) -> None:
    """One line a class: solved, median and mean seconds of ours, then the rivals' solved and ratio."""
    solvers = [OURS, *(name for name in RIVALS if any(name in own for own in times.values()))]
    print(f"\n{'class':16}{'n':>4}{'solved':>8}{'median':>9}{'geo.mean':>9}{'worst':>8}", end="")
    print("".join(f"{name:>24}" for name in solvers[1:]))
    together: dict[str, list[float]] = defaultdict(list)
    for family, own in times.items():
        for solver in solvers:
            together[solver] += own.get(solver, [])
        _line(family, own, solvers, limit)
    if len(times) > 1:
        _line("all", together, solvers, limit)


def _line(family: str, own: dict[str, list[float]], solvers: list[str], limit: float) -> None:
    mine = own[OURS]
    mean = statistics.geometric_mean(mine)
    solved = sum(seconds < limit for seconds in mine)
    print(f"{family:16}{len(mine):4}{solved:8}{statistics.median(mine):9.4f}{mean:9.4f}{max(mine):8.2f}", end="")
    for solver in solvers[1:]:
        seconds = own[solver]
        ratio = statistics.geometric_mean(seconds) / mean
        print(f"{sum(s < limit for s in seconds):>14} x{ratio:8.1f}", end="")
    print()


def small_ones(each: int) -> None:
    """Whole plans of small orders, milliseconds of the processor's, the better of two runs each."""
    times, general, open_, few = [], 0, 0, 0
    for _, _, order in made(SMALL, each):
        runs = []
        for _ in range(2):
            started = time.process_time()
            found = plan(order)
            runs.append(1000 * (time.process_time() - started))
        if isinstance(found, CuttingPlan):
            times.append(min(runs))
            general += "small order" not in found.stage
            open_ += found.cost != found.bound
            few += found.few < len(found.boards)
    times.sort()
    at = [times[min(len(times) - 1, int(share * len(times)))] for share in (0.5, 0.9, 0.99, 1)]
    print(
        f"{len(times)} small orders: median {at[0]:.2f} ms, 90 % {at[1]:.2f}, 99 % {at[2]:.2f}, worst {at[3]:.2f}; ",
        end="",
    )
    print(f"{general} the general way, {open_} unproven, {few} with perhaps a set-up too many")


def batches(orders: list[tuple[str, str, Order]]) -> None:
    """The time of an order a thousand times over against its own."""
    ratios = []
    for _, _, order in orders:
        many = replace(order, pieces=tuple(replace(piece, count=1000 * piece.count) for piece in order.pieces))
        one, thousand = (min(ours(each, 10)[0] for _ in range(3)) for each in (order, many))
        ratios.append(thousand / one)
    print(f"x1000 against x1: median {statistics.median(ratios):.2f}, worst {max(ratios):.2f} ({len(ratios)} orders)")


def memory(order: Order) -> float:
    """The most memory [MB] that planning an order takes in a fresh process and its helper together."""
    context = get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_peak, args=(order, theirs))
    process.start()
    theirs.close()
    kilobytes = ours.recv()
    process.join()
    return kilobytes / 1024


def _peak(order: Order, line: Connection) -> None:
    plan(order, 10)
    HELPER.close()
    kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    line.send(sum(resource.getrusage(kind).ru_maxrss for kind in kinds))


def main() -> None:
    """Run, and print one table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="one instance a size, limit 2 s: about two minutes")
    parser.add_argument("--each", type=int, default=3, help="instances a size")
    parser.add_argument("--limit", type=float, default=10.0, help="seconds an instance and solver")
    parser.add_argument("--only", choices=["small", "workshop", "classical"])
    parser.add_argument(
        "--files", type=Path, help="a folder of published instances, in the place of the classical ones"
    )
    parser.add_argument("--alone", action="store_true", help="without the rivals")
    chosen = parser.parse_args()
    each, limit = (1, 2.0) if chosen.quick else (chosen.each, chosen.limit)
    rivals = [] if chosen.alone else list(RIVALS)
    print(f"{platform.machine()}, Python {platform.python_version()}, {versions()}; limit {limit} s, one thread, gap 0")
    for name in rivals:
        print(f"{name}: {RIVALS[name].__doc__}")
    plan(made(SMALL, 1)[0][2])
    if chosen.only in (None, "small"):
        small_ones(10 * each if chosen.quick else 84)
    if chosen.only == "small":
        return
    workshop = made(WORKSHOP, each)
    classical = fetched(chosen.files) if chosen.files else made(CLASSICAL, each)
    if chosen.quick:
        classical = [entry for entry in classical if not entry[1].startswith(("Falkenauer U 1000", "Scholl 3"))][::2]
    plan(workshop[0][2])  # warm: imports, and the helper process, as in a worker that has served before
    HELPER.ask(Programme((1,), (((0, 1),),), (1,), (None,)), 1, 0, Effort(9, 9.0), seconds=60)
    for kind, orders in (("workshop", workshop), ("classical", classical)):
        if chosen.only in (None, kind):
            times = race(orders, limit, rivals)
            table(times, limit)
    if chosen.only != "classical":
        batches(workshop[:: max(1, len(workshop) // 6)])
    largest = [orders[-1][2] for orders in (workshop, classical)]
    largest += [order for _, name, order in classical if name.startswith(("Scholl 3", "Falkenauer T 249"))][:2]
    print(f"most memory of a solve: {max(memory(order) for order in largest):.0f} MB")


if __name__ == "__main__":
    main()
