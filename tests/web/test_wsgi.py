"""The service as it runs: gunicorn, a socket, a client."""

import contextlib
import http.client
import json
import os
import re
import socket
import subprocess
import sys
import time

import pytest

LISTENING = re.compile(r"Listening at: http://127\.0\.0\.1:(\d+)")


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    """A real server with two workers, on a port of the system's choice."""
    log = tmp_path_factory.mktemp("server") / "log"
    command = [sys.executable, "-m", "gunicorn", "sawbill.wsgi:app", "--bind", "127.0.0.1:0", "--workers", "2"]
    with log.open("wb") as file:
        environment = {**os.environ, "HOME": str(log.parent)}
        server = subprocess.Popen(command, stdout=file, stderr=subprocess.STDOUT, env=environment)
    try:
        end = time.monotonic() + 30
        while not (found := LISTENING.search(log.read_text())):
            assert server.poll() is None and time.monotonic() < end, log.read_text()
            time.sleep(0.05)
        yield int(found[1])
    finally:
        server.terminate()
        assert server.wait(30) == 0


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


def test_a_server_that_is_told_to_end_ends_well(port):
    assert ask(port, "GET", "/healthz")[0] == 200  # the fixture then ends it, and asserts its exit code
