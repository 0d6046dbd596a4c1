"""The room on a cluster, as it runs: real schedulers and workers, killed, replaced, refused, and over TLS."""

import json
import os
import subprocess
import sys
from contextlib import contextmanager

import pytest
from tests.backroom import tasks
from tests.backroom.cluster.machines import PATIENCE, ROOT, certificates, machines, wait_until

from sawbill.backroom import FullError, Here, Rank, Task, TookTooLongError
from sawbill.backroom.cluster import room as rooms
from sawbill.backroom.cluster.healthy import fault
from sawbill.backroom.cluster.room import Cluster
from sawbill.registry import versions
from sawbill.store import Store
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings
from sawbill.web.work import sweeping
from sawbill.web.work.working import worker_of

pytestmark = pytest.mark.cluster
ASKED = {  # orders that are planned at once: a clock that stops a search must not decide what is compared
    "designs": [
        {"design": "bench"},
        {"design": "sawhorse"},
        {"design": "table"},
    ],
    "price_books": ["sample-inch"],
    "quantities": [1, 2, 3, 4, 5, 6, 7, 8],
}


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    with machines(tmp_path_factory.mktemp("cluster"), 2) as found:
        yield found


@pytest.fixture
def cluster(shared):
    """The one cluster of these tests, with what the test before has killed started again."""
    shared.mend()
    return shared


@pytest.fixture
def room(cluster):
    with joined(cluster.address) as found:
        yield found


@contextmanager
def joined(address, like=None):
    found = Cluster(address, like or versions())
    try:
        yield found
    finally:
        found.end()


def row(function, *arguments, **more):
    return Task(function, arguments, rank=Rank.ROW, **{"seconds": PATIENCE, **more})


def compared(address=None):
    """The bytes of a comparison, row by row."""
    client = create_app(Settings(cluster=address, deadline=PATIENCE), room=Here()).test_client()
    answer = client.post("/v1/comparisons.ndjson", json=ASKED)
    assert answer.status_code == 200, answer.text
    return answer.data


@pytest.fixture(autouse=True)
def ended(monkeypatch):
    """Have every room left before its cluster ends."""
    made, real = [], Cluster
    monkeypatch.setattr(rooms, "Cluster", lambda *given: made.append(real(*given)) or made[-1])
    yield
    for each in made:
        each.end()


@pytest.fixture(scope="module")
def here():
    return compared()


@pytest.mark.parametrize("batch", [1, 5, 20])
def test_rows_have_the_same_bytes_as_here_at_every_size_of_a_batch(cluster, here, monkeypatch, batch):
    monkeypatch.setattr(rooms, "BATCH", batch)
    assert here.count(b'"total"') >= 24
    assert compared(cluster.address) == here


def test_rows_have_the_same_bytes_over_tls_and_none_come_without_a_certificate(tmp_path, here):
    environ = certificates(tmp_path)
    with machines(tmp_path, 1, scheme="tls", **environ) as found:
        code = (
            "import sys; from tests.backroom.cluster.test_cluster import compared;"
            f"sys.stdout.buffer.write(compared('{found.address}'))"
        )
        words = [sys.executable, "-c", code]
        made = subprocess.run(words, cwd=ROOT, env={**os.environ, **environ}, capture_output=True, timeout=PATIENCE)
        assert made.stdout == here, made.stderr[-2000:]
        assert b"never awaited" not in made.stderr  # it left the cluster in order
        said = found.told()
        words = [sys.executable, "-m", "sawbill.backroom.cluster.healthy", found.address]
        asked = subprocess.run(words, env={**os.environ, **environ}, capture_output=True, text=True, timeout=PATIENCE)
        assert (asked.returncode, asked.stderr) == (0, "")
        assert "rror" not in found.told().removeprefix(said)
        assert "does not answer" in fault(found.address)  # without the certificate
        with joined(found.address) as bare, pytest.raises(FullError, match="turn did not come in time"):
            bare.submit(row(tasks.add, 1, 2, seconds=3.0)).result(PATIENCE)


def test_a_task_is_ended_where_it_is_when_nobody_waits_for_it(room, tmp_path):
    mark = tmp_path / "mark"
    long = [room.submit(row(tasks.mark_and_wait, str(mark), 4 * PATIENCE, seconds=4 * PATIENCE)) for _ in range(2)]
    wait_until(lambda: mark.exists() and mark.read_text() == "..")
    for each in long:
        each.cancel()
    # Both workers have one engine each, and these were on them.
    assert room.submit(row(tasks.add, 1, 2)).result(PATIENCE).value == 3


def test_a_task_over_its_time_is_told_so_and_those_behind_it_are_done(room):
    room.submit(row(tasks.add, 1, 2)).result(PATIENCE)  # it has joined
    for seconds in (2.0, 8.0, 32.0):  # until its turn comes in time, however busy the machine is
        long = room.submit(row(tasks.mark_and_wait, "/dev/null", 2 * PATIENCE, seconds=seconds))
        others = [room.submit(row(tasks.add, i, 1)) for i in range(20)]
        assert [each.result(PATIENCE).value for each in others] == [i + 1 for i in range(20)]
        if not isinstance(told := long.exception(PATIENCE), FullError):
            break
    assert isinstance(told, TookTooLongError)


def test_what_a_task_raises_is_told_with_its_trace(room):
    assert "ValueError: a fault" in str(room.submit(row(tasks.fail)).exception(PATIENCE))


def test_a_worker_of_another_version_is_refused_by_name(cluster, caplog):
    with joined(cluster.address, {**versions(), "sawbill": "0.0.1", "oak-designs": "3.1"}) as other:
        future = other.submit(row(tasks.add, 1, 2, seconds=3.0))
        wait_until(lambda: other.told().result().value["refused"] == 2)
        with pytest.raises(FullError):
            future.result(PATIENCE)
    ours = versions()["sawbill"]
    assert f"it has oak-designs not at all, and needs 3.1; it has sawbill {ours}, and needs 0.0.1" in caplog.text


def test_all_answers_come_once_though_a_worker_and_the_scheduler_are_killed(cluster, room, tmp_path):
    marks = tmp_path / "marks"
    given = [room.submit(row(tasks.mark_and_wait, str(marks), 0.05, i)) for i in range(120)]
    wait_until(lambda: marks.exists() and len(marks.read_text()) > 20)
    cluster.lose_worker()
    wait_until(lambda: len(marks.read_text()) > 45)
    cluster.lose_scheduler()
    cluster.begin_scheduler()
    assert [each.result(PATIENCE).value[2] for each in given] == list(range(120))


def test_nothing_of_it_is_loaded_without_the_setting():
    code = (
        "import sys, json; from sawbill.web.app import create_app; create_app();"
        "print(json.dumps([each for each in ('distributed', 'dask', 'tornado') if each in sys.modules]))"
    )
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(made.stdout) == []


SWEPT = {
    "designs": ["bench"], "price_books": ["sample-inch"], "sort": "-total", "baseline": 3,
    "options": {"length": [f"{40 + n / 2} in" for n in range(30)], "depth": [f"{12 + n} in" for n in range(4)]},
}  # fmt: skip


def swept(folder, address=None, meanwhile=lambda job: None):
    """The bytes that a job of 120 rows comes to; meanwhile: what is done while it runs."""
    with Store.open(folder) as store:
        store.prepare()
        app = create_app(Settings(data=str(folder), local=True, cluster=address), room=Here())
        client, worker = app.test_client(), worker_of(app)
        location = client.post("/v1/comparisons", json=SWEPT, headers={"Prefer": "respond-async"}).headers["Location"]
        meanwhile(lambda: client.get(location).json)
        wait_until(lambda: client.get(location).json["state"] == "done")
        worker.stop()
        return client.get(f"{location}/result").data


def test_a_sweep_has_every_row_once_and_the_same_bytes_though_a_worker_and_the_scheduler_are_killed(
    cluster, tmp_path, monkeypatch
):
    monkeypatch.setattr(sweeping, "KEEP_EVERY", 0.1)

    def killing(told):
        for rows, lose in ((10, cluster.lose_worker), (50, cluster.lose_scheduler)):
            wait_until(lambda rows=rows: told()["state"] == "done" or (told()["done"] or 0) >= rows)
            lose()
            cluster.mend()

    made = swept(tmp_path / "far", cluster.address, killing)
    assert made == swept(tmp_path / "near")
    assert sorted(row["row"] for row in json.loads(made)["rows"]) == [*range(120)]
