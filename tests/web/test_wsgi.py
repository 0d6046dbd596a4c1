"""The application as other servers run it: its own back room beside it, whichever server it is."""

import contextlib
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

import pytest
from tests.web.serving import children, under
from tests.web.test_overload import ENDLESS, kind_of, line

LISTENING = re.compile(r"(?:Listening at:|Serving on) http://127\.0\.0\.1:(\d+)")
ADDRESS = "127.0.0.1:0"
"""A port of the system's choice."""
SERVERS = {
    "gunicorn": ["gunicorn", "sawbill.wsgi:app", "--bind", ADDRESS, "--workers", "2", "--preload"],
    "waitress": ["waitress", "--listen", ADDRESS, "--threads", "8", "sawbill.wsgi:app"],
}
ENDS = {"gunicorn": signal.SIGKILL, "waitress": signal.SIGTERM}
DEADLINE = 6


class Running:
    """A running server: its name, its process, and its port."""

    def __init__(self, name, process, port):
        self.name, self.process, self.port = name, process, port

    def ask(self, path, method="GET", body=None, headers=None):
        return ask(self.port, method, path, body, headers or {})

    def keeper(self):
        """The process that keeps its back room, the one of its own that has others."""
        return next(each for each in children(self.process.pid) if children(each))


@contextmanager
def running(server, folder):
    """A real server, and its end."""
    log = folder / "log"
    name, *words = SERVERS[server]
    start = ENDLESS.replace("from sawbill.cli.main import main\nmain()", "import runpy, sys")
    without = {"gunicorn"} - {name}  # which nothing but `sawbill serve` needs
    start += "".join(f"sys.modules['{each}'] = None; " for each in without)
    start += f"sys.argv[1:] = {words}; runpy.run_module('{name}', run_name='__main__', alter_sys=True)"
    with log.open("wb") as file:
        environment = {**os.environ, "HOME": str(folder), "SAWBILL_DEADLINE": str(DEADLINE)}
        process = subprocess.Popen(
            [sys.executable, "-c", start], stdout=file, stderr=subprocess.STDOUT, env=environment
        )  # fmt: skip
    try:
        end = time.monotonic() + 60
        while not (found := LISTENING.search(log.read_text())):
            assert process.poll() is None and time.monotonic() < end, log.read_text()
            time.sleep(0.05)
        yield Running(name, process, int(found[1]))
    finally:
        if process.poll() is None:
            process.terminate()
            assert process.wait(30) in (0, -signal.SIGTERM)


@pytest.fixture(scope="module", params=SERVERS)
def service(request, tmp_path_factory):
    with running(request.param, tmp_path_factory.mktemp(request.param)) as found:
        yield found


@pytest.fixture(scope="module")
def port(service):
    return service.port


def ask(port, method, path, body=None, headers=None):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        with contextlib.suppress(BrokenPipeError):  # it may answer before it has read all
            connection.request(method, path, body, headers or {})
        answer = connection.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read()
    finally:
        connection.close()


QUOTE = "/v1/designs/slatted-bed/quote?price_book=sample-inch&mattress=queen"


def test_a_quote_over_a_socket_is_the_same_bytes_in_another_process(port, queen):
    for _ in range(3):
        status, headers, body = ask(port, "GET", QUOTE)
        assert status == 200
        assert headers["Content-Type"] == "application/json; charset=utf-8"
        assert body == queen.data


def test_a_request_is_answered_over_a_socket(port, body):
    headers = {"Content-Type": "application/json"}
    status, _, answer = ask(port, "POST", "/v1/quotes", json.dumps(body), headers)
    assert status == 200
    assert json.loads(answer)["cut_list"][0]["name"] == "shelf"


def test_what_goes_wrong_is_a_problem_over_a_socket(port):
    for method, path, data, status in (
        ("GET", "/nothing", None, 404),
        ("PUT", "/v1/quotes", b"{}", 405),
        ("POST", "/v1/quotes", b"[" * 200_000, 400),
        ("POST", "/v1/quotes", b" " * 2_000_001, 413),
    ):
        got, headers, answer = ask(port, method, path, data, {"Content-Type": "application/json"})
        assert got == status
        assert headers["Content-Type"] == "application/problem+json"
        assert json.loads(answer)["status"] == status


def test_a_body_in_chunks_is_bounded_too(port):
    with socket.create_connection(("127.0.0.1", port), timeout=30) as connection:
        connection.sendall(
            b"POST /v1/quotes HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
            b"Transfer-Encoding: chunked\r\n\r\n"
        )
        chunk = b"%x\r\n%s\r\n" % (100_000, b" " * 100_000)
        try:
            for _ in range(25):
                connection.sendall(chunk)
            connection.sendall(b"0\r\n\r\n")
        except (BrokenPipeError, ConnectionResetError):
            pass  # it may have answered before it had read all
        assert connection.recv(100).startswith(b"HTTP/1.1 413 ")


ENDLESS_QUOTE = json.dumps(line("turn")).encode()
AS_JSON = {"Content-Type": "application/json"}


def test_work_without_end_is_ended_by_its_deadline_and_others_are_answered_meanwhile(service):
    with ThreadPoolExecutor(2) as many:
        began = time.monotonic()
        asked = [
            many.submit(service.ask, "/v1/quotes", "POST", json.dumps(line("wait", quantity=n)).encode(), AS_JSON)
            for n in (1, 2)
        ]
        time.sleep(0.3)
        assert service.ask("/healthz")[0] == 200
        assert service.ask(QUOTE)[0] == 200
        assert {kind_of(each.result()) for each in asked} <= {"took-too-long", "busy"}
        assert time.monotonic() - began < DEADLINE + 5


def test_work_that_takes_too_much_memory_costs_an_engine_and_not_the_server(service):
    answer = service.ask("/v1/quotes", "POST", json.dumps(line("grow")).encode(), AS_JSON)
    assert kind_of(answer) == "took-too-long" and b"memory" in answer[2]
    assert service.ask(QUOTE)[0] == 200


def test_a_back_room_that_is_killed_is_started_again(service):
    keeper = service.keeper()
    (room,) = children(keeper)
    os.kill(room, signal.SIGKILL)
    assert service.ask("/v1/quotes", "POST", json.dumps(line("bench", quantity=3)).encode(), AS_JSON)[0] == 200
    assert children(keeper) not in ([], [room])


def test_a_back_room_ends_with_its_server_however_that_ends(service):
    """The last test of each server: one is told to end, the other is killed."""
    assert service.ask(QUOTE)[0] == 200
    with ThreadPoolExecutor(1) as beside:
        left = beside.submit(suppressed, service, ENDLESS_QUOTE)
        time.sleep(0.5)
        room = under(service.keeper())
        assert len(room) >= 4, "its keeper, itself, two engines"
        service.process.send_signal(ENDS[service.name])
        service.process.wait(40)
        left.result()
    late = time.monotonic() + 60  # an orphan of gunicorn's looks for its master now and then, and then lets work end
    while any(map(runs, room)):
        assert time.monotonic() < late
        time.sleep(0.05)


def suppressed(service, body):
    with contextlib.suppress(OSError, http.client.HTTPException):
        service.ask("/v1/quotes", "POST", body, AS_JSON)


def runs(process):
    with contextlib.suppress(OSError):
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    return False
