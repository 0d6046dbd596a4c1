"""What a sweep takes: a row in an engine, a row at the door, its bytes, judging all rows; and what a cluster may do.

Times are of the processor, the least of some runs. With `--cluster` a scheduler and a worker are started on this
machine, and what the scheduler takes for a batch is measured too. From all of it a simple model tells rows a second:
whatever is slowest of the engines, the door, and the scheduler.
"""

from __future__ import annotations

import os
import random
import resource
import sys
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))
import click

from sawbill.backroom import Answer, Here, Rank, Task
from sawbill.backroom.apart import IN_HAND
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.quoting.comparing.compared import Compared, read_comparison
from sawbill.quoting.comparing.noted import figures_read, figures_text
from sawbill.registry import designs, versions
from sawbill.store import Store
from sawbill.web.app import create_app
from sawbill.web.reckoning import sweeping
from sawbill.web.running.settings import Settings
from sawbill.web.work.sweeping import MOST_TOGETHER, PART, SOON
from sawbill.web.work.working import LEASE, worker_of


def asked(rows: int) -> dict[str, Any]:
    """A sweep over benches of so many sizes."""
    depths, heights = 20, 20
    lengths = -(-rows // depths // heights)
    return {
        "designs": ["bench"], "price_books": ["sample-inch"], "sort": "total", "baseline": 0,
        "options": {
            "length": [f"{36 + n / 64} in" for n in range(min(lengths, 50))],
            "depth": [f"{12 + n / 2} in" for n in range(depths)],
            "height": [f"{15 + n / 4} in" for n in range(heights)],
        },
        "quantities": list(range(1, 1 + -(-lengths // 50))),
    }  # fmt: skip


def least(times: int, function: Callable[[], object]) -> float:
    """The least time of the processor that a function takes [s]."""

    def once() -> float:
        begun = time.process_time()
        function()
        return time.process_time() - begun

    return min(once() for _ in range(times))


class Canned(Here):
    """A room that has every row made already: what is left is the door's own time."""

    def __init__(self, lines: list[bytes]) -> None:
        self.lines, self.apart = lines, 0.0

    def submit(self, task: Task) -> Future[Answer]:
        future: Future[Answer] = Future()
        if task.function is sweeping.made:
            numbers = task.arguments[1]
            some = tuple(self.lines[number % len(self.lines)] for number in numbers)
            future.set_result(Answer(sweeping.Made(some, (), 0.005 * len(some)), 0.0))
            return future
        begun = time.process_time()
        future = super().submit(task)
        self.apart += time.process_time() - begun
        return future


def like(lines: list[bytes], rows: int) -> Iterator[bytes]:
    """Rows much like those that were made, each a little another."""
    drawn, known = random.Random(1), [figures_read(line) for line in lines]
    for _ in range(rows):
        each = drawn.choice(known)
        total, waste = each.total + drawn.randrange(9000), each.waste + Fraction(drawn.randrange(10**6), 10**7)
        mass = each.mass_g + drawn.randrange(5000)
        yield figures_text(replace(each, total=total, each=total, waste=waste, mass_g=mass)).encode()


def at_the_door(lines: list[bytes], rows: int) -> tuple[float, float]:
    """What a row takes at the door, and beside it to be judged and told [s]."""
    with tempfile.TemporaryDirectory() as folder, Store.open(folder) as store:
        store.prepare()
        room = Canned(lines)
        app = create_app(Settings(data=folder, local=True), room=room)
        client = app.test_client()
        worker_of(app).wake = lambda: None  # type: ignore[method-assign]
        found = client.post("/v1/comparisons", json=asked(rows), headers={"Prefer": "respond-async"})
        assert found.status_code == 202, found.text
        job = store.jobs.take(LEASE)
        assert job is not None
        begun = time.process_time()
        worker_of(app)._do(store, job)
        taken = time.process_time() - begun
        assert client.get(found.headers["Location"]).json["state"] == "done"  # type: ignore[index]
        return (taken - room.apart) / job.rows, room.apart / job.rows


def scheduler_for_a_batch() -> float:
    """What the scheduler takes for a batch [s]: of a thousand tasks, in batches of one."""
    from tests.backroom import tasks
    from tests.backroom.cluster.machines import machines

    from sawbill.backroom.cluster import room as rooms

    rooms.BATCH = 1  # type: ignore[misc]
    with tempfile.TemporaryDirectory() as folder, machines(Path(folder), 1) as found:
        room = rooms.Cluster(found.address, versions())

        def worked() -> float:
            parts = Path(f"/proc/{found.scheduler.pid}/stat").read_text().rpartition(")")[2].split()
            return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")

        room.submit(Task(tasks.add, (1, 2), rank=Rank.ROW, seconds=600.0)).result(600)
        begun = worked()
        some = [room.submit(Task(tasks.add, (n, 2), rank=Rank.ROW, seconds=600.0)) for n in range(900)]
        for each in some:
            each.result(600)
        taken = (worked() - begun) / len(some)
        room.end()
    return taken


def compared(rows: int) -> tuple[Compared, PriceBook]:
    book = Shelf(sample_folder()).get("sample-inch")
    return read_comparison(asked(rows), [book], designs()), book


@click.command()
@click.option("--made", default=200, show_default=True, help="How many rows are really made.")
@click.option("--rows", default=100_000, show_default=True, help="Of how many the rest is measured.")
@click.option("--cluster", is_flag=True, help="Measure a scheduler too; takes sawbill[cluster].")
def main(made: int, rows: int, cluster: bool) -> None:
    """Print what a sweep takes, and what a cluster may do."""
    few, book = compared(400)
    sweeping.made([book], few, range(10), [0])
    lines: list[bytes] = []
    row = least(3, lambda: lines.extend(sweeping.made([book], few, range(made), [0]).lines)) / made
    lines = lines[:made]
    click.echo(f"a row in an engine                  {row * 1000:8.2f} ms")
    many, some = list(like(lines, rows)), [0, 0]
    for first in range(0, rows, PART):
        packed = sweeping.packed(many[first : first + PART])
        some = [some[0] + len(packed), some[1] + len(zlib.decompress(packed))]
    click.echo(f"a row as it is kept                 {some[0] / rows:8.0f} bytes, {some[1] / rows:.0f} before packing")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    door, judged = at_the_door(many, rows)
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    click.echo(f"a row at the door                   {door * 1000:8.3f} ms, in tasks of up to {MOST_TOGETHER} rows")
    click.echo(f"a row to be judged and told         {judged * 1000:8.3f} ms of an engine, of {rows} rows")
    click.echo(f"memory beyond that of the rows here {grown / 1024:8.0f} MiB, door and engine together")
    batch = scheduler_for_a_batch() if cluster else None
    if batch is not None:
        click.echo(f"a batch at the scheduler            {batch * 1000:8.2f} ms")
    click.echo("\nengines   rows a second   of 100,000 rows [min]   bound by")
    for engines in (1, 2, 10, 100, 1000):
        bounds = {"engines": engines / row, "tasks in hand": IN_HAND / row, "door": 1 / door}
        if batch is not None:
            bounds["scheduler"] = max(1, min(MOST_TOGETHER, int(SOON / row))) / batch
        by, speed = min(bounds.items(), key=lambda each: each[1])
        click.echo(f"{engines:7} {speed:15.0f} {(100_000 / speed + 100_000 * judged) / 60:23.1f}   {by}")


if __name__ == "__main__":
    main()
