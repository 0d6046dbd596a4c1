"""The service as it keeps quotes over sockets, while its processes are killed at random moments.

The store's own tests kill for longer; this sees that nothing between the socket and the store loses what it told.
"""

import contextlib
import hashlib
import http.client
import json
import os
import random
import re
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from sawbill.store import Store

LISTENING = re.compile(r"Listening at: http://127\.0\.0\.1:(\d+)")
KILLS = 8
"""How often something is killed: a worker, or halfway and at the end the whole service."""
BETWEEN = 3
"""How many quotes are acknowledged from one kill to the next, at least."""
WRITERS = 4


class Running:
    """A real server with two workers on a store, in a session of its own so that all of it can be killed at once."""

    def __init__(self, data, log):
        self.log, self.data = log, data
        self.start()

    def start(self):
        """Start it, on a port of the system's choice."""
        options = ["--bind", "127.0.0.1:0", "--workers", "2", "--threads", "4", "--preload"]
        command = [sys.executable, "-m", "gunicorn", "sawbill.wsgi:app", *options]
        environment = {**os.environ, "HOME": str(self.log.parent), "SAWBILL_DATA": str(self.data)}
        with self.log.open("wb") as file:
            self.server = subprocess.Popen(
                command, stdout=file, stderr=subprocess.STDOUT, env=environment, start_new_session=True
            )
        end = time.monotonic() + 30
        while not (found := LISTENING.search(self.log.read_text())):
            assert self.server.poll() is None and time.monotonic() < end, self.log.read_text()
            time.sleep(0.05)
        self.port = int(found[1])

    def kill_worker(self, chance):
        """Kill one of its workers."""
        children = Path(f"/proc/{self.server.pid}/task/{self.server.pid}/children").read_text().split()
        if children:
            with contextlib.suppress(ProcessLookupError):
                os.kill(int(chance.choice(children)), signal.SIGKILL)

    def kill(self):
        """Kill the whole of it, if it runs."""
        if self.server.poll() is None:
            os.killpg(self.server.pid, signal.SIGKILL)
        self.server.wait()


@pytest.fixture
def data(tmp_path):
    with Store.open(tmp_path / "data") as store:
        store.prepare()
    return tmp_path / "data"


@pytest.fixture
def running(data, tmp_path):
    service = Running(data, tmp_path / "log")
    yield service
    service.kill()


def post(port, body, headers):
    """Post a quote; None: no whole answer came back."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("POST", "/v1/quotes", body, headers)
        answer = connection.getresponse()
        return answer.status, answer.getheader("Location"), answer.read()
    except (OSError, http.client.HTTPException):
        return None
    finally:
        connection.close()


def test_every_quote_that_was_acknowledged_outlives_kills_and_none_is_there_twice(running, data, body):
    with Store.open(data) as store:
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

    chance = random.Random(20261125)
    with contextlib.ExitStack() as stack:
        writers = [threading.Thread(target=write, args=(writer,)) for writer in range(WRITERS)]
        for writer in writers:
            writer.start()
            stack.callback(writer.join)
        stack.callback(ended.set)
        for number in range(1, KILLS + 1):
            seen, end = len(told), time.monotonic() + 20
            while len(told) < seen + BETWEEN and time.monotonic() < end:
                time.sleep(0.01)
            time.sleep(chance.random() * 0.05)
            if number % (KILLS // 2):
                running.kill_worker(chance)
            else:
                running.kill()
                running.start()
    assert len(told) >= KILLS * BETWEEN and sent_again, "there were writes, and kills among them"
    running.kill()
    with Store.open(data) as store:
        assert store.faults() == []
        stored = store.quotes.list(None, most=10**6).quotes
        assert sorted(each.label for each in stored) == sorted(told), "each that was told, once, and no other"
        for address, digest in told.values():
            found = store.quotes.get(address.rpartition("/")[2], "anna")
            assert hashlib.sha256(found.result).digest() == digest
            assert store.books.revision(found.summary.revision)
