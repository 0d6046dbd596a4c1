"""The service as `sawbill serve` runs it: how it starts, waits, shares and ends."""

import itertools
import json
import os
import re
import signal
import socket
import threading
import time
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.store.conftest import BOTH
from tests.store.postgresql import cluster
from tests.web.serving import children, served

from sawbill.backroom.starting import MOST_USUAL
from sawbill.cli.main import main
from sawbill.store import Store
from sawbill.web.admission.limits import DEPOSIT, REQUEST
from sawbill.web.door.refusing import LONGEST_ADDRESS
from sawbill.web.http.problems import KINDS
from sawbill.web.running.server import GUESTS


def test_a_store_that_others_reach_needs_a_token_first(tmp_path):
    told = CliRunner().invoke(main, ["serve", "--host", "0.0.0.0", "--data", str(tmp_path / "data")])
    assert told.exit_code == 2
    assert "Make one first: sawbill token make --owner NAME --label LABEL --scope admin" in told.stderr
    assert "127.0.0.1" in told.stderr


HASTY = (
    "from sawbill.backroom import starting; from sawbill.web.running import server; starting.STUCK = server.STUCK = 3; "
    "from sawbill.cli.main import main; main()"
)


def test_processes_that_stand_still_are_replaced_and_counted(tmp_path):
    with served(tmp_path, code=HASTY) as service:
        still = {"worker": service.workers()[0], "back room": service.back_room()}
        for pid in still.values():
            os.kill(pid, signal.SIGSTOP)
        late = time.monotonic() + 60
        while service.ask_again("/v1/designs/bench/value/total.txt?price_book=sample-inch")[0] != 200:
            assert time.monotonic() < late, "what was asked meanwhile may be late, and what comes next is answered"
        told = service.ask_again("/metrics")[2].decode()
        for process in still:
            (count,) = re.findall(rf'sawbill_stuck_processes_total{{process="{process}"}} (\d+)', told)
            assert int(count) >= 1
        assert not set(still.values()) & set(children(service.process.pid))
        assert "a process stood still and was ended" in service.log_text()


def test_without_a_store_whoever_reaches_it_is_told_of_and_its_meters_are_those_of_all_workers(tmp_path):
    with served(tmp_path, "--host", "0.0.0.0", "--workers", "2") as service:
        first, *_ = service.log_text().splitlines()
        assert first == "Anyone who can reach 0.0.0.0 can read and make quotes; nothing is stored."
        for _ in range(20):
            assert service.ask("/v1/tables?x=for-nobody-else")[0] == 422
        _, headers, told = service.ask("/metrics")
        assert headers["Content-Type"] == "text/plain; version=0.0.4; charset=utf-8"
        assert b'sawbill_requests_total{method="GET",route="/v1/tables",status="422"} 20.0' in told
        service.kill_workers()
        assert service.ask_again("/v1/tables?x=1")[0] == 422
        told = service.ask("/metrics")[2]
        assert b'sawbill_requests_total{method="GET",route="/v1/tables",status="422"} 21.0' in told, "they go on"
        assert service.end() == 0
    _, *lines = service.log_text().splitlines()
    logged = [json.loads(line) for line in lines]
    assert sum(line.get("route") == "/v1/tables" for line in logged) == 21
    assert "for-nobody-else" not in service.log_text()
    assert not list(Path("/dev/shm").glob(f"sawbill-shared-{service.process.pid}-*"))


def test_what_one_worker_has_made_the_others_and_their_successors_find(tmp_path):
    bench = "/v1/designs/bench/quote?price_book=sample-inch"
    with served(tmp_path, "--workers", "2") as service:
        _, headers, made = service.ask(bench)
        assert headers["Server-Timing"] != "engine;dur=0.0"
        for _ in range(10):
            status, headers, same = service.ask(bench)
            assert (status, headers["Server-Timing"], same) == (200, "engine;dur=0.0", made)
        service.kill_workers()
        assert service.ask_again(bench)[1]["Server-Timing"] == "engine;dur=0.0"
        total = f"/v1/designs/bench/value/total.txt{bench.partition('quote')[2]}"
        assert service.ask(total)[1]["Server-Timing"] == "engine;dur=0.0"
        assert service.end() == 0


def test_engines_leave_callers_to_the_workers_and_are_replaced_and_end_with_the_service(tmp_path):
    rows = "/v1/comparisons?designs=bench&price_book=sample-inch&quantity=1,2,3,4,5,6&kerf="
    with served(tmp_path) as service:
        (worker,), room = service.workers(), service.back_room()
        usual, late = min(MOST_USUAL, len(os.sched_getaffinity(0))) + GUESTS, time.monotonic() + 20
        while len(children(room)) < usual and time.monotonic() < late:  # the second is forked once the first is there
            time.sleep(0.05)
        engines = children(room)
        assert len(engines) == usual
        callers = sockets(service.process.pid) & sockets(worker)
        assert callers
        while any(callers & sockets(each) for each in engines):  # an engine that has just been forked
            assert time.monotonic() < late
            time.sleep(0.05)
        assert service.ask(f"{rows}3mm")[0] == 200
        os.kill(engines[0], signal.SIGKILL)
        assert service.ask(f"{rows}3.1mm")[0] == 200, "another takes its place"
        assert engines[0] not in children(room)
        os.kill(room, signal.SIGKILL)
        assert service.ask(f"{rows}3.2mm")[0] == 200, "another is started, and asked again"
        assert service.back_room() != room
        engines += children(service.back_room())
        assert service.end() == 0
        late = time.monotonic() + 10
        while any(Path(f"/proc/{each}").exists() for each in engines):
            assert time.monotonic() < late
            time.sleep(0.05)


def sockets(process):
    """What is open of a process; what is closed while it is looked at is left out."""
    found = set()
    for each in Path(f"/proc/{process}/fd").iterdir():
        with suppress(FileNotFoundError):
            found.add(str(each.readlink()))
    return {link for link in found if link.startswith("socket:")}


def test_on_loopback_nobody_needs_a_token_until_there_is_one(tmp_path, body):
    data = str(tmp_path / "data")
    with served(tmp_path, "--data", data) as service:
        assert service.ask("/v1/quotes", "POST", body)[0] == 201
        with Store.open(data) as store:
            _, secret = store.tokens.make("anna", "laptop", ["quote"])
        assert service.ask("/v1/quotes", "POST", body)[0] == 401
        assert service.ask("/v1/quotes", "POST", body, Authorization=f"Bearer {secret}")[0] == 201


# ---- those who are slow, and the end

IMPATIENT = """
from sawbill.web.door.house import Times
from sawbill.web.door.worker import Door
Door.times = Times(head=2, whole=2, idle=2, reading=4)
from sawbill.cli.main import main
main()
"""
PLAN = '{"price_book": "sample-inch", "pieces": [{"name": "leg", "section": "2x4", "length": "28 in", "quantity": 4}]}'


@contextmanager
def half_sent(service):
    """Send all of a request but its last byte."""
    data = PLAN.encode()
    head = ("POST /v1/cutting-plans HTTP/1.1", "Host: localhost", "Content-Type: application/json",
            "Connection: close", f"Content-Length: {len(data)}", "", "")  # fmt: skip
    with service.connect() as connection:
        connection.sendall("\r\n".join(head).encode() + data[:-1])
        yield connection


def rest_of(connection):
    """All that still comes, until the service closes."""
    found = b""
    with suppress(ConnectionResetError):  # what it did not read is thrown away
        while more := connection.recv(65536):
            found += more
    return found


@pytest.fixture(scope="module")
def impatient(tmp_path_factory):
    with served(tmp_path_factory.mktemp("impatient"), code=IMPATIENT) as service:
        yield service


UNREADABLE = {
    "address-too-long": b"GET /v1/tables?x=%s HTTP/1.1\r\nHost: localhost\r\n\r\n" % (b"y" * 5_000),
    "headers-too-large": b"GET /v1/tables HTTP/1.1\r\nHost: localhost\r\nX: %s\r\n\r\n" % (b"y" * 9_000),
    "bad-request": b"<script>alert(1)</script> / nonsense\r\n\r\n",
}


@pytest.mark.parametrize("kind", UNREADABLE)
def test_what_the_server_cannot_read_is_refused_with_a_problem_like_any_other(impatient, kind):
    with impatient.connect() as connection:
        connection.sendall(UNREADABLE[kind])
        head, _, body = rest_of(connection).partition(b"\r\n\r\n")
    told, known = json.loads(body), KINDS[kind]
    assert head.startswith(b"HTTP/1.1 %d " % known.status)
    assert b"Content-Type: application/problem+json\r\n" in head
    assert b"X-Content-Type-Options: nosniff" in head
    assert (told["type"], told["status"], told["title"]) == (f"/problems/{kind}", known.status, known.title)
    assert b"script" not in body
    assert b"gunicorn" not in head.lower() + body.lower()


@pytest.mark.parametrize("over", [0, 1])
def test_the_first_line_of_a_request_may_be_just_so_long(impatient, over):
    line = b"GET /healthz?x="
    line += b"y" * (LONGEST_ADDRESS - len(line) - len(b" HTTP/1.1") + over) + b" HTTP/1.1"
    with impatient.connect() as connection:
        connection.sendall(line + b"\r\nHost: localhost\r\nConnection: close\r\n\r\n")
        status = rest_of(connection).split()[1]
    assert (status == b"414") == bool(over)


def test_who_sends_a_request_drop_by_drop_holds_up_nobody_and_is_answered_in_the_end(impatient):
    with ExitStack() as open_ones:
        slow = [open_ones.enter_context(half_sent(impatient)) for _ in range(3)]  # and never the rest
        headers = open_ones.enter_context(impatient.connect())
        headers.sendall(b"GET /healthz HTTP/1.1\r\nHost: loc")
        ended = threading.Event()

        def trickle():
            with suppress(OSError):
                while not ended.wait(0.1):
                    headers.sendall(b"a")

        trickling = threading.Thread(target=trickle)
        trickling.start()
        began = time.monotonic()
        try:
            for _ in range(5):
                assert impatient.ask("/healthz", timeout=5)[0] == 200
            assert time.monotonic() - began < 2, "nobody waits for them"
            for connection in slow:
                assert rest_of(connection).startswith(b"HTTP/1.1 408 ")
            assert rest_of(headers) == b""
        finally:
            ended.set()
            trickling.join()
        assert 1.5 < time.monotonic() - began < 10
    assert impatient.ask("/healthz")[0] == 200


def test_more_slow_ones_than_there_are_threads_are_done_with_in_time(impatient):
    with ExitStack() as open_ones:
        for _ in range(12):
            open_ones.enter_context(half_sent(impatient))
        began = time.monotonic()
        assert impatient.ask("/healthz", timeout=20)[0] == 200
        assert time.monotonic() - began < 10


def test_who_does_not_close_after_his_last_answer_holds_up_nobody(impatient):
    with ExitStack() as open_ones:
        began = time.monotonic()
        for _ in range(5):
            connection = open_ones.enter_context(impatient.connect())
            connection.sendall(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
            assert rest_of(connection).startswith(b"HTTP/1.1 200 ")
        assert impatient.ask("/healthz")[0] == 200
        assert time.monotonic() - began < 5, "two seconds for each, if one waited for the other"


def test_those_who_do_not_read_their_answers_are_cut_off_and_hold_up_nobody(impatient):
    asked, (worker,) = b"GET /openapi.json HTTP/1.1\r\nHost: localhost\r\n\r\n", impatient.workers()
    before = sockets(worker)
    with ExitStack() as open_ones:
        for number in range(80):  # more than there are threads
            connection = open_ones.enter_context(socket.socket())
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            connection.connect(("127.0.0.1", impatient.port))
            connection.sendall(asked * 40 if number % 2 else asked)
        late, longest, most = time.monotonic() + 40, 0.0, 0
        while not most or len(sockets(worker) - before) > 2:  # those of the last to ask
            most = max(most, len(sockets(worker) - before))
            assert time.monotonic() < late, f"{len(sockets(worker) - before)} are still served"
            began = time.monotonic()
            assert impatient.ask("/healthz", timeout=20)[0] == 200
            longest = max(longest, time.monotonic() - began)
            time.sleep(0.1)
        assert most >= 80
        assert longest < 10


def test_what_runs_when_the_service_is_told_to_end_is_finished(impatient):
    with half_sent(impatient) as connection:
        time.sleep(0.3)
        impatient.process.terminate()
        time.sleep(0.7)
        assert impatient.process.poll() is None, "it waits for the request"
        connection.sendall(PLAN[-1].encode())
        answer = rest_of(connection)
        assert answer.startswith(b"HTTP/1.1 200 ")
        assert b'"shopping_list"' in answer
        assert impatient.process.wait(30) == 0


# ---- two on one store


@pytest.fixture(params=BOTH)
def where(request, tmp_path):
    """Where a store is, at head."""
    if request.param == "sqlite":
        yield str(tmp_path / "data")
        return
    with cluster() as server:
        yield server.database()


def test_two_services_on_one_store_share_tokens_limits_and_failures(where, tmp_path, body):
    with Store.open(where) as store:
        store.migrate()
        token, secret = store.tokens.make("anna", "laptop", ["quote"])
    shown = {"Authorization": f"Bearer {secret}"}
    rate = {"SAWBILL_RATE": "100 per hour"}
    with served(tmp_path, "--data", where, **rate) as one, served(tmp_path, "--data", where, **rate) as other:
        left = []
        for service in (one, other, one, other):
            status, headers, _ = service.ask("/v1/designs", **shown)
            assert status == 200
            left.append(int(re.search(r"r=(\d+)", headers["RateLimit"])[1]))
        assert left == [99, 98, 97, 96]
        asked, granted = itertools.cycle((one, other)), 0
        while next(asked).ask("/v1/quotes?keep=no", "POST", body, **shown)[0] == 200:
            granted += 1
        assert 1 <= granted <= (96 - DEPOSIT) // REQUEST + 1
        for service in (one, other):
            status, headers, _ = service.ask("/v1/quotes?keep=no", "POST", body, **shown)
            assert status == 429 and int(headers["Retry-After"]) > 0
        for number in range(20):
            status, _, _ = (one, other)[number % 2].ask("/v1/designs", Authorization="Bearer sawbill_x")
            assert status == 401
        for service in (one, other):
            assert service.ask("/v1/designs", Authorization="Bearer sawbill_x")[0] == 429
        with Store.open(where) as store:
            store.tokens.revoke(token.id)
        for service in (one, other):
            assert service.ask("/v1/quotes", **shown)[0] in (401, 429)
        assert one.end() == other.end() == 0
        for service in (one, other):
            assert secret not in service.log_text() and "sawbill_x" not in service.log_text()
