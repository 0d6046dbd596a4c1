"""Whoever speaks slowly, not at all, or no HTTP, to the service as it runs: nobody else waits for him."""

import json
import socket
import threading
import time
from contextlib import ExitStack, suppress

import pytest
from tests.web.serving import served

from sawbill.web.http.problems import KINDS

HURRIED = """
from sawbill.web.door.house import Times
from sawbill.web.door.worker import Door
Door.times = Times(head=1.5, whole=1.5, idle=1.5, lingering=0.5, reading=1.5)
from sawbill.cli.main import main
main()
"""
PLAN = b'{"price_book":"sample-inch","pieces":[{"name":"leg","section":"2x4","length":"28 in","quantity":4}]}'
POST = b"POST /v1/cutting-plans HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nConnection: close\r\n"


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    with served(tmp_path_factory.mktemp("door"), code=HURRIED, SAWBILL_MAX_BODY="100000") as running:
        yield running


def rest_of(connection):
    """All that still comes, until the service closes."""
    found = b""
    with suppress(ConnectionResetError):
        while more := connection.recv(65536):
            found += more
    return found


def said(service, data, *, half_close=False):
    """Say something and give all that comes back."""
    with service.connect() as connection:
        connection.sendall(data)
        if half_close:
            connection.shutdown(socket.SHUT_WR)
        return rest_of(connection)


def told(answer):
    """Read an answer that is a problem: its kind."""
    head, _, body = answer.partition(b"\r\n\r\n")
    problem = json.loads(body)
    kind = problem["type"].rpartition("/")[2]
    assert head.startswith(b"HTTP/1.1 %d " % KINDS[kind].status)
    assert b"content-type: application/problem+json\r\n" in head.lower() + b"\r\n"
    assert b"x-content-type-options: nosniff" in head.lower()
    return kind


def quick(service, seconds=1.0):
    """See that others are answered at once: the quickest of a few."""
    times = []
    for _ in range(3):
        began = time.monotonic()
        assert service.ask("/healthz", timeout=10)[0] == 200
        times.append(time.monotonic() - began)
    assert min(times) < seconds


def chunked(body):
    return POST + b"Transfer-Encoding: chunked\r\n\r\n" + body


REFUSED = {
    "a size in hexadecimal with its mark": (chunked(b"0x2\r\n{}\r\n0\r\n\r\n"), "bad-request"),
    "a size below nothing": (chunked(b"-2\r\n{}\r\n0\r\n\r\n"), "bad-request"),
    "a size with a plus": (chunked(b"+2\r\n{}\r\n0\r\n\r\n"), "bad-request"),
    "a chunk without its end": (chunked(b"2\r\n{}0\r\n\r\n"), "bad-request"),
    "a trailer": (chunked(b"2\r\n{}\r\n0\r\nX-More: 1\r\n\r\n"), "bad-request"),
    "another coding around it": (POST + b"Transfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n", "not-implemented"),
    "a coding that is none": (POST + b"Transfer-Encoding: identity\r\n\r\n", "not-implemented"),
    "both a length and chunks": (
        POST + b"Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", "bad-request",
    ),
    "two lengths": (POST + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}", "bad-request"),
    "a length that is no number": (POST + b"Content-Length: 2e1\r\n\r\n", "bad-request"),
    "no host": (b"GET /healthz HTTP/1.1\r\n\r\n", "bad-request"),
    "two hosts": (b"GET /healthz HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", "bad-request"),
    "another version": (b"GET /healthz HTTP/2.0\r\nHost: localhost\r\n\r\n", "bad-request"),
    "no HTTP at all": (b"<script>alert(1)</script> / nonsense\r\n\r\n", "bad-request"),
    "a control character in a header": (b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nX: a\0b\r\n\r\n", "bad-request"),
    "another expectation": (POST + b"Expect: tea\r\nContent-Length: 2\r\n\r\n{}", "expectation-failed"),
    "a body of 100 GB": (POST + b"Content-Length: 99999999999\r\n\r\n", "too-large"),
    "a body a byte too long": (POST + b"Content-Length: 100001\r\n\r\n", "too-large"),
    "chunks without end": (chunked(b"8000\r\n" + b"x" * 0x8000 + b"\r\n") + (b"8000\r\n" + b"x" * 0x8000 + b"\r\n") * 4,
                           "too-large"),
    "a first line without end": (b"GET /" + b"x" * 70_000, "address-too-long"),
    "a first line too long": (b"GET /%s HTTP/1.1\r\nHost: localhost\r\n\r\n" % (b"x" * 4_100), "address-too-long"),
    "a header too long": (b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nX: %s\r\n\r\n" % (b"x" * 9_000),
                          "headers-too-large"),
    "a head without end": (b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n" + b"X: y\r\n" * 12_000, "headers-too-large"),
    "150 headers": (b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n" + b"X: y\r\n" * 150 + b"\r\n", "headers-too-large"),
    "a connection to elsewhere": (b"CONNECT example.org:443 HTTP/1.1\r\nHost: localhost\r\n\r\n", "bad-request"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_request_is_refused_as_a_problem(service, name):
    data, kind = REFUSED[name]
    assert told(said(service, data)) == kind


def test_nothing_of_that_is_told_with_a_trace_and_all_goes_on(service):
    quick(service)
    assert "Traceback" not in service.log_text()


ANSWERED = {
    "a whole address": b"GET http://localhost/healthz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n",
    "HTTP 1.0": b"GET /healthz HTTP/1.0\r\n\r\n",
    "a body in chunks": chunked(b"%x\r\n%s\r\n%x\r\n%s\r\n0\r\n\r\n" % (10, PLAN[:10], len(PLAN) - 10, PLAN[10:])),
    "a body of a stated length": POST + b"Content-Length: %d\r\n\r\n%s" % (len(PLAN), PLAN),
    "the same length twice": POST + (b"Content-Length: %d\r\n" % len(PLAN)) * 2 + b"\r\n" + PLAN,
}  # fmt: skip


@pytest.mark.parametrize("name", ANSWERED)
@pytest.mark.parametrize("half_close", [False, True], ids=["", "who has closed his side"])
def test_what_is_one_is_answered(service, name, half_close):
    assert said(service, ANSWERED[name], half_close=half_close).startswith(b"HTTP/1.1 200 OK\r\n")


def test_whoever_waits_to_be_told_to_go_on_is_told(service):
    with service.connect() as connection:
        connection.sendall(POST + b"Expect: 100-continue\r\nContent-Length: %d\r\n\r\n" % len(PLAN))
        assert connection.recv(100) == b"HTTP/1.1 100 \r\n\r\n"
        connection.sendall(PLAN)
        assert rest_of(connection).startswith(b"HTTP/1.1 200 ")


def test_requests_sent_ahead_are_answered_one_after_the_other(service):
    several = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n" * 20
    last = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"
    assert said(service, several + last).count(b"HTTP/1.1 200 OK") == 21


def test_a_header_with_an_underscore_is_not_taken_for_another(tmp_path):
    with served(tmp_path, SAWBILL_PROXIES="1", SAWBILL_TRUSTED_HOSTS="127.0.0.1") as service:
        spoof = b"GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\nX_Request_Id: taken\r\nConnection: close\r\n\r\n"
        assert b"taken" not in said(service, spoof)


@pytest.mark.parametrize(
    ("data", "kind"),
    [(POST + b"Content-Length: 50\r\n\r\n{", "too-slow"), (b"GET /healthz HTTP/1.1\r\nHost: lo", None), (b"", None)],
    ids=["its body", "its head", "anything"],
)
def test_who_stops_before_he_has_said_it_all_is_waited_for_only_so_long(service, data, kind):
    began = time.monotonic()
    answer = said(service, data)
    assert 1 < time.monotonic() - began < 6
    assert answer == b"" if kind is None else told(answer) == kind


def test_a_body_that_breaks_off_is_told_of(service):
    assert told(said(service, POST + b"Content-Length: 50\r\n\r\n{", half_close=True)) == "too-slow"


@pytest.mark.parametrize("drop", [b"", b"a", b"X: y\r\n"], ids=["silent", "drop by drop", "line by line"])
def test_300_who_say_little_or_nothing_hold_up_nobody(service, drop):
    with ExitStack() as open_ones:
        slow = [open_ones.enter_context(service.connect()) for _ in range(300)]
        for each in slow if drop else ():
            each.sendall(b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nX-A: ")
        ended = threading.Event()

        def trickle():
            while not ended.wait(0.2):
                for each in slow if drop else ():
                    with suppress(OSError):
                        each.sendall(drop)

        trickling = threading.Thread(target=trickle)
        trickling.start()
        try:
            quick(service)
            assert service.ask("/v1/cutting-plans", "POST", json.loads(PLAN))[0] == 200
        finally:
            ended.set()
            trickling.join()
        for each in slow:
            each.settimeout(10)
            assert rest_of(each) == b"", "and they are let go of in the end"


def test_those_who_do_not_read_their_answers_hold_up_nobody_and_are_cut_off(service):
    with ExitStack() as open_ones:
        for _ in range(80):  # more than there are threads
            connection = open_ones.enter_context(socket.socket())
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            connection.connect(("127.0.0.1", service.port))
            connection.sendall(b"GET /openapi.json HTTP/1.1\r\nHost: localhost\r\n\r\n" * 20)
        time.sleep(0.5)
        quick(service, 3)


def test_the_end_waits_for_nobody_who_says_nothing(tmp_path):
    with ExitStack() as open_ones:
        service = open_ones.enter_context(served(tmp_path, code=HURRIED))
        for _ in range(5):
            open_ones.enter_context(service.connect())
        began = time.monotonic()
        assert service.end() == 0
        assert time.monotonic() - began < 10
