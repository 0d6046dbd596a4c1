"""What the processes of a service share is worth no request: it may go, and nobody takes it from those who hold it."""

import os
import shutil
import signal
import sqlite3
import time

import pytest
from tests.web.serving import served

from sawbill.web.running import shared
from sawbill.web.running.metrics import FOLDER

NAMES = ("/v1/tables", "/v1/values", "/v1/designs", "/v1/lumber", "/v1/fasteners", "/v1/mattresses", "/openapi.json")


def folder_of(service):
    (found,) = shared.MEMORY.glob(f"{shared.PREFIX}{service.process.pid}-*")
    return found


def counted(service, route):
    status, _, told = service.ask("/metrics")
    assert status == 200
    begin = f'sawbill_requests_total{{method="GET",route="{route}",status="200"}} '.encode()
    return sum(float(line[len(begin) :]) for line in told.splitlines() if line.startswith(begin))


@pytest.mark.parametrize(("named", "times"), [(False, 2), (True, 1)], ids=["its own folder", "a folder that is named"])
def test_when_what_is_shared_is_gone_answers_go_on_and_it_is_made_again(tmp_path, named, times):
    more = {FOLDER: str(tmp_path / "meters")} if named else {}
    with served(tmp_path, "--workers", "2", **more) as service:
        assert service.ask("/v1/designs")[0] == 200
        gone = tmp_path / "meters" if named else folder_of(service)
        for _ in range(times):
            shutil.rmtree(gone)
            statuses = {service.ask(name)[0] for name in NAMES for _ in range(4)}
            assert statuses == {200}
            quote = "/v1/designs/bench/value/total.txt?price_book=sample-inch"
            assert service.ask(quote)[0] == 200
            assert gone.is_dir()
            before = counted(service, "/v1/tables")
            service.kill_workers()
            assert service.ask_again("/v1/tables")[0] == 200
            assert {service.ask(name)[0] for name in NAMES for _ in range(4)} == {200}
            assert counted(service, "/v1/tables") == before + 5, "and they count together again"
        assert service.end() == 0
        assert "Traceback" not in service.log_text()


def test_where_nothing_can_be_shared_answers_go_on(tmp_path):
    with served(tmp_path, "--workers", "1", **{FOLDER: str(tmp_path / "meters")}) as service:
        shutil.rmtree(tmp_path / "meters")
        (tmp_path / "meters").write_text("no folder")
        assert {service.ask(name)[0] for name in (*NAMES, "/metrics") for _ in range(3)} == {200}
        assert service.log_text().count("requests are not counted") == 1


def test_a_service_that_starts_takes_nothing_from_a_worker_whose_service_was_killed(tmp_path):
    with served(tmp_path) as killed:
        folder = folder_of(killed)
        (worker, *_) = killed.workers()
        os.kill(worker, signal.SIGSTOP)
        killed.process.kill()
        killed.process.wait()
        try:
            with served(tmp_path):
                assert folder.is_dir(), "a worker still holds it"
        finally:
            for each in (signal.SIGKILL, signal.SIGCONT):
                os.kill(worker, each)
        sqlite3.connect(folder / "recent.sqlite").close()
    while not shared._abandoned(folder):  # the helpers of the worker that was killed end by themselves
        time.sleep(0.02)
    with served(tmp_path):
        assert not folder.exists()


def test_a_folder_is_held_by_whoever_was_forked_from_its_holder(tmp_path):
    hold = shared.Hold(tmp_path / "held")
    read, write = os.pipe()
    child = os.fork()
    if not child:
        os.close(write)
        os.read(read, 1)
        os._exit(0)
    os.close(hold._handle)
    assert not shared._abandoned(tmp_path / "held")
    os.close(write)
    os.waitpid(child, 0)
    os.close(read)
    assert shared._abandoned(tmp_path / "held")
