"""A sweep on a cluster whose machines are killed: python tests/benchmarks/sweep_killed.py [--rows 2000] [--kills 6].

Starts a scheduler and two workers on this machine, hands the service a job of so many benches, and kills workers at
random moments while it is made, and half-way the scheduler; whatever is killed is started again. Before, the same job
is made by this process alone. It tells how long both took, how many rows have a quote and how large the answer is, and
ends with 1 unless every row is there once and both answers are the same bytes.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
from sweeps import asked
from tests.backroom.cluster.machines import Machines, machines, wait_until

from sawbill.backroom import Here
from sawbill.store import Store
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings
from sawbill.web.work.working import worker_of

Told = Callable[[], dict]
LONG = 24 * 3600


def made(rows: int, folder: Path, address: str | None, meanwhile: Callable[[Told], None]) -> bytes:
    """The answer of a job of so many rows; meanwhile: what is done while it is made."""
    with Store.open(folder) as store:
        store.prepare()
        app = create_app(Settings(data=str(folder), local=True, cluster=address), room=Here())
        client, worker = app.test_client(), worker_of(app)
        begun = time.monotonic()
        location = client.post("/v1/comparisons", json=asked(rows), headers={"Prefer": "respond-async"}).headers[
            "Location"
        ]
        meanwhile(lambda: client.get(location).json)
        wait_until(lambda: client.get(location).json["state"] not in ("waiting", "running"), LONG)
        taken = time.monotonic() - begun
        told = client.get(location).json
        answer = client.get(f"{location}/result").data
        worker.stop()
    where = "on the cluster" if address else "in one process"
    print(f"{where:<16} {told['state']}, {rows} rows in {taken:.0f} s, {1000 * taken / rows:.1f} ms each", flush=True)
    return answer


def killing(found: Machines, rows: int, kills: int) -> Callable[[Told], None]:
    """Lose a worker at random moments, and the scheduler once."""
    drawn = random.Random(1)
    when = sorted(drawn.sample(range(rows // 20, rows * 9 // 10), kills))

    def meanwhile(told: Told) -> None:
        for n, at in enumerate(when):
            wait_until(lambda at=at: told()["state"] not in ("waiting", "running") or (told()["done"] or 0) >= at, LONG)
            (found.lose_scheduler if n == kills // 2 else found.lose_worker)()
            found.mend()
            print(f"row {told()['done']}: lost {'the scheduler' if n == kills // 2 else 'a worker'}", flush=True)

    return meanwhile


def main(rows: int, kills: int) -> int:
    with tempfile.TemporaryDirectory() as folder:
        near = made(rows, Path(folder) / "near", None, lambda _: None)
        (Path(folder) / "log").touch()
        with machines(Path(folder), 2) as found:
            far = made(rows, Path(folder) / "far", found.address, killing(found, rows, kills))
    listed = json.loads(far)["rows"]
    whole = sorted(each["row"] for each in listed) == [*range(rows)]
    quoted = sum(each.get("total") is not None for each in listed)
    print(
        f"{quoted} rows have a quote; {len(far) / rows:.0f} bytes a row; every row once: {whole}; same: {far == near}"
    )
    return 0 if whole and far == near else 1


if __name__ == "__main__":
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("--rows", type=int, default=2_000)
    given.add_argument("--kills", type=int, default=6, help="how many machines are lost, the scheduler among them")
    words = given.parse_args()
    sys.exit(main(words.rows, words.kills))
