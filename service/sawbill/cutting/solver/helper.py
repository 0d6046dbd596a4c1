"""One long-lived process that solves integer programmes, because a solver may ignore its own time limit.

It is started at the first need, or once a server has forked, and killed and replaced when it passes the limit.
It ends with its owner: its standard input closes then, and an alarm bounds every question besides.
"""

from __future__ import annotations

import atexit
import os
import signal
import subprocess
import sys
import threading
import time
from multiprocessing.connection import Connection, Pipe
from typing import Any

from sawbill.cutting.solver.answers import Answer, Effort, Programme

_START = "from sawbill.cutting.solver.helper import serve; import sys; serve(int(sys.argv[1]))"
_GRACE = 2  # seconds after which the alarm ends a question whose owner is gone


class Helper:
    """The owner's side: asks one question at a time; threads wait for each other."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._line: Connection | None = None

    def ask(self, programme: Programme, step: int, target: int, effort: Effort, *, seconds: float) -> Answer | None:
        """The answer (see integer.solve), or None when it took longer than the seconds given or the process failed."""
        end = time.monotonic() + seconds
        if seconds <= 0 or not self._lock.acquire(timeout=seconds):
            return None
        try:
            for _ in range(2):  # a process that died in between is replaced once
                try:
                    return self._exchange((programme, step, target, effort), end)
                except (EOFError, OSError):
                    self._end()
            return None
        finally:
            self._lock.release()

    def _exchange(self, question: tuple[Any, ...], end: float) -> Answer | None:
        if self._process is None or self._line is None:
            self._start()
        assert self._line is not None
        left = end - time.monotonic()
        self._line.send((question, max(0.0, left)))
        if self._line.poll(max(0.0, left)):
            answer: Answer = self._line.recv()
            return answer
        self._end()
        self._start()
        return None

    def _start(self) -> None:
        own, theirs = Pipe()
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-c", _START, str(theirs.fileno())],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                pass_fds=(theirs.fileno(),),
            )
        self._line = own

    def warm(self) -> None:
        """Start the process ahead of the first question, which then finds its solver loaded."""
        with self._lock:
            if self._process is None:
                self._start()

    def close(self) -> None:
        """End the process, if there is one; the next question starts another."""
        with self._lock:
            self._end()

    def _end(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait()
        self._drop()

    def _drop(self) -> None:
        if self._process is not None and self._process.stdin is not None:
            self._process.stdin.close()
        if self._line is not None:
            self._line.close()
        self._process = self._line = None

    def forget(self) -> None:
        """In a forked child: the process is the parent's; let go of it, and of a lock a thread may have held."""
        self._lock = threading.Lock()
        if self._process is not None:
            self._process.returncode = 0  # not ours to wait for
        self._drop()


HELPER = Helper()
os.register_at_fork(after_in_child=HELPER.forget)
atexit.register(HELPER.close)


def serve(descriptor: int) -> None:
    """The process's side: answer questions until the line closes."""
    from sawbill.cutting.solver.integer import solve

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the terminal sends it to both; the owner decides
    threading.Thread(target=_follow_owner, daemon=True).start()
    line = Connection(descriptor)
    while True:
        try:
            question, seconds = line.recv()
        except EOFError:
            return
        signal.setitimer(signal.ITIMER_REAL, seconds + _GRACE)
        answer = solve(*question)
        signal.setitimer(signal.ITIMER_REAL, 0)
        line.send(answer)


def _follow_owner() -> None:
    """Standard input closes when the owner ends, however it ends; end at once, even in the middle of a question."""
    os.read(sys.stdin.fileno(), 1)
    os._exit(0)
