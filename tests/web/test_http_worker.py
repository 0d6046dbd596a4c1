"""Who is answered by which worker: real workers, with an application that tells who answers, after some time."""

import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, contextmanager
from http.client import HTTPConnection

from tests.web.serving import free_port

APPLICATION = """
import os, sys, time
from sawbill.web.http_worker import Worker
from sawbill.web import http_worker
from sawbill.web.server import Server

http_worker.MUCH = 0.1  # where many tests run at once, next to nothing may take longer than the usual

def tell(environ, start_response):
    time.sleep(float(environ["QUERY_STRING"]))
    start_response("200 OK", [("Content-Length", "8")])
    return [b"%8d" % os.getpid()]

port, workers = sys.argv[1:]
Server(tell, bind=f"127.0.0.1:{port}", workers=int(workers), worker_class=Worker, threads=8).run()
"""
WORK = 0.2
"""Beyond what is much, long enough for others to come in between, and less than they wait outside at most [s]."""


def ask(connection, seconds):
    """Ask for work of so many seconds, and give who did it and whether the connection is kept."""
    connection.request("GET", f"/?{seconds}")
    answer = connection.getresponse()
    return int(answer.read()), answer.headers["Connection"] == "keep-alive"


def come_in(port, seconds):
    """Ask by a connection of one's own."""
    with closing(HTTPConnection("127.0.0.1", port, timeout=30)) as connection:
        return ask(connection, seconds)


@contextmanager
def workers(count):
    """Start workers, and give their port."""
    port = free_port()
    service = subprocess.Popen([sys.executable, "-c", APPLICATION, str(port), str(count)], stderr=subprocess.DEVNULL)
    try:
        end = time.monotonic() + 60
        while True:
            try:
                come_in(port, 0)
                break
            except OSError:
                assert service.poll() is None and time.monotonic() < end
                time.sleep(0.05)
        yield port
    finally:
        service.terminate()
        service.wait(30)


def test_who_comes_in_while_a_worker_is_at_work_is_answered_by_another():
    with workers(2) as port, ThreadPoolExecutor(2) as both:
        begun = []

        def one():
            begun.append(time.monotonic())
            return come_in(port, WORK)[0]

        at_once = 0
        for _ in range(8):
            begun.clear()
            answers = [each.result() for each in [both.submit(one), both.submit(one)]]
            if abs(begun[1] - begun[0]) < WORK / 2:
                at_once += 1
                assert answers[0] != answers[1]
        assert at_once >= 4


def test_more_than_there_are_workers_wait_for_the_first_who_is_done():
    with workers(2) as port, ThreadPoolExecutor(6) as all_of_them:
        begun = time.monotonic()
        answered = [each for each, _ in all_of_them.map(lambda _: come_in(port, WORK), range(6))]
        assert time.monotonic() - begun >= 3 * WORK
    assert sorted(answered.count(each) for each in set(answered)) in ([3, 3], [2, 4])


def test_nobody_waits_outside_for_long():
    with workers(2) as port, ThreadPoolExecutor(2) as both:
        busy = [both.submit(come_in, port, 3) for _ in range(2)]
        time.sleep(WORK)
        begun = time.monotonic()
        come_in(port, 0)
        assert time.monotonic() - begun < 1.5
        assert not any(each.done() for each in busy)


def test_who_came_in_and_says_nothing_holds_up_nobody():
    with workers(2) as port, ExitStack() as open_ones:
        silent = [open_ones.enter_context(closing(HTTPConnection("127.0.0.1", port, timeout=30))) for _ in range(4)]
        for each in silent:
            each.connect()
        begun = time.monotonic()
        come_in(port, 0)
        assert time.monotonic() - begun < 1
        assert all(ask(each, 0)[0] for each in silent), "they are answered when they speak"


def test_who_asked_for_much_comes_in_anew_and_who_asked_for_little_need_not():
    with workers(2) as port, closing(HTTPConnection("127.0.0.1", port, timeout=30)) as connection:
        assert [ask(connection, seconds)[1] for seconds in (0, 0, WORK, 0)] == [True, True, False, True]


def test_a_worker_that_is_alone_takes_in_all_and_keeps_them():
    with workers(1) as port, ThreadPoolExecutor(4) as four:
        begun = time.monotonic()
        assert all(kept for _, kept in four.map(lambda _: come_in(port, WORK), range(4)))
        assert time.monotonic() - begun < 3 * WORK, "they are at work at the same time"
