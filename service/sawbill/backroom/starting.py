"""A back room of one's own: started, watched, started again where it ended or is stuck, and ended with its owner."""

from __future__ import annotations

import gc
import mmap
import os
import select
import signal
import struct
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Final, Never

from sawbill.backroom import engine, serving, wire
from sawbill.backroom.remote import Remote
from sawbill.backroom.task import Limits

MOST_USUAL: Final = 4
STUCK: Final = 30.0
"""After how long without a beat a room that runs is stuck, and is ended to be started again [s]."""
ASLEEP: Final = 5.0
"""Whoever keeps it and did not look for so long was held up himself, and begins to wait anew [s]."""


def engines() -> int:
    """How many engines this machine has work for: one a processor that may be used, up to MOST_USUAL."""
    processors = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(MOST_USUAL, processors)


def _nothing() -> None:
    """Do nothing."""


class Beat:
    """What a room tells of itself, in memory that it shares with who keeps it: that it goes round."""

    _COUNT: Final = struct.Struct("Q")

    def __init__(self) -> None:
        self._memory = mmap.mmap(-1, self._COUNT.size)
        self._seen, self._since, self._looked = -1, 0.0, 0.0

    def give(self) -> None:
        """Tell it once more."""
        (count,) = self._COUNT.unpack_from(self._memory)
        self._COUNT.pack_into(self._memory, 0, count + 1)

    def missing(self, now: float) -> bool:
        """Tell whether there was none for too long, as far as anybody looked; now: on the monotonic clock [s]."""
        (count,) = self._COUNT.unpack_from(self._memory)
        if count != self._seen or now - self._looked > ASLEEP:
            self._seen, self._since = count, now
        self._looked = now
        return now - self._since > STUCK


class Keeper:
    """Whoever started a back room, and starts another where it has ended or is stuck.

    started, stuck: how many were, so far.
    """

    def __init__(self, limits: Limits, prepare: Callable[[], None] = _nothing) -> None:
        """Prepare: what an engine does first. The room is started by `see_to_it`."""
        self._limits, self._prepare = limits, prepare
        self._listener = wire.listen()
        self._pid: int | None = None
        self._watch: int | None = None
        self._beat = Beat()
        self.started, self.stuck = 0, 0

    @property
    def address(self) -> str | bytes:
        """Where it listens, whether or not it runs."""
        found: str | bytes = self._listener.getsockname()
        return found

    def see_to_it(self) -> None:
        """Start it, if it does not run, or stands still. To be called while there is one thread, as it is forked."""
        if self._pid is not None and self._runs():
            if not self._beat.missing(time.monotonic()):
                return
            self.stuck += 1
            self._end_at_once()
        self._beat = Beat()  # the new one has all its time, however long the old one was missing
        owner, pid = os.getpid(), os.fork()
        if pid == 0:
            serving.serve(self._listener, self._limits, self._prepare, owner, self._beat.give)
        self._pid, self.started = pid, self.started + 1
        if self._watch is not None:
            os.close(self._watch)
        self._watch = os.pidfd_open(pid) if hasattr(os, "pidfd_open") else None

    def end(self) -> None:
        """Tell it to end as soon as nobody is connected, and wait for nothing."""
        if self._pid is not None and self._runs():
            with suppress(OSError):
                os.kill(self._pid, signal.SIGTERM)
        self._listener.close()

    def kill(self) -> None:
        """End it at once: its engines end with it."""
        self._end_at_once()
        self._listener.close()

    def _end_at_once(self) -> None:
        if self._pid is not None:
            with suppress(OSError):
                os.kill(self._pid, signal.SIGKILL)
                os.waitpid(self._pid, 0)

    def keep(self, owner: int) -> Never:
        """In a forked child: see to it that it runs, until the owner has ended."""
        try:
            for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):  # a terminal sends them to all: he decides
                signal.signal(number, signal.SIG_IGN)
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            signal.set_wakeup_fd(-1)
            gc.freeze()
            engine.keep_only(self._listener)
            while os.getppid() == owner:
                self.see_to_it()
                time.sleep(serving.LOOK_EVERY)
            self.end()
        finally:
            os._exit(0)

    def leave(self) -> None:
        """Leave it to whoever keeps it."""
        self._listener.close()

    def _runs(self) -> bool:
        """Tell whether it runs, whoever has waited for its end."""
        assert self._pid is not None
        with suppress(ChildProcessError):
            if os.waitpid(self._pid, os.WNOHANG)[0]:
                return False
        if self._watch is not None:
            return not select.select([self._watch], [], [], 0)[0]
        try:
            os.kill(self._pid, 0)
        except ProcessLookupError:
            return False
        return True


def beside(limits: Limits, prepare: Callable[[], None] = _nothing) -> Remote:
    """Have a back room beside a server that does not see to it: a process of its own does, until this one has ended.

    To be called while there is one thread, as that is forked.
    """
    keeper, owner = Keeper(limits, prepare), os.getpid()
    room = Remote(keeper.address)
    if os.fork() == 0:
        keeper.keep(owner)
    keeper.leave()
    return room


@contextmanager
def opened(limits: Limits | None = None, prepare: Callable[[], None] = _nothing) -> Iterator[Remote]:
    """Have a back room for a while."""
    keeper = Keeper(limits or Limits(engines()), prepare)
    keeper.see_to_it()
    try:
        yield Remote(keeper.address)
    finally:
        keeper.kill()
