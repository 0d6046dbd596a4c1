"""The service as it runs: `sawbill serve` in processes of its own, asked over a socket."""

import http.client
import itertools
import json
import os
import signal
import socket
import subprocess
import sys
import time
import uuid
from contextlib import contextmanager
from pathlib import Path

ENDING = 40
"""How long a service may take to end [s]."""


COMMAND = "from sawbill.cli.main import main; main()"


class Served:
    """A running service."""

    def __init__(self, process, port, log):
        self.process, self.port, self._log = process, port, log

    def ask(self, path, method="GET", body=None, timeout=30, **headers):
        """Ask it, and give the status, the headers and the body of the answer."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        try:
            if isinstance(body, dict):
                body, headers = json.dumps(body).encode(), {"Content-Type": "application/json", **headers}
            connection.request(method, path, body, {name.replace("_", "-"): text for name, text in headers.items()})
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            connection.close()

    def connect(self):
        return socket.create_connection(("127.0.0.1", self.port), timeout=30)

    def ask_again(self, path):
        """Ask it until it answers."""
        end = time.monotonic() + 60
        while True:
            assert self.process.poll() is None and time.monotonic() < end, self.log_text()
            try:
                return self.ask(path)
            except OSError:
                time.sleep(0.05)

    def workers(self):
        """Its workers."""
        return [each for each in children(self.process.pid) if each != self.back_room()]

    def back_room(self):
        """Its back room, the one of its processes that has others."""
        late = time.monotonic() + 10
        while True:
            found = [each for each in children(self.process.pid) if children(each)]
            if found or time.monotonic() > late:
                return found[0]
            time.sleep(0.05)

    def kill_workers(self):
        """Kill all of its workers and its back room; it starts others."""
        for child in children(self.process.pid):
            os.kill(child, signal.SIGKILL)

    def end(self):
        """Tell it to end, wait until it has, and give its exit code."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(ENDING)

    def log_text(self):
        return self._log.read_text()


def children(process):
    """The processes that a process has started and that still run."""
    try:
        return [int(each) for each in Path(f"/proc/{process}/task/{process}/children").read_text().split()]
    except OSError:  # it has ended
        return []


def under(process):
    """A process, those that it has started, and those that these have."""
    return [process, *(each for child in children(process) for each in under(child))]


_WORKER = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
_PORTS = (10_000 + 1_000 * _WORKER + each % 1_000 for each in itertools.count(os.getpid()))
"""Ports below those that the system gives to whoever connects, a thousand for each process that runs tests.

So nobody takes one between the moment it is found free and the moment a service listens there.
"""


def free_port():
    """Find a port that nobody has, and that nobody is given."""
    return next(filter(_is_free, _PORTS))


def _is_free(port):
    with socket.socket() as tried:
        try:
            tried.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True


def started(folder, *words, code=COMMAND, port=None, handed=(), **environ):
    """Start a service, and give it at once; handed: the sockets that it takes over, by their numbers."""
    port = port or free_port()
    log = folder / f"log-{uuid.uuid4().hex}"
    command = [sys.executable, "-c", code, "serve", "--port", str(port), "--workers", "1", *words]
    with log.open("wb") as file:
        environment = {**os.environ, "HOME": str(folder), **environ}
        process = subprocess.Popen(
            command, stdout=file, stderr=subprocess.STDOUT, env=environment, pass_fds=tuple(handed)
        )
    return Served(process, port, log)


@contextmanager
def served(folder, *words, **more):
    """Run a service and end it afterwards."""
    service = started(folder, *words, **more)
    try:
        assert service.ask_again("/healthz")[0] == 200
        yield service
    finally:
        if service.process.poll() is None:
            service.end()
