"""The service as it keeps quotes over sockets, while its processes are killed at random moments.

The store's own tests kill more often; this sees that nothing between the socket and the store loses what it told.
"""

import contextlib
import hashlib
import http.client
import json
import os
import random
import signal
import subprocess
import sys
import threading
import time

import pytest
from tests.backroom.test_room import alive, wait_until
from tests.store.conftest import BOTH
from tests.store.postgresql import cluster
from tests.store.test_processes import BOTH_LONG
from tests.web.serving import COMMAND, free_port, under

from sawbill.store import Store

BETWEEN = 4
"""How many quotes are acknowledged from one kill to the next, at least."""
WHOLE = 4
"""Of so many kills the last takes the whole service, the others any one of its processes."""
WRITERS = 4


class Running:
    """A real service with two workers on a store, in a session of its own so that all of it can be killed at once."""

    def __init__(self, data, log):
        self.log, self.data = log, data
        self.start()

    def start(self):
        """Start it, on a port of the system's choice."""
        self.port = free_port()
        options = ["--port", str(self.port), "--workers", "2", "--data", str(self.data)]
        command = [sys.executable, "-c", COMMAND, "serve", *options]
        environment = {**os.environ, "HOME": str(self.log.parent)}
        with self.log.open("wb") as file:
            self.server = subprocess.Popen(
                command, stdout=file, stderr=subprocess.STDOUT, env=environment, start_new_session=True
            )
        end = time.monotonic() + 60
        while "listening at" not in self.log.read_text():
            assert self.server.poll() is None and time.monotonic() < end, self.log.read_text()
            time.sleep(0.05)

    def kill_one(self, chance):
        """Kill any of its processes but the first: a worker, the back room, an engine, a solver."""
        victims = under(self.server.pid)[1:]
        if victims:
            with contextlib.suppress(ProcessLookupError):
                os.kill(chance.choice(victims), signal.SIGKILL)

    def kill(self):
        """Kill the whole of it, if it runs."""
        everything = under(self.server.pid)
        if self.server.poll() is None:
            os.killpg(self.server.pid, signal.SIGKILL)
        self.server.wait()
        for process in everything:  # engines are groups of their own, and end by themselves
            wait_until(lambda process=process: not alive(process))


@pytest.fixture(params=BOTH)
def where(request, tmp_path):
    """Where a store is, at head."""
    with contextlib.ExitStack() as stack:
        made = tmp_path / "data" if request.param == "sqlite" else stack.enter_context(cluster()).database()
        with Store.open(made) as store:
            store.migrate()
        yield str(made)


@pytest.fixture
def running(where, tmp_path):
    service = Running(where, tmp_path / "log")
    yield service
    service.kill()


def post(port, body, headers):
    """Post a quote; None: no whole answer came back, or one that says to send it again."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("POST", "/v1/quotes", body, headers)
        answer = connection.getresponse()
        told = answer.status, answer.getheader("Location"), answer.read()
        return None if answer.status == 503 and answer.getheader("Retry-After") else told
    except (OSError, http.client.HTTPException):
        return None
    finally:
        connection.close()


def test_every_quote_that_was_acknowledged_outlives_kills_and_none_is_there_twice(running, where, body):
    write_through_kills(running, where, body, kills=4, writes=16)


@pytest.mark.parametrize("where", BOTH_LONG, indirect=True)
def test_every_one_of_500_quotes_outlives_kills_and_none_is_there_twice(running, where, body):
    write_through_kills(running, where, body, kills=100, writes=500)


def write_through_kills(running, where, body, kills, writes):
    """Have quotes kept while a process, or all of the service, is killed over and over, and look for each afterwards.

    It goes on until there were so many of both.
    """
    with Store.open(where) as store:
        _, secret = store.tokens.make("anna", "test", ("quote",))
    told, sent_again, ended = {}, [], threading.Event()

    def write(writer):
        number = 0
        while not ended.is_set():
            request = json.dumps({**body, "label": f"{writer}-{number}"})
            headers = {
                "Content-Type": "application/json",
                "Authorization": f"Bearer {secret}",
                "Idempotency-Key": f'"{writer}-{number}"',
            }
            while (answer := post(running.port, request, headers)) is None:  # sent again until it is acknowledged
                sent_again.append(writer)
                time.sleep(0.05)
            assert answer[0] == 201, answer
            told[f"{writer}-{number}"] = answer[1], hashlib.sha256(answer[2]).digest()
            number += 1

    chance, killed = random.Random(20261125), 0
    with contextlib.ExitStack() as stack:
        writers = [threading.Thread(target=write, args=(writer,)) for writer in range(WRITERS)]
        for writer in writers:
            writer.start()
            stack.callback(writer.join)
        stack.callback(ended.set)
        while killed < kills or len(told) < writes:
            seen, end = len(told), time.monotonic() + 20
            while len(told) < seen + BETWEEN and time.monotonic() < end:
                time.sleep(0.01)
            time.sleep(chance.random() * 0.05)
            killed += 1
            if killed % WHOLE:
                running.kill_one(chance)
            else:
                running.kill()
                running.start()
    assert sent_again, "there were writes that were cut short"
    running.kill()
    with Store.open(where) as store:
        assert "://" in where or store.faults() == []
        stored = store.quotes.list(None, most=10**6).quotes
        assert sorted(each.label for each in stored) == sorted(told), "each that was told, once, and no other"
        for address, digest in told.values():
            found = store.quotes.get(address.rpartition("/")[2], "anna")
            assert hashlib.sha256(found.result).digest() == digest
            assert store.books.revision(found.summary.revision)
