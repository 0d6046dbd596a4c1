"""One service takes the place of another, or ends, while clients go on asking: nobody who has come is lost."""

import http.client
import json
import signal
import socket
import subprocess
import sys
import threading
import time
from contextlib import ExitStack, contextmanager

import pytest
from click.testing import CliRunner
from tests.web.running.test_server import PLAN, half_sent, rest_of
from tests.web.serving import ENDING, free_port, served, started

from sawbill.cli.main import main

HANDED = """
import os
os.dup2({number}, 3)
os.environ.update(LISTEN_FDS="1", LISTEN_PID=str(os.getpid()))
from sawbill.cli.main import main
main()
"""
"""Start as systemd does: with the socket at its place, and told of it (sd_listen_fds(3))."""
PATIENCE = 60
"""How long a client waits for an answer [s]."""


class Clients:
    """Threads that ask for something small over and over: some connect each time, some keep their connection."""

    def __init__(self, port, kept):
        self.port, self.answered, self.lost, self.longest = port, 0, [], 0.0
        self._ended = threading.Event()
        self._threads = [threading.Thread(target=self._ask, args=(keep,)) for keep in kept]

    def __enter__(self):
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_):
        self._ended.set()
        for thread in self._threads:
            thread.join()

    def _ask(self, keep):
        connection = self._connection()
        while not self._ended.wait(0.01):
            began = time.monotonic()
            try:
                connection.request("GET", "/v1/tables", headers={"Connection": "keep-alive" if keep else "close"})
                answer = connection.getresponse()
                assert (answer.status, answer.read()[:1]) == (200, b"{")
                self.answered += 1
            except (OSError, http.client.HTTPException, AssertionError) as error:
                self.lost.append(error)
                connection.close()
            self.longest = max(self.longest, time.monotonic() - began)
        connection.close()

    def _connection(self):
        """A connection that connects again whenever it was closed."""
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)


@contextmanager
def in_turn(folder, *words, **more):
    """Give ways to start a service and wait until it listens, to end the one before it as well, and to end the last.

    Both have requests that go on for a while: whoever the one that ends let connect meanwhile would be lost with it.
    """
    running = []

    def take_over():
        begin()
        before = running[-2]
        with ExitStack() as stack:
            requests = [stack.enter_context(half_sent(before)) for _ in range(8)]
            time.sleep(0.2)
            before.process.terminate()
            time.sleep(1)
            for request in requests:
                request.sendall(PLAN[-1].encode())
                assert rest_of(request).startswith(b"HTTP/1.1 200 ")
        assert before.process.wait(ENDING) == 0, before.log_text()

    def begin():
        service = started(folder, *words, "--workers", "2", **more)
        running.append(service)
        late = time.monotonic() + 60
        while "listening at" not in service.log_text():
            assert service.process.poll() is None and time.monotonic() < late, service.log_text()
            time.sleep(0.02)

    try:
        yield begin, take_over, lambda: running[-1].end()
    finally:
        for service in running:
            if service.process.poll() is None:
                service.process.kill()
                service.process.wait()


@pytest.mark.parametrize("times", [1, pytest.param(20, marks=pytest.mark.long)])
def test_services_that_share_a_port_hand_it_over_and_no_request_is_lost(tmp_path, times):
    port = free_port()
    with in_turn(tmp_path, "--share-port", port=port) as (begin, take_over, _):
        begin()
        with Clients(port, kept=[False, False, False, True]) as clients:
            for _ in range(times):
                before = clients.answered
                take_over()
                assert clients.answered > before
        assert clients.lost == []
        assert clients.longest < 5, "who was turned away knocks again after a second"


def test_services_that_are_handed_one_socket_follow_each_other_and_no_request_is_lost(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as held:
        code, port = HANDED.format(number=held.fileno()), held.getsockname()[1]
        with in_turn(tmp_path, code=code, port=port, handed=[held.fileno()]) as (begin, take_over, end):
            begin()
            with Clients(port, kept=[False, False, False, True]) as clients:
                take_over()
                assert end() == 0
                time.sleep(0.2)  # nobody serves, and whoever connects waits
                answered = clients.answered
                begin()
                time.sleep(0.5)
                assert clients.answered > answered
            assert clients.lost == []


def test_where_a_socket_was_handed_over_its_address_says_who_reaches_the_service(tmp_path):
    with socket.create_server(("0.0.0.0", 0)) as held:
        code = HANDED.format(number=held.fileno())
        command = [sys.executable, "-c", code, "serve", "--host", "127.0.0.1", "--data", str(tmp_path / "data")]
        told = subprocess.run(command, capture_output=True, text=True, check=False, pass_fds=[held.fileno()])
    assert told.returncode == 2
    assert "others can reach 0.0.0.0, but there is no token" in told.stderr


def test_a_port_that_another_does_not_share_is_refused_with_what_would_do():
    with socket.create_server(("127.0.0.1", 0)) as held:
        port = held.getsockname()[1]
        told = CliRunner().invoke(main, ["serve", "--port", str(port), "--share-port"])
    assert told.exit_code == 1
    assert f"port {port} of 127.0.0.1 cannot be shared" in told.stderr and "--share-port" in told.stderr


def test_who_connects_to_a_service_that_ends_is_answered_or_refused_but_never_cut_off(tmp_path):
    with ExitStack() as stack:
        service = stack.enter_context(served(tmp_path, "--workers", "2"))
        running = stack.enter_context(half_sent(service))  # which keeps it from its end
        clients = stack.enter_context(Clients(service.port, kept=[False] * 4))
        time.sleep(0.5)
        service.process.send_signal(signal.SIGTERM)
        time.sleep(2.5)
        assert service.process.poll() is None
        answered = clients.answered
        time.sleep(1.5)
        assert clients.answered == answered, "by now it takes nobody new"
        running.sendall(b"}")
        assert rest_of(running).startswith(b"HTTP/1.1 200 ")
        assert service.process.wait(30) == 0
    assert clients.lost and {type(error) for error in clients.lost} == {ConnectionRefusedError}


def test_who_reads_slowly_reads_all_of_an_answer_though_the_service_ends(tmp_path):
    with ExitStack() as stack:
        held = stack.enter_context(socket.create_server(("127.0.0.1", 0)))
        held.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 65536)  # or the system takes all of it at once
        code, port = HANDED.format(number=held.fileno()), held.getsockname()[1]
        service = stack.enter_context(served(tmp_path, code=code, port=port, handed=[held.fileno()]))
        slow = stack.enter_context(socket.socket())
        slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 65536)
        slow.connect(("127.0.0.1", port))
        slow.sendall(b"GET /openapi.json HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
        begun = slow.recv(4096)  # the answer is there
        service.process.send_signal(signal.SIGTERM)
        time.sleep(2)  # more than the service needs where nobody reads
        head, _, body = (begun + rest_of(slow)).partition(b"\r\n\r\n")
        assert head.startswith(b"HTTP/1.1 200 ")
        assert json.loads(body)["openapi"]
        assert service.process.wait(ENDING) == 0
